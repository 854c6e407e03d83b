//! The phone's clocks and its randomness: stamps, ids, and the civil date at a site.

use std::cell::Cell;

use jiff::civil::Date;
use js_sys::{Array, Function, Object, Reflect};
use setdown_types::entry::Stamp;
use setdown_types::ids::BootId;
use uuid::{Builder, Uuid};
use wasm_bindgen::{JsCast, JsValue};

use super::database::{get, set, text_at};

thread_local! {
    static BOOT: Cell<Option<BootId>> = const { Cell::new(None) };
}

/// Milliseconds since 1970 by the wall clock: shown, never believed.
pub fn wall() -> i64 {
    js_sys::Date::now() as i64
}

/// Milliseconds since this page loaded, by the monotonic clock.
pub fn monotonic() -> i64 {
    web_sys::window()
        .and_then(|window| window.performance())
        .map_or(0, |performance| performance.now() as i64)
}

/// This page load.
pub fn boot() -> BootId {
    BOOT.with(|boot| {
        let known = boot.get().unwrap_or_else(|| BootId(new_id()));
        boot.set(Some(known));
        known
    })
}

/// The stamp of the device's entry number `counter`, written now.
pub fn stamp(counter: u64) -> Stamp {
    Stamp {
        wall: wall(),
        boot: boot(),
        monotonic: monotonic(),
        counter,
    }
}

/// A fresh UUIDv7 (RFC 9562): 48 bits of wall clock, 74 of the browser's randomness.
pub fn new_id() -> Uuid {
    let millis = u64::try_from(wall()).unwrap_or_default();
    Builder::from_unix_timestamp_millis(millis, &random()).into_uuid()
}

/// A fraction from 0 to 1, for spreading timers.
pub fn jitter() -> f64 {
    js_sys::Math::random()
}

fn random() -> [u8; 10] {
    let mut bytes = [0; 10];
    let drawn = web_sys::window()
        .and_then(|window| window.crypto().ok())
        .is_some_and(|crypto| crypto.get_random_values_with_u8_array(&mut bytes).is_ok());
    if !drawn {
        // Pages outside a secure context: still unlikely enough to meet itself.
        bytes.fill_with(|| (js_sys::Math::random() * 256.0) as u8);
    }
    bytes
}

/// Today in an IANA time zone; `None` where the browser does not know the zone.
pub fn today_in(time_zone: &str) -> Option<Date> {
    today(Some(time_zone))
}

/// Today where this phone is.
pub fn today_here() -> Option<Date> {
    today(None)
}

fn today(time_zone: Option<&str>) -> Option<Date> {
    let options = Object::new();
    for (name, form) in [
        ("year", "numeric"),
        ("month", "numeric"),
        ("day", "numeric"),
    ] {
        set(&options, name, &form.into());
    }
    if let Some(time_zone) = time_zone {
        set(&options, "timeZone", &time_zone.into());
    }
    let constructor: Function = get(&get(&js_sys::global(), "Intl"), "DateTimeFormat")
        .dyn_into()
        .ok()?;
    let arguments = Array::of2(&"en-US-u-ca-gregory-nu-latn".into(), &options);
    let format = Reflect::construct(&constructor, &arguments).ok()?;
    let to_parts: Function = get(&format, "formatToParts").dyn_into().ok()?;
    let parts: Array = to_parts
        .call1(&format, &JsValue::from_f64(js_sys::Date::now()))
        .ok()?
        .dyn_into()
        .ok()?;
    let part = |name: &str| {
        parts
            .iter()
            .find(|part| text_at(part, "type").as_deref() == Some(name))
            .and_then(|part| text_at(&part, "value"))
    };
    Date::new(
        part("year")?.parse().ok()?,
        part("month")?.parse().ok()?,
        part("day")?.parse().ok()?,
    )
    .ok()
}
