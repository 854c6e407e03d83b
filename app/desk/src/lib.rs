//! What the office loads: mounts the app with the screens of the desk as soon as the wasm starts.

use wasm_bindgen::prelude::wasm_bindgen;

/// Mounts the app; the wasm's start function.
#[wasm_bindgen(start)]
pub fn start() {
    setdown_app::mount();
}
