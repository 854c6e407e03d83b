//! The reference scenes of the way in, as JSON, and turned by any angle.

use std::path::{Path, PathBuf};

#[expect(
    dead_code,
    reason = "the tests of the rules use all of it, measurements a part"
)]
#[path = "../../shared-types/rules/tests/motion/turning.rs"]
mod turning;

pub use turning::{expected, scene, turned};

/// By how many degrees measurements turn every scene.
pub const ANGLES: [f64; 8] = [0.0, 7.0, 17.0, 30.0, 45.0, 61.0, 83.0, 123.4];

/// The folder of the scenes.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/route/scenes")
}

/// The scenes' names, sorted.
///
/// # Errors
/// The folder cannot be read.
pub fn names() -> std::io::Result<Vec<String>> {
    let mut names: Vec<String> = std::fs::read_dir(folder())?
        .filter_map(|entry| entry.ok()?.path().file_stem()?.to_str().map(str::to_owned))
        .collect();
    names.sort();
    Ok(names)
}
