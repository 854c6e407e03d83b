//! Streams of pokes: they end with their session, and one session keeps only so many.

use std::time::Duration;

use futures::StreamExt;
use reqwest::{Method, StatusCode};
use serde_json::json;
use setdown_server::events::MAX_STREAMS;
use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, World};

fn listen(client: &Client) -> reqwest::RequestBuilder {
    client.request(Method::GET, "/api/events")
}

#[tokio::test(flavor = "multi_thread")]
async fn whose_invitation_is_revoked_hears_no_more() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, homeowner) = (world.as_office().await, world.as_homeowner().await);
        let site = homeowner.site().await;
        let mut pokes = listen(&homeowner).send().await.unwrap().bytes_stream();
        pokes.next().await.unwrap().unwrap();
        let (_, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        let revoke = json!({ "site": site, "invitation": view["invitations"][0]["id"] });
        let (status, _) = office.post("/api/office/revoke-invitation", &revoke).await;
        assert_eq!(status, StatusCode::OK);
        seq(&office.push_one(&office.reading(site)).await);
        let next = tokio::time::timeout(Duration::from_secs(10), pokes.next())
            .await
            .expect("the stream ends soon");
        assert!(next.is_none(), "{database:?}: nothing is told any more");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_session_that_ended_ends_its_streams_though_nothing_happens() {
    let world = World::start(BOTH[0]).await;
    let office = world.as_office().await;
    let mut pokes = listen(&office).send().await.unwrap().bytes_stream();
    pokes.next().await.unwrap().unwrap();
    let (status, _) = office.post("/api/sign-out", &json!({})).await;
    assert_eq!(status, StatusCode::OK);
    let next = tokio::time::timeout(Duration::from_secs(60), pokes.next())
        .await
        .expect("the stream ends by itself");
    assert!(next.is_none());
}

#[tokio::test(flavor = "multi_thread")]
async fn one_session_keeps_only_so_many_streams_open() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, coordinator) = (world.as_office().await, world.as_coordinator().await);
        let mut open = Vec::new();
        for _ in 0..MAX_STREAMS {
            let answer = listen(&office).send().await.unwrap();
            assert_eq!(answer.status(), StatusCode::OK);
            open.push(answer);
        }
        let answer = listen(&office).send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::TOO_MANY_REQUESTS);
        let other = listen(&coordinator).send().await.unwrap();
        assert_eq!(other.status(), StatusCode::OK, "others are not concerned");
        open.clear();
        let again = async {
            while listen(&office).send().await.unwrap().status() != StatusCode::OK {
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
        };
        tokio::time::timeout(Duration::from_secs(60), again)
            .await
            .expect("a closed stream makes room");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_is_poked_finds_the_summary_of_what_was_pushed() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let mut pokes = world.state.events.listen();
        let before = office.pull(site, 0).await.last_seq;
        for _ in 0..20 {
            seq(&office.push_one(&office.reading(site)).await);
        }
        // Many pushes may be told by one poke; the last of them is told as well.
        let told = async {
            loop {
                assert_eq!(pokes.recv().await.expect("a poke").site, site);
                let stale = world.state.store.stale_sites().await.unwrap();
                if stale.iter().all(|(_, stale)| *stale != site) {
                    return;
                }
            }
        };
        tokio::time::timeout(Duration::from_secs(60), told)
            .await
            .expect("a poke behind the last summary");
        assert_eq!(office.pull(site, 0).await.last_seq, before + 20);
    }
}
