//! The shipped wasm in Chromium and the native crate give the same bytes on the same sites.

use setdown_rules::frame::exchange::assess_text;
use setdown_server::survey::Survey;
use setdown_tests::browser::{Browser, Failure, PHONE};
use setdown_tests::generated::generated;
use setdown_tests::running_server::{RunningServer, packed_folder};
use setdown_types::digest::digest_hex;
use std::path::Path;

/// Entries, spa sheet, practice sheet, date.
type Case = [String; 4];

fn examples() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .filter_map(|file| Some(file.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    files.sort();
    assert!(files.len() >= 5);
    files
        .iter()
        .map(|path| {
            let survey = Survey::read(path).unwrap();
            let raws: Vec<String> = survey
                .records()
                .into_iter()
                .map(|record| record.raw)
                .collect();
            [
                format!("[{}]", raws.join(",")),
                survey.spa.canonical(),
                survey.practice.canonical(),
                survey.date.to_string(),
            ]
        })
        .collect()
}

fn drawn(seed: u64) -> Case {
    let site = generated(seed);
    [
        format!("[{}]", site.entries.join(",")),
        site.spa.canonical(),
        site.practice.canonical(),
        site.date.to_string(),
    ]
}

#[tokio::test]
async fn the_shipped_wasm_and_the_native_crate_agree_to_the_byte() -> Result<(), Failure> {
    let assets = setdown_server::web::assets::Assets::load(&packed_folder())?;
    let router = setdown_server::web::headers::secure(setdown_server::web::pages(&assets), false);
    let server = RunningServer::start(router, 0)?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.text("#app h1").await?;
    let index = std::fs::read_to_string(packed_folder().join("assets.json"))?;
    let index: serde_json::Value = serde_json::from_str(&index)?;
    let module = index["assets"]["setdown.js"]
        .as_str()
        .ok_or("the script's address")?
        .to_owned();
    for (number, case) in examples()
        .into_iter()
        .chain((0..200).map(drawn))
        .enumerate()
    {
        let [entries, spa, practice, date] = &case;
        let native = assess_text(entries, spa, practice, date)?;
        let script = format!(
            "const app = await import('{module}');\
             const text = app.assessText({}, {}, {}, {});\
             const hash = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));\
             return text.slice(0, 80) + ' ' + [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join('');",
            serde_json::to_string(entries)?,
            serde_json::to_string(spa)?,
            serde_json::to_string(practice)?,
            serde_json::to_string(date)?,
        );
        let shipped = browser.run_async(&script).await?;
        let shipped = shipped.as_str().ok_or("a text")?;
        let expected = format!(
            "{} {}",
            native.chars().take(80).collect::<String>(),
            digest_hex(native.as_bytes())
        );
        assert_eq!(shipped, expected, "case {number}");
    }
    Ok(())
}
