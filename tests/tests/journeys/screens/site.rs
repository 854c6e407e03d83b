//! What the screens are filled with: the demo's half-surveyed site and more readings, a stopped site, two invitations.

use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::Yard;
use setdown_types::entry::Entry;
use setdown_types::ids::{SiteId, SubjectId};
use setdown_types::quantity::{Dimension, Length, Measure, Quantity};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Attestation, BreakerSlot, LevelPoint, SlotHolds, Value};
use setdown_types::wire::Verdict;
use uuid::Uuid;

/// The demo's half-surveyed site.
pub const SURVEYED: &str = "Hillside house";
/// The demo's site with a taped yard.
pub const TAPED: &str = "Corner lot with a side gate";
/// The site that is stopped here.
pub const STOPPED: &str = "Narrow row house";

const INCH: i64 = Length::NANOMETRES_PER_INCH;

/// The demo with everything the screens need.
pub struct Filled {
    /// The hillside house: half surveyed, one reading in dispute.
    pub site: SiteId,
    /// A site that is stopped at its gate.
    pub stopped: SiteId,
    /// A site whose yard is taped and whose way in is proved.
    pub taped: SiteId,
    /// The hillside house's side gate.
    pub gate: Subject,
    /// Its driveway.
    pub leg: Subject,
    /// A token that opens.
    pub token: String,
    /// A token that opens until [`Filled::revoke`].
    pub revoked: String,
    revoked_id: Uuid,
    office: Client,
}

impl Filled {
    /// Fills a running demo.
    pub async fn new(yard: &Yard) -> Result<Self, Failure> {
        let coordinator = Client::sign_in(&yard.at(""), "valley-coordinator").await;
        let office = Client::sign_in(&yard.at(""), "valley-office").await;
        let named = |sites: &setdown_types::wire::SiteList, name: &str| {
            let found = sites.sites.iter().find(|card| card.name == name);
            found.map(|card| card.site).ok_or("a site of the demo")
        };
        let sites = coordinator.sites().await;
        let site = named(&sites, SURVEYED)?;
        let stopped = named(&sites, STOPPED)?;
        let taped = named(&sites, TAPED)?;
        survey_further(&coordinator, site).await;
        stop(&coordinator, stopped).await;
        let (token, _) = invite(&office, site, "the homeowner").await?;
        let (revoked, revoked_id) = invite(&office, site, "the neighbor").await?;
        Ok(Self {
            site,
            stopped,
            taped,
            gate: subject_of(&coordinator, site, "opening.present").await?,
            leg: subject_of(&coordinator, site, "leg.present").await?,
            token,
            revoked,
            revoked_id,
            office,
        })
    }

    /// Ends the second invitation.
    pub async fn revoke(&self) -> Result<(), Failure> {
        let message = serde_json::json!({ "site": self.site, "invitation": self.revoked_id });
        let (status, said) = self
            .office
            .post("/api/office/revoke-invitation", &message)
            .await;
        if status.is_success() {
            Ok(())
        } else {
            Err(format!("{status}: {said}").into())
        }
    }

    /// Changes what a tape counts, as a phone in the yard would.
    pub async fn answer_one_more(&self, yard: &Yard) {
        let coordinator = Client::sign_in(&yard.at(""), "valley-coordinator").await;
        let no = |question: &str| {
            coordinator.entry(self.site, Subject::SITE, question, Value::YesNo(false))
        };
        let questions = [
            "association.must_approve",
            "neighbour.land_used",
            "hours.limited",
        ];
        push(&coordinator, &questions.map(no)).await;
    }
}

async fn push(client: &Client, entries: &[Entry]) {
    for verdict in client.push(entries).await {
        assert!(matches!(verdict, Verdict::Accepted(_)), "{verdict:?}");
    }
}

fn thing(kind: SubjectKind) -> Subject {
    Subject::new(kind, SubjectId(Uuid::new_v4()))
}

fn length(inches: i64, typed: &str) -> Value {
    Value::Measure(Measure::new(
        Quantity::new(Dimension::Length, inches * INCH),
        typed,
    ))
}

/// Panel positions, level points, an engineer's word, a note, and one reading that somebody else measured differently.
async fn survey_further(client: &Client, site: SiteId) {
    let site_entry =
        |question: &str, value: Value| client.entry(site, Subject::SITE, question, value);
    let slot = |position: u16, holds: SlotHolds, amperes: Option<i64>, label: &str| {
        let slot = BreakerSlot {
            position,
            holds,
            rating: amperes.map(|amperes| amperes * 1_000_000),
            label: label.to_owned(),
        };
        client.entry(
            site,
            thing(SubjectKind::Slot),
            "slot.holds",
            Value::Slot(slot),
        )
    };
    let level = |along: i64, across: i64, sixteenths: i64| {
        let point = LevelPoint {
            along: along * INCH,
            across: across * INCH,
            height: sixteenths * INCH / 16,
            typed: format!("{sixteenths}/16 in"),
        };
        client.entry(
            site,
            thing(SubjectKind::LevelPoint),
            "level_point.height",
            Value::Level(point),
        )
    };
    let word = Attestation {
        person: "a structural engineer".to_owned(),
        licence: "12345, state board".to_owned(),
        document: "slab letter, page 2".to_owned(),
        date: jiff::civil::date(2026, 11, 20),
    };
    push(
        client,
        &[
            slot(1, SlotHolds::TwoPole, Some(30), "Dryer"),
            slot(2, SlotHolds::OnePole, Some(15), "Lights"),
            slot(4, SlotHolds::Space, None, ""),
            level(0, 0, 0),
            level(168, 0, 3),
            level(0, 90, 2),
            site_entry("attest.base_ground", Value::Attestation(word)),
            site_entry(
                "site.note",
                Value::Text("Gate code with the neighbor. Dog in the yard.".to_owned()),
            ),
            site_entry("spot.clear_foot", length(47, "47 in")),
        ],
    )
    .await;
}

/// A way in on dollies through a gate that is far too narrow.
async fn stop(client: &Client, site: SiteId) {
    let gate = thing(SubjectKind::Opening);
    let mut entries = vec![
        client.entry(
            site,
            Subject::SITE,
            "way.chain",
            Value::Choice("rolled".to_owned()),
        ),
        client.entry(
            site,
            Subject::SITE,
            "way.attitude",
            Value::Choice("flat".to_owned()),
        ),
        client.entry(
            site,
            gate,
            "opening.present",
            Value::Text("gate between the houses".to_owned()),
        ),
    ];
    for question in [
        "opening.width_ankle",
        "opening.width_hip",
        "opening.width_head",
    ] {
        entries.push(client.entry(site, gate, question, length(41, "3 ft 5 in")));
    }
    push(client, &entries).await;
}

async fn invite(office: &Client, site: SiteId, name: &str) -> Result<(String, Uuid), Failure> {
    let message = serde_json::json!({ "site": site, "name": name });
    let (status, made) = office.post("/api/office/invite", &message).await;
    if !status.is_success() {
        return Err(format!("{status}: {made}").into());
    }
    let link = made["link"].as_str().ok_or("a link")?;
    let token = link.rsplit('#').next().unwrap_or_default().to_owned();
    Ok((token, made["id"].as_str().ok_or("an id")?.parse()?))
}

/// The first thing of the demo that has been put on the site by `question`.
async fn subject_of(client: &Client, site: SiteId, question: &str) -> Result<Subject, Failure> {
    let pulled = client.pull(site, 0).await;
    let entries = pulled.entries.iter();
    entries
        .filter_map(|pulled| Entry::from_json(pulled.raw.get()).ok())
        .find(|entry| entry.question == question)
        .map(|entry| entry.subject)
        .ok_or_else(|| format!("nothing put there by {question}").into())
}
