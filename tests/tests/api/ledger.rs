//! Pushes and pulls: rights, retries, refusals, holding, unknown kinds, seqs, redaction.

use reqwest::StatusCode;
use serde_json::json;
use setdown_tests::clients::{Client, answered, seq};
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::{Entry, EntryKind, Intent, Payload};
use setdown_types::ids::{EntryId, SiteId, SubjectId};
use setdown_types::ledger::Refusal;
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Attestation, PhotoRef, Signature, Value};
use setdown_types::wire::Verdict;
use uuid::Uuid;

const ROLES: [Role; 3] = [Role::Coordinator, Role::Homeowner, Role::Office];

/// The rights as the project's issue and product.md state them, written out once more by hand.
fn expected(role: Role, kind: EntryKind) -> bool {
    let row = match role {
        Role::Coordinator => "reading photo note subject attestation signature settlement strike",
        Role::Homeowner => "reading photo note subject strike",
        Role::Office => {
            "reading photo note subject attestation signature settlement pin strike redaction"
        }
    };
    let word = serde_json::to_value(kind).expect("a word");
    row.split(' ').any(|allowed| word == allowed)
}

fn value(kind: EntryKind) -> Payload {
    let date = jiff::civil::date(2026, 11, 25);
    Payload::Known(match kind {
        EntryKind::Photo => Value::Photo(PhotoRef {
            sha256: "0".repeat(64),
            media_type: "image/png".into(),
            width: 1,
            height: 1,
            bytes: 1,
        }),
        EntryKind::Note => Value::Text("a note".into()),
        EntryKind::Attestation => Value::Attestation(Attestation {
            person: "an engineer".into(),
            licence: "number 1".into(),
            document: "letter".into(),
            date,
        }),
        EntryKind::Signature => Value::Signature(Signature {
            hold_point: "order".into(),
            digest: String::new(),
            rules: "1".into(),
            spa: String::new(),
            practice: String::new(),
            date,
            name: "somebody".into(),
            findings: "{}".into(),
        }),
        EntryKind::Pin => Value::Pin("0".repeat(64)),
        EntryKind::Strike | EntryKind::Redaction => return Payload::Nothing,
        _ => Value::Count(3),
    })
}

/// A thing whose naming question this role may answer.
fn nameable(role: Role) -> Option<(Subject, &'static str)> {
    SubjectKind::ADDED.into_iter().find_map(|kind| {
        let question = kind.present_question()?;
        question::find(question)?
            .may_answer(role)
            .then(|| (Subject::new(kind, SubjectId(Uuid::new_v4())), question))
    })
}

async fn of_kind(client: &Client, site: SiteId, kind: EntryKind) -> Option<Entry> {
    let mut entry = client.reading(site);
    entry.payload = value(kind);
    entry.intent = match kind {
        EntryKind::Strike => Intent::Strike,
        EntryKind::Redaction => Intent::Redact,
        EntryKind::Settlement => Intent::Settle,
        _ => Intent::First,
    };
    if entry.intent != Intent::First {
        let target = client.reading(site);
        seq(&client.push_one(&target).await);
        entry.subject = target.subject;
        entry.replaces = vec![target.id];
    }
    if kind == EntryKind::Subject {
        let (subject, question) = nameable(client.session.role)?;
        entry.subject = subject;
        entry.question = question.to_owned();
        entry.payload = Payload::Known(Value::Text("side gate".into()));
    }
    assert_eq!(entry.kind(), kind);
    Some(entry)
}

#[tokio::test(flavor = "multi_thread")]
async fn every_role_writes_the_kinds_it_may_and_no_other() {
    for database in BOTH {
        let world = World::start(database).await;
        for role in ROLES {
            let client = world.as_role(role).await;
            let site = client.site().await;
            for kind in EntryKind::ALL {
                let Some(entry) = of_kind(&client, site, kind).await else {
                    continue;
                };
                let verdict = client.push_one(&entry).await;
                if expected(role, kind) {
                    assert!(
                        matches!(verdict, Verdict::Accepted(_)),
                        "{role:?} {kind:?} {verdict:?}"
                    );
                } else {
                    assert_eq!(
                        verdict,
                        Verdict::Refused(Refusal::NotAllowed),
                        "{role:?} {kind:?}"
                    );
                }
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_question_is_answered_only_by_whom_the_table_names() {
    for database in BOTH {
        let world = World::start(database).await;
        for role in ROLES {
            let client = world.as_role(role).await;
            let site = client.site().await;
            let questions: Vec<_> = question::all().collect();
            assert!(questions.len() > 50, "the table is not empty");
            for piece in questions.chunks(150) {
                let entries: Vec<Entry> = piece
                    .iter()
                    .map(|question| {
                        let subject = Subject::new(question.subject, SubjectId(Uuid::new_v4()));
                        client.entry(site, subject, question.key, Value::DontKnow)
                    })
                    .collect();
                let verdicts = client.push(&entries).await;
                for (question, verdict) in piece.iter().zip(verdicts) {
                    let accepted = matches!(verdict, Verdict::Accepted(_));
                    let named = question.who.contains(&role);
                    assert_eq!(accepted, named, "{role:?} {} {verdict:?}", question.key);
                }
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_retry_is_harmless_and_bad_entries_hold_up_nobody() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let good = client.reading(site);
        let raw = good.to_json().unwrap();
        let later = client.reading(site).to_json().unwrap();
        let bad = r#"{"id":"nonsense"}"#.to_owned();
        let verdicts = client.push_raw(&[raw.clone(), bad, later]).await;
        let first = seq(&verdicts[0]);
        assert!(matches!(
            verdicts[1],
            Verdict::Refused(Refusal::Malformed(_))
        ));
        assert_eq!(seq(&verdicts[2]), first + 1);
        let again = client
            .push_raw(&[raw.clone(), raw.replace("\"count\":7", "\"count\":8")])
            .await;
        assert!(matches!(again[0], Verdict::Duplicate(_)) && seq(&again[0]) == first);
        assert_eq!(again[1], Verdict::Refused(Refusal::OtherBytes));
        let mut other = client.reading(site);
        other.author = setdown_types::ids::PersonId(Uuid::new_v4());
        assert_eq!(
            client.push_one(&other).await,
            Verdict::Refused(Refusal::NotYours)
        );
        let mut posing = client.reading(site);
        posing.role = Role::Office;
        assert_eq!(
            client.push_one(&posing).await,
            Verdict::Refused(Refusal::NotYours)
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn held_entries_are_released_by_what_they_wait_for() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let before = client.pull(site, 0).await.last_seq;
        let first = client.reading(site);
        let follow = |parent: &Entry| {
            let mut entry = client.reading(site);
            entry.subject = first.subject;
            entry.intent = Intent::Correct;
            entry.replaces = vec![parent.id];
            entry
        };
        let (second, third);
        second = follow(&first);
        third = follow(&second);
        assert_eq!(client.push_one(&third).await, Verdict::Held);
        assert_eq!(client.push_one(&second).await, Verdict::Held);
        assert_eq!(client.pull(site, 0).await.last_seq, before);
        assert_eq!(seq(&client.push_one(&first).await), before + 1);
        let page = client.pull(site, before).await;
        let ids: Vec<EntryId> = page
            .entries
            .iter()
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        assert_eq!(ids, [first.id, second.id, third.id]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_newer_phone_wrote_is_kept_and_forwarded_byte_for_byte() {
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let raw = client
            .reading(site)
            .to_json()
            .unwrap()
            .replace(
                r#""value":{"count":7}"#,
                r#""value": {"hologram": [1.50, "é\u0000x"]}, "later":  true"#,
            )
            .replace(r#""schema":1"#, r#""schema":9"#);
        assert!(raw.contains("hologram"));
        let before = client.pull(site, 0).await.last_seq;
        assert!(matches!(
            client.push_raw(std::slice::from_ref(&raw)).await[0],
            Verdict::Accepted(_)
        ));
        let page = world.as_office().await.pull(site, before).await;
        assert_eq!(page.entries[0].raw.get(), raw);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn seqs_have_no_gaps_when_many_push_at_once() {
    for database in BOTH {
        let world = World::start(database).await;
        let site = world.as_coordinator().await.site().await;
        let before = world.as_coordinator().await.pull(site, 0).await.last_seq;
        let mut tasks = Vec::new();
        for _ in 0..6 {
            let client = world.as_coordinator().await;
            tasks.push(tokio::spawn(async move {
                let mut seqs = Vec::new();
                for _ in 0..5 {
                    let entries: Vec<Entry> = (0..4).map(|_| client.reading(site)).collect();
                    seqs.extend(client.push(&entries).await.iter().map(seq));
                }
                seqs
            }));
        }
        let mut seqs = Vec::new();
        for task in tasks {
            seqs.extend(task.await.unwrap());
        }
        seqs.sort_unstable();
        let wanted: Vec<u64> = (before + 1..=before + 120).collect();
        assert_eq!(seqs, wanted, "{database:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_redaction_takes_the_content_out_of_the_server() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let mut told = office.reading(site);
        told.payload = Payload::Known(Value::Text("the code is 4711".into()));
        let raw = told.to_json().unwrap();
        let first = seq(&office.push_one(&told).await);
        let mut redaction = office.reading(site);
        redaction.intent = Intent::Redact;
        redaction.payload = Payload::Nothing;
        redaction.replaces = vec![told.id];
        seq(&office.push_one(&redaction).await);
        let page = office.pull(site, 0).await;
        let stub = page
            .entries
            .iter()
            .find(|pulled| pulled.acceptance.seq == first)
            .unwrap();
        assert_eq!(Entry::from_json(stub.raw.get()).unwrap().id, told.id);
        assert!(
            page.entries
                .iter()
                .all(|pulled| !pulled.raw.get().contains("4711"))
        );
        let again = office.push_raw(&[raw]).await;
        assert!(matches!(again[0], Verdict::Duplicate(_)));
        assert!(
            !office
                .pull(site, 0)
                .await
                .entries
                .iter()
                .any(|pulled| pulled.raw.get().contains("4711"))
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_are_bounded_and_the_last_names_the_digest_of_the_fold() {
    use setdown_types::ledger::{Record, Standing, fold, ledger_digest};
    for database in BOTH {
        let world = World::start(database).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        for _ in 0..3 {
            let entries: Vec<Entry> = (0..180).map(|_| client.reading(site)).collect();
            client.push(&entries).await;
        }
        let (mut records, mut after, mut pages) = (Vec::new(), 0, 0);
        let digest = loop {
            let page = client.pull(site, after).await;
            assert!(page.entries.len() <= 500);
            pages += 1;
            for pulled in page.entries {
                after = pulled.acceptance.seq;
                records.push(Record {
                    entry: Entry::from_json(pulled.raw.get()).unwrap(),
                    raw: pulled.raw.get().to_owned(),
                    standing: Standing::Accepted(pulled.acceptance),
                });
            }
            match page.digest {
                Some(digest) if !page.more => break digest,
                found => assert!(found.is_none() && page.more),
            }
        };
        assert_eq!(pages, 2);
        assert_eq!(digest, ledger_digest(&fold(&records)));
    }
}

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
        let input = json!({ "input": { "name": "x", "time_zone": "America/Denver", "contacts": [],
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
