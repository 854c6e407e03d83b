//! Runs wasm-bindgen on the built wasm, in this process, so that its version can never differ from the crate's.

use crate::error::{self, PackError};
use std::fs;
use std::path::Path;
use wasm_bindgen_cli_support::Bindgen;

/// The two files a browser needs.
pub struct Glue {
    /// The script that loads the wasm.
    pub script: Vec<u8>,
    /// The wasm itself.
    pub wasm: Vec<u8>,
}

/// Generates the browser module `name` for `wasm`, using a folder inside `out` for the moment.
pub fn generate(wasm: &Path, name: &str, out: &Path) -> Result<Glue, PackError> {
    let folder = out.join("bindgen.tmp");
    fs::create_dir_all(&folder).map_err(error::write(&folder))?;
    let mut bindgen = Bindgen::new();
    bindgen.input_path(wasm).out_name(name).typescript(false);
    bindgen
        .remove_name_section(true)
        .remove_producers_section(true);
    let mut output = bindgen
        .web(true)
        .and_then(Bindgen::generate_output)
        .map_err(reason)?;
    // Every crate that uses wasm-bindgen is listed; most list no script.
    let inline = output
        .snippets()
        .iter()
        .filter(|(_, scripts)| !scripts.is_empty())
        .map(|(name, _)| name);
    let names = inline
        .chain(output.local_modules().keys())
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    if !names.is_empty() {
        return Err(PackError::Snippets { names });
    }
    output.emit(&folder).map_err(reason)?;
    let read = |name: &str| {
        let path = folder.join(name);
        fs::read(&path).map_err(error::read(&path))
    };
    let glue = Glue {
        script: read(&format!("{name}.js"))?,
        wasm: read(&format!("{name}_bg.wasm"))?,
    };
    fs::remove_dir_all(&folder).map_err(error::write(&folder))?;
    Ok(glue)
}

/// Keeps the whole chain of reasons.
fn reason(error: impl std::fmt::Debug) -> PackError {
    PackError::Bindgen {
        reason: format!("{error:?}"),
    }
}
