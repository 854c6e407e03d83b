//! The program stopped at any moment: killed in the middle of pushes, and told to stop while listened to or while a
//! summary is under way; and what a start makes of an empty database.

use std::time::Duration;

use futures::StreamExt;
use setdown_server::demo::DEALERS;
use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, Kind, Program, database, free_port};
use setdown_types::entry::Entry;
use setdown_types::party::Role;
use setdown_types::wire::{Pushed, Verdict};
use sqlx::{AnyConnection, Connection, Row};
use tempfile::TempDir;

#[tokio::test(flavor = "multi_thread")]
async fn nothing_acknowledged_is_lost_when_the_server_is_killed_in_the_middle_of_pushes() {
    for kind in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let url = database(kind, folder.path()).await;
        let port = free_port();
        let program = Program::serve(folder.path(), &url, port);
        let base = format!("http://{}", program.address);
        let client = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Coordinator)).await;
        let site = client.site().await;
        let before = client.pull(site, 0).await.last_seq;
        let pushes: Vec<Vec<String>> = (0..400)
            .map(|_| {
                (0..5)
                    .map(|_| client.reading(site).to_json().unwrap())
                    .collect()
            })
            .collect();
        let killer = tokio::spawn(async move {
            tokio::time::sleep(Duration::from_millis(400)).await;
            program.kill();
        });
        let (mut acknowledged, mut cut) = (Vec::new(), None);
        for (place, raws) in pushes.iter().enumerate() {
            let answer = match client.push_body(raws).send().await {
                Ok(answer) => answer.json::<Pushed>().await,
                Err(error) => Err(error),
            };
            match answer {
                Ok(pushed) => {
                    acknowledged.extend(pushed.verdicts.into_iter().map(|verdict| verdict.id))
                }
                Err(_) => {
                    cut = Some(place);
                    break;
                }
            }
        }
        killer.await.unwrap();
        let cut = cut.expect("the kill came while pushing");
        assert!(
            !acknowledged.is_empty(),
            "the kill came after the first answer"
        );
        let program = Program::serve(folder.path(), &url, port);
        let (mut held, mut after) = (Vec::new(), before);
        loop {
            let page = client.pull(site, after).await;
            for pulled in &page.entries {
                after += 1;
                assert_eq!(pulled.acceptance.seq, after, "no gap");
                held.push(Entry::from_json(pulled.raw.get()).unwrap().id);
            }
            if !page.more {
                break;
            }
        }
        assert!(acknowledged.iter().all(|id| held.contains(id)), "{kind:?}");
        assert_eq!(held.len() % 5, 0, "a push is taken whole or not at all");
        let retried = client.push_raw(&pushes[cut]).await;
        assert!(
            retried
                .iter()
                .all(|verdict| matches!(verdict, Verdict::Accepted(_) | Verdict::Duplicate(_)))
        );
        drop(program);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stop_that_was_asked_for_ends_listening_and_the_program() {
    let kind = setdown_tests::server::Kind::Sqlite;
    let folder = tempfile::tempdir().unwrap();
    let url = database(kind, folder.path()).await;
    let program = Program::serve(folder.path(), &url, free_port());
    let base = format!("http://{}", program.address);
    let client = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Office)).await;
    let answer = client
        .request(reqwest::Method::GET, "/api/events")
        .send()
        .await
        .unwrap();
    let mut events = answer.bytes_stream();
    events.next().await.unwrap().unwrap();
    let ended = tokio::task::spawn_blocking(move || program.terminate());
    assert!(events.next().await.is_none(), "the stream ends in order");
    drop((events, client));
    let (took, well) = ended.await.unwrap();
    assert!(well && took < Duration::from_secs(9), "{took:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_further_start_of_the_demo_makes_no_further_invitation() {
    let folder = tempfile::tempdir().unwrap();
    let url = database(setdown_tests::server::Kind::Sqlite, folder.path()).await;
    let mut counts = Vec::new();
    for _ in 0..2 {
        let program = Program::serve(folder.path(), &url, free_port());
        let base = format!("http://{}", program.address);
        let office = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Office)).await;
        let mut invitations = 0;
        for card in office.sites().await.sites {
            let message = serde_json::json!({ "site": card.site });
            let (_, view) = office.post("/api/office/site", &message).await;
            invitations += view["invitations"].as_array().expect("a list").len();
        }
        counts.push(invitations);
        tokio::task::spawn_blocking(move || program.terminate())
            .await
            .unwrap();
    }
    assert_eq!(counts, [1, 1]);
}

/// A program on PostgreSQL that was told to stop while the summary behind a push waits for a table that `lock` holds:
/// how it ends, when it does.
async fn stopped_while_a_summary_waits() -> (
    TempDir,
    AnyConnection,
    impl Future<Output = (Duration, bool)>,
) {
    sqlx::any::install_default_drivers();
    let folder = tempfile::tempdir().unwrap();
    let url = database(Kind::Postgres, folder.path()).await;
    let program = Program::serve(folder.path(), &url, free_port());
    let base = format!("http://{}", program.address);
    let client = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Coordinator)).await;
    let site = client.site().await;
    let mut lock = AnyConnection::connect(&url).await.unwrap();
    for statement in ["BEGIN", "LOCK TABLE documents IN ACCESS EXCLUSIVE MODE"] {
        sqlx::query(statement).execute(&mut lock).await.unwrap();
    }
    seq(&client.push_one(&client.reading(site)).await);
    let ended = tokio::task::spawn_blocking(move || program.terminate());
    (folder, lock, async move { ended.await.unwrap() })
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stop_waits_for_the_summary_behind_a_push() {
    let (_folder, mut lock, ended) = stopped_while_a_summary_waits().await;
    tokio::time::sleep(Duration::from_secs(1)).await;
    sqlx::query("COMMIT").execute(&mut lock).await.unwrap();
    let (_, well) = ended.await;
    assert!(well);
    let row = sqlx::query("SELECT COUNT(*) AS behind FROM sites WHERE summary_seq <> last_seq")
        .fetch_one(&mut lock)
        .await
        .unwrap();
    assert_eq!(row.get::<i64, _>("behind"), 0);
}

/// The grace is 10 s, and the database has 2 s to be closed.
#[tokio::test(flavor = "multi_thread")]
async fn a_stop_waits_for_a_summary_that_hangs_no_longer_than_its_grace() {
    let (_folder, _lock, ended) = stopped_while_a_summary_waits().await;
    let ended = tokio::time::timeout(Duration::from_secs(20), ended).await;
    let (took, well) = ended.expect("it ends while the table is still held");
    assert!(well && took > Duration::from_secs(9), "{took:?}");
}

/// Behind a public address there is a demo only where it was asked for.
#[tokio::test(flavor = "multi_thread")]
async fn an_empty_database_behind_a_public_address_gets_the_demo_where_it_is_to_be_open() {
    for kind in BOTH {
        for (flag, there) in [("--open-demo", true), ("--no-demo", false)] {
            let folder = tempfile::tempdir().unwrap();
            let url = database(kind, folder.path()).await;
            let port = free_port();
            let base = format!("http://127.0.0.1:{port}");
            let flags = ["--public-url", &base, flag];
            let program = Program::serve_with(folder.path(), &url, port, &flags);
            if there {
                let office = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Office)).await;
                assert!(!office.sites().await.sites.is_empty(), "{kind:?}");
            }
            drop(program);
            let store = setdown_server::store::Store::open(&url).await.unwrap();
            assert_eq!(store.is_empty().await.unwrap(), !there, "{kind:?} {flag}");
        }
    }
}
