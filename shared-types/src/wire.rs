//! The messages that phone and server exchange, apart from the domain types.

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use crate::ledger::{Acceptance, Refusal};
use crate::party::Role;

/// The most entries one push may carry.
pub const MAX_PUSH: usize = 200;
/// The most bytes of entries on one page of a pull, but for a single entry that is longer: a phone at the edge of its
/// signal gets small pieces through.
pub const MAX_PAGE_BYTES: usize = 512 * 1024;
/// The version of these messages; a server answers 426 to one it no longer speaks.
pub const PROTOCOL: u32 = 1;

/// `POST /api/sync/push`: entries in the order in which they were written.
#[derive(Debug, Serialize, Deserialize)]
pub struct Push {
    /// [`PROTOCOL`] of the sender.
    pub protocol: u32,
    /// The sending device.
    pub device: DeviceId,
    /// Its current page load.
    pub boot: BootId,
    /// Its monotonic clock now, milliseconds: bridges stamps of the same boot to the server's.
    pub monotonic: i64,
    /// The exact bytes of each entry.
    pub entries: Vec<Box<RawValue>>,
}

/// Answer to a push: one verdict per entry, in the same order. Always 200.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pushed {
    /// Verdicts in the order of the entries.
    pub verdicts: Vec<EntryVerdict>,
}

/// What became of one pushed entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EntryVerdict {
    /// The entry's id; nil where the bytes could not be read that far.
    pub id: EntryId,
    /// What became of it.
    pub verdict: Verdict,
}

/// What became of one pushed entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Taken now.
    Accepted(Acceptance),
    /// Taken before, with the same bytes.
    Duplicate(Acceptance),
    /// Waiting for the entries it builds on; keep it and do not send it again until it is pulled
    /// or a later push reports it.
    Held,
    /// Not taken, for good.
    Refused(Refusal),
}

/// `GET /api/sync/pull?site=…&after=SEQ`: accepted entries of one site after a cursor.
#[derive(Debug, Serialize, Deserialize)]
pub struct Pulled {
    /// Which site.
    pub site: SiteId,
    /// Entries by rising seq.
    pub entries: Vec<PulledEntry>,
    /// Stubs of refused entries that these build on: every replica looks through them alike.
    #[serde(default)]
    pub refused: Vec<PulledRefused>,
    /// The highest seq of the site.
    pub last_seq: u64,
    /// Whether more follow after the last one given.
    pub more: bool,
    /// [`crate::ledger::ledger_digest`] of everything this role may see up to `last_seq`; only
    /// on the last page.
    pub digest: Option<String>,
}

/// One accepted entry on its way to a device.
#[derive(Debug, Serialize, Deserialize)]
pub struct PulledEntry {
    /// The exact bytes.
    pub raw: Box<RawValue>,
    /// What the server added.
    pub acceptance: Acceptance,
}

/// A refused entry without its content.
#[derive(Debug, Serialize, Deserialize)]
pub struct PulledRefused {
    /// Its bytes without what it said.
    pub raw: Box<RawValue>,
    /// Why it was refused.
    pub refusal: Refusal,
}

/// `GET /api/sync/sites`: what this person may take along.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteList {
    /// The sites.
    pub sites: Vec<SiteCard>,
}

/// A site as it stands in a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteCard {
    /// Which one.
    pub site: SiteId,
    /// Its descriptive name.
    pub name: String,
    /// IANA time zone of the site.
    pub time_zone: String,
    /// Highest seq.
    pub last_seq: u64,
}

/// `GET /api/sync/session`: who is signed in, as the device sees it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Session {
    /// Who.
    pub person: PersonId,
    /// Shown name.
    pub name: String,
    /// As what.
    pub role: Role,
    /// For which dealer.
    pub organisation: OrganisationId,
    /// The one site of an invitation; `None` for people with accounts.
    pub site: Option<SiteId>,
}

/// `GET /api/sync/documents/DIGEST`: a spa sheet or practice sheet by the digest of its bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Document {
    /// Digest of `body`.
    pub digest: String,
    /// `spa` or `practice`.
    pub kind: String,
    /// Canonical JSON text.
    pub body: String,
}

/// `POST /api/sign-in`: a name and a password for a session cookie; answered with [`Session`].
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignIn {
    /// The name the person signs in with, such as an e-mail address; case does not matter.
    pub sign_in: String,
    /// The password.
    pub password: String,
}

/// `POST /api/invitation/open`: the token of an invitation link for a session cookie; answered
/// with [`Session`].
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenInvitation {
    /// The token as it stands in the link.
    pub token: String,
}

/// `PUT /api/photos/SHA`: the server holds these very bytes now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoStored {
    /// SHA-256 of the bytes as the server computed it, lower-case hex.
    pub sha256: String,
    /// How many bytes it holds.
    pub bytes: u64,
}

/// Problem details (RFC 9457) as every endpoint answers an error.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Problem {
    /// `about:blank` or a relative name of the problem.
    #[serde(rename = "type")]
    pub kind: String,
    /// Short title.
    pub title: String,
    /// HTTP status.
    pub status: u16,
    /// What happened, that nothing was lost, and what to do.
    pub detail: String,
}
