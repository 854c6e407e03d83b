//! Reads what is to be packed, and fills in templates.

use crate::Arguments;
use crate::error::{self, PackError};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// Templates in public/ that are packed under other names and not copied.
const TEMPLATES: [&str; 3] = ["boot.js", "service-worker.js", "solver-worker.js"];

/// A file of public/ that keeps its name.
pub struct PublicFile {
    /// Its address, with a leading `/`.
    pub address: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// Everything read.
pub struct Sources {
    /// The starting script's template.
    pub boot: String,
    /// The service worker's template.
    pub worker: String,
    /// The solver worker's template.
    pub solver_worker: String,
    /// All styles, joined.
    pub style: Vec<u8>,
    /// The other files of public/, by address.
    pub public: Vec<PublicFile>,
    /// What only counts towards the build's id.
    pub also: Vec<u8>,
    /// Hash over all inputs, the wasm and this packer's version and settings included.
    pub fingerprint: String,
}

impl Sources {
    /// Reads all inputs.
    pub fn read(arguments: &Arguments) -> Result<Self, PackError> {
        let boot = read_text(&arguments.public.join(TEMPLATES[0]))?;
        let worker = read_text(&arguments.public.join(TEMPLATES[1]))?;
        let solver_worker = read_text(&arguments.public.join(TEMPLATES[2]))?;
        let mut style_paths = arguments.style.clone();
        style_paths.sort_by(|a, b| a.file_name().cmp(&b.file_name()));
        let style = join(&style_paths)?;
        let also = join(&arguments.also)?;
        let public = read_public(&arguments.public)?;
        let mut hasher = Sha256::new();
        for part in [
            &read_bytes(&arguments.wasm)?,
            &read_bytes(&arguments.desk_wasm)?,
            &read_bytes(&arguments.solver_wasm)?,
            boot.as_bytes(),
            worker.as_bytes(),
            solver_worker.as_bytes(),
            &style,
            &also,
            env!("CARGO_PKG_VERSION").as_bytes(),
            &arguments.quality.to_le_bytes(),
        ] {
            hasher.update(Sha256::digest(part));
        }
        for file in &public {
            hasher.update(&file.address);
            hasher.update(Sha256::digest(&file.bytes));
        }
        let fingerprint = hex::encode(hasher.finalize());
        Ok(Self {
            boot,
            worker,
            solver_worker,
            style,
            public,
            also,
            fingerprint,
        })
    }
}

/// Puts `value` in place of `placeholder`, which must be there.
pub fn fill(template: &str, placeholder: &'static str, value: &str) -> Result<String, PackError> {
    if !template.contains(placeholder) {
        return Err(PackError::Placeholder { placeholder });
    }
    Ok(template.replace(placeholder, value))
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, PackError> {
    fs::read(path).map_err(error::read(path))
}

fn read_text(path: &Path) -> Result<String, PackError> {
    fs::read_to_string(path).map_err(error::read(path))
}

fn join(paths: &[PathBuf]) -> Result<Vec<u8>, PackError> {
    let mut joined = Vec::new();
    for path in paths {
        joined.extend(read_bytes(path)?);
        joined.push(b'\n');
    }
    Ok(joined)
}

/// Every file below `folder` but the templates and hidden files, sorted by address.
fn read_public(folder: &Path) -> Result<Vec<PublicFile>, PackError> {
    let mut files = Vec::new();
    let mut folders = vec![(folder.to_owned(), String::new())];
    while let Some((current, prefix)) = folders.pop() {
        for entry in fs::read_dir(&current).map_err(error::read(&current))? {
            let entry = entry.map_err(error::read(&current))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with('.') || (prefix.is_empty() && TEMPLATES.contains(&name.as_str())) {
                continue;
            }
            let address = format!("{prefix}/{name}");
            if entry.path().is_dir() {
                folders.push((entry.path(), address));
            } else {
                files.push(PublicFile {
                    address,
                    bytes: read_bytes(&entry.path())?,
                });
            }
        }
    }
    files.sort_by(|a, b| a.address.cmp(&b.address));
    Ok(files)
}
