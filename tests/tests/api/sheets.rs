//! What a site is pinned to and what is signed: only sheets that are there, only findings that are carried.

use jiff::civil::date;
use reqwest::StatusCode;
use serde_json::{Value as Json, json};
use setdown_server::summary;
use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, World};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::SiteId;
use setdown_types::ledger::Refusal;
use setdown_types::party::Role;
use setdown_types::subject::Subject;
use setdown_types::value::{Signature, Value};
use setdown_types::wire::Verdict;
use sqlx::{AnyConnection, Connection};

/// An answer about the site in place of what stands for `question`.
async fn instead(client: &Client, site: SiteId, question: &str, value: Value) -> Entry {
    let (_, view) = client
        .post("/api/office/site", &json!({ "site": site }))
        .await;
    let standing = view["records"].as_array().into_iter().flatten();
    let raws = standing.filter_map(|record| Entry::from_json(record["raw"].as_str()?).ok());
    let before: Vec<Entry> = raws.filter(|entry| entry.question == question).collect();
    let mut entry = client.entry(site, Subject::SITE, question, value);
    if let Some(last) = before.last() {
        entry.intent = Intent::Changed;
        entry.replaces = vec![last.id];
    }
    entry
}

async fn sheets(office: &Client) -> (Vec<String>, String) {
    let (_, catalogue) = office.post("/api/office/catalogue", &json!({})).await;
    let digest = |sheet: &Json| sheet["digest"].as_str().unwrap().to_owned();
    let spas = catalogue["spas"].as_array().unwrap().iter().map(digest);
    (spas.collect(), digest(&catalogue["practices"][0]))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_site_is_pinned_only_to_a_sheet_of_that_kind_that_is_there() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let (spas, practice) = sheets(&office).await;
        let nowhere = digest_hex(b"no such sheet");
        for (question, digest) in [
            ("site.spa", nowhere.as_str()),
            ("site.spa", practice.as_str()),
            ("site.practice", spas[0].as_str()),
            ("site.practice", "a\0b"),
        ] {
            let value = Value::Pin(digest.to_owned());
            let pin = instead(&office, site, question, value.clone()).await;
            let refused = Verdict::Refused(Refusal::NoSuchSheet);
            assert_eq!(
                office.push_one(&pin).await,
                refused,
                "{database:?} {digest}"
            );
            let answer = json!({ "answer": { "site": site, "intent": "changed", "spread": null,
                "replaces": pin.replaces, "value": value, "method": "document",
                "stream": { "subject": Subject::SITE, "question": question } } });
            let (status, problem) = office.post("/api/office/answer", &answer).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{problem}");
            let told = problem["detail"].as_str().unwrap_or_default();
            assert!(told.contains("no such sheet"), "{problem}");
        }
        for (question, digest) in [("site.spa", &spas[1]), ("site.practice", &practice)] {
            let value = Value::Pin(digest.clone());
            seq(&office
                .push_one(&instead(&office, site, question, value).await)
                .await);
        }
        let (_, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        assert_eq!(view["assessment"]["spa"], spas[1].as_str());
    }
}

/// A ledger from before such pins were refused.
#[tokio::test(flavor = "multi_thread")]
async fn no_other_sheet_stands_in_for_one_that_is_missing() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let (spas, _) = sheets(&office).await;
        let (_, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        let other = spas
            .iter()
            .find(|spa| view["assessment"]["spa"] != spa.as_str());
        let other = other.unwrap();
        let pin = instead(&office, site, "site.spa", Value::Pin(other.clone())).await;
        let mut pokes = world.state.events.listen();
        seq(&office.push_one(&pin).await);
        pokes.recv().await.expect("its summary is there");
        let mut connection = AnyConnection::connect(&world.database_url).await.unwrap();
        sqlx::query("DELETE FROM documents WHERE digest = $1")
            .bind(other)
            .execute(&mut connection)
            .await
            .unwrap();
        let organisation = office.session.organisation;
        summary::refresh(&world.state.store, organisation, site)
            .await
            .unwrap();
        let (status, problem) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        assert_eq!(status, StatusCode::CONFLICT, "{database:?} {problem}");
        assert_eq!(problem["type"], "/problems/no-sheet");
        let told = problem["detail"].as_str().unwrap_or_default();
        assert!(told.contains("spa sheet"), "{problem}");
        let query = json!({ "query": { "search": "", "state": "unmeasured", "order": "name",
            "descending": false, "page": 0 } });
        let (_, table) = office.post("/api/office/sites", &query).await;
        let rows = table["rows"].as_array().unwrap();
        let row = rows.iter().find(|row| row["site"] == json!(site)).unwrap();
        assert_eq!(row["summary"]["score"], 0, "{row}");
        assert_eq!(row["summary"]["waits_for"], "office", "{row}");
        // Which one it is, and what another pin replaces, is told to this dealer's office alone.
        let asked = json!({ "site": site });
        let (status, told) = office.post("/api/office/missing-sheets", &asked).await;
        assert_eq!(status, StatusCode::OK, "{told}");
        let missing = json!([{ "question": "site.spa", "digest": other, "replaces": [pin.id] }]);
        assert_eq!(told["missing"], missing, "{database:?}");
        let stranger = world.as_stranger(Role::Office).await;
        let (status, _) = stranger.post("/api/office/missing-sheets", &asked).await;
        assert_eq!(status, StatusCode::NOT_FOUND);
        let coordinator = world.as_coordinator().await;
        let (status, _) = coordinator.post("/api/office/missing-sheets", &asked).await;
        assert_eq!(status, StatusCode::FORBIDDEN);
        // Another pin puts it right.
        let sound = spas.iter().find(|spa| *spa != other).unwrap();
        let answer = json!({ "answer": { "site": site, "intent": "changed", "spread": null,
            "replaces": told["missing"][0]["replaces"], "value": Value::Pin(sound.clone()),
            "method": "document",
            "stream": { "subject": Subject::SITE, "question": "site.spa" } } });
        let (status, written) = office.post("/api/office/answer", &answer).await;
        assert_eq!(status, StatusCode::OK, "{written}");
        let (_, told) = office.post("/api/office/missing-sheets", &asked).await;
        assert_eq!(told["missing"], json!([]));
        let (status, _) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        assert_eq!(status, StatusCode::OK);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_signature_has_to_carry_the_findings_that_it_names() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let (_, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        let shown = view["assessment"]["hold_points"][0]["digest"]
            .as_str()
            .unwrap();
        let signature = |digest: &str, findings: &str| {
            Value::Signature(Signature {
                hold_point: "order".into(),
                digest: digest.to_owned(),
                rules: "1".into(),
                spa: String::new(),
                practice: String::new(),
                date: date(2026, 11, 25),
                name: "somebody".into(),
                findings: findings.to_owned(),
            })
        };
        for (digest, findings) in [(shown, "{}"), ("", "{}"), (&*digest_hex(b"{}"), "{ }")] {
            let value = signature(digest, findings);
            let entry = office.entry(site, Subject::SITE, "sign.order", value);
            let refused = Verdict::Refused(Refusal::OtherFindings);
            assert_eq!(office.push_one(&entry).await, refused, "{database:?}");
        }
        let (_, view) = office
            .post("/api/office/site", &json!({ "site": site }))
            .await;
        assert_eq!(
            view["assessment"]["hold_points"][0]["signature"],
            Json::Null
        );
        let value = signature(&digest_hex(b"{}"), "{}");
        let entry = office.entry(site, Subject::SITE, "sign.order", value);
        seq(&office.push_one(&entry).await);
    }
}
