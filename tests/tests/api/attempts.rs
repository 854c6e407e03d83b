//! Attempts to sign in: who guesses waits, and keeps nobody else from their account.

use std::net::{IpAddr, Ipv4Addr};
use std::time::Duration;

use reqwest::StatusCode;
use serde_json::json;
use setdown_server::clock;
use setdown_server::demo::PASSWORD;
use setdown_server::error::ServerError;
use setdown_server::store::attempts::{FORGETS_ONE, FREE_FAILURES_OF_NAME, LONGEST_WAIT};
use setdown_tests::clients::answered;
use setdown_tests::server::{BOTH, World};

/// Signs in from an address of this machine, with a proxy's header where one is given.
async fn attempt(world: &World, from: u8, told: Option<&str>, password: &str) -> StatusCode {
    let told = told.map(|told| ("x-client", told));
    attempt_by(world, from, told, password).await
}

async fn attempt_by(
    world: &World,
    from: u8,
    told: Option<(&str, &str)>,
    password: &str,
) -> StatusCode {
    let http = reqwest::Client::builder()
        .local_address(IpAddr::V4(Ipv4Addr::new(127, 0, 0, from)))
        .build()
        .unwrap();
    let message = json!({ "sign_in": "valley-office", "password": password });
    let mut request = http.post(world.at("/api/sign-in")).json(&message);
    if let Some((header, told)) = told {
        request = request.header(header, told);
    }
    answered(request).await.0
}

#[tokio::test(flavor = "multi_thread")]
async fn who_guesses_keeps_nobody_else_out() {
    for database in BOTH {
        let world = World::start(database).await;
        for _ in 0..5 {
            let status = attempt(&world, 2, None, "wrong").await;
            assert_eq!(status, StatusCode::UNAUTHORIZED);
        }
        assert_eq!(
            attempt(&world, 2, None, PASSWORD).await,
            StatusCode::TOO_MANY_REQUESTS
        );
        assert_eq!(attempt(&world, 1, None, PASSWORD).await, StatusCode::OK);
        // What others may say of themselves in a header does not count.
        assert_eq!(
            attempt(&world, 2, Some("198.51.100.2"), PASSWORD).await,
            StatusCode::TOO_MANY_REQUESTS
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn behind_a_proxy_that_no_setting_names_a_stranger_blocks_nobody() {
    for database in BOTH {
        let world = World::start_changed(database, |state| state.open_demo = true).await;
        let told = Some(("x-forwarded-for", "198.51.100.1"));
        for _ in 0..6 {
            let status = attempt_by(&world, 1, told, "wrong").await;
            assert_eq!(status, StatusCode::UNAUTHORIZED);
        }
        let status = attempt_by(&world, 1, told, PASSWORD).await;
        assert_eq!(status, StatusCode::OK, "{database:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn behind_a_proxy_the_address_counts_that_it_names() {
    for database in BOTH {
        let world = World::start_changed(database, |state| {
            state.address_header = "x-client".parse().ok();
        })
        .await;
        for _ in 0..5 {
            let status = attempt(&world, 1, Some("203.0.113.9, 198.51.100.1"), "wrong").await;
            assert_eq!(status, StatusCode::UNAUTHORIZED);
        }
        // The last part is the proxy's own word; what stands before it is the client's.
        assert_eq!(
            attempt(&world, 1, Some("203.0.113.8, 198.51.100.1"), PASSWORD).await,
            StatusCode::TOO_MANY_REQUESTS
        );
        assert_eq!(
            attempt(&world, 1, Some("198.51.100.2"), PASSWORD).await,
            StatusCode::OK
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn many_guesses_from_everywhere_slow_a_name_and_refuse_no_right_password() {
    for database in BOTH {
        let world = World::start(database).await;
        let store = &world.state.store;
        let now = clock::now();
        for from in 0..FREE_FAILURES_OF_NAME + 2 {
            let network = format!("network {from}");
            let slowed = store.count_attempt("valley-office", &network, now).await;
            let slow = slowed.unwrap() > Duration::ZERO;
            assert_eq!(slow, from >= FREE_FAILURES_OF_NAME, "{from}");
        }
        let other = store.count_attempt("coast-office", "network 1", now).await;
        assert_eq!(other.unwrap(), Duration::ZERO);
        assert_eq!(attempt(&world, 1, None, PASSWORD).await, StatusCode::OK);
        let after = store.count_attempt("valley-office", "elsewhere", now).await;
        assert_eq!(after.unwrap(), Duration::ZERO, "signing in settles it");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn failures_weigh_less_with_time_and_their_rows_go() {
    for database in BOTH {
        let world = World::start(database).await;
        let store = &world.state.store;
        let begun = clock::now();
        let count = async |now: i64| store.count_attempt("somebody", "a network", now).await;
        for _ in 0..5 {
            count(begun).await.unwrap();
        }
        let Err(ServerError::TooMany(seconds)) = count(begun).await else {
            panic!("the sixth waits");
        };
        assert_eq!(seconds, 1);
        // The block is over, the failures are not.
        assert_eq!(
            store
                .forget_old_attempts(begun + LONGEST_WAIT)
                .await
                .unwrap(),
            0
        );
        count(begun + 1000).await.unwrap();
        assert!(count(begun + 2000).await.is_err(), "two seconds by now");
        // A failure was forgotten for each of these.
        let later = begun + 1000 + 6 * FORGETS_ONE;
        for _ in 0..4 {
            count(later).await.unwrap();
        }
        let gone = store
            .forget_old_attempts(later + 10 * FORGETS_ONE)
            .await
            .unwrap();
        assert_eq!(gone, 2, "by network, and by name");
    }
}
