//! Limits for lifting slings; angles in degrees from the horizontal.

use super::{Row, Source, Status};

/// Flatter than this a sling is not used.
pub const LEAST_ANGLE: Row<f64> = Row::new(
    30.0,
    Source::published(
        "US Navy Seabee manual 14080",
        "bridle hitch; and a sling safety page citing ASME B30.9",
        "",
        Status::Read2,
    ),
);
/// A sling is kept at least this steep.
pub const PREFERRED_ANGLE: Row<f64> = Row::new(
    45.0,
    Source::published(
        "US Navy Seabee manual 14080",
        "bridle hitch; and a sling safety page citing ASME B30.9",
        "",
        Status::Read2,
    ),
);
/// Four legs on a rigid load count as this many.
pub const FOUR_LEGS_COUNT_AS: Row<u32> = Row::new(
    2,
    Source::published(
        "US Navy Seabee manuals 14080 and 14081",
        "four-leg bridle on a rigid load",
        "",
        Status::Read2,
    ),
);
