//! ASTM F1346: the static load a safety cover must carry.

use super::units::{FOOT, POUND};
use super::{Row, Source, Status};

const fn astm(section: &'static str) -> Source {
    Source::published("ASTM F1346", section, "1991", Status::Read2)
}

/// Width or diameter in metres above which the larger load applies.
pub const WIDE_ABOVE: Row<f64> = Row::new(8.0 * FOOT, astm("9.1.1"));
/// Load in kilograms above that width: two adults and a child.
pub const LOAD_WIDE: Row<f64> = Row::new(485.0 * POUND, astm("7.1"));
/// Load in kilograms up to that width: an adult and a child.
pub const LOAD_NARROW: Row<f64> = Row::new(275.0 * POUND, astm("7.1.1"));

/// The static load in kilograms for a cover of this `width` in metres: 485 lb over 8 ft, 275 lb up to it.
///
/// A width that is not a number gets the larger load.
pub fn cover_load(width: f64) -> f64 {
    if width <= WIDE_ABOVE.value {
        LOAD_NARROW.value
    } else {
        LOAD_WIDE.value
    }
}
