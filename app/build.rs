//! Lists the words files of `src/words/en` for `src/words/mod.rs`, so that a new file needs no second place.

use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let folder =
        Path::new(&env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?).join("src/words/en");
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut files: Vec<_> = fs::read_dir(&folder)?
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .map(|file| file.path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "txt"))
        .collect();
    // A phone carries no words of the office and the command line: its bundle is counted in bytes.
    let feature = |name: &str| env::var_os(format!("CARGO_FEATURE_{name}")).is_some();
    if feature("FIELD") && !feature("DESK") && !feature("SSR") {
        files.retain(|path| {
            let name = path.file_stem().unwrap_or_default();
            !["office", "cli", "route"]
                .iter()
                .any(|other| name == *other)
        });
    }
    files.sort();
    let mut code = String::from("&[");
    for path in &files {
        println!("cargo::rerun-if-changed={}", path.display());
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        let _ = write!(
            code,
            "({name:?}, include_str!({:?})), ",
            path.display().to_string()
        );
    }
    code.push(']');
    let out = Path::new(&env::var("OUT_DIR").map_err(io::Error::other)?).join("words_files.rs");
    fs::write(out, code)
}
