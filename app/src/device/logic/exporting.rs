//! What of a shared phone goes into the file that somebody saves: what they may see, and what of theirs is nowhere else.

use setdown_types::ids::DeviceId;
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Role;
use setdown_types::question::visible;
use setdown_types::wire::Session;

use super::photos::is_theirs;

/// How much stayed out of the file; it stays on the phone.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Entries.
    pub entries: usize,
    /// Those of them that are nowhere but on this phone.
    pub only_here: usize,
    /// What others typed and did not save.
    pub drafts: usize,
}

/// Whether an entry is nowhere but on `device`: not taken by the server, or not decided about.
pub fn is_only_on(device: DeviceId, record: &Record) -> bool {
    record.entry.device == device && !matches!(record.standing, Standing::Accepted(_))
}

/// Whether an entry goes along. With nobody signed in: what everybody may see, and what is nowhere else, since the file
/// may be the last that can be had of it.
pub fn goes_along(record: &Record, device: DeviceId, session: Option<&Session>) -> bool {
    let only_here = is_only_on(device, record);
    match session {
        Some(session) => {
            is_theirs(record, session) || (only_here && record.entry.author == session.person)
        }
        None => {
            let open = |role| visible(&record.entry.question, role);
            only_here
                || [Role::Coordinator, Role::Homeowner, Role::Office]
                    .into_iter()
                    .all(open)
        }
    }
}

impl LeftOut {
    /// Counts an entry that stays out.
    pub fn count(&mut self, record: &Record, device: DeviceId) {
        self.entries += 1;
        self.only_here += usize::from(is_only_on(device, record));
    }

    /// Whether anything stayed out.
    pub const fn is_any(&self) -> bool {
        self.entries + self.drafts > 0
    }
}

#[cfg(test)]
mod tests {
    use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
    use setdown_types::ids::{BootId, EntryId, OrganisationId, PersonId, SiteId};
    use setdown_types::ledger::{Acceptance, Refusal};
    use setdown_types::subject::Subject;
    use setdown_types::value::Value;
    use uuid::Uuid;

    use super::super::replica::read_record;
    use super::*;

    const HERE: DeviceId = DeviceId(Uuid::from_u128(1));
    const DEALER: OrganisationId = OrganisationId(Uuid::from_u128(2));
    const SITE: SiteId = SiteId(Uuid::from_u128(3));
    const STAFF: PersonId = PersonId(Uuid::from_u128(4));
    const OWNER: PersonId = PersonId(Uuid::from_u128(5));

    const SENT: Standing = Standing::Accepted(Acceptance {
        seq: 1,
        received_at: 0,
        effective_at: None,
    });

    fn record(question: &str, author: PersonId, standing: Standing) -> Record {
        let entry = Entry {
            id: EntryId(Uuid::from_u128(9)),
            organisation: DEALER,
            site: SITE,
            subject: Subject::SITE,
            question: question.to_owned(),
            payload: Payload::Known(Value::Text("the dog bites".to_owned())),
            spread: None,
            method: Method::Document,
            intent: Intent::First,
            replaces: Vec::new(),
            author,
            role: Role::Coordinator,
            device: HERE,
            stamp: Stamp {
                wall: 0,
                boot: BootId::NIL,
                monotonic: 0,
                counter: 1,
            },
            schema: SCHEMA,
        };
        let raw = entry.to_json().expect("it can be written");
        read_record(&raw, standing).expect("it can be read")
    }

    fn session(person: PersonId, role: Role) -> Session {
        Session {
            person,
            name: "somebody".to_owned(),
            role,
            organisation: DEALER,
            site: (role == Role::Homeowner).then_some(SITE),
        }
    }

    #[test]
    fn a_homeowners_file_holds_no_note_of_the_staff_sent_or_not() {
        let owner = session(OWNER, Role::Homeowner);
        let goes = |record: &Record| goes_along(record, HERE, Some(&owner));
        for standing in [SENT, Standing::Unsent, Standing::Held] {
            let hidden = record("site.staff_note", STAFF, standing.clone());
            assert!(!goes(&hidden), "{standing:?}");
            assert!(goes(&record("site.note", STAFF, standing)));
        }
        let next_door = Session {
            site: Some(SiteId(Uuid::from_u128(77))),
            ..owner.clone()
        };
        let open = record("site.note", STAFF, SENT);
        assert!(!goes_along(&open, HERE, Some(&next_door)));
        let other_dealer = Session {
            organisation: OrganisationId(Uuid::from_u128(77)),
            ..session(OWNER, Role::Office)
        };
        assert!(!goes_along(&open, HERE, Some(&other_dealer)));
    }

    #[test]
    fn ones_own_entries_that_are_nowhere_else_go_along_whatever_one_may_see_today() {
        let no_longer = session(STAFF, Role::Homeowner);
        let refused = Standing::Refused(Refusal::NotAllowed);
        for standing in [Standing::Unsent, Standing::Held, refused] {
            let own = record("site.staff_note", STAFF, standing);
            assert!(goes_along(&own, HERE, Some(&no_longer)));
        }
        let sent = record("site.staff_note", STAFF, SENT);
        assert!(!goes_along(&sent, HERE, Some(&no_longer)));
        assert!(goes_along(
            &sent,
            HERE,
            Some(&session(STAFF, Role::Coordinator))
        ));
    }

    #[test]
    fn with_nobody_signed_in_what_is_nowhere_else_is_not_lost() {
        let sent = record("site.staff_note", STAFF, SENT);
        let unsent = record("site.staff_note", STAFF, Standing::Unsent);
        assert!(!goes_along(&sent, HERE, None) && goes_along(&unsent, HERE, None));
        assert!(goes_along(&record("site.note", STAFF, SENT), HERE, None));
        let mut left = LeftOut::default();
        left.count(&sent, HERE);
        left.count(&unsent, HERE);
        assert_eq!((left.entries, left.only_here), (2, 1));
        assert!(left.is_any() && !LeftOut::default().is_any());
    }
}
