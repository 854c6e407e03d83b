//! Photos on this phone: which entries still show one, when its bytes may go to the server, and when they are done with.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use setdown_types::ids::{EntryId, PersonId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::question::visible;
use setdown_types::value::Value;
use setdown_types::wire::Session;

/// How long a picture that nothing names yet is kept, milliseconds: its draft may be on its way, or its page may have died
/// under the camera.
pub const GRACE: i64 = 24 * 3_600_000;

/// What is known of a photo on this phone; its bytes lie apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoRow {
    /// SHA-256 of the bytes.
    pub sha256: String,
    /// Media type.
    pub media_type: String,
    /// Whether the server has verified its bytes.
    pub verified: bool,
    /// Whether the server has them, verified or not.
    pub sent: bool,
    /// The first entry that names it: its bytes follow the first of its entries that is accepted.
    pub entry: Option<EntryId>,
    /// Further entries that name the same picture.
    #[serde(default)]
    pub also: Vec<EntryId>,
    /// Who took it on this phone; nothing of it is told of what was fetched or kept before this was noted.
    #[serde(default)]
    pub taken_by: Option<PersonId>,
    /// When it was kept, milliseconds since 1970.
    pub wall: i64,
}

impl PhotoRow {
    /// Notes an entry that names it.
    pub fn named_by(&mut self, entry: EntryId) {
        match self.entry {
            None => self.entry = Some(entry),
            Some(first) if first != entry && !self.also.contains(&entry) => self.also.push(entry),
            Some(_) => {}
        }
    }

    /// The entries that name it.
    pub fn entries(&self) -> impl Iterator<Item = EntryId> + '_ {
        self.entry.into_iter().chain(self.also.iter().copied())
    }

    /// Whether its bytes are still owed to the server.
    pub const fn waits(&self) -> bool {
        !self.verified && self.entry.is_some()
    }

    /// Whether an entry of `records` shows it and stands as `wanted` says. One whose content was taken out shows nothing.
    fn is_shown<'a>(
        &self,
        records: impl IntoIterator<Item = &'a Record>,
        wanted: impl Fn(&Standing) -> bool,
    ) -> bool {
        records
            .into_iter()
            .any(|record| shown(record) == Some(self.sha256.as_str()) && wanted(&record.standing))
    }

    /// Whether its bytes may go to the server: one of its entries, `records`, has been accepted. Facts first.
    pub fn may_go<'a>(&self, records: impl IntoIterator<Item = &'a Record>) -> bool {
        !self.verified
            && self.is_shown(records, |standing| {
                matches!(standing, Standing::Accepted(_))
            })
    }

    /// Whether the server is to get its bytes, now or after an entry of `records` was accepted.
    pub fn is_owed<'a>(&self, records: impl IntoIterator<Item = &'a Record>) -> bool {
        !self.verified
            && self.is_shown(records, |standing| {
                !matches!(standing, Standing::Refused(_))
            })
    }

    /// Whether its bytes and this row may go: no entry and no draft in `named` shows it, and it was answered with, or can be
    /// fetched again, or has waited for [`GRACE`].
    pub fn is_done_with(&self, named: &BTreeSet<String>, now: i64) -> bool {
        let settled = self.verified || self.entry.is_some() || now - self.wall > GRACE;
        settled && !named.contains(&self.sha256)
    }
}

/// Whether the server shows an entry to whoever is signed in, and so takes its photo from them.
pub fn is_theirs(record: &Record, session: &Session) -> bool {
    let entry = &record.entry;
    entry.organisation == session.organisation
        && session.site.is_none_or(|site| site == entry.site)
        && visible(&entry.question, session.role)
}

/// The hash of the photo that an entry shows.
pub fn shown(record: &Record) -> Option<&str> {
    match record.entry.value() {
        Some(Value::Photo(photo)) => Some(&photo.sha256),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use setdown_types::admission::stub;
    use setdown_types::entry::Entry;
    use setdown_types::ids::{OrganisationId, SiteId};
    use setdown_types::ledger::Refusal;
    use setdown_types::party::Role;
    use uuid::Uuid;

    use super::super::made::{self, ACCEPTED, photo, picture, record};
    use super::super::replica::read_record;
    use super::*;

    fn sha() -> String {
        made::sha("5a")
    }

    fn entry(number: u128, standing: Standing) -> Record {
        let entry = Entry {
            id: EntryId(Uuid::from_u128(number)),
            question: "site.photo".to_owned(),
            ..made::entry(picture(&sha()))
        };
        record(&entry, standing)
    }

    /// The same entry after the office has taken its content out.
    fn taken_out(record: &Record) -> Record {
        read_record(&stub(&record.raw), record.standing.clone()).expect("a stub can be read")
    }

    fn row(entries: &[&Record]) -> PhotoRow {
        photo(&sha(), entries.iter().map(|record| record.entry.id))
    }

    fn named<'a>(records: impl IntoIterator<Item = &'a Record>) -> BTreeSet<String> {
        records
            .into_iter()
            .filter_map(shown)
            .map(str::to_owned)
            .collect()
    }

    #[test]
    fn bytes_follow_the_first_entry_that_is_accepted_when_an_earlier_one_is_refused() {
        let refused = entry(10, Standing::Refused(Refusal::NotAllowed));
        let waiting = entry(11, Standing::Unsent);
        let photo = row(&[&refused, &waiting]);
        assert!(
            !photo.may_go([&refused]),
            "a refused entry takes no bytes along"
        );
        assert!(!photo.may_go([&refused, &waiting]) && photo.is_owed([&refused, &waiting]));
        let accepted = entry(11, ACCEPTED);
        assert!(photo.may_go([&refused, &accepted]), "the second one does");
        assert_eq!(photo.entries().count(), 2);
    }

    #[test]
    fn a_photo_waits_for_somebody_whom_the_server_takes_it_from() {
        let open = entry(10, ACCEPTED);
        let mut hidden = open.clone();
        hidden.entry.question = "site.staff_photo".to_owned();
        let coordinator = Session {
            person: PersonId(Uuid::from_u128(9)),
            name: "a colleague of the author".to_owned(),
            role: Role::Coordinator,
            organisation: open.entry.organisation,
            site: None,
        };
        let homeowner = Session {
            role: Role::Homeowner,
            site: Some(open.entry.site),
            ..coordinator.clone()
        };
        let next_door = Session {
            site: Some(SiteId(Uuid::from_u128(77))),
            ..homeowner.clone()
        };
        let other_dealer = Session {
            organisation: OrganisationId(Uuid::from_u128(77)),
            ..coordinator.clone()
        };
        let taken = |session: &Session| (is_theirs(&open, session), is_theirs(&hidden, session));
        assert_eq!(taken(&coordinator), (true, true));
        assert_eq!(taken(&homeowner), (true, false));
        assert_eq!(taken(&next_door), (false, false));
        assert_eq!(taken(&other_dealer), (false, false));
        let photo = row(&[&hidden, &open]);
        let records = [hidden, open];
        let goes = |session: &Session| {
            photo.may_go(records.iter().filter(|record| is_theirs(record, session)))
        };
        assert!(goes(&homeowner) && !goes(&next_door));
    }

    #[test]
    fn a_photo_of_refused_entries_alone_is_kept_and_not_owed() {
        let refused = entry(10, Standing::Refused(Refusal::NotAllowed));
        let photo = row(&[&refused]);
        assert!(!photo.is_owed([&refused]) && !photo.may_go([&refused]));
        assert!(
            !photo.is_done_with(&named([&refused]), i64::MAX),
            "its words are kept, and so is it"
        );
    }

    #[test]
    fn a_photo_whose_entries_are_all_taken_out_is_forgotten_sent_or_not() {
        let (one, other) = (entry(10, ACCEPTED), entry(11, ACCEPTED));
        let photo = row(&[&one, &other]);
        let half = [taken_out(&one), other.clone()];
        assert!(
            photo.may_go(&half) && !photo.is_done_with(&named(&half), 2_000),
            "one still shows it"
        );
        let all = [taken_out(&one), taken_out(&other)];
        assert!(!photo.may_go(&all) && !photo.is_owed(&all));
        assert!(photo.is_done_with(&named(&all), 2_000));
        let verified = PhotoRow {
            verified: true,
            ..photo
        };
        assert!(verified.is_done_with(&named(&all), 2_000));
    }

    #[test]
    fn a_picture_that_nothing_names_yet_has_a_day() {
        let photo = row(&[]);
        let (nothing, a_draft) = (BTreeSet::new(), BTreeSet::from([sha()]));
        assert!(!photo.is_done_with(&nothing, photo.wall + GRACE));
        assert!(photo.is_done_with(&nothing, photo.wall + GRACE + 1));
        assert!(
            !photo.is_done_with(&a_draft, photo.wall + GRACE + 1),
            "a draft names it"
        );
        let fetched = PhotoRow {
            verified: true,
            ..photo
        };
        assert!(
            fetched.is_done_with(&nothing, fetched.wall),
            "it can be fetched again"
        );
    }
}
