//! A database of an earlier version: what it holds is brought along by the migrations.

use std::path::Path;

use setdown_server::settings::DataSettings;
use setdown_server::state::AppState;
use setdown_tests::clients::seq;
use setdown_tests::server::{BOTH, database};
use setdown_types::admission::{Arrival, Writer, raw_digest};
use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId, SubjectId};
use setdown_types::ledger::{Refusal, Standing};
use setdown_types::party::Role;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;
use sqlx::migrate::Migrator;
use sqlx::{AnyConnection, AssertSqlSafe, Connection, Row};
use uuid::Uuid;

const ORGANISATION: OrganisationId = OrganisationId(Uuid::from_u128(1));
const SITE: SiteId = SiteId(Uuid::from_u128(2));
const WRITER: Writer = Writer {
    person: PersonId(Uuid::from_u128(3)),
    role: Role::Coordinator,
    organisation: ORGANISATION,
    site: None,
};

fn entry(id: u128, replaces: &[u128]) -> Entry {
    Entry {
        id: EntryId(Uuid::from_u128(id)),
        organisation: ORGANISATION,
        site: SITE,
        subject: Subject::new(SubjectKind::Opening, SubjectId(Uuid::from_u128(9))),
        question: "trial.count".into(),
        payload: Payload::Known(Value::Count(7)),
        spread: None,
        method: Method::Tape,
        intent: match replaces {
            [] => Intent::First,
            _ => Intent::Correct,
        },
        replaces: replaces
            .iter()
            .map(|id| EntryId(Uuid::from_u128(*id)))
            .collect(),
        author: WRITER.person,
        role: WRITER.role,
        device: DeviceId(Uuid::from_u128(4)),
        stamp: Stamp {
            wall: 0,
            boot: BootId::NIL,
            monotonic: 0,
            counter: 1,
        },
        schema: SCHEMA,
    }
}

/// A database as the first migration alone makes it, with one site.
async fn first_version(url: &str, folder: &Path) -> AnyConnection {
    let migrations = folder.join("migrations");
    std::fs::create_dir(&migrations).unwrap();
    let first = "0001_first.sql";
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../migrations");
    std::fs::copy(from.join(first), migrations.join(first)).unwrap();
    sqlx::any::install_default_drivers();
    let mut connection = AnyConnection::connect(url).await.unwrap();
    let migrator = Migrator::new(migrations.as_path()).await.unwrap();
    migrator.run(&mut connection).await.unwrap();
    for sql in [
        format!(
            "INSERT INTO organisations (id, name, created_at) VALUES ('{ORGANISATION}', 'a dealer', 0)"
        ),
        format!(
            "INSERT INTO sites (organisation, id, name, name_folded, time_zone, spa, practice, last_seq, created_at, \
             summary_seq) VALUES ('{ORGANISATION}', '{SITE}', 'a site', 'a site', 'America/Denver', '', '', 0, 0, 0)"
        ),
        "INSERT INTO sign_in_attempts (sign_in_hash, failures, blocked_until) VALUES ('0', 9, 5)"
            .into(),
    ] {
        sqlx::query(AssertSqlSafe(sql))
            .execute(&mut connection)
            .await
            .unwrap();
    }
    connection
}

async fn insert(
    connection: &mut AnyConnection,
    entry: &Entry,
    standing: &str,
    refusal: Option<&str>,
) {
    let raw = entry.to_json().unwrap();
    sqlx::query(
        "INSERT INTO entries (organisation, site, id, raw, digest, received_at, standing, refusal) \
         VALUES ($1, $2, $3, $4, $5, 0, $6, $7)",
    )
    .bind(ORGANISATION.to_string())
    .bind(SITE.to_string())
    .bind(entry.id.to_string())
    .bind(&raw)
    .bind(raw_digest(&raw))
    .bind(standing)
    .bind(refusal)
    .execute(connection)
    .await
    .unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_held_is_released_and_what_was_quoted_is_gone() {
    for kind in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let url = database(kind, folder.path()).await;
        let mut connection = first_version(&url, folder.path()).await;
        insert(&mut connection, &entry(11, &[10]), "held", None).await;
        let quoted = r#"{"malformed":"unknown variant `gate code 4711`"}"#;
        insert(&mut connection, &entry(12, &[]), "refused", Some(quoted)).await;
        insert(
            &mut connection,
            &entry(13, &[]),
            "refused",
            Some(r#""not_allowed""#),
        )
        .await;
        let settings = DataSettings {
            database_url: Some(url),
            ..DataSettings::under(folder.path())
        };
        let state = AppState::open_data(&settings, "http://127.0.0.1")
            .await
            .unwrap();
        let arrival = Arrival {
            device: DeviceId(Uuid::from_u128(4)),
            boot: BootId::NIL,
            monotonic: 0,
            received_at: 1,
        };
        let push = async |entry: &Entry| {
            let raw = entry.to_json().unwrap();
            let verdicts = state.push(&WRITER, &arrival, &[&raw]).await.unwrap();
            verdicts[0].verdict.clone()
        };
        assert_eq!(seq(&push(&entry(10, &[])).await), 1);
        assert_eq!(seq(&push(&entry(11, &[10])).await), 2, "{kind:?}");
        let records = state.store.records(ORGANISATION, SITE, 2).await.unwrap();
        let refusals: Vec<&Refusal> = records
            .iter()
            .filter_map(|record| match &record.standing {
                Standing::Refused(refusal) => Some(refusal),
                _ => None,
            })
            .collect();
        assert_eq!(refusals.len(), 2, "{kind:?}");
        let [Refusal::Malformed(told), Refusal::NotAllowed] = refusals[..] else {
            panic!("{refusals:?}");
        };
        assert!(!told.contains("4711"), "{told}");
        let attempts = sqlx::query("SELECT failed_at FROM sign_in_attempts")
            .fetch_one(&mut connection)
            .await
            .unwrap();
        assert_eq!(attempts.get::<i64, _>("failed_at"), 0);
        assert_eq!(
            state
                .store
                .forget_old_attempts(10_000_000_000)
                .await
                .unwrap(),
            1
        );
    }
}
