//! Pages of a pull: bounded by bytes as well, always with one entry, and whole in the end.

use std::collections::BTreeSet;

use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::Refusal;
use setdown_types::party::Role;
use setdown_types::value::Value;
use setdown_types::wire::{MAX_PAGE_BYTES, Pulled, Verdict};

/// Every page behind `after`, to the last.
async fn pages(client: &Client, site: SiteId, mut after: u64) -> Vec<Pulled> {
    let mut pages: Vec<Pulled> = Vec::new();
    loop {
        let page = client.pull(site, after).await;
        let last = page.entries.last().map(|pulled| pulled.acceptance.seq);
        let more = page.more;
        pages.push(page);
        if !more {
            return pages;
        }
        after = last.expect("a page with more behind it has an entry");
    }
}

fn size(page: &Pulled) -> usize {
    page.entries
        .iter()
        .map(|pulled| pulled.raw.get().len())
        .sum()
}

fn note(client: &Client, site: SiteId, kibibytes: usize) -> Entry {
    let mut entry = client.reading(site);
    entry.payload = Payload::Known(Value::Text("é".repeat(kibibytes * 512)));
    entry
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_carries_about_half_a_mebibyte_but_always_one_entry() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let before = client.pull(site, 0).await.last_seq;
        let kibibytes = [200, 200, 200, 510, 510, 1, 1, 300];
        let written: Vec<Entry> = kibibytes
            .iter()
            .map(|length| note(&client, site, *length))
            .collect();
        for entry in &written {
            seq(&client.push_one(entry).await);
        }
        let pages = pages(&client, site, before).await;
        let counts: Vec<usize> = pages.iter().map(|page| page.entries.len()).collect();
        assert_eq!(counts, [2, 1, 1, 1, 3], "{database:?}");
        assert!(pages.iter().all(|page| size(page) <= MAX_PAGE_BYTES));
        let pulled: Vec<EntryId> = pages
            .iter()
            .flat_map(|page| &page.entries)
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        let ids: Vec<EntryId> = written.iter().map(|entry| entry.id).collect();
        assert_eq!(pulled, ids, "{database:?}");
        let digests: BTreeSet<bool> = pages.iter().map(|page| page.digest.is_some()).collect();
        assert_eq!(digests.len(), 2);
        assert!(pages.last().is_some_and(|page| page.digest.is_some()));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_hidden_takes_no_room_and_ends_no_page() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, homeowner) = (world.as_office().await, world.as_homeowner().await);
        let site = homeowner.site().await;
        let before = office.pull(site, 0).await.last_seq;
        let mut written = Vec::new();
        for place in 0..12 {
            let mut entry = note(&office, site, 200);
            if place % 4 != 3 {
                entry.question = "trial.staff_note".into();
            }
            seq(&office.push_one(&entry).await);
            if entry.question != "trial.staff_note" {
                written.push(entry.id);
            }
        }
        assert_eq!(homeowner.session.role, Role::Homeowner);
        let pages = pages(&homeowner, site, before).await;
        let pulled: Vec<EntryId> = pages
            .iter()
            .flat_map(|page| &page.entries)
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        assert_eq!(pulled, written, "{database:?}");
        assert_eq!(pages.len(), 2, "{database:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_brings_the_refused_entries_that_it_builds_on_and_no_others() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let first = client.reading(site);
        seq(&client.push_one(&first).await);
        let follow = |parents: Vec<EntryId>, intent: Intent| {
            let mut entry = client.reading(site);
            entry.subject = first.subject;
            entry.intent = intent;
            entry.replaces = parents;
            entry
        };
        // A coordinator may not redact: refused one upon the other, and a third that nothing builds on.
        let refused = follow(vec![first.id], Intent::Redact);
        let further = follow(vec![refused.id], Intent::Redact);
        let stray = follow(vec![first.id], Intent::Redact);
        for entry in [&refused, &further, &stray] {
            let verdict = client.push_one(entry).await;
            assert_eq!(verdict, Verdict::Refused(Refusal::NotAllowed));
        }
        let at = seq(&client
            .push_one(&follow(vec![further.id], Intent::Correct))
            .await);
        let page = client.pull(site, at - 1).await;
        let brought: BTreeSet<EntryId> = page
            .refused
            .iter()
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        assert_eq!(
            brought,
            BTreeSet::from([refused.id, further.id]),
            "{database:?}"
        );
    }
}
