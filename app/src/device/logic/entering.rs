//! Opening a link on a phone that may be in use: when that has to be asked about first.

use setdown_types::wire::Session;

/// Whether opening a link has to be asked about first: it would end somebody's session, or something is only on this
/// phone. The link that this phone was opened with before changes nothing while its own person is here.
pub fn asks_first(session: Option<&Session>, only_here: usize, opened_before: bool) -> bool {
    match session {
        Some(session) => !(opened_before && session.site.is_some()),
        None => only_here > 0 && !opened_before,
    }
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
}
