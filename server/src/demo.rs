//! The demo: two dealers apart from each other, their people, a handful of sites, one invitation.
//!
//! Its passwords are public, so it is only ever put into an empty database, and by itself only where that is served on
//! this machine alone or the demo is to be open.

use std::fmt::Write as _;

use setdown_types::admission::{Arrival, Writer};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::party::{Party, Role};
use setdown_types::practice::PracticeSheet;
use setdown_types::spa::SpaSheet;
use setdown_types::wire::{MAX_PUSH, Session, Verdict};
use uuid::Uuid;

use crate::clock;
use crate::error::ServerError;
use crate::office::{Office, invitation_link};
use crate::secrets::hash_password;
use crate::state::AppState;
use crate::store::contacts::Contact;
use crate::store::new_sites::NewSite;
use crate::store::people::NewPerson;
use crate::survey::{Survey, spa_file};

/// The password of everybody in the demo.
pub const PASSWORD: &str = "set it down gently";

/// Spa sheets of the demo, as files.
const SPAS: [&str; 3] = [
    include_str!("../../tests/examples/spas/long-two-zone.toml"),
    include_str!("../../tests/examples/spas/mid-swim-zone.toml"),
    include_str!("../../tests/examples/spas/short-one-zone.toml"),
];

/// What is measured at the first sites of each dealer so far: the way in half done at the first, a taped yard with the
/// way in proved at the second.
const SURVEYS: [&str; 2] = [
    include_str!("demo_survey.toml"),
    include_str!("../../tests/examples/taped-yard.toml"),
];

/// One dealer of the demo.
pub struct Dealer {
    /// Its id, the same in every demo.
    pub organisation: OrganisationId,
    /// Its name.
    pub name: &'static str,
    /// What its sign-in names begin with.
    pub prefix: &'static str,
    /// Time zone of its sites.
    pub time_zone: &'static str,
    /// Names of its sites.
    pub sites: &'static [&'static str],
}

/// The dealers of the demo.
pub const DEALERS: [Dealer; 2] = [
    Dealer {
        organisation: OrganisationId(Uuid::from_u128(0x0dea_1e50_0000_4000_8000_0000_0000_0001)),
        name: "Valley dealer",
        prefix: "valley",
        time_zone: "America/Denver",
        sites: &[
            "Hillside house",
            "Corner lot with a side gate",
            "Narrow row house",
            "Farm lane",
            "Garage conversion",
        ],
    },
    Dealer {
        organisation: OrganisationId(Uuid::from_u128(0x0dea_1e50_0000_4000_8000_0000_0000_0002)),
        name: "Coast dealer",
        prefix: "coast",
        time_zone: "America/Los_Angeles",
        sites: &["House above the bay", "Flat lot behind a hedge"],
    },
];

/// What was made, for printing.
pub struct Demo {
    /// Link of a new invitation for the homeowner of the first dealer's first site. Only the digest of a link is
    /// kept, so an earlier one cannot be shown again.
    pub invitation: Option<String>,
}

impl Dealer {
    /// The sign-in name of this dealer's person of a role.
    pub fn sign_in(&self, role: Role) -> String {
        let word = match role {
            Role::Coordinator => "coordinator",
            Role::Homeowner => "homeowner",
            Role::Office => "office",
        };
        format!("{}-{word}", self.prefix)
    }
}

/// Puts the demo into an empty database, with `extra` more sites for the first dealer.
///
/// # Errors
/// [`ServerError::Setting`] when there is something in the database already.
pub async fn seed(state: &AppState, extra: u32) -> Result<Demo, ServerError> {
    if !state.store.is_empty().await? {
        return Err(ServerError::Setting(
            "the database is not empty: the demo goes into an empty one only. Name another folder with --data"
                .into(),
        ));
    }
    let hash = hash_password(PASSWORD.to_owned()).await?;
    let spas = SPAS
        .into_iter()
        .map(spa_of)
        .collect::<Result<Vec<_>, _>>()?;
    let mut invitation = None;
    for dealer in &DEALERS {
        let first = seed_dealer(
            state,
            dealer,
            &spas,
            &hash,
            if invitation.is_none() { extra } else { 0 },
        )
        .await?;
        if invitation.is_none() {
            invitation = Some(invite(state, dealer, first).await?);
        }
    }
    Ok(Demo { invitation })
}

fn spa_of(text: &str) -> Result<SpaSheet, ServerError> {
    let table: toml::Table = toml::from_str(text)
        .map_err(|error| ServerError::Internal(format!("a demo spa sheet: {error}")))?;
    spa_file::from_table(&table)
        .map_err(|error| ServerError::Internal(format!("a demo spa sheet: {error}")))
}

async fn seed_dealer(
    state: &AppState,
    dealer: &Dealer,
    spas: &[SpaSheet],
    hash: &str,
    extra: u32,
) -> Result<SiteId, ServerError> {
    let (store, now, organisation) = (&state.store, clock::now(), dealer.organisation);
    store
        .add_organisation(organisation, dealer.name, now)
        .await?;
    for role in [Role::Coordinator, Role::Office] {
        let person = NewPerson {
            id: person_id(dealer, role),
            organisation,
            sign_in: dealer.sign_in(role),
            name: shown_name(role).to_owned(),
            role,
            password_hash: hash.to_owned(),
        };
        store.add_person(&person, now).await?;
    }
    let practice = PracticeSheet {
        name: format!("{} practice", dealer.name),
        ..PracticeSheet::default()
    };
    let practice = store.add_practice(organisation, &practice, now).await?;
    let mut revisions = Vec::new();
    for spa in spas {
        revisions.push(store.add_spa(organisation, spa, now).await?);
    }
    let mut first = None;
    let named = dealer.sites.iter().map(|name| (*name).to_owned());
    let numbered = (1..=extra).map(|number| format!("Seeded site {number:04}"));
    let sheets = spas.iter().zip(&revisions).cycle();
    for (place, (name, (sheet, spa))) in named.chain(numbered).zip(sheets).enumerate() {
        let site = seed_site(state, dealer, name, spa, &practice).await?;
        if let Some(survey) = SURVEYS.get(place) {
            seed_readings(state, dealer, site, (survey, sheet)).await?;
        }
        first = first.or(Some(site));
    }
    first.ok_or_else(|| ServerError::Internal("a demo dealer without sites".into()))
}

async fn seed_site(
    state: &AppState,
    dealer: &Dealer,
    name: String,
    spa: &str,
    practice: &str,
) -> Result<SiteId, ServerError> {
    let site = SiteId(Uuid::now_v7());
    let contact = Contact {
        id: Uuid::now_v7(),
        party: Party::Homeowner,
        name: "The homeowner".into(),
        phone: String::new(),
        email: String::new(),
        address: "at the end of the lane".into(),
        access_code: String::new(),
    };
    let new = NewSite {
        site,
        name,
        time_zone: dealer.time_zone.to_owned(),
        spa: spa.to_owned(),
        practice: practice.to_owned(),
        contacts: vec![contact],
    };
    let office = Office::new(state.clone());
    office.make_site(&office_of(dealer), new).await?;
    Ok(site)
}

/// What the coordinator has measured so far, pushed as a phone would.
async fn seed_readings(
    state: &AppState,
    dealer: &Dealer,
    site: SiteId,
    (survey, spa): (&str, &SpaSheet),
) -> Result<(), ServerError> {
    let unusable = |reason: String| ServerError::Internal(format!("the demo survey: {reason}"));
    let table: toml::Table = toml::from_str(survey).map_err(|error| unusable(error.to_string()))?;
    let survey = Survey::from_parts(&table, spa.clone(), PracticeSheet::default())
        .map_err(|error| unusable(error.to_string()))?;
    let (now, boot, device) = (
        clock::now(),
        BootId(Uuid::now_v7()),
        DeviceId(Uuid::new_v4()),
    );
    let writer = Writer {
        person: person_id(dealer, Role::Coordinator),
        role: Role::Coordinator,
        organisation: dealer.organisation,
        site: None,
    };
    let raws: Vec<String> = survey
        .written
        .iter()
        .filter_map(|written| {
            let mut entry = written.entry();
            entry.id = EntryId(Uuid::now_v7());
            entry.organisation = dealer.organisation;
            entry.site = site;
            entry.author = writer.person;
            entry.device = device;
            entry.stamp.boot = boot;
            entry.stamp.wall = now;
            entry.to_json()
        })
        .collect();
    let arrival = Arrival {
        device,
        boot,
        monotonic: 0,
        received_at: now,
    };
    let raws: Vec<&str> = raws.iter().map(String::as_str).collect();
    for piece in raws.chunks(MAX_PUSH) {
        let verdicts = state.push(&writer, &arrival, piece).await?;
        let taken = |verdict: &Verdict| matches!(verdict, Verdict::Accepted(_));
        if let Some(verdict) = verdicts.iter().find(|one| !taken(&one.verdict)) {
            return Err(unusable(format!("{verdict:?}")));
        }
    }
    Ok(())
}

async fn invite(state: &AppState, dealer: &Dealer, site: SiteId) -> Result<String, ServerError> {
    let by = person_id(dealer, Role::Office);
    let (_, token) = state
        .store
        .add_invitation(
            dealer.organisation,
            site,
            shown_name(Role::Homeowner),
            by,
            clock::now(),
        )
        .await?;
    Ok(invitation_link(&state.address, &token.secret))
}

const fn shown_name(role: Role) -> &'static str {
    match role {
        Role::Coordinator => "Demo coordinator",
        Role::Homeowner => "Demo homeowner",
        Role::Office => "Demo office",
    }
}

/// The id of a dealer's person: the dealer's own, with the role in the last digits.
fn person_id(dealer: &Dealer, role: Role) -> PersonId {
    let role = match role {
        Role::Coordinator => 0x100,
        Role::Homeowner => 0x200,
        Role::Office => 0x300,
    };
    PersonId(Uuid::from_u128(dealer.organisation.0.as_u128() + role))
}

fn office_of(dealer: &Dealer) -> Session {
    Session {
        person: person_id(dealer, Role::Office),
        name: shown_name(Role::Office).to_owned(),
        role: Role::Office,
        organisation: dealer.organisation,
        site: None,
    }
}

/// Addresses and sign-ins of the demo, as printed when the server starts.
pub fn told(address: &str, demo: &Demo) -> String {
    let mut text = String::from("Demo sign-ins (public: never serve them to others):\n");
    for dealer in &DEALERS {
        for (role, area) in [(Role::Coordinator, "field"), (Role::Office, "office")] {
            let _ = writeln!(
                text,
                "  {:<14} {address}/{area}  name {}  password \"{PASSWORD}\"",
                dealer.name,
                dealer.sign_in(role)
            );
        }
    }
    let homeowner = match &demo.invitation {
        Some(link) => link,
        None => {
            "the link shown at the first start; for a new one: setdown-server demo --invitation"
        }
    };
    let _ = writeln!(text, "  Homeowner      {homeowner}");
    text
}

/// Whether a dealer is one of the demo's, whose passwords everybody knows.
pub fn is_dealer(organisation: OrganisationId) -> bool {
    DEALERS
        .iter()
        .any(|dealer| dealer.organisation == organisation)
}

/// Whether the database was seeded with the demo before.
pub async fn is_here(state: &AppState) -> Result<bool, ServerError> {
    let dealer = &DEALERS[0];
    let found = state.store.find_organisation(dealer.name).await?;
    Ok(found == Some(dealer.organisation))
}

/// A new invitation to the first site of a database that was seeded before.
///
/// # Errors
/// [`ServerError::Setting`] for any other database.
pub async fn invite_again(state: &AppState) -> Result<Demo, ServerError> {
    if !is_here(state).await? {
        return Err(ServerError::Setting(
            "there is no demo in this database: `setdown-server demo` puts it into an empty one"
                .into(),
        ));
    }
    let dealer = &DEALERS[0];
    let sites = state.store.all_sites(dealer.organisation).await?;
    let first = sites.iter().min_by_key(|row| (row.created_at, row.site));
    let invitation = match first {
        Some(row) => Some(invite(state, dealer, row.site).await?),
        None => None,
    };
    Ok(Demo { invitation })
}
