//! Pushes and pulls: retries, refusals, holding, unknown kinds, seqs, redaction, pages.

use setdown_tests::clients::seq;
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::EntryId;
use setdown_types::ledger::Refusal;
use setdown_types::party::Role;
use setdown_types::value::Value;
use setdown_types::wire::Verdict;
use uuid::Uuid;

#[tokio::test(flavor = "multi_thread")]
async fn a_retry_is_harmless_and_bad_entries_hold_up_nobody() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let good = client.reading(site);
        let raw = good.to_json().unwrap();
        let later = client.reading(site).to_json().unwrap();
        let bad = r#"{"id":"nonsense"}"#.to_owned();
        let verdicts = client.push_raw(&[raw.clone(), bad, later]).await;
        let first = seq(&verdicts[0]);
        assert!(matches!(
            verdicts[1],
            Verdict::Refused(Refusal::Malformed(_))
        ));
        assert_eq!(seq(&verdicts[2]), first + 1);
        let again = client
            .push_raw(&[raw.clone(), raw.replace("\"count\":7", "\"count\":8")])
            .await;
        assert!(matches!(again[0], Verdict::Duplicate(_)) && seq(&again[0]) == first);
        assert_eq!(again[1], Verdict::Refused(Refusal::OtherBytes));
        let mut other = client.reading(site);
        other.author = setdown_types::ids::PersonId(Uuid::new_v4());
        assert_eq!(
            client.push_one(&other).await,
            Verdict::Refused(Refusal::NotYours)
        );
        let mut posing = client.reading(site);
        posing.role = Role::Office;
        assert_eq!(
            client.push_one(&posing).await,
            Verdict::Refused(Refusal::NotYours)
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn held_entries_are_released_by_what_they_wait_for() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let before = client.pull(site, 0).await.last_seq;
        let first = client.reading(site);
        let follow = |parent: &Entry| {
            let mut entry = client.reading(site);
            entry.subject = first.subject;
            entry.intent = Intent::Correct;
            entry.replaces = vec![parent.id];
            entry
        };
        let (second, third);
        second = follow(&first);
        third = follow(&second);
        assert_eq!(client.push_one(&third).await, Verdict::Held);
        assert_eq!(client.push_one(&second).await, Verdict::Held);
        assert_eq!(client.pull(site, 0).await.last_seq, before);
        assert_eq!(seq(&client.push_one(&first).await), before + 1);
        let page = client.pull(site, before).await;
        let ids: Vec<EntryId> = page
            .entries
            .iter()
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        assert_eq!(ids, [first.id, second.id, third.id]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_newer_phone_wrote_is_kept_and_forwarded_byte_for_byte() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let raw = client
            .reading(site)
            .to_json()
            .unwrap()
            .replace(
                r#""value":{"count":7}"#,
                r#""value": {"hologram": [1.50, "é\u0000x"]}, "later":  true"#,
            )
            .replace(r#""schema":1"#, r#""schema":9"#);
        assert!(raw.contains("hologram"));
        let before = client.pull(site, 0).await.last_seq;
        assert!(matches!(
            client.push_raw(std::slice::from_ref(&raw)).await[0],
            Verdict::Accepted(_)
        ));
        let page = world.as_office().await.pull(site, before).await;
        assert_eq!(page.entries[0].raw.get(), raw);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn seqs_have_no_gaps_when_many_push_at_once() {
    for database in BOTH {
        let world = World::start(database).await;
        let site = world.as_coordinator().await.site().await;
        let before = world.as_coordinator().await.pull(site, 0).await.last_seq;
        let mut tasks = Vec::new();
        for _ in 0..6 {
            let client = world.as_coordinator().await;
            tasks.push(tokio::spawn(async move {
                let mut seqs = Vec::new();
                for _ in 0..5 {
                    let entries: Vec<Entry> = (0..4).map(|_| client.reading(site)).collect();
                    seqs.extend(client.push(&entries).await.iter().map(seq));
                }
                seqs
            }));
        }
        let mut seqs = Vec::new();
        for task in tasks {
            seqs.extend(task.await.unwrap());
        }
        seqs.sort_unstable();
        let wanted: Vec<u64> = (before + 1..=before + 120).collect();
        assert_eq!(seqs, wanted, "{database:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_redaction_takes_the_content_out_of_the_server() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let mut told = office.reading(site);
        told.payload = Payload::Known(Value::Text("the code is 4711".into()));
        let raw = told.to_json().unwrap();
        let first = seq(&office.push_one(&told).await);
        let mut redaction = office.reading(site);
        redaction.intent = Intent::Redact;
        redaction.payload = Payload::Nothing;
        redaction.replaces = vec![told.id];
        seq(&office.push_one(&redaction).await);
        let page = office.pull(site, 0).await;
        let stub = page
            .entries
            .iter()
            .find(|pulled| pulled.acceptance.seq == first)
            .unwrap();
        assert_eq!(Entry::from_json(stub.raw.get()).unwrap().id, told.id);
        assert!(
            page.entries
                .iter()
                .all(|pulled| !pulled.raw.get().contains("4711"))
        );
        let again = office.push_raw(&[raw]).await;
        assert!(matches!(again[0], Verdict::Duplicate(_)));
        assert!(
            !office
                .pull(site, 0)
                .await
                .entries
                .iter()
                .any(|pulled| pulled.raw.get().contains("4711"))
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_are_bounded_and_the_last_names_the_digest_of_the_fold() {
    use setdown_types::ledger::{Record, Standing, fold, ledger_digest};
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        for _ in 0..3 {
            let entries: Vec<Entry> = (0..180).map(|_| client.reading(site)).collect();
            client.push(&entries).await;
        }
        let (mut records, mut after, mut pages) = (Vec::new(), 0, 0);
        let digest = loop {
            let page = client.pull(site, after).await;
            assert!(page.entries.len() <= 500);
            pages += 1;
            for pulled in page.entries {
                after = pulled.acceptance.seq;
                records.push(Record {
                    entry: Entry::from_json(pulled.raw.get()).unwrap(),
                    raw: pulled.raw.get().to_owned(),
                    standing: Standing::Accepted(pulled.acceptance),
                });
            }
            match page.digest {
                Some(digest) if !page.more => break digest,
                found => assert!(found.is_none() && page.more),
            }
        };
        assert_eq!(pages, 2);
        assert_eq!(digest, ledger_digest(&fold(&records)));
    }
}

/// Photo entries from before badly formed names were refused.
#[tokio::test(flavor = "multi_thread")]
async fn a_pull_walks_past_more_than_a_page_of_what_cannot_be_read() {
    use setdown_server::api::sync::PAGE;
    use sqlx::Connection;
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let before = client.pull(site, 0).await.last_seq;
        let bytes = b"never sent";
        let named = setdown_types::digest::digest_hex(bytes);
        let entries: Vec<Entry> = (0..=PAGE)
            .map(|_| super::photos::photo_entry(&client, site, bytes))
            .collect();
        for piece in entries.chunks(150) {
            client.push(piece).await.iter().for_each(|verdict| {
                seq(verdict);
            });
        }
        let last = client.reading(site);
        let at = seq(&client.push_one(&last).await);
        let mut connection = sqlx::AnyConnection::connect(&world.database_url)
            .await
            .unwrap();
        let changed = sqlx::query("UPDATE entries SET raw = REPLACE(raw, $1, 'no-name')")
            .bind(&named)
            .execute(&mut connection)
            .await
            .unwrap();
        assert!(changed.rows_affected() > u64::from(PAGE));
        let page = client.pull(site, before).await;
        let seqs: Vec<u64> = page.entries.iter().map(|one| one.acceptance.seq).collect();
        assert_eq!(seqs, [at], "{database:?}");
        assert!(!page.more && page.digest.is_some());
    }
}
