//! How this person likes the screens: units, and the light variant outdoors. Kept in this browser only.

use leptos::prelude::*;
use setdown_types::quantity::UnitSystem;

const UNITS: &str = "setdown.units";
const OUTDOORS: &str = "setdown.outdoors";

/// The preferences of this browser, as signals that live as long as the page.
#[derive(Clone)]
pub struct Preferences {
    /// Units shown, and units that bare numbers are read in.
    pub system: ArcRwSignal<UnitSystem>,
    /// Field screens stay light whatever the phone's theme says.
    pub outdoors: ArcRwSignal<bool>,
}

thread_local! {
    static PREFERENCES: Preferences = Preferences {
        system: ArcRwSignal::new(match kept(UNITS).as_deref() {
            Some("metric") => UnitSystem::Metric,
            _ => UnitSystem::Us,
        }),
        outdoors: ArcRwSignal::new(kept(OUTDOORS).as_deref() != Some("no")),
    };
}

/// The preferences of this browser.
pub fn preferences() -> Preferences {
    PREFERENCES.with(Clone::clone)
}

/// The units shown, tracked.
pub fn system() -> UnitSystem {
    preferences().system.get()
}

/// Switches the units.
pub fn set_system(system: UnitSystem) {
    keep(
        UNITS,
        if system == UnitSystem::Metric {
            "metric"
        } else {
            "us"
        },
    );
    preferences().system.set(system);
}

/// Switches between always light and following the phone.
pub fn set_outdoors(outdoors: bool) {
    keep(OUTDOORS, if outdoors { "yes" } else { "no" });
    preferences().outdoors.set(outdoors);
}

fn storage() -> Option<web_sys::Storage> {
    window().local_storage().ok().flatten()
}

fn kept(key: &str) -> Option<String> {
    storage()?.get_item(key).ok().flatten()
}

/// Where the browser keeps nothing, the choice lasts as long as the page; that is no loss of work.
fn keep(key: &str, value: &str) {
    if let Some(storage) = storage() {
        let _ = storage.set_item(key, value);
    }
}
