//! What would go with a site that is removed from this phone: what must be sent first, and what must be said first.

use setdown_types::ids::DeviceId;
use setdown_types::ledger::{Record, Standing};

use super::photos::PhotoRow;

/// What of a site is only on this phone.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Leaving {
    /// Entries that the server has not decided about.
    pub unsent: usize,
    /// Photos whose bytes the server is still to get.
    pub photos: usize,
    /// Entries that the server did not take: they are nowhere else.
    pub refused: usize,
    /// Answers typed and not saved.
    pub drafts: usize,
}

impl Leaving {
    /// Counts what is only on `device`, of all records of a site and all photos on it.
    pub fn of<'a>(
        records: &[Record],
        device: DeviceId,
        photos: impl IntoIterator<Item = &'a PhotoRow>,
        drafts: usize,
    ) -> Self {
        let own = |wanted: &dyn Fn(&Standing) -> bool| {
            records
                .iter()
                .filter(|record| record.entry.device == device && wanted(&record.standing))
                .count()
        };
        Self {
            unsent: own(&|standing| matches!(standing, Standing::Unsent | Standing::Held)),
            photos: photos
                .into_iter()
                .filter(|photo| photo.is_owed(records))
                .count(),
            refused: own(&|standing| matches!(standing, Standing::Refused(_))),
            drafts,
        }
    }

    /// How much has to be sent before the site may go.
    pub const fn to_send(&self) -> usize {
        self.unsent + self.photos
    }

    /// Whether something would be gone for good: the person has to be told how much, and to say so.
    pub const fn asks(&self) -> bool {
        self.refused + self.drafts > 0
    }
}

#[cfg(test)]
mod tests {
    use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
    use setdown_types::ids::{BootId, EntryId, OrganisationId, PersonId, SiteId};
    use setdown_types::ledger::{Acceptance, Refusal};
    use setdown_types::party::Role;
    use setdown_types::subject::Subject;
    use setdown_types::value::{PhotoRef, Value};
    use uuid::Uuid;

    use super::*;

    const HERE: DeviceId = DeviceId(Uuid::from_u128(1));
    const THERE: DeviceId = DeviceId(Uuid::from_u128(2));

    fn record(device: DeviceId, value: Value, standing: Standing) -> Record {
        let entry = Entry {
            id: EntryId(Uuid::from_u128(9)),
            organisation: OrganisationId(Uuid::from_u128(1)),
            site: SiteId(Uuid::from_u128(2)),
            subject: Subject::SITE,
            question: "site.note".to_owned(),
            payload: Payload::Known(value),
            spread: None,
            method: Method::Seen,
            intent: Intent::First,
            replaces: Vec::new(),
            author: PersonId(Uuid::from_u128(3)),
            role: Role::Coordinator,
            device,
            stamp: Stamp {
                wall: 0,
                boot: BootId::NIL,
                monotonic: 0,
                counter: 1,
            },
            schema: SCHEMA,
        };
        let raw = entry.to_json().expect("it can be written");
        Record {
            entry,
            raw,
            standing,
        }
    }

    fn accepted() -> Standing {
        Standing::Accepted(Acceptance {
            seq: 1,
            received_at: 0,
            effective_at: None,
        })
    }

    fn refused() -> Standing {
        Standing::Refused(Refusal::NotAllowed)
    }

    fn words() -> Value {
        Value::Text("the dog bites".to_owned())
    }

    fn picture() -> (Value, PhotoRow) {
        let sha256 = "ab".repeat(32);
        let photo = PhotoRef {
            sha256: sha256.clone(),
            media_type: "image/jpeg".to_owned(),
            width: 1,
            height: 1,
            bytes: 1,
        };
        let row = PhotoRow {
            sha256,
            media_type: "image/jpeg".to_owned(),
            verified: false,
            sent: false,
            entry: None,
            also: Vec::new(),
            wall: 0,
        };
        (Value::Photo(photo), row)
    }

    #[test]
    fn a_site_whose_photos_are_owed_stays_although_every_entry_was_taken() {
        let (value, mut photo) = picture();
        let records = [record(HERE, value, accepted())];
        let leaving = Leaving::of(&records, HERE, [&photo], 0);
        assert_eq!(
            (leaving.unsent, leaving.photos, leaving.to_send()),
            (0, 1, 1)
        );
        photo.verified = true;
        assert_eq!(Leaving::of(&records, HERE, [&photo], 0), Leaving::default());
    }

    #[test]
    fn a_photo_of_another_site_holds_nothing_back() {
        let (_, photo) = picture();
        let records = [record(HERE, words(), accepted())];
        assert_eq!(Leaving::of(&records, HERE, [&photo], 0).to_send(), 0);
    }

    #[test]
    fn what_waits_must_be_sent_and_what_was_refused_or_only_typed_must_be_said() {
        let (value, photo) = picture();
        let records = [
            record(HERE, words(), Standing::Unsent),
            record(HERE, words(), Standing::Held),
            record(HERE, value, refused()),
            record(THERE, words(), refused()),
            record(THERE, words(), accepted()),
        ];
        let leaving = Leaving::of(&records, HERE, [&photo], 3);
        let expected = Leaving {
            unsent: 2,
            photos: 0,
            refused: 1,
            drafts: 3,
        };
        assert_eq!(leaving, expected);
        assert!(leaving.to_send() == 2 && leaving.asks());
        let only_refused = Leaving::of(&records[2..3], HERE, [&photo], 0);
        assert!(only_refused.to_send() == 0 && only_refused.asks());
    }
}
