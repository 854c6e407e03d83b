//! Signing in and out, invitations, pokes, and the office's calls.

use std::time::Duration;

use futures::StreamExt;
use reqwest::StatusCode;
use serde_json::json;
use setdown_server::demo::PASSWORD;
use setdown_tests::clients::{answered, seq};
use setdown_tests::server::{BOTH, World};
use uuid::Uuid;

#[tokio::test(flavor = "multi_thread")]
async fn wrong_passwords_cost_more_and_more_time() {
    for database in BOTH {
        let world = World::start(database).await;
        let http = reqwest::Client::new();
        let attempt = |name: &str, password: &str| {
            http.post(world.at("/api/sign-in"))
                .json(&json!({ "sign_in": name, "password": password }))
        };
        for _ in 0..5 {
            let (status, _) = answered(attempt("Valley-Office", "wrong")).await;
            assert_eq!(status, StatusCode::UNAUTHORIZED);
        }
        let answer = attempt("valley-office", PASSWORD).send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::TOO_MANY_REQUESTS);
        assert!(answer.headers().contains_key("retry-after"));
        assert_eq!(
            answered(attempt("coast-office", PASSWORD)).await.0,
            StatusCode::OK
        );
        tokio::time::sleep(Duration::from_millis(1100)).await;
        assert_eq!(
            answered(attempt("valley-office", PASSWORD)).await.0,
            StatusCode::OK
        );
        assert_eq!(
            answered(attempt("nobody", PASSWORD)).await.0,
            StatusCode::UNAUTHORIZED
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn cookies_are_closed_to_scripts_and_end_with_signing_out() {
    for database in BOTH {
        let world = World::start(database).await;
        let answer = reqwest::Client::new()
            .post(world.at("/api/sign-in"))
            .json(&json!({ "sign_in": "valley-office", "password": PASSWORD }))
            .send()
            .await
            .unwrap();
        let cookie = answer.headers()["set-cookie"].to_str().unwrap().to_owned();
        assert!(
            cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"),
            "{cookie}"
        );
        let token = cookie.split(';').next().unwrap().to_owned();
        let session = || {
            reqwest::Client::new()
                .get(world.at("/api/sync/session"))
                .header("cookie", &token)
        };
        assert_eq!(answered(session()).await.0, StatusCode::OK);
        let out = reqwest::Client::new()
            .post(world.at("/api/sign-out"))
            .header("cookie", &token)
            .json(&json!({}));
        assert_eq!(answered(out).await.0, StatusCode::OK);
        assert_eq!(answered(session()).await.0, StatusCode::UNAUTHORIZED);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_invitation_opens_until_it_is_revoked() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let (status, made) = office
            .post(
                "/api/office/invite",
                &json!({ "site": site, "name": "the owner" }),
            )
            .await;
        assert_eq!(status, StatusCode::OK, "{made}");
        let token = made["link"]
            .as_str()
            .unwrap()
            .rsplit('#')
            .next()
            .unwrap()
            .to_owned();
        let open = || {
            reqwest::Client::new()
                .post(world.at("/api/invitation/open"))
                .json(&json!({ "token": token }))
        };
        let answer = open().send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::OK);
        let cookie = answer.headers()["set-cookie"]
            .to_str()
            .unwrap()
            .split(';')
            .next()
            .unwrap()
            .to_owned();
        let revoke = json!({ "site": site, "invitation": made["id"] });
        assert_eq!(
            office
                .post("/api/office/revoke-invitation", &revoke)
                .await
                .0,
            StatusCode::OK
        );
        let session = reqwest::Client::new()
            .get(world.at("/api/sync/session"))
            .header("cookie", cookie);
        assert_eq!(answered(session).await.0, StatusCode::UNAUTHORIZED);
        assert_eq!(answered(open()).await.0, StatusCode::UNAUTHORIZED);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_push_pokes_those_who_may_see_the_site_and_the_stop_ends_listening() {
    for database in BOTH {
        let world = World::start(database).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let stranger = world.as_stranger(setdown_types::party::Role::Office).await;
        let site = homeowner.site().await;
        let listen = |client: &setdown_tests::clients::Client| {
            client.request(reqwest::Method::GET, "/api/events").send()
        };
        let mut near = listen(&homeowner).await.unwrap().bytes_stream();
        let mut far = listen(&stranger).await.unwrap().bytes_stream();
        near.next().await.unwrap().unwrap();
        far.next().await.unwrap().unwrap();
        seq(&coordinator.push_one(&coordinator.reading(site)).await);
        let poke = tokio::time::timeout(Duration::from_secs(5), near.next())
            .await
            .unwrap()
            .unwrap()
            .unwrap();
        let text = String::from_utf8(poke.to_vec()).unwrap();
        assert!(
            text.contains("event: poke") && text.contains(&site.to_string()),
            "{text}"
        );
        let heard = tokio::time::timeout(Duration::from_millis(400), far.next()).await;
        assert!(heard.is_err(), "another dealer hears nothing");
        world.state.events.stop();
        let end = tokio::time::timeout(Duration::from_secs(5), near.next())
            .await
            .unwrap();
        assert!(end.is_none(), "listening ends with the server");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_office_makes_sites_reads_them_and_sees_its_table_follow() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let (status, catalogue) = office.post("/api/office/catalogue", &json!({})).await;
        assert_eq!(status, StatusCode::OK, "{catalogue}");
        let contact = json!({ "party": "homeowner", "name": "the owner", "phone": "", "email": "",
            "address": "end of the lane", "access_code": "7" });
        let input = json!({ "input": { "site": Uuid::new_v4(), "name": "100% new_site", "time_zone": "America/Denver",
            "spa": catalogue["spas"][0]["digest"], "practice": catalogue["practices"][0]["digest"],
            "contacts": [contact] } });
        let (status, site) = office.post("/api/office/new-site", &input).await;
        assert_eq!(status, StatusCode::OK, "{site}");
        let (status, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        assert_eq!(status, StatusCode::OK, "{view}");
        assert_eq!(view["last_seq"], 2);
        assert_eq!(view["contacts"][0]["access_code"], "7");
        let erase = json!({ "site": site, "id": view["contacts"][0]["id"] });
        assert_eq!(
            office.post("/api/office/erase-contact", &erase).await.0,
            StatusCode::OK
        );
        let search = |text: &str| json!({ "query": { "search": text, "state": null, "order": "score", "descending": true, "page": 0 } });
        let (_, found) = office.post("/api/office/sites", &search("100% NEW_")).await;
        assert_eq!(found["total"], 1, "{found}");
        assert_eq!(found["rows"][0]["summary"]["hold_point"], "order");
        let (_, none) = office.post("/api/office/sites", &search("100%_new")).await;
        assert_eq!(none["total"], 0);
        let point = &view["assessment"]["hold_points"][0];
        let sign = |digest: &serde_json::Value| json!({ "sign": { "site": site, "hold_point": "order", "digest": digest, "name": "me" } });
        let (status, refused) = office
            .post("/api/office/sign", &sign(&point["digest"]))
            .await;
        assert_eq!(status, StatusCode::CONFLICT);
        assert_eq!(refused["type"], "/problems/not-ready");
        let (_, changed) = office.post("/api/office/sign", &sign(&json!("0"))).await;
        assert_eq!(changed["type"], "/problems/changed-since");
        let sheet = |kind: &str| catalogue[kind][0]["digest"].clone();
        let contact = json!({ "party": "homeowner", "name": "", "phone": "1".repeat(61), "email": "",
            "address": "", "access_code": "" });
        let long = json!({ "input": { "site": Uuid::new_v4(), "name": "half a site", "time_zone": "America/Denver",
            "spa": sheet("spas"), "practice": sheet("practices"), "contacts": [contact] } });
        let (status, told) = office.post("/api/office/new-site", &long).await;
        assert_eq!(status, StatusCode::BAD_REQUEST);
        assert!(
            told["detail"]
                .as_str()
                .unwrap_or_default()
                .contains("phone"),
            "{told}"
        );
        let (_, none) = office
            .post("/api/office/sites", &search("half a site"))
            .await;
        assert_eq!(none["total"], 0, "nothing was made");
        let bad = json!({ "input": { "site": Uuid::new_v4(), "name": "x", "time_zone": "Moon/Crater", "spa": "", "practice": "", "contacts": [] } });
        assert_eq!(
            office.post("/api/office/new-site", &bad).await.0,
            StatusCode::BAD_REQUEST
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_table_of_two_thousand_sites_is_searched_ordered_and_paged_at_once() {
    for database in BOTH {
        let world = World::start_with(database, 2000).await;
        let office = world.as_office().await;
        let ask = |search: &str, order: &str, descending: bool, page: u32| {
            json!({ "query": { "search": search, "state": null, "order": order,
                "descending": descending, "page": page } })
        };
        let path = "/api/office/sites";
        let (_, first) = office.post(path, &ask("seeded", "name", false, 0)).await;
        assert_eq!(first["total"], 2000);
        let rows = first["rows"].as_array().unwrap();
        assert_eq!(rows.len(), 50);
        assert_eq!(rows[0]["name"], "Seeded site 0001");
        assert_eq!(rows[49]["name"], "Seeded site 0050");
        let (_, last) = office.post(path, &ask("seeded", "name", false, 39)).await;
        assert_eq!(last["rows"][49]["name"], "Seeded site 2000");
        let (_, beyond) = office.post(path, &ask("seeded", "name", false, 40)).await;
        assert_eq!(beyond["rows"].as_array().unwrap().len(), 0);
        for order in [
            "name",
            "hold_point",
            "state",
            "score",
            "waits_for",
            "last_sync",
        ] {
            let begun = std::time::Instant::now();
            let (status, page) = office.post(path, &ask("", order, true, 3)).await;
            assert_eq!(status, StatusCode::OK, "{order}");
            assert_eq!(page["total"], 2005, "{order}");
            assert!(
                begun.elapsed() < Duration::from_secs(2),
                "{order} {:?}",
                begun.elapsed()
            );
        }
    }
}
