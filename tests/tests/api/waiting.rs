//! Entries that wait for others: only so many of one author, and released by id however they came to wait.

use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, World, empty};
use setdown_types::admission::MAX_WAITING;
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::Refusal;
use setdown_types::wire::Verdict;
use sqlx::{AnyConnection, Connection};
use uuid::Uuid;

/// An answer that builds on these, in the stream of `like`.
fn after(client: &Client, site: SiteId, like: &Entry, parents: &[EntryId]) -> Entry {
    let mut entry = client.reading(site);
    entry.subject = like.subject;
    entry.intent = Intent::Correct;
    entry.replaces = parents.to_vec();
    entry
}

async fn pulled(client: &Client, site: SiteId, behind: u64) -> Vec<EntryId> {
    let page = client.pull(site, behind).await;
    page.entries
        .iter()
        .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
        .collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn one_author_cannot_fill_a_site_with_what_waits() {
    for database in BOTH {
        let world = World::start(database).await;
        let homeowner = world.as_homeowner().await;
        let site = homeowner.site().await;
        let first = homeowner.reading(site);
        let stray = |_| after(&homeowner, site, &first, &[EntryId(Uuid::now_v7())]);
        let many: Vec<Entry> = (0..MAX_WAITING).map(stray).collect();
        let verdicts = homeowner.push(&many).await;
        assert!(verdicts.iter().all(|verdict| *verdict == Verdict::Held));
        let one_more = after(&homeowner, site, &first, &[first.id]);
        let refused = Verdict::Refused(Refusal::TooManyWaiting);
        assert_eq!(homeowner.push_one(&one_more).await, refused, "{database:?}");
        assert_eq!(homeowner.push_one(&many[0]).await, Verdict::Held);
        let office = world.as_office().await;
        let other = after(&office, site, &first, &[EntryId(Uuid::now_v7())]);
        assert_eq!(office.push_one(&other).await, Verdict::Held, "others may");
        // What was turned away is not remembered: it is taken once it need not wait.
        let at = seq(&homeowner.push_one(&first).await);
        assert_eq!(seq(&homeowner.push_one(&one_more).await), at + 1);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_waits_for_several_is_released_by_the_last_of_them() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let behind = client.pull(site, 0).await.last_seq;
        let first = client.reading(site);
        let mut second = client.reading(site);
        second.subject = first.subject;
        let both = after(&client, site, &first, &[first.id, second.id]);
        let last = after(&client, site, &first, &[both.id]);
        // Something else waits as well, and goes on waiting.
        let stray = after(&client, site, &first, &[EntryId(Uuid::now_v7())]);
        for entry in [&last, &both, &stray] {
            assert_eq!(client.push_one(entry).await, Verdict::Held);
        }
        seq(&client.push_one(&second).await);
        assert_eq!(pulled(&client, site, behind).await, [second.id]);
        seq(&client.push_one(&first).await);
        let order = [second.id, first.id, both.id, last.id];
        assert_eq!(pulled(&client, site, behind).await, order, "{database:?}");
        assert_eq!(client.push_one(&stray).await, Verdict::Held);
    }
}

/// As the migration leaves rows that were held before there was a table of what waits for what.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_held_before_the_table_was_there_is_released_all_the_same() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let first = client.reading(site);
        let waiting = after(&client, site, &first, &[first.id]);
        assert_eq!(client.push_one(&waiting).await, Verdict::Held);
        let mut connection = AnyConnection::connect(&world.database_url).await.unwrap();
        let changed = sqlx::query("UPDATE waiting SET waits_for = '', author = ''")
            .execute(&mut connection)
            .await
            .unwrap();
        assert_eq!(changed.rows_affected(), 1);
        let at = seq(&client.push_one(&first).await);
        assert_eq!(
            seq(&client.push_one(&waiting).await),
            at + 1,
            "{database:?}"
        );
        let left = sqlx::query("SELECT entry FROM waiting")
            .fetch_all(&mut connection)
            .await
            .unwrap();
        assert!(left.is_empty(), "nothing waits any more");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_came_in_an_archive_and_waits_is_released_there() {
    use setdown_server::archive::export::{Wanted, export};
    use setdown_server::archive::import::import;
    use setdown_types::admission::{Arrival, Writer};
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let first = client.reading(site);
        let waiting = after(&client, site, &first, &[first.id]);
        assert_eq!(client.push_one(&waiting).await, Verdict::Held);
        let wanted = Wanted {
            organisation: client.session.organisation,
            site: None,
            personal: true,
        };
        let (folder, state) = empty(database).await;
        let path = folder.path().join("an.archive");
        let mut file = std::fs::File::create(&path).unwrap();
        export(&world.state, &wanted, &mut file).await.unwrap();
        import(&state, &path).await.unwrap();
        let arrival = Arrival {
            device: client.device,
            boot: client.boot,
            monotonic: 5000,
            received_at: 1,
        };
        let raws = [first.to_json().unwrap(), waiting.to_json().unwrap()];
        let raws: Vec<&str> = raws.iter().map(String::as_str).collect();
        let writer = Writer::from(&client.session);
        let verdicts = state.push(&writer, &arrival, &raws[..1]).await.unwrap();
        let at = seq(&verdicts[0].verdict);
        let verdicts = state.push(&writer, &arrival, &raws[1..]).await.unwrap();
        assert_eq!(seq(&verdicts[0].verdict), at + 1, "{database:?}");
    }
}
