//! Admission: what becomes of one pushed entry, decided from what is already known of its site.
//!
//! Pure: the caller brings the clock reading and the entries. The server and the convergence
//! simulator run this very code, the one over rows of a database, the other over a map
//! ([`MemorySite`]).

use std::collections::BTreeSet;

use serde::Deserialize;

use crate::digest::digest_hex;
use crate::entry::{Entry, Intent, MAX_REPLACES};
use crate::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use crate::ledger::{Acceptance, Refusal, Standing};
use crate::party::{self, Role};
use crate::question::{reaches_all_of, visible};
use crate::site::StreamKey;
use crate::value::Value;
use crate::wire::{Push, Session, Verdict};

/// The most entries of one author that wait at one site for others.
pub const MAX_WAITING: usize = 200;

mod memory;
pub use memory::{MemorySite, Outcome, Page};

/// Who is signed in and pushes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Writer {
    /// The person.
    pub person: PersonId,
    /// As what.
    pub role: Role,
    /// For which dealer.
    pub organisation: OrganisationId,
    /// The one site of an invitation; `None` for people with accounts.
    pub site: Option<SiteId>,
}

impl From<&Session> for Writer {
    fn from(session: &Session) -> Self {
        Self {
            person: session.person,
            role: session.role,
            organisation: session.organisation,
            site: session.site,
        }
    }
}

/// A push as it reached the server: bridges the device's monotonic clock to the server's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrival {
    /// The device that pushes.
    pub device: DeviceId,
    /// Its current page load.
    pub boot: BootId,
    /// Its monotonic clock when it sent, milliseconds.
    pub monotonic: i64,
    /// The server's clock at receipt, milliseconds since 1970.
    pub received_at: i64,
}

impl Arrival {
    /// The arrival of `push` at `received_at` (milliseconds since 1970, the server's clock).
    pub const fn of(push: &Push, received_at: i64) -> Self {
        Self {
            device: push.device,
            boot: push.boot,
            monotonic: push.monotonic,
            received_at,
        }
    }

    /// When `entry` was written, by the server's clock (milliseconds since 1970).
    ///
    /// `None` unless the same page load of the same device wrote and sent it, in that order:
    /// monotonic clocks of different page loads have nothing in common.
    pub fn effective_at(&self, entry: &Entry) -> Option<i64> {
        if entry.device != self.device || entry.stamp.boot != self.boot {
            return None;
        }
        let age = self.monotonic.checked_sub(entry.stamp.monotonic)?;
        if age < 0 {
            return None;
        }
        self.received_at.checked_sub(age)
    }
}

/// An entry that the server keeps, as far as later decisions need it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// Its id.
    pub id: EntryId,
    /// The stream it belongs to; `None` where its bytes could not be read as an entry.
    pub stream: Option<StreamKey>,
    /// The entries it builds on.
    pub replaces: Vec<EntryId>,
    /// Why it was written; `None` where its bytes could not be read as an entry.
    pub intent: Option<Intent>,
    /// Its exact bytes; a [`stub`] once it was refused or redacted.
    pub raw: String,
    /// Digest of the bytes as they first came; `None` after a redaction, so that not even a
    /// guess at the content can be confirmed.
    pub digest: Option<String>,
    /// The server's clock at first receipt, milliseconds since 1970.
    pub received_at: i64,
    /// When it was written, by the server's clock.
    pub effective_at: Option<i64>,
    /// Held, accepted or refused; never unsent.
    pub standing: Standing,
}

impl Kept {
    /// Whether it waits for an entry it builds on.
    pub const fn is_held(&self) -> bool {
        matches!(self.standing, Standing::Held)
    }

    /// Whether its content was taken out.
    pub const fn is_redacted(&self) -> bool {
        self.digest.is_none()
    }

    /// Whether `role` may see it. What cannot be read as an entry says nothing.
    pub fn visible(&self, role: Role) -> bool {
        self.stream
            .as_ref()
            .is_none_or(|stream| visible(&stream.question, role))
    }

    /// The answer to bytes that come again under this id.
    fn again(&self, digest: &str) -> Verdict {
        if self.digest.as_deref().is_some_and(|known| known != digest) {
            return Verdict::Refused(Refusal::OtherBytes);
        }
        match &self.standing {
            Standing::Accepted(acceptance) => Verdict::Duplicate(*acceptance),
            Standing::Refused(refusal) => Verdict::Refused(refusal.clone()),
            Standing::Held | Standing::Unsent => Verdict::Held,
        }
    }
}

/// What the caller of a push knows beyond the entries of its site.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Surroundings {
    /// Those of the sheets named by the pushed pins that the dealer has, by kind and digest; `None` where nobody
    /// looked, and every pin passes.
    pub sheets: Option<BTreeSet<(&'static str, String)>>,
    /// How many entries of the writer wait at the site already.
    pub waiting: usize,
}

/// The kind and digest of the sheet that an entry pins its site to; nothing for a question of a newer version.
pub fn pinned_sheet(entry: &Entry) -> Option<(&'static str, &str)> {
    let Some(Value::Pin(digest)) = entry.value() else {
        return None;
    };
    let kind = match entry.question.as_str() {
        "site.spa" => "spa",
        "site.practice" => "practice",
        _ => return None,
    };
    Some((kind, digest))
}

/// What is decided about one entry that was not known before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Decision {
    /// Take it: the next seq is its own.
    Accept,
    /// Keep it until the entries it builds on are known.
    Hold,
    /// Do not take it, but remember that it was refused: later entries may build on it.
    Refuse(Refusal),
    /// Do not take it and forget it: the same bytes may be taken from somebody else.
    TurnAway(Refusal),
}

/// Who may write what where: everything about `entry` that does not depend on other entries.
pub fn judge_alone(writer: &Writer, site: SiteId, entry: &Entry) -> Result<(), Decision> {
    let foreign = entry.organisation != writer.organisation
        || entry.site != site
        || writer.site.is_some_and(|invited| invited != site);
    if foreign {
        return Err(Decision::TurnAway(Refusal::OtherSite));
    }
    if entry.author != writer.person {
        return Err(Decision::TurnAway(Refusal::NotYours));
    }
    if entry.role != writer.role {
        // Their own entry, under a role they no longer have. Nobody else can send it, and what
        // they built on it must not be held for ever: it is remembered as refused.
        return Err(Decision::Refuse(Refusal::NotYours));
    }
    party::judge(writer.role, entry).map_err(|_| Decision::Refuse(Refusal::NotAllowed))?;
    match entry.value() {
        Some(Value::Signature(signature)) if !signature.covers_findings() => {
            Err(Decision::Refuse(Refusal::OtherFindings))
        }
        _ => Ok(()),
    }
}

/// Whether the sheet that an entry pins is there.
fn judge_pin(surroundings: &Surroundings, entry: &Entry) -> Result<(), Decision> {
    match (&surroundings.sheets, pinned_sheet(entry)) {
        (Some(sheets), Some((kind, digest))) if !sheets.contains(&(kind, digest.to_owned())) => {
            Err(Decision::Refuse(Refusal::NoSuchSheet))
        }
        _ => Ok(()),
    }
}

/// Decides about an entry by the entries it builds on, looked up with `known`.
///
/// Only redactions reach into other streams of their site: a strike works inside its own stream,
/// and intents of newer versions are not interpreted. A redaction must itself be seen by all who see its target, or
/// some of them would keep what was taken out.
pub fn judge_parents<'a>(
    stream: Option<&StreamKey>,
    intent: Option<Intent>,
    replaces: &[EntryId],
    known: impl Fn(EntryId) -> Option<&'a Kept>,
) -> Decision {
    let mut waits = false;
    for parent in replaces {
        match known(*parent) {
            None => waits = true,
            Some(parent) if parent.is_held() => waits = true,
            Some(parent) => {
                let elsewhere = parent.stream.is_some() && parent.stream.as_ref() != stream;
                let bound = !matches!(intent, Some(Intent::Redact | Intent::Unknown) | None);
                let unheard = intent == Some(Intent::Redact) && !reaches(stream, parent);
                if (elsewhere && bound) || unheard {
                    return Decision::Refuse(Refusal::OtherStream);
                }
            }
        }
    }
    if waits {
        Decision::Hold
    } else {
        Decision::Accept
    }
}

/// Whether all who see `parent` see the stream as well.
fn reaches(stream: Option<&StreamKey>, parent: &Kept) -> bool {
    match (stream, &parent.stream) {
        (Some(stream), Some(parent)) => reaches_all_of(&stream.question, &parent.question),
        _ => true,
    }
}

/// The standing of an accepted entry, from its seq and the times of its receipt.
pub const fn accepted(seq: u64, kept: &Kept) -> Acceptance {
    Acceptance {
        seq,
        received_at: kept.received_at,
        effective_at: kept.effective_at,
    }
}

/// The fields of an entry that a stub keeps: who, where, when, what about, what it builds on.
const STUB_FIELDS: [&str; 13] = [
    "id",
    "organisation",
    "site",
    "subject",
    "question",
    "method",
    "intent",
    "replaces",
    "author",
    "role",
    "device",
    "stamp",
    "schema",
];

/// The bytes of an entry without what it says: value, spread and every field this version does
/// not know are gone. Bytes that are no JSON object become `{}`.
pub fn stub(raw: &str) -> String {
    let fields: serde_json::Map<String, serde_json::Value> =
        serde_json::from_str(raw).unwrap_or_default();
    let left: serde_json::Map<String, serde_json::Value> = fields
        .into_iter()
        .filter(|(name, _)| STUB_FIELDS.contains(&name.as_str()))
        .collect();
    serde_json::Value::Object(left).to_string()
}

/// As much of an entry's address as can be read from bytes that may be no entry.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Address {
    /// Its id.
    pub id: EntryId,
    /// The dealer it names.
    pub organisation: OrganisationId,
    /// The site it names.
    pub site: SiteId,
    /// The entries it names as built on.
    #[serde(default)]
    pub replaces: Vec<EntryId>,
}

impl Address {
    /// Reads the address; `None` where not even that is there. At most [`MAX_REPLACES`] of what it builds on count.
    pub fn of(raw: &str) -> Option<Self> {
        let mut address: Self = serde_json::from_str(raw).ok()?;
        address.replaces.truncate(MAX_REPLACES);
        Some(address)
    }

    /// What is kept of bytes that are no entry: their address, and nothing whose size their sender chose.
    pub fn stub(&self) -> String {
        serde_json::json!({
            "id": self.id,
            "organisation": self.organisation,
            "site": self.site,
            "replaces": self.replaces,
        })
        .to_string()
    }
}

/// Digest by which bytes that come again are compared.
pub fn raw_digest(raw: &str) -> String {
    digest_hex(raw.as_bytes())
}

#[cfg(test)]
mod tests;
