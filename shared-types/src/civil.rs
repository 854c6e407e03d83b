//! Civil dates as texts, read as RFC 3339 writes a full-date.

use core::fmt;

use jiff::civil::Date;
use serde::Deserializer;
use serde::de::{Error, Visitor};

/// A full-date of RFC 3339, section 5.6: four digits of the year, two of the month, two of the day.
///
/// The library's own reader takes every form of every kind of time and words each fault of it: a fiftieth of all that a
/// phone loads, for ten characters.
///
/// ```
/// use setdown_types::civil::full_date;
///
/// assert_eq!(full_date("2028-02-29"), Some(jiff::civil::date(2028, 2, 29)));
/// for wrong in ["2026-02-29", "2026-2-9", "20260209", "2026-02-09T08:00", "+026-02-09", "09.02.2026", ""] {
///     assert_eq!(full_date(wrong), None, "{wrong}");
/// }
/// ```
pub fn full_date(text: &str) -> Option<Date> {
    let mut parts = text.split('-');
    let year = digits(parts.next()?, 4)?;
    let month = i8::try_from(digits(parts.next()?, 2)?).ok()?;
    let day = i8::try_from(digits(parts.next()?, 2)?).ok()?;
    if parts.next().is_some() {
        return None;
    }
    Date::new(year, month, day).ok()
}

fn digits(text: &str, count: usize) -> Option<i16> {
    let all = text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit());
    if all { text.parse().ok() } else { None }
}

/// Reads a civil date, for `#[serde(deserialize_with = "…")]`.
///
/// # Errors
/// A text that says how a date is written.
///
/// ```
/// #[derive(serde::Deserialize)]
/// struct Day(#[serde(deserialize_with = "setdown_types::civil::read_date")] jiff::civil::Date);
///
/// let day: Day = serde_json::from_str(r#""2026-11-25""#)?;
/// assert_eq!(day.0, jiff::civil::date(2026, 11, 25));
/// assert!(serde_json::from_str::<Day>(r#""25.11.2026""#).is_err());
/// # Ok::<(), serde_json::Error>(())
/// ```
pub fn read_date<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Date, D::Error> {
    deserializer.deserialize_str(DateText)
}

struct DateText;

impl Visitor<'_> for DateText {
    type Value = Date;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("a date as in 2026-11-25")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Date, E> {
        full_date(text)
            .ok_or_else(|| E::custom(format_args!("{text:?} is no date: write it as 2026-11-25")))
    }
}
