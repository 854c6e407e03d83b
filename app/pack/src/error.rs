//! Everything that can go wrong while packing; each message says what to do next.

use std::io;
use std::path::{Path, PathBuf};

/// Why a build could not be packed.
#[derive(Debug, thiserror::Error)]
pub enum PackError {
    /// A file or folder could not be read.
    #[error(
        "cannot read {path}: {source}; build app/entry, app/desk and app/solver first (`make pack` does)"
    )]
    Read {
        /// What was to be read.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// A file or folder could not be written.
    #[error("cannot write {path}: {source}; free space, or choose another --out")]
    Write {
        /// What was to be written.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// The wasm could not be turned into a browser module.
    #[error(
        "the wasm could not be processed: {reason}; its wasm-bindgen must be the version this packer is built with"
    )]
    Bindgen {
        /// The reason given.
        reason: String,
    },
    /// A dependency brings scripts of its own, which would not be hashed.
    #[error(
        "a dependency brings inline scripts ({names}), which the packer does not hash; use another dependency"
    )]
    Snippets {
        /// The scripts' names.
        names: String,
    },
    /// A template lost a name that the packer fills in.
    #[error("a template in public/ lacks {placeholder}; put it back")]
    Placeholder {
        /// The missing name.
        placeholder: &'static str,
    },
    /// The index could not be written as JSON.
    #[error("the index of the build cannot be written as JSON: {source}")]
    Index {
        /// The reason.
        source: serde_json::Error,
    },
    /// The bundle is larger than agreed.
    #[error(
        "{report}the bundle is {bundle} bytes after brotli, over the limit of {limit}; make it smaller or raise --limit"
    )]
    TooLarge {
        /// Bytes after brotli.
        bundle: u64,
        /// Bytes allowed.
        limit: u64,
        /// The size table.
        report: String,
    },
}

/// Makes a read error for `path`.
pub fn read(path: &Path) -> impl FnOnce(io::Error) -> PackError + '_ {
    |source| PackError::Read {
        path: path.to_owned(),
        source,
    }
}

/// Makes a write error for `path`.
pub fn write(path: &Path) -> impl FnOnce(io::Error) -> PackError + '_ {
    |source| PackError::Write {
        path: path.to_owned(),
        source,
    }
}
