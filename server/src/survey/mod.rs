//! The survey file: a site written by hand, read into the same ledger entries a phone would write.
//!
//! The format is documented in `tests/examples/README.md`. Reading is pure: ids are derived from the
//! file's own words, so that the same file always gives the same site.

use std::path::{Path, PathBuf};

use jiff::civil::Date;
use setdown_types::ids::{EntryId, SiteId, SubjectId};
use setdown_types::ledger::{Record, fold};
use setdown_types::practice::PracticeSheet;
use setdown_types::site::Site;
use setdown_types::spa::SpaSheet;
use sha2::{Digest, Sha256};
use thiserror::Error;
use toml::{Table, Value};
use uuid::Uuid;

mod answer;
mod entries;
mod points;
pub mod practice_file;
pub mod spa_file;

pub use entries::Written;

/// The version of the format.
pub const FORMAT: i64 = 1;
/// The largest file read, in bytes.
pub const MAX_FILE_BYTES: u64 = 4 * 1024 * 1024;

/// What is wrong with a file, where, and what to do about it.
#[derive(Debug, Error)]
pub enum FileError {
    /// It cannot be opened or read.
    #[error("{path}: cannot be read ({cause}). Check the path and that it is a file you may read")]
    Unreadable {
        /// The path as given.
        path: PathBuf,
        /// What the system said.
        cause: std::io::Error,
    },
    /// Longer than [`MAX_FILE_BYTES`].
    #[error(
        "{path}: longer than {MAX_FILE_BYTES} bytes. A survey is a short text file: check the path"
    )]
    TooLong {
        /// The path as given.
        path: PathBuf,
    },
    /// Not TOML.
    #[error("{path}: not a TOML file: {cause}")]
    NotToml {
        /// The path as given.
        path: PathBuf,
        /// Line, column and reason.
        cause: Box<toml::de::Error>,
    },
    /// A value is missing or wrong.
    #[error("{path}: {problem}")]
    Content {
        /// The path as given.
        path: PathBuf,
        /// Where in the file, what is wrong, and what to do.
        problem: Problem,
    },
}

/// One value that cannot be used: where it stands, and why.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{place}: {reason}")]
pub struct Problem {
    /// Where in the file, such as `opening 2, width_hip`.
    pub place: String,
    /// What is wrong and what to write instead.
    pub reason: String,
}

impl Problem {
    /// A problem at a place.
    pub fn new(place: impl Into<String>, reason: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            reason: reason.into(),
        }
    }
}

/// A survey as read from a file.
#[derive(Debug, Clone)]
pub struct Survey {
    /// Descriptive name of the site.
    pub name: String,
    /// IANA time zone of the site.
    pub time_zone: String,
    /// The civil date to assess on.
    pub date: Date,
    /// The unit.
    pub spa: SpaSheet,
    /// The dealer's limits.
    pub practice: PracticeSheet,
    /// The answers, in file order.
    pub written: Vec<Written>,
    /// Id derived from the name.
    pub site: SiteId,
}

impl Survey {
    /// Reads a survey file; `spa = "path"` and `practice = "path"` are relative to it.
    pub fn read(path: &Path) -> Result<Self, FileError> {
        let table = read_table(path)?;
        let folder = path.parent().unwrap_or(Path::new("."));
        let content = |problem| FileError::Content {
            path: path.to_owned(),
            problem,
        };
        let spa = match table.get("spa") {
            Some(Value::String(other)) => spa_file::read(&folder.join(other))?,
            Some(Value::Table(inline)) => spa_file::from_table(inline).map_err(content)?,
            _ => {
                return Err(content(Problem::new(
                    "spa",
                    "missing. Write spa = \"path to a spa sheet\", or a [spa] table",
                )));
            }
        };
        let practice = match table.get("practice") {
            None => PracticeSheet::default(),
            Some(Value::String(other)) => practice_file::read(&folder.join(other))?,
            Some(Value::Table(inline)) => practice_file::from_table(inline).map_err(content)?,
            Some(_) => {
                return Err(content(Problem::new(
                    "practice",
                    "must be the path of a practice sheet or a [practice] table",
                )));
            }
        };
        Self::from_parts(&table, spa, practice).map_err(content)
    }

    /// A survey from its table and the sheets it names.
    pub(crate) fn from_parts(
        table: &Table,
        spa: SpaSheet,
        practice: PracticeSheet,
    ) -> Result<Self, Problem> {
        match table.get("survey").and_then(Value::as_integer) {
            Some(FORMAT) => {}
            Some(other) => {
                return Err(Problem::new(
                    "survey",
                    format!("format {other} is not known; this program reads {FORMAT}"),
                ));
            }
            None => {
                return Err(Problem::new(
                    "survey",
                    "missing. Begin the file with survey = 1",
                ));
            }
        }
        let name = text(table, "name")?;
        let time_zone = match table.get("time_zone") {
            None => "UTC".to_owned(),
            Some(_) => text(table, "time_zone")?,
        };
        let date = text(table, "date")?;
        let date = date.parse().map_err(|_| {
            Problem::new(
                "date",
                format!("\"{date}\" is not a date. Write it as \"2026-11-25\""),
            )
        })?;
        let site = SiteId(derived(&["site", &name]));
        let written = entries::read(table, site)?;
        Ok(Self {
            name,
            time_zone,
            date,
            spa,
            practice,
            written,
            site,
        })
    }

    /// The ledger records of the survey, as accepted in file order.
    pub fn records(&self) -> Vec<Record> {
        self.written.iter().map(Written::record).collect()
    }

    /// The site it describes.
    pub fn fold(&self) -> Site {
        fold(&self.records())
    }

    /// What the rules say about it on its date; the way in is worked out.
    pub fn assess(&self) -> setdown_rules::Assessment {
        let mut ways = setdown_rules::Ways::default();
        setdown_rules::assess_worked_out(
            &self.fold(),
            &self.spa,
            &self.practice,
            self.date,
            &mut ways,
        )
    }
}

/// Reads a TOML file of bounded length.
pub(crate) fn read_table(path: &Path) -> Result<Table, FileError> {
    let unreadable = |cause| FileError::Unreadable {
        path: path.to_owned(),
        cause,
    };
    let length = std::fs::metadata(path).map_err(unreadable)?.len();
    if length > MAX_FILE_BYTES {
        return Err(FileError::TooLong {
            path: path.to_owned(),
        });
    }
    let text = std::fs::read_to_string(path).map_err(unreadable)?;
    text.parse::<Table>().map_err(|cause| FileError::NotToml {
        path: path.to_owned(),
        cause: Box::new(cause),
    })
}

/// A text that must be there and not be empty.
pub(crate) fn text(table: &Table, key: &str) -> Result<String, Problem> {
    match table.get(key) {
        Some(Value::String(text)) if !text.trim().is_empty() => Ok(text.trim().to_owned()),
        Some(Value::Datetime(date)) => Ok(date.to_string()),
        Some(_) => Err(Problem::new(
            key,
            "must be a text in quotes that is not empty",
        )),
        None => Err(Problem::new(key, format!("missing. Write {key} = \"…\""))),
    }
}

/// An identifier derived from words (RFC 9562 version 8 over SHA-256), the same on every machine.
pub(crate) fn derived(words: &[&str]) -> Uuid {
    let mut hash = Sha256::new();
    for word in words {
        hash.update(word.as_bytes());
        hash.update([0]);
    }
    let digest = hash.finalize();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    uuid::Builder::from_custom_bytes(bytes).into_uuid()
}

pub(crate) fn derived_entry(site: SiteId, place: usize) -> EntryId {
    // The place leads, so that ids sort as the file is written.
    let mut bytes = *derived(&["entry", &site.to_string(), &place.to_string()]).as_bytes();
    let lead = u64::try_from(place).unwrap_or(u64::MAX).to_be_bytes();
    bytes[..6].copy_from_slice(&lead[2..]);
    EntryId(uuid::Builder::from_custom_bytes(bytes).into_uuid())
}

pub(crate) fn derived_subject(site: SiteId, kind: &str, place: usize) -> SubjectId {
    SubjectId(derived(&[
        "subject",
        &site.to_string(),
        kind,
        &place.to_string(),
    ]))
}
