//! Writes the packed folder: hashed files, named files, the service worker, the index, and the pruning of old ones.

use crate::error::{self, PackError};
use crate::index::{BuildIndex, kept_on_phones, short_hex};
use crate::sources::PublicFile;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

/// How large one packed file is.
pub struct Size {
    name: String,
    raw: u64,
    brotli: Option<u64>,
    /// Whether it counts towards the bundle's limit.
    pub bundle: bool,
}

impl Size {
    /// Bytes that travel: compressed where that exists.
    pub fn sent(&self) -> u64 {
        self.brotli.unwrap_or(self.raw)
    }

    /// A table for people.
    pub fn table(sizes: &[Self]) -> String {
        let mut text = format!("{:<44} {:>10} {:>10}\n", "file", "raw", "brotli");
        for size in sizes {
            let brotli = size
                .brotli
                .map_or_else(|| "-".to_owned(), |bytes| bytes.to_string());
            text.push_str(&format!(
                "{:<44} {:>10} {:>10}\n",
                size.name, size.raw, brotli
            ));
        }
        text
    }
}

/// The folder being written.
pub struct Output<'a> {
    folder: &'a Path,
    quality: u32,
}

impl<'a> Output<'a> {
    /// Writes into `folder` with this brotli quality.
    pub fn new(folder: &'a Path, quality: u32) -> Self {
        Self { folder, quality }
    }

    /// The index of the build that stands in the folder; `None` where there is none that can be read.
    pub fn standing_index(&self) -> Option<BuildIndex> {
        let bytes = fs::read(self.folder.join("assets.json")).ok()?;
        serde_json::from_slice(&bytes).ok()
    }

    /// Whether every file of `index` is there.
    pub fn holds(&self, index: &BuildIndex) -> bool {
        self.folder.join("service-worker.js").is_file()
            && index
                .assets
                .values()
                .all(|address| self.path_of(address).is_file())
            && index
                .public
                .keys()
                .all(|address| self.public_path_of(address).is_file())
    }

    /// Writes `bytes` under a name that carries their hash, and notes it in `index` under `logical`.
    pub fn write_hashed(
        &self,
        index: &mut BuildIndex,
        logical: &str,
        bytes: &[u8],
    ) -> Result<Size, PackError> {
        let (stem, extension) = logical.rsplit_once('.').unwrap_or((logical, "bin"));
        let address = format!(
            "/assets/{stem}-{}.{extension}",
            short_hex(&Sha256::digest(bytes))
        );
        let size = self.write(&self.path_of(&address), &address, bytes, true)?;
        index.assets.insert(logical.to_owned(), address);
        Ok(Size {
            bundle: kept_on_phones(logical),
            ..size
        })
    }

    /// Writes a file that keeps its name, and notes it in `index`.
    pub fn write_public(
        &self,
        index: &mut BuildIndex,
        file: &PublicFile,
    ) -> Result<Size, PackError> {
        let text = [".svg", ".webmanifest", ".json", ".txt", ".js", ".css"]
            .iter()
            .any(|ending| file.address.ends_with(ending));
        index.public.insert(
            file.address.clone(),
            short_hex(&Sha256::digest(&file.bytes)),
        );
        self.write(
            &self.public_path_of(&file.address),
            &file.address,
            &file.bytes,
            text,
        )
    }

    /// Writes the service worker.
    pub fn write_worker(&self, script: &str) -> Result<Size, PackError> {
        self.write(
            &self.folder.join("service-worker.js"),
            "/service-worker.js",
            script.as_bytes(),
            true,
        )
    }

    /// Writes the index; from here on the new build is the one that stands.
    pub fn write_index(&self, index: &BuildIndex) -> Result<(), PackError> {
        let json =
            serde_json::to_vec_pretty(index).map_err(|source| PackError::Index { source })?;
        write_whole(&self.folder.join("assets.json"), &json)
    }

    /// Removes hashed files that neither this build nor a kept one needs, and files that public/ no longer has.
    pub fn prune(&self, index: &BuildIndex) -> Result<(), PackError> {
        self.prune_public(index)?;
        let kept = index.kept_assets();
        let folder = self.folder.join("assets");
        for entry in fs::read_dir(&folder).map_err(error::read(&folder))? {
            let entry = entry.map_err(error::read(&folder))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let address = format!("/assets/{}", name.strip_suffix(".br").unwrap_or(&name));
            if !kept.contains(address.as_str()) {
                fs::remove_file(entry.path()).map_err(error::write(&entry.path()))?;
            }
        }
        Ok(())
    }

    fn prune_public(&self, index: &BuildIndex) -> Result<(), PackError> {
        let mut folders = vec![(self.folder.join("public"), String::new())];
        while let Some((folder, prefix)) = folders.pop() {
            let Ok(entries) = fs::read_dir(&folder) else {
                continue;
            };
            for entry in entries {
                let entry = entry.map_err(error::read(&folder))?;
                let address = format!("{prefix}/{}", entry.file_name().to_string_lossy());
                if entry.path().is_dir() {
                    folders.push((entry.path(), address));
                } else if !index
                    .public
                    .contains_key(address.strip_suffix(".br").unwrap_or(&address))
                {
                    fs::remove_file(entry.path()).map_err(error::write(&entry.path()))?;
                }
            }
        }
        Ok(())
    }

    fn path_of(&self, address: &str) -> PathBuf {
        self.folder.join(address.trim_start_matches('/'))
    }

    fn public_path_of(&self, address: &str) -> PathBuf {
        self.folder
            .join("public")
            .join(address.trim_start_matches('/'))
    }

    /// Writes a file and, where asked and worth it, its brotli sibling.
    fn write(
        &self,
        path: &Path,
        name: &str,
        bytes: &[u8],
        compress: bool,
    ) -> Result<Size, PackError> {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(error::write(folder))?;
        }
        let sibling = PathBuf::from(format!("{}.br", path.display()));
        let mut brotli = None;
        if compress {
            let packed = self.compress(&sibling, bytes)?;
            write_whole(&sibling, &packed)?;
            brotli = Some(packed.len() as u64);
        }
        write_whole(path, bytes)?;
        Ok(Size {
            name: name.to_owned(),
            raw: bytes.len() as u64,
            brotli,
            bundle: false,
        })
    }

    fn compress(&self, path: &Path, bytes: &[u8]) -> Result<Vec<u8>, PackError> {
        let parameters = brotli::enc::BrotliEncoderParams {
            quality: i32::try_from(self.quality).unwrap_or(9),
            size_hint: bytes.len(),
            ..Default::default()
        };
        let mut packed = Vec::new();
        brotli::BrotliCompress(&mut &bytes[..], &mut packed, &parameters)
            .map_err(error::write(path))?;
        Ok(packed)
    }
}

/// Writes beside, then renames: a reader sees the old file or the new one, never half of one.
fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), PackError> {
    let beside = PathBuf::from(format!("{}.tmp", path.display()));
    fs::write(&beside, bytes).map_err(error::write(&beside))?;
    fs::rename(&beside, path).map_err(error::write(path))
}
