//! Shares and rules for mobile cranes until the maker's own figures are given.

use super::{Row, Source, Status};

/// Greatest share of crane, rigging and load on one outrigger, until the maker's figure is given. From memory.
pub const OUTRIGGER_SHARE: Row<f64> = Row::new(
    0.85,
    Source::published(
        "rule of thumb, up to 0.75 to 0.85 on one outrigger",
        "",
        "",
        Status::Memory,
    ),
);
/// The same by the Queensland code: less cautious, shown beside it.
pub const OUTRIGGER_SHARE_QUEENSLAND: Row<f64> = Row::new(
    0.65,
    Source::published(
        "Mobile Crane Code of Practice, Queensland",
        "maximum load on one outrigger, as quoted by the Crane Industry Council of Australia",
        "",
        Status::Read,
    ),
);
/// Between listed chart values the smallest load at the next larger radius or boom length is used; never interpolated.
pub const CHART_RULE: Source = Source::published(
    "provincial crane safety body, load chart quiz",
    "note 6",
    "",
    Status::Read,
);
/// Share of the chart's capacity that is used, by default.
pub const ALLOWED_SHARE: Row<f64> =
    Row::new(0.75, Source::practice_sheet("share of crane chart used"));
/// Wind pressure q = 0.00256·V² (psf, mph).
pub const WIND_PRESSURE: Source =
    Source::published("ASCE 7", "velocity pressure", "", Status::Memory);
