//! International Residential Code: stairs, handrails, landings and guards.

use super::units::INCH;
use super::{Row, Source, Status};

const fn irc(section: &'static str) -> Source {
    Source::published("IRC", section, "2024", Status::Read)
}

/// Greatest riser in metres.
pub const LARGEST_RISER: Row<f64> = Row::new(7.75 * INCH, irc("R318.7.5 (was R311.7.5)"));
/// Least tread depth in metres.
pub const LEAST_TREAD: Row<f64> = Row::new(10.0 * INCH, irc("R318.7.5 (was R311.7.5)"));
/// Greatest difference in metres between the risers, or the treads, of one flight.
pub const LARGEST_VARIATION: Row<f64> = Row::new(0.375 * INCH, irc("R318.7.5 (was R311.7.5)"));
/// Risers from which a flight needs a handrail on one side at least.
pub const HANDRAIL_FROM_RISERS: Row<u32> = Row::new(4, irc("R318.7.8 (was R311.7.8)"));
/// Least handrail height in metres.
pub const HANDRAIL_LOWEST: Row<f64> = Row::new(34.0 * INCH, irc("R318.7.8 (was R311.7.8)"));
/// Greatest handrail height in metres.
pub const HANDRAIL_HIGHEST: Row<f64> = Row::new(38.0 * INCH, irc("R318.7.8 (was R311.7.8)"));
/// Least depth in metres of a landing.
pub const LEAST_LANDING: Row<f64> = Row::new(36.0 * INCH, irc("R318.7.6"));
/// Height in metres above which a walking surface needs a guard.
pub const GUARD_ABOVE: Row<f64> = Row::new(30.0 * INCH, irc("R321.1.1 (was R312)"));
/// How far in metres from the edge the ground below is looked at.
pub const GUARD_WITHIN: Row<f64> = Row::new(36.0 * INCH, irc("R321.1.1 (was R312)"));
/// Least height in metres of a guard.
pub const GUARD_HEIGHT: Row<f64> = Row::new(36.0 * INCH, irc("R321.1.2 (was R312)"));
/// Diameter in metres of the ball that must not pass through a guard.
pub const GUARD_OPENING: Row<f64> = Row::new(4.0 * INCH, irc("R321.1.3 (was R312)"));
/// Distance in metres from the water's edge within which glass must be safety glazing.
pub const SAFETY_GLAZING_WITHIN: Row<f64> = Row::new(
    60.0 * INCH,
    Source::published("IRC", "R308.4.5", "", Status::Memory),
);
