//! `assets.json`: what a build consists of, as the server and the next run of the packer read it.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// Logical name of the starting script.
pub const LOGICAL_BOOT: &str = "boot.js";
/// Logical name of the phone's script.
pub const LOGICAL_SCRIPT: &str = "setdown.js";
/// Logical name of the phone's wasm.
pub const LOGICAL_WASM: &str = "setdown.wasm";
/// Logical name of the desk's script.
pub const LOGICAL_DESK_SCRIPT: &str = "setdown-desk.js";
/// Logical name of the desk's wasm.
pub const LOGICAL_DESK_WASM: &str = "setdown-desk.wasm";
/// Logical name of the solver's worker.
pub const LOGICAL_SOLVER_WORKER: &str = "solver-worker.js";
/// Logical name of the solver's script.
pub const LOGICAL_SOLVER_SCRIPT: &str = "setdown-solver.js";
/// Logical name of the solver's wasm.
pub const LOGICAL_SOLVER_WASM: &str = "setdown-solver.wasm";
/// Logical name of the style sheet.
pub const LOGICAL_STYLE: &str = "setdown.css";
/// The address whose answer is the shell; the service worker keeps it as every screen's document.
pub const SHELL_ADDRESS: &str = "/field";
/// What a phone does not keep: the desk needs the server anyway.
const ONLINE_ONLY: [&str; 2] = [LOGICAL_DESK_SCRIPT, LOGICAL_DESK_WASM];
/// How many builds before this one keep their files.
const KEPT_BUILDS: usize = 2;

/// One packed build.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BuildIndex {
    /// Hash over everything packed: 16 hexadecimal digits.
    pub build: String,
    /// Hash over the inputs, by which an unchanged build is recognised.
    pub inputs: String,
    /// Logical name to address, for the hashed files.
    pub assets: BTreeMap<String, String>,
    /// Address to hash of content, for the files that keep their names.
    pub public: BTreeMap<String, String>,
    /// Every address a phone must keep to open the app with no server.
    pub precache: Vec<String>,
    /// The builds before, newest first.
    pub previous: Vec<PreviousBuild>,
}

/// A build whose hashed files are kept for pages that were opened before an update.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PreviousBuild {
    /// Its id.
    pub build: String,
    /// The addresses of its hashed files.
    pub assets: BTreeSet<String>,
}

impl BuildIndex {
    /// An index without files.
    pub fn new(inputs: &str) -> Self {
        Self {
            build: String::new(),
            inputs: inputs.to_owned(),
            assets: BTreeMap::new(),
            public: BTreeMap::new(),
            precache: Vec::new(),
            previous: Vec::new(),
        }
    }

    /// Fixes the precache list, the build's id and the line of builds before it.
    pub fn seal(&mut self, worker_template: &str, also: &[u8], standing: Option<Self>) {
        let kept = self
            .assets
            .iter()
            .filter(|(logical, _)| kept_on_phones(logical))
            .map(|(_, address)| address);
        self.precache = std::iter::once(SHELL_ADDRESS.to_owned())
            .chain(kept.cloned())
            .chain(self.public.keys().cloned())
            .collect();
        let mut hasher = Sha256::new();
        for (name, address) in self.assets.iter().chain(&self.public) {
            hasher.update(format!("{name}\0{address}\0"));
        }
        hasher.update(worker_template);
        hasher.update(also);
        self.build = short_hex(&hasher.finalize());
        self.previous = match standing {
            Some(standing) if standing.build == self.build => standing.previous,
            Some(standing) => {
                let last = PreviousBuild {
                    build: standing.build,
                    assets: standing.assets.into_values().collect(),
                };
                let older = standing
                    .previous
                    .into_iter()
                    .filter(|previous| previous.build != self.build);
                std::iter::once(last)
                    .chain(older)
                    .take(KEPT_BUILDS)
                    .collect()
            }
            None => Vec::new(),
        };
    }

    /// The addresses of all hashed files to keep: this build's and those of the builds before.
    pub fn kept_assets(&self) -> BTreeSet<&str> {
        let previous = self.previous.iter().flat_map(|previous| &previous.assets);
        self.assets
            .values()
            .chain(previous)
            .map(String::as_str)
            .collect()
    }
}

/// Whether a phone keeps this file, so that it counts towards the phone's bundle.
pub fn kept_on_phones(logical: &str) -> bool {
    !ONLINE_ONLY.contains(&logical)
}

/// The first 16 hexadecimal digits of a hash.
pub fn short_hex(hash: &[u8]) -> String {
    hex::encode(&hash[..8.min(hash.len())])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn build(content: &str, standing: Option<BuildIndex>) -> BuildIndex {
        let mut index = BuildIndex::new("inputs");
        index.assets.insert(
            LOGICAL_WASM.into(),
            format!("/assets/setdown-{content}.wasm"),
        );
        index
            .public
            .insert("/manifest.webmanifest".into(), "00".into());
        index.seal("worker", b"shell", standing);
        index
    }

    #[test]
    fn the_two_builds_before_keep_their_files_and_older_ones_do_not() {
        let first = build("1", None);
        let second = build("2", Some(first));
        let third = build("3", Some(second));
        let fourth = build("4", Some(third));
        assert_eq!(
            fourth.kept_assets().into_iter().collect::<Vec<_>>(),
            [
                "/assets/setdown-2.wasm",
                "/assets/setdown-3.wasm",
                "/assets/setdown-4.wasm"
            ],
        );
    }

    #[test]
    fn the_same_content_is_the_same_build_and_the_shell_counts_as_content() {
        let first = build("1", None);
        let again = build("1", Some(first.clone()));
        assert_eq!(
            (&first.build, &first.previous),
            (&again.build, &again.previous)
        );
        let mut other_shell = BuildIndex::new("inputs");
        other_shell.assets = first.assets.clone();
        other_shell.public = first.public.clone();
        other_shell.seal("worker", b"another shell", None);
        assert_ne!(first.build, other_shell.build);
    }

    #[test]
    fn the_phone_keeps_the_shell_and_every_file_but_the_desks() {
        let mut with_desk = build("1", None);
        with_desk.assets.insert(
            LOGICAL_DESK_WASM.into(),
            "/assets/setdown-desk-1.wasm".into(),
        );
        with_desk.seal("worker", b"shell", None);
        assert_eq!(with_desk.precache, build("1", None).precache);
        assert_eq!(
            build("1", None).precache,
            ["/field", "/assets/setdown-1.wasm", "/manifest.webmanifest"],
        );
    }
}
