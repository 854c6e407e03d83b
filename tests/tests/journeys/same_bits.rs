//! The shipped wasm in Chromium and the native crate give the same bytes on the same sites.

use setdown_rules::frame::exchange;
use setdown_rules::motion::{RESOLUTION, certify_scene};
use setdown_server::survey::Survey;
use setdown_tests::browser::{Browser, Failure, PHONE};
use setdown_tests::generated::generated;
use setdown_tests::running_server::{RunningServer, packed_folder};
use setdown_tests::scenes::{names, scene, turned};
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

/// A phone's browser on the packed app, with the address of one of its files.
async fn opened(
    file: &str,
) -> Result<(RunningServer, tempfile::TempDir, Browser, String), Failure> {
    let assets = setdown_server::web::assets::Assets::load(&packed_folder())?;
    let router = setdown_server::web::headers::secure(setdown_server::web::pages(&assets), false);
    let server = RunningServer::start(router, 0)?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.text("#app h1").await?;
    let address = address_of(file)?;
    Ok((server, profile, browser, address))
}

/// Where the server hands out a packed file.
fn address_of(file: &str) -> Result<String, Failure> {
    let index = std::fs::read_to_string(packed_folder().join("assets.json"))?;
    let index: serde_json::Value = serde_json::from_str(&index)?;
    let address = index["assets"][file].as_str();
    Ok(address.ok_or("the file's address")?.to_owned())
}

/// Loads the solver's wasm into the page.
async fn start_solver(browser: &Browser) -> Result<(), Failure> {
    let (script, wasm) = (
        address_of("setdown-solver.js")?,
        address_of("setdown-solver.wasm")?,
    );
    browser
        .run_async(&format!(
            "window.solver = await import('{script}');\
             await window.solver.default({{ module_or_path: '{wasm}' }}); return true;"
        ))
        .await?;
    Ok(())
}

/// Every reference scene of the way in, at two angles: bounds, poses, moves and pinches to the last bit.
#[tokio::test]
async fn the_shipped_solver_and_the_native_one_agree_to_the_byte() -> Result<(), Failure> {
    let (_server, _profile, browser, _) = opened("setdown.js").await?;
    start_solver(&browser).await?;
    for name in names()? {
        for angle in [0.0, 17.0] {
            let text = turned(&scene(&name), angle, [0.0, 0.0]).to_string();
            let native = certify_scene(&text, RESOLUTION)?;
            let native = serde_json::to_string(&native)?;
            let script = format!(
                "const work = window.solver.Work.begin({}, {RESOLUTION});\
                 while (!JSON.parse(work.step(777)).done);\
                 const text = work.finish(); work.free();\
                 const hash = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));\
                 return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join('');",
                serde_json::to_string(&text)?
            );
            let shipped = browser.run_async(&script).await?;
            assert_eq!(
                shipped,
                digest_hex(native.as_bytes()),
                "{name} turned by {angle}"
            );
        }
    }
    Ok(())
}

/// The assessment natively, with the way in worked out where the site has one.
fn native_text([entries, spa, practice, date]: &Case) -> Result<String, Failure> {
    let scene = exchange::scene_text(entries, spa, practice, date)?;
    let ways = if scene.is_empty() {
        "[]".to_owned()
    } else {
        serde_json::to_string(&[certify_scene(&scene, RESOLUTION)?])?
    };
    Ok(exchange::assess_text(entries, spa, practice, date, &ways)?)
}

#[tokio::test]
async fn the_shipped_wasm_and_the_native_crate_agree_to_the_byte() -> Result<(), Failure> {
    let (_server, _profile, browser, module) = opened("setdown.js").await?;
    start_solver(&browser).await?;
    let mut with_a_way = 0;
    for (number, case) in examples()
        .into_iter()
        .chain((0..200).map(drawn))
        .enumerate()
    {
        let native = native_text(&case)?;
        with_a_way += usize::from(native.contains("roll.way.proved"));
        let given = case
            .iter()
            .map(serde_json::to_string)
            .collect::<Result<Vec<_>, _>>()?;
        let script = format!(
            "const app = await import('{module}'); const given = [{}];\
             const scene = app.sceneText(...given); const ways = [];\
             if (scene) {{\
               const work = window.solver.Work.begin(scene, {RESOLUTION});\
               while (!JSON.parse(work.step(500)).done);\
               ways.push(work.finish()); work.free();\
             }}\
             const text = app.assessText(...given, '[' + ways.join(',') + ']');\
             const hash = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));\
             return text.slice(0, 80) + ' ' + [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join('');",
            given.join(",")
        );
        let shipped = browser.run_async(&script).await?;
        let shipped = shipped.as_str().ok_or("a text")?;
        let start: String = native.chars().take(80).collect();
        let expected = format!("{start} {}", digest_hex(native.as_bytes()));
        assert_eq!(shipped, expected, "case {number}");
    }
    assert!(with_a_way > 0, "an example has a way in that is proved");
    Ok(())
}
