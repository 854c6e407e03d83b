//! What follows a push: one that hangs keeps no other back. Only PostgreSQL lets a reader wait for a table.

use std::time::Duration;

use setdown_server::follow_up::FollowUps;
use setdown_tests::clients::seq;
use setdown_tests::server::{Kind, World};
use sqlx::{AnyConnection, Connection};

#[tokio::test(flavor = "multi_thread")]
async fn a_summary_that_hangs_silences_its_site_no_longer_than_it_may_take() {
    let world = World::start_changed(Kind::Postgres, |state| {
        state.follow_ups = FollowUps::patient(Duration::from_millis(300));
    })
    .await;
    let client = world.as_coordinator().await;
    let site = client.site().await;
    let mut pokes = world.state.events.listen();
    let mut lock = AnyConnection::connect(&world.database_url).await.unwrap();
    for statement in ["BEGIN", "LOCK TABLE documents IN ACCESS EXCLUSIVE MODE"] {
        sqlx::query(statement).execute(&mut lock).await.unwrap();
    }
    for _ in 0..2 {
        seq(&client.push_one(&client.reading(site)).await);
        let poke = tokio::time::timeout(Duration::from_secs(20), pokes.recv()).await;
        let poke = poke.expect("a poke while the table is still held").unwrap();
        assert_eq!(poke.site, site);
    }
    sqlx::query("COMMIT").execute(&mut lock).await.unwrap();
    seq(&client.push_one(&client.reading(site)).await);
    pokes.recv().await.unwrap();
    world.state.follow_ups.over().await;
    let row = world.state.store.site(client.session.organisation, site);
    let row = row.await.unwrap().expect("it is there");
    assert!(row.summary.is_some());
}
