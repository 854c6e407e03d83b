//! Copies of the packed app: as it is, to be broken, or as a newer build.

use std::path::{Path, PathBuf};

use crate::browser::Failure;

/// Copies a packed folder and gives it another build id, as a build with another shell would have.
pub fn copy_as_newer_build(from: &Path, to: &Path) -> Result<String, Failure> {
    copy(from, to)?;
    let index: serde_json::Value = serde_json::from_slice(&std::fs::read(to.join("assets.json"))?)?;
    let old = index["build"]
        .as_str()
        .ok_or("the index names no build")?
        .to_owned();
    let new = old.chars().rev().collect::<String>();
    for name in ["assets.json", "service-worker.js"] {
        let text = std::fs::read_to_string(to.join(name))?;
        assert!(text.contains(&old), "{name} does not carry the build id");
        std::fs::write(to.join(name), text.replace(&old, &new))?;
    }
    std::fs::remove_file(to.join("service-worker.js.br"))?;
    Ok(new)
}

/// Where the packed file with this logical name stands below `folder`.
pub fn packed_file(folder: &Path, logical: &str) -> Result<PathBuf, Failure> {
    let index: serde_json::Value =
        serde_json::from_slice(&std::fs::read(folder.join("assets.json"))?)?;
    let address = index["assets"][logical]
        .as_str()
        .ok_or("the index does not name it")?;
    Ok(folder.join(address.trim_start_matches('/')))
}

/// Copies a folder with everything in it.
pub fn copy(from: &Path, to: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target)?;
        } else {
            std::fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}
