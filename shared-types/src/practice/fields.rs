//! Every limit a dealer can set, with default and source.

use super::{Field, Standing};
use crate::quantity::Dimension;

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const MINUTE: f64 = 60.0;
const PRACTICE: &str = "common practice, no source";
const FROM_MEMORY: &str = "from memory; the dealer's own equipment decides";

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
        bounds: (
            0.0,
            match dimension {
                // Shares and slopes: at most the whole, or 45 degrees.
                Dimension::Slope => 1.0,
                _ => f64::MAX,
            },
        ),
    }
}

/// A limit that a dealer can state within these bounds only.
const fn between(mut field: Field, least: f64, greatest: f64) -> Field {
    field.bounds = (least, greatest);
    field
}

/// A limit whose default may warn, and turns nothing clear until the dealer states it.
const fn must_state(
    key: &'static str,
    dimension: Dimension,
    default: f64,
    written: &'static str,
    source: &'static str,
) -> Field {
    Field {
        standing: Standing::MustBeStated,
        ..field(key, dimension, default, written, source)
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
    // What is good of a right angle and a straight line that somebody says are there.
    field("spread_square", Dimension::Angle, 1.0, "1°", PRACTICE),
    field(
        "spread_straight",
        Dimension::Length,
        0.5 * INCH,
        "1/2 in",
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
    // A share of a length scaled off a picture; its own half-width counts where that is larger.
    field(
        "spread_share_photo",
        Dimension::Slope,
        0.05,
        "5 %",
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
    field(
        "carriage_height",
        Dimension::Length,
        8.0 * INCH,
        "8 in",
        PRACTICE,
    ),
    field(
        "carriage_overhang",
        Dimension::Length,
        0.0,
        "0 in",
        PRACTICE,
    ),
    field(
        "carriage_weight",
        Dimension::Mass,
        300.0 * POUND,
        "300 lb",
        PRACTICE,
    ),
    field(
        "carriage_track",
        Dimension::Length,
        36.0 * INCH,
        "36 in",
        PRACTICE,
    ),
    must_state(
        "carriage_wheelbase",
        Dimension::Length,
        168.0 * INCH,
        "14 ft",
        FROM_MEMORY,
    ),
    must_state(
        "carriage_belly",
        Dimension::Length,
        2.0 * INCH,
        "2 in",
        FROM_MEMORY,
    ),
    field("head_room", Dimension::Length, 2.0 * INCH, "2 in", PRACTICE),
    field(
        "water_left",
        Dimension::Mass,
        200.0 * POUND,
        "200 lb",
        PRACTICE,
    ),
    field(
        "skid_weight",
        Dimension::Mass,
        250.0 * POUND,
        "250 lb",
        PRACTICE,
    ),
    must_state(
        "rolling_resistance_small_hard",
        Dimension::Slope,
        0.4,
        "40 % of the weight",
        "lever arm 0.8 in on a 2 in wheel radius; unverified: one secondary page",
    ),
    must_state(
        "start_extra",
        Dimension::Slope,
        0.5,
        "50 % on top",
        "starting takes more than moving; how much is from memory",
    ),
    must_state(
        "hand_pull_start",
        Dimension::Force,
        50.0 * POUND_FORCE,
        "50 lbf",
        "workplace safety guide on carts, after a study of acceptable pushing forces 1991; unverified: one secondary page",
    ),
    must_state(
        "hand_pull_sustained",
        Dimension::Force,
        25.0 * POUND_FORCE,
        "25 lbf",
        "workplace safety guide on carts, after a study of acceptable pushing forces 1991; unverified: one secondary page",
    ),
    field("slope_level", Dimension::Slope, 0.02, "2 %", PRACTICE),
    must_state(
        "slope_limit_hands",
        Dimension::Slope,
        0.03,
        "3 %",
        FROM_MEMORY,
    ),
    must_state(
        "slope_limit_winch",
        Dimension::Slope,
        0.15,
        "15 %",
        FROM_MEMORY,
    ),
    must_state(
        "slope_limit_mover",
        Dimension::Slope,
        0.08,
        "8 %",
        FROM_MEMORY,
    ),
    field("crossfall_warn", Dimension::Slope, 0.02, "2 %", PRACTICE),
    field(
        "ramp_slope",
        Dimension::Slope,
        1.0 / 12.0,
        "1 in 12",
        PRACTICE,
    ),
    field(
        "mat_area",
        Dimension::Area,
        32.0 * FOOT * FOOT,
        "32 sq ft",
        PRACTICE,
    ),
    field(
        "rig_height",
        Dimension::Length,
        162.0 * INCH,
        "13 ft 6 in",
        PRACTICE,
    ),
    field(
        "rig_length",
        Dimension::Length,
        720.0 * INCH,
        "60 ft",
        PRACTICE,
    ),
    field(
        "trailer_tilt",
        Dimension::Length,
        48.0 * INCH,
        "4 ft",
        PRACTICE,
    ),
    field(
        "unload_run_out",
        Dimension::Length,
        120.0 * INCH,
        "10 ft",
        PRACTICE,
    ),
    field(
        "effort_per_100_feet",
        Dimension::Duration,
        20.0 * MINUTE,
        "20 min",
        PRACTICE,
    ),
    field(
        "effort_per_turn",
        Dimension::Duration,
        30.0 * MINUTE,
        "30 min",
        PRACTICE,
    ),
    field(
        "effort_limit",
        Dimension::Duration,
        480.0 * MINUTE,
        "8 h",
        PRACTICE,
    ),
    // Lifting in.
    field(
        "lift_load_allowance",
        Dimension::Slope,
        0.05,
        "5 %",
        PRACTICE,
    ),
    field(
        "crane_chart_share",
        Dimension::Slope,
        0.75,
        "75 %",
        PRACTICE,
    ),
    field(
        "lift_margin",
        Dimension::Length,
        24.0 * INCH,
        "2 ft",
        PRACTICE,
    ),
    field(
        "hook_reserve",
        Dimension::Length,
        72.0 * INCH,
        "6 ft",
        PRACTICE,
    ),
    must_state(
        "line_trigger",
        Dimension::Length,
        20.0 * FOOT,
        "20 ft",
        "29 CFR 1926.1408; unverified: one secondary page",
    ),
    must_state(
        "line_trigger_high",
        Dimension::Length,
        50.0 * FOOT,
        "50 ft",
        "29 CFR 1926.1409; unverified: one secondary page",
    ),
    // Never less than the least share that was read anywhere: 65 %, Queensland code of practice.
    between(
        must_state(
            "outrigger_share",
            Dimension::Slope,
            0.85,
            "85 %",
            "rule of thumb, 75 to 85 % on one outrigger; from memory",
        ),
        0.65,
        1.0,
    ),
    // The spot.
    field(
        "service_depth",
        Dimension::Length,
        36.0 * INCH,
        "36 in",
        PRACTICE,
    ),
    field(
        "side_clearance",
        Dimension::Length,
        24.0 * INCH,
        "24 in",
        PRACTICE,
    ),
    must_state(
        "glazing_distance",
        Dimension::Length,
        60.0 * INCH,
        "60 in",
        "IRC R308.4.5, from memory",
    ),
    // The base.
    field(
        "person_weight",
        Dimension::Mass,
        185.0 * POUND,
        "185 lb",
        PRACTICE,
    ),
    field(
        "base_margin",
        Dimension::Length,
        6.0 * INCH,
        "6 in",
        PRACTICE,
    ),
    field("cure_days", Dimension::Count, 28.0, "28", PRACTICE),
    field(
        "standing_height",
        Dimension::Length,
        78.0 * INCH,
        "6 ft 6 in",
        PRACTICE,
    ),
    // The supply.
    must_state(
        "within_sight",
        Dimension::Length,
        50.0 * FOOT,
        "50 ft",
        "NEC Article 100, from memory",
    ),
    must_state(
        "working_depth",
        Dimension::Length,
        36.0 * INCH,
        "36 in",
        "NEC 110.26, from memory",
    ),
    // Water, entry and barrier.
    field(
        "fill_longest",
        Dimension::Duration,
        1440.0 * MINUTE,
        "24 h",
        PRACTICE,
    ),
    must_state(
        "step_over_highest",
        Dimension::Length,
        30.0 * INCH,
        "30 in",
        "from memory; what people can step over decides",
    ),
    field(
        "barrier_height",
        Dimension::Length,
        48.0 * INCH,
        "48 in",
        "ISPSC 305.2, 2015; local codes can ask for 60 in",
    ),
    // Before each hold point.
    field("remeasure_days", Dimension::Count, 14.0, "14", PRACTICE),
];
