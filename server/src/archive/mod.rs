//! Archives: a dealer or one site as one file that another database takes, and the rescue of what a phone exported.
//!
//! The format is told in DEVELOPERS.md ("Archives"). Passwords and sessions never go into a file; the digests of
//! invitation links do, because the links are 256 random bits and keep working after a move.

use std::path::Path;

use thiserror::Error;

use crate::error::ServerError;

pub mod check;
pub mod export;
pub mod format;
pub mod import;
pub mod phone;

/// Why a file could not be made or taken. Nothing of it was kept.
#[derive(Debug, Error)]
pub enum ArchiveError {
    /// Neither an archive nor a phone's file.
    #[error(
        "this is neither a Setdown archive nor a phone's file: {0}. Nothing was imported; check that it is the right file"
    )]
    Foreign(String),
    /// Written in a format of another version.
    #[error(
        "the file is of format {0}; this program reads format {known}. Nothing was imported; use the version that wrote it, or a newer one",
        known = format::VERSION
    )]
    Version(u32),
    /// It stops before its end.
    #[error(
        "the file stops before its end, after line {0}: it was cut off on the way. Nothing was imported; copy it again from where it was made"
    )]
    Truncated(u64),
    /// Its bytes are not those that were written.
    #[error(
        "the file is damaged: its bytes do not fit the digest at its end. Nothing was imported; copy it again from where it was made"
    )]
    Damaged,
    /// A line cannot be taken.
    #[error("line {line}: {reason}. Nothing was imported; copy the file again, or export it again")]
    Line {
        /// Counted from 1; bytes of photos are no lines.
        line: u64,
        /// What is wrong with it.
        reason: String,
    },
    /// The database holds it already.
    #[error("{0}. Nothing was imported")]
    AlreadyHere(String),
    /// Reading or writing the file failed.
    #[error("{path}: {source}")]
    File {
        /// Which file.
        path: String,
        /// The system's reason.
        source: std::io::Error,
    },
    /// The store failed; nothing was kept.
    #[error(transparent)]
    Server(#[from] ServerError),
}

impl From<sqlx::Error> for ArchiveError {
    fn from(error: sqlx::Error) -> Self {
        Self::Server(error.into())
    }
}

impl ArchiveError {
    /// A failure to read or write `path`.
    pub fn file(path: &Path) -> impl Fn(std::io::Error) -> Self + '_ {
        |source| Self::File {
            path: path.display().to_string(),
            source,
        }
    }
}
