//! What is for the dealer's people only: not pulled, written, seen or counted by a homeowner, and read by no check.

use reqwest::{Method, StatusCode};
use setdown_app::device::logic::pulling::{Next, Pulling};
use setdown_app::device::logic::replica::Replica;
use setdown_rules::assess;
use setdown_tests::clients::{Client, seq};
use setdown_tests::generated::generated;
use setdown_tests::server::{BOTH, World};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Refusal, Standing, fold};
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::{Pulled, Verdict};

use super::photos::{photo_entry, picture, put};

const NOTE: &str = "site.staff_note";
const PHOTO: &str = "site.staff_photo";

fn note(client: &Client, site: SiteId, text: &str) -> Entry {
    client.entry(site, Subject::SITE, NOTE, Value::Text(text.into()))
}

fn ids(page: &Pulled) -> Vec<EntryId> {
    page.entries
        .iter()
        .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
        .collect()
}

/// Pulls until the digests agree, as the phone does; gives how often it started over.
async fn brought_up_to_date(client: &Client, site: SiteId, replica: &mut Replica) -> u32 {
    let mut pulling = Pulling::since(site, client.device, client.session.role, replica);
    let mut full = 0;
    loop {
        let page = client.pull(site, pulling.after()).await;
        let changes = pulling.take(replica, &page).unwrap();
        replica.apply(&changes);
        match pulling.next(replica, &page) {
            Next::Page => {}
            Next::Agreed => return full,
            Next::FullPull => {
                full += 1;
                pulling = Pulling::full(site, client.device, client.session.role);
            }
            Next::StillDiffers => panic!("phone and server see different sites"),
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_homeowner_pulls_and_counts_only_what_is_for_everybody() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let hidden: Vec<Entry> = (0..3)
            .map(|number| note(&coordinator, site, &format!("the dog bites {number}")))
            .collect();
        coordinator.push(&hidden).await;
        let open = coordinator.reading(site);
        seq(&coordinator.push_one(&open).await);
        let (near, far) = (
            homeowner.pull(site, 0).await,
            coordinator.pull(site, 0).await,
        );
        assert!(ids(&near).contains(&open.id));
        for entry in &hidden {
            assert!(ids(&far).contains(&entry.id) && !ids(&near).contains(&entry.id));
        }
        assert!(
            near.entries
                .iter()
                .all(|pulled| !pulled.raw.get().contains("dog"))
        );
        assert_eq!(
            near.last_seq, far.last_seq,
            "cursors move over what is hidden"
        );
        assert_ne!(near.digest, far.digest);
        for client in [&homeowner, &coordinator] {
            let mut replica = Replica::default();
            assert_eq!(brought_up_to_date(client, site, &mut replica).await, 0);
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_are_filled_where_much_is_hidden() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        for _ in 0..7 {
            let notes: Vec<Entry> = (0..180).map(|_| note(&coordinator, site, "x")).collect();
            coordinator.push(&notes).await;
        }
        let last: Vec<Entry> = (0..2).map(|_| coordinator.reading(site)).collect();
        coordinator.push(&last).await;
        let mut replica = Replica::default();
        assert_eq!(brought_up_to_date(&homeowner, site, &mut replica).await, 0);
        assert!(
            last.iter()
                .all(|entry| replica.records.contains_key(&entry.id))
        );
        assert!(
            replica
                .records
                .values()
                .all(|record| record.entry.question != NOTE)
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn rights_that_change_lead_to_a_full_pull_that_takes_away_and_brings_back() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let hidden = note(&coordinator, site, "pays late");
        seq(&coordinator.push_one(&hidden).await);
        // One phone, used as one and then as the other.
        let mut replica = Replica::default();
        brought_up_to_date(&coordinator, site, &mut replica).await;
        let waiting = homeowner.reading(site);
        let unsent = Record {
            raw: waiting.to_json().unwrap(),
            entry: waiting,
            standing: Standing::Unsent,
        };
        let mut records: Vec<Record> = replica
            .records
            .values()
            .map(|kept| (**kept).clone())
            .collect();
        records.push(unsent.clone());
        replica = Replica::new(records, replica.cursor);
        assert!(replica.records.contains_key(&hidden.id));
        assert_eq!(brought_up_to_date(&homeowner, site, &mut replica).await, 1);
        assert!(!replica.records.contains_key(&hidden.id));
        assert!(
            replica.records.contains_key(&unsent.entry.id),
            "what is unsent stays"
        );
        assert_eq!(
            brought_up_to_date(&coordinator, site, &mut replica).await,
            1
        );
        assert!(replica.records.contains_key(&hidden.id));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_one_phone_wrote_for_the_dealer_stays_sent_while_a_homeowner_has_it() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let mut homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        homeowner.device = coordinator.device;
        let hidden = note(&coordinator, site, "pays late");
        seq(&coordinator.push_one(&hidden).await);
        let mut replica = Replica::default();
        for reader in [&coordinator, &homeowner, &coordinator] {
            assert_eq!(brought_up_to_date(reader, site, &mut replica).await, 0);
            let kept = &replica.records[&hidden.id];
            assert!(matches!(kept.standing, Standing::Accepted(_)), "{kept:?}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_homeowner_writes_nothing_where_he_sees_nothing() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let hidden = note(&coordinator, site, "a word among us");
        seq(&coordinator.push_one(&hidden).await);
        let own = note(&homeowner, site, "may I?");
        let mut unknown = homeowner.reading(site);
        unknown.question = "yard.staff_colour".into();
        let mut strike = note(&homeowner, site, "");
        (strike.intent, strike.payload) = (Intent::Strike, Payload::Nothing);
        strike.replaces = vec![hidden.id];
        for entry in [own, unknown, strike] {
            assert_eq!(
                homeowner.push_one(&entry).await,
                Verdict::Refused(Refusal::NotAllowed)
            );
        }
        let page = coordinator.pull(site, 0).await;
        assert!(ids(&page).contains(&hidden.id));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_redaction_reaches_everybody_who_holds_what_it_takes_out() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let told = office.reading(site);
        seq(&office.push_one(&told).await);
        let mut replica = Replica::default();
        brought_up_to_date(&homeowner, site, &mut replica).await;
        let redaction = |question: &str| {
            let mut entry = office.reading(site);
            entry.question = question.into();
            entry.subject = Subject::SITE;
            (entry.intent, entry.payload) = (Intent::Redact, Payload::Nothing);
            entry.replaces = vec![told.id];
            entry
        };
        assert_eq!(
            office.push_one(&redaction(NOTE)).await,
            Verdict::Refused(Refusal::OtherStream)
        );
        seq(&office.push_one(&redaction("site.note")).await);
        brought_up_to_date(&homeowner, site, &mut replica).await;
        assert_eq!(replica.records[&told.id].entry.payload, Payload::Nothing);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photo_for_the_dealers_people_is_not_there_for_a_homeowner() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let bytes = picture(21, 21);
        let path = format!("/api/photos/{}", digest_hex(&bytes));
        let mut shown = photo_entry(&coordinator, site, &bytes);
        (shown.question, shown.subject) = (PHOTO.into(), Subject::SITE);
        seq(&coordinator.push_one(&shown).await);
        assert_eq!(
            put(&coordinator, &digest_hex(&bytes), bytes.clone()).await,
            StatusCode::OK
        );
        for (path, client, wanted) in [
            (path.clone(), &coordinator, StatusCode::OK),
            (path.clone(), &homeowner, StatusCode::NOT_FOUND),
            (format!("{path}/thumb"), &homeowner, StatusCode::NOT_FOUND),
        ] {
            let answer = client.request(Method::GET, &path).send().await.unwrap();
            assert_eq!(answer.status(), wanted, "{path}");
        }
        assert_eq!(
            put(&homeowner, &digest_hex(&bytes), bytes.clone()).await,
            StatusCode::NOT_FOUND
        );
        // Shown for everybody as well, it is there for everybody.
        seq(&coordinator
            .push_one(&photo_entry(&coordinator, site, &bytes))
            .await);
        let answer = homeowner.request(Method::GET, &path).send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::OK);
    }
}

#[test]
fn no_check_reads_what_somebody_may_not_see() {
    let mut hidden = 0;
    for seed in 0..300 {
        let drawn = generated(seed);
        let records: Vec<Record> = drawn
            .entries
            .iter()
            .zip(1..)
            .map(|(raw, seq)| Record {
                entry: Entry::from_json(raw).unwrap(),
                raw: raw.clone(),
                standing: Standing::Accepted(Acceptance {
                    seq,
                    received_at: 0,
                    effective_at: None,
                }),
            })
            .collect();
        let all = assess(&fold(&records), &drawn.spa, &drawn.practice, drawn.date);
        for check in &all.checks {
            for need in &check.needs {
                for role in [Role::Coordinator, Role::Homeowner, Role::Office] {
                    assert!(
                        question::visible(&need.stream.question, role),
                        "{} reads {}, which is hidden from {role:?}",
                        check.key,
                        need.stream.question
                    );
                }
            }
        }
        let seen: Vec<Record> = records
            .iter()
            .filter(|record| question::visible(&record.entry.question, Role::Homeowner))
            .cloned()
            .collect();
        hidden += records.len() - seen.len();
        let part = assess(&fold(&seen), &drawn.spa, &drawn.practice, drawn.date);
        assert_eq!(
            serde_json::to_string(&all).unwrap(),
            serde_json::to_string(&part).unwrap(),
            "seed {seed}: the homeowner computes another assessment"
        );
    }
    assert!(hidden > 100, "the sites hold what is hidden");
}
