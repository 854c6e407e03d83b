//! Entries written at a desk: composed here, admitted as a phone's push is.

use setdown_app::office::messages::{OfficeError, Written};
use setdown_types::admission::{Arrival, Writer};
use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, SiteId};
use setdown_types::ledger::{Acceptance, Refusal};
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::{Session, Verdict};
use uuid::Uuid;

use super::{Office, told};
use crate::clock;

/// The device of everything written at a desk: the server itself.
pub const DESK: DeviceId = DeviceId(Uuid::from_u128(0x5e7d_0000_0000_4000_8000_0000_0000_0001));

/// What an entry from the desk says, before it has an id and a time.
pub struct Draft {
    /// Which question about what.
    pub stream: StreamKey,
    /// Why.
    pub intent: Intent,
    /// What it replaces.
    pub replaces: Vec<EntryId>,
    /// What it says.
    pub payload: Payload,
    /// Half-width, base units.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
}

impl Draft {
    /// A first answer from a document.
    pub fn first(question: &str, value: Value) -> Self {
        Self {
            stream: StreamKey::new(Subject::SITE, question),
            intent: Intent::First,
            replaces: Vec::new(),
            payload: Payload::Known(value),
            spread: None,
            method: Method::Document,
        }
    }

    /// The entry in the caller's name, number `counter` of those that arrive together.
    pub(super) fn entry(
        self,
        caller: &Session,
        site: SiteId,
        arrival: &Arrival,
        counter: u64,
    ) -> Entry {
        Entry {
            id: EntryId(Uuid::now_v7()),
            organisation: caller.organisation,
            site,
            subject: self.stream.subject,
            question: self.stream.question,
            payload: self.payload,
            spread: self.spread,
            method: self.method,
            intent: self.intent,
            replaces: self.replaces,
            author: caller.person,
            role: caller.role,
            device: DESK,
            stamp: Stamp {
                wall: arrival.received_at,
                boot: arrival.boot,
                monotonic: arrival.monotonic,
                counter,
            },
            schema: SCHEMA,
        }
    }
}

/// What is written at a desk arrives as it is written.
pub(super) fn arrival() -> Arrival {
    Arrival {
        device: DESK,
        boot: BootId(Uuid::now_v7()),
        monotonic: 0,
        received_at: clock::now(),
    }
}

impl Office {
    /// Appends an entry in the caller's name, through the same admission as a phone's push.
    pub async fn append(
        &self,
        caller: &Session,
        site: SiteId,
        draft: Draft,
    ) -> Result<Written, OfficeError> {
        let arrival = arrival();
        let entry = draft.entry(caller, site, &arrival, 1);
        let raw = entry.to_json().ok_or_else(OfficeError::server)?;
        let verdicts = self
            .state
            .push(&Writer::from(caller), &arrival, &[&raw])
            .await
            .map_err(told)?;
        match verdicts.into_iter().next().map(|verdict| verdict.verdict) {
            Some(Verdict::Accepted(acceptance) | Verdict::Duplicate(acceptance)) => {
                Ok(written(entry.id, acceptance))
            }
            Some(Verdict::Refused(refusal)) => Err(refused(&refusal)),
            Some(Verdict::Held) => Err(OfficeError::bad_input(
                "What this answer replaces is not known here. Nothing was changed: load the page again.",
            )),
            None => Err(OfficeError::server()),
        }
    }
}

const fn written(entry: EntryId, acceptance: Acceptance) -> Written {
    Written {
        entry,
        seq: acceptance.seq,
    }
}

fn refused(refusal: &Refusal) -> OfficeError {
    match refusal {
        Refusal::NotAllowed => {
            OfficeError::not_allowed("The office may not write this answer. Nothing was changed.")
        }
        Refusal::OtherSite => OfficeError::not_found("site"),
        Refusal::OtherStream => OfficeError::bad_input(
            "What this answer replaces answers another question. Nothing was changed: load the page again.",
        ),
        Refusal::NoSuchSheet => OfficeError::bad_input(
            "There is no such sheet of this dealer, or it is of the other kind. Nothing was changed: choose one from the catalogue.",
        ),
        _ => OfficeError::bad_input(
            "The answer cannot be taken. Nothing was changed: load the page again.",
        ),
    }
}
