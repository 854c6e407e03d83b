//! The server's clock, read in one place.

use jiff::{Timestamp, civil::Date, tz::TimeZone};

/// Milliseconds since 1970 now.
pub fn now() -> i64 {
    Timestamp::now().as_millisecond()
}

/// The civil date now in an IANA time zone; a zone this server does not know counts as UTC.
pub fn today(time_zone: &str) -> Date {
    let zone = TimeZone::get(time_zone).unwrap_or(TimeZone::UTC);
    zone.to_datetime(Timestamp::now()).date()
}

/// Whether `time_zone` is an IANA name this server knows.
pub fn knows_zone(time_zone: &str) -> bool {
    TimeZone::get(time_zone).is_ok()
}
