//! International Swimming Pool and Spa Code 305: barriers, and the cover that stands in for one.

use super::units::INCH;
use super::{Row, Source, Status};

const fn ispsc(section: &'static str, status: Status) -> Source {
    Source::published("ISPSC", section, "2015", status)
}

/// A spa with a lockable safety cover to ASTM F1346 needs no barrier.
pub const SAFETY_COVER_EXCEPTION: Source = ispsc("305.1", Status::Read);
/// Least height in metres of a barrier, from outside. Stricter heights of 60 in exist locally.
pub const BARRIER_HEIGHT: Row<f64> = Row::new(
    48.0 * INCH,
    ispsc("305.2, as summarized on pages that agree", Status::Read2),
);
/// Greatest gap in metres under a barrier on grass or gravel.
pub const GAP_ON_SOFT_GROUND: Row<f64> = Row::new(
    2.0 * INCH,
    ispsc("305.2, as summarized on pages that agree", Status::Read2),
);
/// Greatest gap in metres under a barrier on a solid surface.
pub const GAP_ON_HARD_GROUND: Row<f64> = Row::new(
    4.0 * INCH,
    ispsc("305.2, as summarized on pages that agree", Status::Read2),
);
/// Openings in metres stay under this.
pub const OPENING_UNDER: Row<f64> = Row::new(
    4.0 * INCH,
    ispsc("305.2, as summarized on pages that agree", Status::Read2),
);
/// Greatest opening in metres where horizontals are less than 45 in apart, and between slats.
pub const OPENING_CLIMBABLE: Row<f64> = Row::new(
    1.75 * INCH,
    ispsc("305.2, as summarized on pages that agree", Status::Read2),
);
/// Height in metres under which a gate's latch goes on the pool side.
pub const LATCH_INSIDE_BELOW: Row<f64> = Row::new(54.0 * INCH, ispsc("305.3", Status::Read2));
/// A gate for people opens outward, away from the water, closes and latches by itself.
pub const GATE: Source = ispsc("305.3", Status::Read2);
