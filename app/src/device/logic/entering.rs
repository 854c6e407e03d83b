//! Who comes in on a phone that may be in use: when a link has to be asked about first, and what becomes of a screen whose
//! person is another one.

use setdown_types::ids::PersonId;
use setdown_types::wire::Session;

/// Whether opening a link has to be asked about first: it would end somebody's session, or something is only on this
/// phone. The link that this phone was opened with before changes nothing while its own person is here.
pub fn asks_first(session: Option<&Session>, only_here: usize, opened_before: bool) -> bool {
    match session {
        Some(session) => !(opened_before && session.site.is_some()),
        None => only_here > 0 && !opened_before,
    }
}

/// Who was here and who is instead, by name, where that has changed under a screen; `None` where the same person stays, or
/// nobody was here to have typed anything.
pub fn handed_over<'a>(
    before: Option<&'a Session>,
    now: Option<&'a Session>,
) -> Option<(&'a str, Option<&'a str>)> {
    let before = before?;
    let stays = now.is_some_and(|now| now.person == before.person);
    (!stays).then(|| (before.name.as_str(), now.map(|now| now.name.as_str())))
}

/// Whether `author` may write while this is who is signed in by the store: another tab may have changed that just now.
pub fn may_write(author: PersonId, stored: Option<&Session>) -> bool {
    stored.is_some_and(|stored| stored.person == author)
}

#[cfg(test)]
mod tests {
    use setdown_types::ids::{OrganisationId, PersonId, SiteId};
    use setdown_types::party::Role;
    use uuid::Uuid;

    use super::*;

    fn session(site: Option<SiteId>) -> Session {
        Session {
            person: PersonId(Uuid::from_u128(1)),
            name: "somebody".to_owned(),
            role: site.map_or(Role::Coordinator, |_| Role::Homeowner),
            organisation: OrganisationId(Uuid::from_u128(2)),
            site,
        }
    }

    #[test]
    fn a_link_never_takes_somebody_elses_place_without_a_word() {
        let (coordinator, invited) = (session(None), session(Some(SiteId(Uuid::from_u128(3)))));
        for only_here in [0, 4] {
            assert!(asks_first(Some(&coordinator), only_here, false));
            assert!(
                asks_first(Some(&coordinator), only_here, true),
                "the homeowner was here before, the coordinator is now"
            );
            assert!(asks_first(Some(&invited), only_here, false), "another link");
            assert!(
                !asks_first(Some(&invited), only_here, true),
                "their own link again"
            );
        }
    }

    #[test]
    fn with_nobody_signed_in_only_what_was_not_sent_is_asked_about() {
        assert!(!asks_first(None, 0, false));
        assert!(asks_first(None, 1, false));
        assert!(
            !asks_first(None, 1, true),
            "it is theirs, and goes out once they are in"
        );
    }

    #[test]
    fn what_was_typed_is_never_saved_under_who_came_in_meanwhile() {
        let one = session(None);
        let other = Session {
            person: PersonId(Uuid::from_u128(9)),
            name: "somebody else".to_owned(),
            ..session(None)
        };
        assert!(may_write(one.person, Some(&one)));
        assert!(!may_write(one.person, Some(&other)) && !may_write(one.person, None));
        let over = Some(("somebody", Some("somebody else")));
        assert_eq!(handed_over(Some(&one), Some(&other)), over);
        assert_eq!(handed_over(Some(&one), None), Some(("somebody", None)));
        let renamed = Session {
            name: "somebody, renamed".to_owned(),
            ..one.clone()
        };
        assert_eq!(handed_over(Some(&one), Some(&renamed)), None);
        assert_eq!(handed_over(None, Some(&one)), None);
    }
}
