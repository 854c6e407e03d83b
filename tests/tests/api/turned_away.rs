//! What is turned away: messages that cannot be taken, and whoever reaches for what is not theirs.

use reqwest::StatusCode;
use serde_json::json;
use setdown_tests::clients::answered;
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::Intent;
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::Refusal;
use setdown_types::party::Role;
use setdown_types::subject::Subject;
use setdown_types::wire::Verdict;
use uuid::Uuid;

#[tokio::test(flavor = "multi_thread")]
async fn messages_that_cannot_be_taken_are_told_as_problem_details() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let post = |body: String| {
            client
                .request(reqwest::Method::POST, "/api/sync/push")
                .header("content-type", "application/json")
                .body(body)
        };
        let too_many: Vec<String> = (0..201)
            .map(|_| client.reading(site).to_json().unwrap())
            .collect();
        let cases = [
            (post("{".into()), StatusCode::BAD_REQUEST),
            (post(r#"{"protocol":1}"#.into()), StatusCode::BAD_REQUEST),
            (
                post(r#"{"protocol":99,"new":"shape"}"#.into()),
                StatusCode::UPGRADE_REQUIRED,
            ),
            (
                post(" ".repeat(9 * 1024 * 1024)),
                StatusCode::PAYLOAD_TOO_LARGE,
            ),
            (client.push_body(&too_many), StatusCode::BAD_REQUEST),
            (
                client.request(reqwest::Method::GET, "/api/sync/pull"),
                StatusCode::BAD_REQUEST,
            ),
            (
                client.request(reqwest::Method::GET, "/api/nowhere"),
                StatusCode::NOT_FOUND,
            ),
            (
                client.request(reqwest::Method::GET, "/api/sync/push"),
                StatusCode::METHOD_NOT_ALLOWED,
            ),
            (
                client
                    .request(reqwest::Method::POST, "/api/sync/push")
                    .body("{}"),
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
            ),
            (
                client
                    .push_body(&[])
                    .header("origin", "http://elsewhere.example"),
                StatusCode::FORBIDDEN,
            ),
        ];
        for (place, (request, wanted)) in cases.into_iter().enumerate() {
            let answer = answer_read(request).await;
            assert_eq!(answer.status(), wanted, "case {place}");
            assert_eq!(
                answer.headers()["content-type"],
                "application/problem+json",
                "case {place}"
            );
            let problem: serde_json::Value =
                serde_json::from_slice(&answer.bytes().await.unwrap()).unwrap();
            assert_eq!(problem["status"], wanted.as_u16(), "case {place}");
            for member in ["type", "title", "detail"] {
                assert!(
                    problem[member]
                        .as_str()
                        .is_some_and(|text| !text.is_empty()),
                    "case {place}"
                );
            }
        }
        let long = client.reading(site).to_json().unwrap().replace(
            "\"question\":\"trial",
            &format!("\"question\":\"{}", "x".repeat(600 * 1024)),
        );
        assert!(matches!(
            client.push_raw(&[long]).await[0],
            Verdict::Refused(Refusal::Malformed(_))
        ));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn nobody_reaches_another_dealer_or_another_site() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let homeowner = world.as_homeowner().await;
        let own = homeowner.site().await;
        let all = office.sites().await.sites;
        let other = all.iter().find(|card| card.site != own).unwrap().site;
        let pinned = serde_json::to_value(office.pull(own, 0).await).unwrap();
        let digest = pinned["entries"][0]["raw"]["value"]["pin"]
            .as_str()
            .unwrap()
            .to_owned();
        assert_eq!(
            office.get(&format!("/api/sync/documents/{digest}")).await.0,
            StatusCode::OK
        );
        assert_eq!(
            homeowner
                .get(&format!("/api/sync/documents/{digest}"))
                .await
                .0,
            StatusCode::OK
        );
        assert_eq!(homeowner.sites().await.sites.len(), 1);
        let pull = |site: SiteId| format!("/api/sync/pull?site={site}&after=0");
        assert_eq!(homeowner.get(&pull(other)).await.0, StatusCode::NOT_FOUND);
        let stray = homeowner.reading(other);
        assert_eq!(
            homeowner.push_one(&stray).await,
            Verdict::Refused(Refusal::OtherSite)
        );
        for role in [Role::Coordinator, Role::Office] {
            let stranger = world.as_stranger(role).await;
            assert!(
                stranger
                    .sites()
                    .await
                    .sites
                    .iter()
                    .all(|card| all.iter().all(|own| own.site != card.site))
            );
            assert_eq!(stranger.get(&pull(own)).await.0, StatusCode::NOT_FOUND);
            let mut entry = stranger.reading(own);
            assert_eq!(
                stranger.push_one(&entry).await,
                Verdict::Refused(Refusal::OtherSite)
            );
            entry.organisation = office.session.organisation;
            assert_eq!(
                stranger.push_one(&entry).await,
                Verdict::Refused(Refusal::OtherSite)
            );
        }
        let stranger = world.as_stranger(Role::Office).await;
        let office_calls = [
            ("site", json!({ "site": own })),
            ("invite", json!({ "site": own, "name": "x" })),
            (
                "revoke-invitation",
                json!({ "site": own, "invitation": Uuid::new_v4() }),
            ),
            (
                "erase-contact",
                json!({ "site": own, "id": Uuid::new_v4() }),
            ),
            (
                "strike",
                json!({ "strike": { "site": own, "entry": Uuid::new_v4(),
                    "stream": { "subject": Subject::SITE, "question": "site.spa" } } }),
            ),
            (
                "sign",
                json!({ "sign": { "site": own, "hold_point": "order", "digest": "", "name": "x" } }),
            ),
            (
                "answer",
                json!({ "answer": { "site": own, "intent": "first", "replaces": [], "spread": null,
                    "value": { "yes_no": true }, "method": "seen",
                    "stream": { "subject": Subject::SITE, "question": "way.covers" } } }),
            ),
            (
                "save-contact",
                json!({ "site": own, "id": null, "contact": { "party": "homeowner", "name": "x",
                    "phone": "", "email": "", "address": "", "access_code": "" } }),
            ),
        ];
        let coordinator = world.as_coordinator().await;
        for (call, message) in &office_calls {
            let path = format!("/api/office/{call}");
            let (status, _) = stranger.post(&path, message).await;
            assert_eq!(status, StatusCode::NOT_FOUND, "{call}");
            for client in [&homeowner, &coordinator] {
                let (status, _) = client.post(&path, message).await;
                assert_eq!(status, StatusCode::FORBIDDEN, "{call}");
            }
        }
        let (_, sheets) = office.post("/api/office/catalogue", &json!({})).await;
        let practice = &sheets["practices"][0]["digest"];
        let foreign_sheet = format!("/api/sync/documents/{}", practice.as_str().unwrap());
        assert_eq!(stranger.get(&foreign_sheet).await.0, StatusCode::NOT_FOUND);
        let input = json!({ "input": { "site": Uuid::new_v4(), "name": "x", "time_zone": "America/Denver", "contacts": [],
            "spa": sheets["spas"][0]["digest"], "practice": practice } });
        let (status, _) = stranger.post("/api/office/new-site", &input).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "a sheet of another dealer");
        assert_eq!(
            stranger.get(&format!("/api/photos/{digest}")).await.0,
            StatusCode::NOT_FOUND
        );
        let nobody = reqwest::Client::new();
        for path in [
            "/api/sync/session",
            "/api/sync/sites",
            "/api/events",
            &pull(own),
            &format!("/api/photos/{digest}/thumb"),
        ] {
            assert_eq!(
                answered(nobody.get(world.at(path))).await.0,
                StatusCode::UNAUTHORIZED,
                "{path}"
            );
        }
        for path in ["/api/office/sites", "/api/sync/push"] {
            let request = nobody.post(world.at(path)).json(&json!({}));
            assert_eq!(
                answered(request).await.0,
                StatusCode::UNAUTHORIZED,
                "{path}"
            );
        }
    }
}

/// Sends until an answer is read: a server that refuses a body that is too long may close the
/// connection while the client still writes, and then the client sees no answer at all.
async fn answer_read(request: reqwest::RequestBuilder) -> reqwest::Response {
    for _ in 0..20 {
        let again = request.try_clone().expect("a body that can be sent again");
        if let Ok(answer) = again.send().await {
            return answer;
        }
    }
    panic!("no answer in twenty tries");
}

/// 64 is the bound that the format states; one more is refused by itself, and its neighbours in the push are not.
#[tokio::test(flavor = "multi_thread")]
async fn an_entry_replaces_at_most_64_others() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let replacing = |count: usize| {
            let mut entry = client.reading(site);
            entry.intent = Intent::Settle;
            entry.replaces = (0..count).map(|_| EntryId(Uuid::now_v7())).collect();
            entry
        };
        let verdicts = client
            .push(&[replacing(64), replacing(65), client.reading(site)])
            .await;
        let [at_most, too_many, other] = verdicts.as_slice() else {
            panic!("{verdicts:?}");
        };
        assert_eq!(at_most, &Verdict::Held, "it waits for what it builds on");
        assert!(
            matches!(too_many, Verdict::Refused(Refusal::Malformed(_))),
            "{too_many:?}"
        );
        assert!(matches!(other, Verdict::Accepted(_)), "{other:?}");
    }
}
