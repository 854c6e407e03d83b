//! International Residential Code: the fall of the ground away from a house.

use super::units::FOOT;
use super::{Row, Source, Status};

const fn irc() -> Source {
    Source::published("IRC", "R401.3", "2006", Status::Read2)
}

/// Least fall, rise over run, of the ground away from a foundation: 6 in in the first 10 ft.
pub const LEAST_FALL: Row<f64> = Row::new(0.05, irc());
/// Distance in metres over which it falls.
pub const FALL_WITHIN: Row<f64> = Row::new(10.0 * FOOT, irc());
/// Least fall, rise over run, of hard surfaces within that distance, and of swales.
pub const LEAST_FALL_HARD: Row<f64> = Row::new(0.02, irc());
