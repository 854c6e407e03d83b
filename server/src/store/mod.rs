//! The store: one SQL text over SQLite and PostgreSQL through sqlx's `Any`.
//!
//! `$n` parameters; no type or clause that only one of the two knows. One file per table or
//! group of tables; this one opens the database and begins write transactions.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use setdown_types::ids::{OrganisationId, SiteId};
use sqlx::any::{AnyPoolOptions, AnyRow};
use sqlx::{Any, AnyPool, Connection, Row, Transaction};
use tokio::sync::{Mutex, OwnedMutexGuard};
use uuid::Uuid;

use crate::error::ServerError;

pub mod attempts;
pub mod contacts;
pub mod documents;
pub mod invitations;
pub mod ledger;
pub mod new_sites;
pub mod people;
pub mod photos;
pub mod sessions;
pub mod sites;
mod touched;
pub(crate) mod waiting;

/// The migrations, built into the program.
static MIGRATIONS: sqlx::migrate::Migrator = sqlx::migrate!("../migrations");

/// How many connections the pool opens at most.
const CONNECTIONS: u32 = 10;
/// How long a caller waits for a connection before it is told so.
const ACQUIRE: Duration = Duration::from_secs(10);

/// Which database stands behind the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Database {
    /// A file; one writer at a time.
    Sqlite,
    /// A server; rows are locked.
    Postgres,
}

/// The database and what is needed to write to it in turn.
#[derive(Debug, Clone)]
pub struct Store {
    pool: AnyPool,
    database: Database,
    /// SQLite lets one writer in: waiting here is fair, waiting at the file is not.
    turn: Arc<Mutex<()>>,
}

/// A write transaction that holds one site's row: nothing else changes this site meanwhile.
pub struct SiteWrite {
    /// The transaction.
    pub transaction: Transaction<'static, Any>,
    /// The highest seq given out before it.
    pub last_seq: u64,
    _turn: Option<OwnedMutexGuard<()>>,
}

/// A write transaction that holds no site.
pub struct Write {
    /// The transaction.
    pub transaction: Transaction<'static, Any>,
    _turn: Option<OwnedMutexGuard<()>>,
}

impl Store {
    /// Opens the database at `url` (`sqlite://…` or `postgres://…`) and brings its tables up to
    /// date.
    ///
    /// # Errors
    /// [`ServerError::Setting`] for a URL of another kind; otherwise what the database says.
    pub async fn open(url: &str) -> Result<Self, ServerError> {
        sqlx::any::install_default_drivers();
        let database = Database::of(url)?;
        let pool = AnyPoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(ACQUIRE)
            .after_connect(move |connection, _| {
                Box::pin(async move {
                    if database == Database::Sqlite {
                        for pragma in SQLITE_PRAGMAS {
                            sqlx::query(pragma).execute(&mut *connection).await?;
                        }
                    }
                    Ok(())
                })
            })
            .connect(url)
            .await?;
        MIGRATIONS.run(&pool).await?;
        Ok(Self {
            pool,
            database,
            turn: Arc::new(Mutex::new(())),
        })
    }

    /// The URL of a SQLite file.
    pub fn sqlite_url(path: &Path) -> String {
        format!("sqlite://{}?mode=rwc", path.display())
    }

    /// Which database this is.
    pub const fn database(&self) -> Database {
        self.database
    }

    /// The pool, for reads.
    pub(crate) const fn pool(&self) -> &AnyPool {
        &self.pool
    }

    /// Folds SQLite's log back into the file and empties it: what was taken out of the file stands in the log until then.
    /// Where somebody reads or writes meanwhile it does not wait for them; the next time does it. Its connection is its
    /// own and goes with it: no other statement meets its impatience, also where this is given up half-way.
    pub async fn empty_log(&self) -> Result<(), ServerError> {
        if self.database != Database::Sqlite {
            return Ok(());
        }
        let mut connection = self.pool.acquire().await?.detach();
        for pragma in ["PRAGMA busy_timeout = 0", "PRAGMA wal_checkpoint(TRUNCATE)"] {
            sqlx::query(pragma).execute(&mut connection).await?;
        }
        Ok(connection.close().await?)
    }

    /// Closes all connections; SQLite folds its log back into the file.
    pub async fn close(&self) {
        self.pool.close().await;
    }

    /// Begins a write that concerns no site's ledger.
    pub async fn begin(&self) -> Result<Write, ServerError> {
        let (transaction, turn) = match self.database {
            Database::Sqlite => {
                let turn = Arc::clone(&self.turn).lock_owned().await;
                (self.pool.begin_with("BEGIN IMMEDIATE").await?, Some(turn))
            }
            Database::Postgres => (self.pool.begin().await?, None),
        };
        Ok(Write {
            transaction,
            _turn: turn,
        })
    }

    /// Begins a write to one site's ledger: its row is locked until commit, so that seqs are
    /// given out without gaps and in the order in which they can be read.
    ///
    /// `None` when there is no such site in this organisation.
    pub async fn begin_write(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Option<SiteWrite>, ServerError> {
        let Write {
            mut transaction,
            _turn,
        } = self.begin().await?;
        let row = sqlx::query(
            "UPDATE sites SET last_seq = last_seq WHERE organisation = $1 AND id = $2 \
             RETURNING last_seq",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .fetch_optional(&mut *transaction)
        .await?;
        let Some(row) = row else { return Ok(None) };
        Ok(Some(SiteWrite {
            last_seq: count(row.try_get("last_seq")?),
            transaction,
            _turn,
        }))
    }
}

impl Write {
    /// Makes it stand.
    pub async fn commit(self) -> Result<(), ServerError> {
        Ok(self.transaction.commit().await?)
    }
}

impl SiteWrite {
    /// Makes it stand.
    pub async fn commit(self) -> Result<(), ServerError> {
        Ok(self.transaction.commit().await?)
    }
}

impl Database {
    fn of(url: &str) -> Result<Self, ServerError> {
        if url.starts_with("sqlite:") {
            Ok(Self::Sqlite)
        } else if url.starts_with("postgres:") || url.starts_with("postgresql:") {
            Ok(Self::Postgres)
        } else {
            Err(ServerError::Setting(
                "the database URL must begin with sqlite: or postgres:".into(),
            ))
        }
    }
}

/// How long a statement waits for a lock, milliseconds.
const PATIENT: &str = "PRAGMA busy_timeout = 10000";
/// Written ahead, flushed at every commit, patient, with foreign keys kept, and what is deleted is overwritten.
const SQLITE_PRAGMAS: [&str; 5] = [
    PATIENT,
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    "PRAGMA secure_delete = ON",
];

/// An identifier out of a text column.
pub(crate) fn id<T: From<Uuid>>(row: &AnyRow, column: &str) -> Result<T, ServerError> {
    let text: String = row.try_get(column)?;
    Uuid::parse_str(&text)
        .map(T::from)
        .map_err(|_| ServerError::Unreadable(format!("{column} '{text}' is no identifier")))
}

/// A count out of a BIGINT column; counts are never negative.
pub(crate) fn count(value: i64) -> u64 {
    u64::try_from(value).unwrap_or(0)
}

/// A count for a BIGINT column.
pub(crate) fn bigint(value: u64) -> i64 {
    i64::try_from(value).unwrap_or(i64::MAX)
}

/// One of a small set of words as serde writes it, for a text column.
pub(crate) fn word<T: serde::Serialize>(value: &T) -> Result<String, ServerError> {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(text)) => Ok(text),
        _ => Err(ServerError::Internal("a word did not become text".into())),
    }
}

/// The word of a text column as its type.
pub(crate) fn from_word<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, ServerError> {
    serde_json::from_value(serde_json::Value::String(text.to_owned()))
        .map_err(|_| ServerError::Unreadable(format!("the word '{text}'")))
}

/// Text that both databases take and lists can show: no control characters, not too long.
pub(crate) fn plain(what: &str, text: &str, longest: usize) -> Result<String, ServerError> {
    let text = text.trim();
    if text.chars().any(char::is_control) || text.chars().count() > longest {
        return Err(ServerError::BadInput(format!(
            "{what} must be one line of at most {longest} characters"
        )));
    }
    Ok(text.to_owned())
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A store in a folder that goes with the test.
    pub(crate) async fn store() -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().unwrap();
        let url = Store::sqlite_url(&folder.path().join("setdown.sqlite"));
        let store = Store::open(&url).await.unwrap();
        (folder, store)
    }

    #[tokio::test]
    async fn sqlite_is_opened_so_that_commits_are_on_the_disk() {
        let (_folder, store) = store().await;
        let row = sqlx::query("PRAGMA synchronous")
            .fetch_one(store.pool())
            .await
            .unwrap();
        assert_eq!(
            row.get::<i64, _>(0),
            2,
            "FULL is 2 in SQLite's documentation"
        );
        let row = sqlx::query("PRAGMA journal_mode")
            .fetch_one(store.pool())
            .await
            .unwrap();
        assert_eq!(row.get::<String, _>(0), "wal");
    }

    #[tokio::test]
    async fn other_urls_are_refused() {
        assert!(matches!(
            Store::open("mysql://x").await,
            Err(ServerError::Setting(_))
        ));
    }
}
