//! The sites of this phone: whose each one is, and how a list of the server goes into what is known.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use setdown_types::ids::{OrganisationId, PersonId, SiteId};
use setdown_types::wire::{Session, SiteCard};

/// Somebody at a dealer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Holder {
    /// The dealer.
    pub organisation: OrganisationId,
    /// The person.
    pub person: PersonId,
}

impl Holder {
    /// The person of a session.
    pub const fn of(session: &Session) -> Self {
        Self {
            organisation: session.organisation,
            person: session.person,
        }
    }
}

/// A site on this phone, or offered by the server.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteRow {
    /// Name and time zone, as last heard.
    pub card: SiteCard,
    /// Whether it was taken along.
    pub taken: bool,
    /// Whether the last list of the server had it.
    pub offered: bool,
    /// The seq up to which it was pulled.
    pub cursor: u64,
    /// When it was last brought up to date, milliseconds since 1970.
    pub last_pull: Option<i64>,
    /// The seq at which even a full pull left the digests apart, and the build of the app that pulled.
    #[serde(default)]
    pub differs: Option<(u64, String)>,
    /// Who took it along, or was offered it last; `None` where an earlier build wrote the row.
    #[serde(default)]
    pub holder: Option<Holder>,
    /// Whom the server has told that it is not theirs to see.
    #[serde(default)]
    pub not_yours: Option<Holder>,
}

impl SiteRow {
    /// A site of which nothing but its id is known yet.
    pub fn unnamed(site: SiteId) -> Self {
        Self {
            card: SiteCard {
                site,
                name: String::new(),
                time_zone: String::new(),
                last_seq: 0,
            },
            taken: false,
            offered: false,
            cursor: 0,
            last_pull: None,
            differs: None,
            holder: None,
            not_yours: None,
        }
    }

    /// The seq at which even a full pull by `build` left the digests apart: another build may read what this one did not.
    pub fn differs_at(&self, build: &str) -> Option<u64> {
        let (seq, by) = self.differs.as_ref()?;
        (by == build).then_some(*seq)
    }

    /// Takes it along for somebody.
    pub fn take(&mut self, holder: Option<Holder>) {
        self.taken = true;
        self.holder = holder.or(self.holder);
    }

    /// Whether it belongs on the list of whoever is signed in: an invitation is for its one site, an account for the
    /// sites of its dealer. With nobody signed in everything on the phone is listed.
    pub fn is_for(&self, session: Option<&Session>) -> bool {
        let Some(session) = session else { return true };
        match session.site {
            Some(invited) => invited == self.card.site,
            None => self
                .holder
                .is_none_or(|holder| holder.organisation == session.organisation),
        }
    }

    /// Whether it is kept up to date in this session. What the server says is not theirs is not asked for again.
    pub fn is_pulled(&self, session: &Session) -> bool {
        self.taken && self.is_for(Some(session)) && !self.is_closed_to(Some(session))
    }

    /// Whether the server has told this very person that it is not theirs to see.
    pub fn is_closed_to(&self, session: Option<&Session>) -> bool {
        session.is_some_and(|session| self.not_yours == Some(Holder::of(session)))
    }
}

/// What is known of sites once `holder` was given `list`; what the list says counts, and nothing else changes.
pub fn merged(
    known: impl IntoIterator<Item = SiteRow>,
    list: &[SiteCard],
    holder: Holder,
) -> BTreeMap<SiteId, SiteRow> {
    let mut rows: BTreeMap<SiteId, SiteRow> = known
        .into_iter()
        .map(|row| {
            (
                row.card.site,
                SiteRow {
                    offered: false,
                    ..row
                },
            )
        })
        .collect();
    for card in list {
        let row = rows
            .entry(card.site)
            .or_insert_with(|| SiteRow::unnamed(card.site));
        row.card = card.clone();
        row.offered = true;
        row.holder = Some(holder);
        row.not_yours = None;
    }
    rows
}

#[cfg(test)]
mod tests {
    use setdown_types::party::Role;
    use uuid::Uuid;

    use super::*;

    fn session(person: u128, organisation: u128) -> Session {
        Session {
            person: PersonId(Uuid::from_u128(person)),
            name: "somebody".to_owned(),
            role: Role::Coordinator,
            organisation: OrganisationId(Uuid::from_u128(organisation)),
            site: None,
        }
    }

    fn site(number: u128) -> SiteId {
        SiteId(Uuid::from_u128(number))
    }

    fn taken(number: u128, session: &Session) -> SiteRow {
        let mut row = SiteRow::unnamed(site(number));
        row.take(Some(Holder::of(session)));
        row
    }

    fn card(number: u128, name: &str) -> SiteCard {
        SiteCard {
            site: site(number),
            name: name.to_owned(),
            time_zone: "America/Denver".to_owned(),
            last_seq: 7,
        }
    }

    #[test]
    fn a_site_of_another_dealer_is_neither_listed_nor_pulled() {
        let (mine, theirs) = (session(1, 10), session(2, 20));
        let row = taken(5, &mine);
        assert!(row.is_for(Some(&mine)) && row.is_pulled(&mine));
        assert!(!row.is_for(Some(&theirs)) && !row.is_pulled(&theirs));
        let colleague = session(3, 10);
        assert!(row.is_for(Some(&colleague)) && row.is_pulled(&colleague));
        assert!(row.is_for(None), "with nobody signed in all is listed");
    }

    #[test]
    fn an_invitation_lists_its_one_site() {
        let mut invited = session(4, 10);
        invited.site = Some(site(5));
        assert!(taken(5, &session(1, 10)).is_pulled(&invited));
        assert!(!taken(6, &session(1, 10)).is_for(Some(&invited)));
    }

    #[test]
    fn what_the_server_says_is_not_theirs_is_not_pulled_until_session_or_rights_change() {
        let (mine, colleague) = (session(1, 10), session(3, 10));
        let mut row = taken(5, &mine);
        row.not_yours = Some(Holder::of(&mine));
        assert!(
            !row.is_pulled(&mine) && row.is_for(Some(&mine)),
            "listed, not pulled"
        );
        assert!(row.is_pulled(&colleague), "another session asks for itself");
        let rows = merged([row.clone()], &[], Holder::of(&mine));
        assert!(rows.values().all(|row| row.is_closed_to(Some(&mine))));
        let rows = merged([row], &[card(5, "Back")], Holder::of(&mine));
        assert!(
            rows.values().all(|row| row.is_pulled(&mine)),
            "it is theirs again"
        );
    }

    #[test]
    fn a_list_changes_nothing_but_what_it_says() {
        let mine = session(1, 10);
        let mut here = taken(5, &mine);
        here.cursor = 41;
        here.last_pull = Some(9);
        let mut gone = SiteRow::unnamed(site(6));
        gone.offered = true;
        let rows = merged(
            [here, gone],
            &[card(5, "Hill"), card(7, "New")],
            Holder::of(&mine),
        );
        let row = &rows[&site(5)];
        assert!(row.taken && row.offered);
        assert_eq!(
            (row.cursor, row.last_pull, row.card.name.as_str()),
            (41, Some(9), "Hill")
        );
        assert!(!rows[&site(6)].offered);
        assert!(rows[&site(7)].offered && !rows[&site(7)].taken);
    }

    #[test]
    fn a_row_of_an_earlier_build_is_read_and_is_anybodys() {
        let old = r#"{"card":{"site":"00000000-0000-0000-0000-000000000005","name":"Hill","time_zone":"America/Denver","last_seq":3},"taken":true,"offered":true,"cursor":3,"last_pull":null}"#;
        let row: SiteRow = serde_json::from_str(old).expect("it is read");
        assert!(row.is_pulled(&session(1, 10)));
    }
}
