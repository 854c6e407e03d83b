//! Entries, records and photos made up for the tests of what a phone decides.

use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Standing};
use setdown_types::party::Role;
use setdown_types::subject::Subject;
use setdown_types::value::{PhotoRef, Value};
use uuid::Uuid;

use super::photos::PhotoRow;
use super::replica::read_record;

pub const HERE: DeviceId = DeviceId(Uuid::from_u128(1));
pub const THERE: DeviceId = DeviceId(Uuid::from_u128(2));
pub const DEALER: OrganisationId = OrganisationId(Uuid::from_u128(3));
pub const SITE: SiteId = SiteId(Uuid::from_u128(4));
pub const STAFF: PersonId = PersonId(Uuid::from_u128(5));
pub const OWNER: PersonId = PersonId(Uuid::from_u128(6));

pub const ACCEPTED: Standing = Standing::Accepted(Acceptance {
    seq: 1,
    received_at: 0,
    effective_at: None,
});

/// A first note of the staff on this device; a test changes what it is about.
pub fn entry(value: Value) -> Entry {
    Entry {
        id: EntryId(Uuid::from_u128(9)),
        organisation: DEALER,
        site: SITE,
        subject: Subject::SITE,
        question: "site.note".to_owned(),
        payload: Payload::Known(value),
        spread: None,
        method: Method::Seen,
        intent: Intent::First,
        replaces: Vec::new(),
        author: STAFF,
        role: Role::Coordinator,
        device: HERE,
        stamp: Stamp {
            wall: 0,
            boot: BootId::NIL,
            monotonic: 0,
            counter: 1,
        },
        schema: SCHEMA,
    }
}

/// The entry as this device keeps it.
pub fn record(entry: &Entry, standing: Standing) -> Record {
    let raw = entry.to_json().expect("it can be written");
    read_record(&raw, standing).expect("it can be read")
}

pub fn words() -> Value {
    Value::Text("the dog bites".to_owned())
}

/// A hash that nothing has.
pub fn sha(two: &str) -> String {
    two.repeat(32)
}

pub fn picture(sha256: &str) -> Value {
    Value::Photo(PhotoRef {
        sha256: sha256.to_owned(),
        media_type: "image/jpeg".to_owned(),
        width: 1,
        height: 1,
        bytes: 1,
    })
}

/// The bytes of a photo that the server does not have, named by these entries.
pub fn photo(sha256: &str, entries: impl IntoIterator<Item = EntryId>) -> PhotoRow {
    let mut row = PhotoRow {
        sha256: sha256.to_owned(),
        media_type: "image/jpeg".to_owned(),
        verified: false,
        sent: false,
        entry: None,
        also: Vec::new(),
        taken_by: None,
        wall: 1_000,
    };
    for entry in entries {
        row.named_by(entry);
    }
    row
}
