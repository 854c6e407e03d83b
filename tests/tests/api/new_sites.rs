//! New sites: whole or not at all, and one for each id, however often it is asked for.

use futures::future::join_all;
use reqwest::StatusCode;
use serde_json::{Value as Json, json};
use setdown_tests::clients::Client;
use setdown_tests::server::{BOTH, World};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;
use sqlx::{AnyConnection, AssertSqlSafe, Connection};
use uuid::Uuid;

fn drawn() -> SiteId {
    SiteId(Uuid::new_v4())
}

/// What the form sends, with one contact.
async fn input(office: &Client, site: SiteId, name: &str) -> Json {
    let (_, sheets) = office.post("/api/office/catalogue", &json!({})).await;
    let digest = |kind: &str| sheets[kind][0]["digest"].clone();
    let contact = json!({ "party": "homeowner", "name": format!("owner of {name}"), "phone": "",
        "email": "", "address": "", "access_code": "" });
    json!({ "input": { "site": site, "name": name, "time_zone": "America/Denver",
        "spa": digest("spas"), "practice": digest("practices"), "contacts": [contact] } })
}

/// How many sites there are of this name.
async fn named(office: &Client, name: &str) -> Json {
    let query = json!({ "query": { "search": name, "state": null, "order": "name",
        "descending": false, "page": 0 } });
    let (_, found) = office.post("/api/office/sites", &query).await;
    found["total"].clone()
}

async fn view(office: &Client, site: SiteId) -> Json {
    let asked = json!({ "site": site });
    let (status, view) = office.post("/api/office/site", &asked).await;
    assert_eq!(status, StatusCode::OK, "{view}");
    view
}

async fn assert_whole(office: &Client, site: SiteId, name: &str) {
    let view = view(office, site).await;
    assert_eq!(view["name"], name);
    assert_eq!(view["last_seq"], 2, "both pins: {view}");
    let contacts = view["contacts"].as_array().expect("a list");
    assert_eq!(contacts.len(), 1, "{view}");
    assert_eq!(contacts[0]["name"], format!("owner of {name}"));
    assert_eq!(named(office, name).await, 1);
}

/// The tables that pins and contacts go into fail one after the other, as they would where the program ends in between.
#[tokio::test(flavor = "multi_thread")]
async fn a_site_that_could_not_be_made_whole_is_not_there_and_asking_again_makes_one() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let mut connection = AnyConnection::connect(&world.database_url).await.unwrap();
        for table in ["entries", "contacts"] {
            let name = format!("cut off at {table}");
            let site = drawn();
            let message = input(&office, site, &name).await;
            for (from, to) in [(table, "away"), ("away", table)] {
                let rename = format!("ALTER TABLE {from} RENAME TO {to}");
                sqlx::query(AssertSqlSafe(rename))
                    .execute(&mut connection)
                    .await
                    .unwrap();
                if to == "away" {
                    let (status, problem) = office.post("/api/office/new-site", &message).await;
                    assert!(status.is_server_error(), "{database:?} {problem}");
                }
            }
            assert_eq!(named(&office, &name).await, 0, "{database:?}: half a site");
            let (status, made) = office.post("/api/office/new-site", &message).await;
            assert_eq!(status, StatusCode::OK, "{made}");
            assert_eq!(made, json!(site));
            assert_whole(&office, site, &name).await;
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn asked_for_again_or_many_times_at_once_there_is_one_site() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = drawn();
        let message = input(&office, site, "asked for often").await;
        let asked = (0..6).map(|_| office.post("/api/office/new-site", &message));
        for (status, made) in join_all(asked).await {
            assert_eq!(status, StatusCode::OK, "{database:?} {made}");
            assert_eq!(made, json!(site));
        }
        let (status, made) = office.post("/api/office/new-site", &message).await;
        assert_eq!((status, made), (StatusCode::OK, json!(site)));
        assert_whole(&office, site, "asked for often").await;
    }
}

/// The same id at another dealer is another site: neither is told of or touched.
#[tokio::test(flavor = "multi_thread")]
async fn the_id_of_another_dealers_site_tells_nothing_of_it() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let stranger = world.as_stranger(Role::Office).await;
        let site = drawn();
        let ours = input(&office, site, "ours").await;
        assert_eq!(
            office.post("/api/office/new-site", &ours).await.0,
            StatusCode::OK
        );
        let before = view(&office, site).await;
        let theirs = input(&stranger, site, "theirs").await;
        let (status, made) = stranger.post("/api/office/new-site", &theirs).await;
        assert_eq!((status, made), (StatusCode::OK, json!(site)));
        assert_whole(&stranger, site, "theirs").await;
        assert_whole(&office, site, "ours").await;
        let after = view(&office, site).await;
        assert_eq!(after["records"], before["records"], "{database:?}");
        assert_eq!(after["contacts"], before["contacts"], "{database:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_id_that_names_nothing_and_a_name_that_is_too_long_make_no_site() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let longest = "x".repeat(200);
        for (site, name) in [
            (SiteId::NIL, "nobody's"),
            (drawn(), &*format!("{longest}x")),
        ] {
            let message = input(&office, site, name).await;
            let (status, problem) = office.post("/api/office/new-site", &message).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{database:?} {problem}");
            assert_eq!(problem["type"], "/problems/cannot-be-read");
        }
        let (site, mut message) = (drawn(), input(&office, drawn(), "x").await);
        message["input"]["site"] = json!(site);
        message["input"]["name"] = json!(longest);
        let (status, made) = office.post("/api/office/new-site", &message).await;
        assert_eq!(status, StatusCode::OK, "{made}");
    }
}

/// An answer that was lost, a form that was changed and sent again: what was changed is not told as done.
#[tokio::test(flavor = "multi_thread")]
async fn sent_again_with_something_changed_it_is_not_told_as_done() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = drawn();
        let first = input(&office, site, "sent twice").await;
        let (status, made) = office.post("/api/office/new-site", &first).await;
        assert_eq!(status, StatusCode::OK, "{made}");
        let changes: [(&str, Json); 5] = [
            ("name", json!("sent otherwise")),
            ("time_zone", json!("America/Chicago")),
            ("contacts", {
                let mut contacts = first["input"]["contacts"].clone();
                contacts[0]["phone"] = json!("by the side door");
                contacts
            }),
            ("contacts", {
                let contact = first["input"]["contacts"][0].clone();
                json!([contact, contact])
            }),
            ("contacts", json!([])),
        ];
        for (field, value) in changes {
            let mut again = first.clone();
            again["input"][field] = value;
            let (status, problem) = office.post("/api/office/new-site", &again).await;
            assert_eq!(
                status,
                StatusCode::CONFLICT,
                "{database:?} {field} {problem}"
            );
            assert_eq!(problem["type"], "/problems/site-there");
            let told = problem["detail"].as_str().expect("words");
            assert!(told.contains("'sent twice'") && told.contains("open that site"));
            assert_whole(&office, site, "sent twice").await;
        }
        // Spaces around it are no change.
        let mut same = first.clone();
        same["input"]["name"] = json!(" sent twice ");
        let (status, made) = office.post("/api/office/new-site", &same).await;
        assert_eq!(
            (status, made),
            (StatusCode::OK, json!(site)),
            "{database:?}"
        );
    }
}

/// The form takes as much of each text as the server keeps, and no more.
#[tokio::test(flavor = "multi_thread")]
async fn a_contact_keeps_texts_as_long_as_its_form_takes_them() {
    use setdown_app::office::messages::{
        LONGEST_ACCESS_CODE, LONGEST_ADDRESS, LONGEST_CONTACT_NAME, LONGEST_EMAIL, LONGEST_PHONE,
    };
    let world = World::start(BOTH[0]).await;
    let office = world.as_office().await;
    for (field, longest) in [
        ("name", LONGEST_CONTACT_NAME),
        ("phone", LONGEST_PHONE),
        ("email", LONGEST_EMAIL),
        ("address", LONGEST_ADDRESS),
        ("access_code", LONGEST_ACCESS_CODE),
    ] {
        for (length, status) in [
            (longest, StatusCode::OK),
            (longest + 1, StatusCode::BAD_REQUEST),
        ] {
            let mut message = input(&office, drawn(), "long texts").await;
            message["input"]["contacts"][0][field] = json!("é".repeat(length));
            let (answered, told) = office.post("/api/office/new-site", &message).await;
            assert_eq!(answered, status, "{field} of {length}: {told}");
        }
    }
}
