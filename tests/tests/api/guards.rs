//! What guards the door: names no database takes, cookies, the demo's well-known passwords, long searches.

use reqwest::{Method, StatusCode};
use serde_json::{Value as Json, json};
use setdown_server::demo::PASSWORD;
use setdown_tests::clients::{answered, seq};
use setdown_tests::server::{BOTH, Kind, World};
use setdown_types::entry::Payload;
use setdown_types::ledger::Refusal;
use setdown_types::value::{PhotoRef, Value};
use setdown_types::wire::Verdict;
use uuid::Uuid;

fn named(sha256: &str) -> Payload {
    Payload::Known(Value::Photo(PhotoRef {
        sha256: sha256.to_owned(),
        media_type: "image/png".into(),
        width: 1,
        height: 1,
        bytes: 1,
    }))
}

#[tokio::test(flavor = "multi_thread")]
async fn photos_are_named_by_hashes_and_a_push_with_another_name_holds_up_nobody() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        for name in ["a\0b", "", &"A".repeat(64), &"0".repeat(63), "secret words"] {
            let mut bad = client.reading(site);
            bad.payload = named(name);
            let verdicts = client.push(&[bad, client.reading(site)]).await;
            let Verdict::Refused(Refusal::Malformed(reason)) = &verdicts[0] else {
                panic!("{database:?} {name:?} {verdicts:?}");
            };
            assert!(!reason.contains("secret"), "{reason}");
            seq(&verdicts[1]);
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn why_bytes_are_no_entry_is_told_without_what_they_say() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let raw = client.reading(site).to_json().unwrap();
        for bad in [
            raw.replace("\"coordinator\"", "\"gate code 4711\""),
            raw.replace("\"counter\":1", "\"counter\":\"gate code 4711\""),
        ] {
            let verdicts = client.push_raw(&[bad]).await;
            let Verdict::Refused(Refusal::Malformed(reason)) = &verdicts[0] else {
                panic!("{database:?} {verdicts:?}");
            };
            assert!(!reason.contains("4711"), "{reason}");
            assert!(reason.contains("column"), "{reason}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn addresses_and_names_that_no_database_takes_are_told_as_problems() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let get = |path: &str| office.request(Method::GET, path);
        let post = |path: &str, message: &Json| office.request(Method::POST, path).json(message);
        let (_, sheets) = office.post("/api/office/catalogue", &json!({})).await;
        let new_site = json!({ "input": { "site": Uuid::new_v4(), "name": "x", "time_zone": "America/Denver", "contacts": [],
            "spa": "a\0b", "practice": sheets["practices"][0]["digest"] } });
        let sign_in = |name: &str| json!({ "sign_in": name, "password": PASSWORD });
        let put = office
            .request(Method::PUT, "/api/photos/%00")
            .body(vec![0; 9]);
        let cases = [
            (get("/api/photos/%00"), StatusCode::NOT_FOUND),
            (get("/api/photos/%FF/thumb"), StatusCode::NOT_FOUND),
            (put, StatusCode::NOT_FOUND),
            (get("/api/sync/documents/a%00b"), StatusCode::NOT_FOUND),
            (
                post("/api/sign-in", &sign_in("valley\0office")),
                StatusCode::BAD_REQUEST,
            ),
            (
                post("/api/sign-in", &sign_in(&"x".repeat(201))),
                StatusCode::BAD_REQUEST,
            ),
            (
                post("/api/invitation/open", &json!({ "token": "a\0b" })),
                StatusCode::UNAUTHORIZED,
            ),
            (
                post("/api/office/new-site", &new_site),
                StatusCode::BAD_REQUEST,
            ),
        ];
        for (place, (request, wanted)) in cases.into_iter().enumerate() {
            let (status, problem) = answered(request).await;
            assert_eq!(status, wanted, "{database:?} case {place}: {problem}");
            assert_eq!(problem["status"], wanted.as_u16(), "case {place}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_search_is_as_long_as_a_name_can_be_and_no_longer() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let search = async |length: usize| {
            let query = json!({ "query": { "search": "x".repeat(length), "state": null,
                "order": "name", "descending": false, "page": 0 } });
            office.post("/api/office/sites", &query).await
        };
        assert_eq!(search(200).await.0, StatusCode::OK);
        for length in [201, 60_000] {
            let (status, problem) = search(length).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{database:?} {length}");
            let told = problem["detail"].as_str().unwrap_or_default();
            assert!(told.contains("200"), "{problem}");
        }
    }
}

/// Source: RFC 6265bis section 4.1.3.2: a name with this prefix is taken only with Secure, with Path=/ and without Domain.
#[tokio::test(flavor = "multi_thread")]
async fn over_https_the_cookie_is_bound_to_this_host() {
    let world = World::start_changed(Kind::Sqlite, |state| state.https = true).await;
    let message = json!({ "sign_in": "valley-office", "password": PASSWORD });
    let http = reqwest::Client::new();
    let answer = http
        .post(world.at("/api/sign-in"))
        .json(&message)
        .send()
        .await
        .unwrap();
    let cookie = answer.headers()["set-cookie"].to_str().unwrap().to_owned();
    assert!(cookie.starts_with("__Host-setdown_session="), "{cookie}");
    assert!(cookie.contains("; Secure") && cookie.contains("; Path=/;"));
    assert!(!cookie.contains("Domain"), "{cookie}");
    let token = cookie.split(';').next().unwrap();
    let session = async |cookie: &str| {
        let request = http.get(world.at("/api/sync/session"));
        answered(request.header("cookie", cookie)).await.0
    };
    // A cookie that another host planted stands before ours and counts for nothing.
    let planted = format!("setdown_session=planted; {token}");
    assert_eq!(session(&planted).await, StatusCode::OK);
    let unbound = token.replace("__Host-", "");
    assert_eq!(session(&unbound).await, StatusCode::UNAUTHORIZED);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_demos_passwords_open_nothing_to_strangers() {
    let attempt = async |world: &World, headers: &[(&'static str, &str)]| {
        let message = json!({ "sign_in": "valley-office", "password": PASSWORD });
        let mut request = reqwest::Client::new()
            .post(world.at("/api/sign-in"))
            .json(&message);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answered(request).await.0
    };
    let private = World::start(Kind::Sqlite).await;
    let strange: [&[(&str, &str)]; 3] = [
        &[("host", "your.name")],
        &[("host", "192.168.1.5:8080")],
        &[("x-forwarded-for", "198.51.100.7")],
    ];
    for headers in strange {
        assert_eq!(
            attempt(&private, headers).await,
            StatusCode::FORBIDDEN,
            "{headers:?}"
        );
    }
    for headers in [&[][..], &[("host", "localhost:8080")]] {
        assert_eq!(attempt(&private, headers).await, StatusCode::OK);
    }
    let public = World::start_changed(Kind::Sqlite, |state| {
        state.address = "http://your.name".into();
        state.address_is_fixed = true;
    })
    .await;
    for headers in [&[][..], strange[0]] {
        assert_eq!(attempt(&public, headers).await, StatusCode::FORBIDDEN);
    }
    let open = World::start_changed(Kind::Sqlite, |state| state.open_demo = true).await;
    assert_eq!(attempt(&open, strange[0]).await, StatusCode::OK);
}
