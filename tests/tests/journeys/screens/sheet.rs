//! The contact sheet: every screen as a picture, and one page that shows them all.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use setdown_tests::browser::Failure;

/// Where the pictures go; not part of the repository.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("screens")
}

/// The journeys of the areas run side by side and write one page.
static PAGE: Mutex<()> = Mutex::new(());

/// Writes a picture.
pub fn keep(name: &str, picture: &[u8]) -> Result<(), Failure> {
    Ok(std::fs::write(
        folder().join(format!("{name}.png")),
        picture,
    )?)
}

/// Removes the pictures of an area, so that none of an earlier run is taken for one of this.
pub fn clear(area: &str) -> Result<(), Failure> {
    std::fs::create_dir_all(folder())?;
    for path in pictures()? {
        if name_of(&path).starts_with(area) {
            std::fs::remove_file(path)?;
        }
    }
    Ok(())
}

/// Writes the page over all pictures there are.
pub fn write_page() -> Result<(), Failure> {
    let _alone = PAGE.lock().map_err(|_| "another journey failed")?;
    let mut page = String::from(
        "<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Every screen of Setdown</title>\
         <style>body{font:15px system-ui;margin:16px;background:#eee}main{display:flex;flex-wrap:wrap;gap:16px;\
         align-items:flex-start}figure{margin:0}img{height:420px;border:1px solid #888;background:#fff}\
         figcaption{max-width:420px;overflow-wrap:anywhere}</style><h1>Every screen of Setdown</h1><main>",
    );
    for path in pictures()? {
        let name = name_of(&path);
        write!(
            page,
            "<figure><a href=\"{name}.png\"><img src=\"{name}.png\" alt=\"\" loading=\"lazy\"></a>\
             <figcaption>{name}</figcaption></figure>"
        )?;
    }
    page.push_str("</main></html>\n");
    Ok(std::fs::write(folder().join("index.html"), page)?)
}

fn pictures() -> Result<Vec<PathBuf>, Failure> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder())?
        .filter_map(|file| Some(file.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "png"))
        .collect();
    paths.sort();
    Ok(paths)
}

fn name_of(path: &Path) -> String {
    path.file_stem()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}
