//! Who writes what: every role, every kind and every question of the table.

use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, World};
use setdown_types::entry::{Entry, EntryKind, Intent, Payload};
use setdown_types::ids::{SiteId, SubjectId};
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
            digest: setdown_types::digest::digest_hex(b"{}"),
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
