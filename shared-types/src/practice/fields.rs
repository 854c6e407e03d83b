//! Every limit a dealer can set, with default and source.

use super::{Field, Standing};
use crate::quantity::Dimension;

const INCH: f64 = 0.0254;
const PRACTICE: &str = "common practice, no source";

const fn field(
    key: &'static str,
    dimension: Dimension,
    default: f64,
    written: &'static str,
    source: &'static str,
) -> Field {
    Field {
        key,
        dimension,
        default,
        written,
        source,
        standing: Standing::Settled,
    }
}

/// The table, in the order of the areas of the checks.
pub const FIELDS: &[Field] = &[
    // Spreads by method (half-width, 19 times in 20), for lengths.
    field(
        "spread_tape",
        Dimension::Length,
        0.25 * INCH,
        "1/4 in",
        PRACTICE,
    ),
    field(
        "spread_home_tape",
        Dimension::Length,
        0.75 * INCH,
        "3/4 in",
        PRACTICE,
    ),
    field(
        "spread_laser",
        Dimension::Length,
        0.125 * INCH,
        "1/8 in",
        PRACTICE,
    ),
    field(
        "spread_photo",
        Dimension::Length,
        3.0 * INCH,
        "3 in",
        PRACTICE,
    ),
    field(
        "spread_estimate",
        Dimension::Length,
        12.0 * INCH,
        "12 in",
        PRACTICE,
    ),
    field(
        "spread_document",
        Dimension::Length,
        1.0 * INCH,
        "1 in",
        PRACTICE,
    ),
    field(
        "spread_level_height",
        Dimension::Length,
        0.0625 * INCH,
        "1/16 in",
        PRACTICE,
    ),
    field("spread_slope", Dimension::Slope, 0.003, "0.3 %", PRACTICE),
    field(
        "spread_slope_estimate",
        Dimension::Slope,
        0.02,
        "2 %",
        PRACTICE,
    ),
    // A share of the value, for readings that are not lengths or slopes.
    field(
        "spread_share_instrument",
        Dimension::Slope,
        0.05,
        "5 %",
        PRACTICE,
    ),
    field(
        "spread_share_estimate",
        Dimension::Slope,
        0.25,
        "25 %",
        PRACTICE,
    ),
    // Rolling in.
    field(
        "running_clearance_required",
        Dimension::Length,
        2.0 * INCH,
        "2 in",
        PRACTICE,
    ),
    field(
        "running_clearance_preferred",
        Dimension::Length,
        5.0 * INCH,
        "5 in",
        PRACTICE,
    ),
];
