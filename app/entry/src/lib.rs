//! What a phone loads, for the coordinator and the homeowner: mounts the app as soon as the wasm starts.

use setdown_rules::frame::exchange;
use wasm_bindgen::prelude::wasm_bindgen;

/// Mounts the app; the wasm's start function.
#[wasm_bindgen(start)]
pub fn start() {
    setdown_app::mount();
}

/// What [`exchange::assess_text`] says, or `error: ` and why not. The same-bits test calls it in
/// the shipped wasm and natively, and compares the bytes.
#[wasm_bindgen(js_name = assessText)]
pub fn assess_text(entries: &str, spa: &str, practice: &str, date: &str, ways: &str) -> String {
    exchange::assess_text(entries, spa, practice, date, ways)
        .unwrap_or_else(|problem| format!("error: {problem}"))
}

/// What [`exchange::scene_text`] says, or `error: ` and why not.
#[wasm_bindgen(js_name = sceneText)]
pub fn scene_text(entries: &str, spa: &str, practice: &str, date: &str) -> String {
    exchange::scene_text(entries, spa, practice, date)
        .unwrap_or_else(|problem| format!("error: {problem}"))
}
