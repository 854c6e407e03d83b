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
    use setdown_types::entry::Entry;
    use setdown_types::ledger::Refusal;
    use setdown_types::value::Value;

    use super::super::made::{ACCEPTED, HERE, THERE, entry, photo, picture, record, sha, words};
    use super::*;

    fn of(device: DeviceId, value: Value, standing: Standing) -> Record {
        let entry = Entry {
            device,
            ..entry(value)
        };
        record(&entry, standing)
    }

    fn refused() -> Standing {
        Standing::Refused(Refusal::NotAllowed)
    }

    #[test]
    fn a_site_whose_photos_are_owed_stays_although_every_entry_was_taken() {
        let mut photo = photo(&sha("ab"), None);
        let records = [of(HERE, picture(&sha("ab")), ACCEPTED)];
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
        let photo = photo(&sha("ab"), None);
        let records = [of(HERE, words(), ACCEPTED)];
        assert_eq!(Leaving::of(&records, HERE, [&photo], 0).to_send(), 0);
    }

    #[test]
    fn what_waits_must_be_sent_and_what_was_refused_or_only_typed_must_be_said() {
        let photo = photo(&sha("ab"), None);
        let records = [
            of(HERE, words(), Standing::Unsent),
            of(HERE, words(), Standing::Held),
            of(HERE, picture(&sha("ab")), refused()),
            of(THERE, words(), refused()),
            of(THERE, words(), ACCEPTED),
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
