//! A small mark outside the store (localStorage), by which the emptying of the store is noticed.

use serde::{Deserialize, Serialize};
use setdown_types::ids::{DeviceId, SiteId};
use web_sys::Storage;

/// Its name.
const NAME: &str = "setdown-was-here";

/// What is worth knowing once the store is gone.
#[derive(Debug, Serialize, Deserialize)]
pub struct Marker {
    /// The device that was here.
    pub device: DeviceId,
    /// Sites it had taken along.
    pub sites: Vec<SiteId>,
    /// How many entries and photos were only on it.
    #[serde(default)]
    pub unsent: usize,
}

/// The mark of an earlier visit.
pub fn read() -> Option<Marker> {
    let text = storage()?.get_item(NAME).ok()??;
    serde_json::from_str(&text).ok()
}

/// Leaves the mark. A browser that does not let us has nothing to notice later.
pub fn write(marker: &Marker) {
    if let (Some(storage), Ok(text)) = (storage(), serde_json::to_string(marker))
        && storage.get_item(NAME).ok().flatten().as_ref() != Some(&text)
    {
        let _ = storage.set_item(NAME, &text);
    }
}

fn storage() -> Option<Storage> {
    web_sys::window()?.local_storage().ok()?
}
