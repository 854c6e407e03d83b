//! Clocks.
pub fn wall() -> i64 { js_sys::Date::now() as i64 }
pub fn today_in(_: &str) -> Option<jiff::civil::Date> { None }
pub fn new_id() -> uuid::Uuid { uuid::Uuid::nil() }
