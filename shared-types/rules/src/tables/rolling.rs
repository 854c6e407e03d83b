//! Rolling resistance of carriages as a share of the weight: always a range, of which the high end decides.
//!
//! Car-tyre coefficients must not be used for small hard wheels: those take ten to forty times as much. A break-away
//! pull measured on this carriage and this surface is better than any row here.

use super::{Row, Source, Status};
use serde::Serialize;

/// A range of the coefficient c.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Resistance {
    /// The low end.
    pub low: f64,
    /// The high end, which decides.
    pub high: f64,
}

/// What the carriage rolls on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wheel {
    /// Small hard wheels or castors, about 2 in radius.
    SmallHard,
    /// Large air-filled tyres, properly inflated.
    Pneumatic,
}

/// What it rolls over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// Concrete, asphalt, or joined hard boards.
    Hard,
    /// Rolled or well-packed gravel.
    FirmGravel,
    /// Lawn or medium-hard soil.
    Soil,
    /// Loose gravel or sand.
    Loose,
}

/// Small hard wheels on concrete: lever arm 0.4 to 0.8 in of hard rubber on concrete over a 2 in radius.
///
/// Read on one page that prints no unit (inches by cross-check with a second table), so it warns and never clears.
pub const SMALL_HARD_ON_HARD: Row<Resistance> = Row::new(
    Resistance {
        low: 0.2,
        high: 0.4,
    },
    Source::published(
        "table of lever arms of rolling friction",
        "hard rubber on concrete 0.4 to 0.8 in, wheel radius 2 in",
        "",
        Status::ReadSecondary,
    ),
);

/// Air-filled tyres on a hard road or new asphalt and concrete.
pub const PNEUMATIC_ON_HARD: Row<Resistance> = Row::new(
    Resistance {
        low: 0.01,
        high: 0.02,
    },
    Source::published(
        "Mechanical Engineer's Data Handbook",
        "rolling resistance, pneumatic",
        "1993",
        Status::Read2,
    ),
);
/// Air-filled tyres on rolled gravel, new to worn.
pub const PNEUMATIC_ON_FIRM_GRAVEL: Row<Resistance> = Row::new(
    Resistance {
        low: 0.01,
        high: 0.04,
    },
    Source::published(
        "Mechanical Engineer's Data Handbook",
        "rolling resistance, pneumatic",
        "1993",
        Status::Read2,
    ),
);
/// Air-filled tyres on medium-hard soil.
pub const PNEUMATIC_ON_SOIL: Row<Resistance> = Row::new(
    Resistance {
        low: 0.04,
        high: 0.08,
    },
    Source::published(
        "Mechanical Engineer's Data Handbook",
        "rolling resistance, pneumatic",
        "1993",
        Status::Read2,
    ),
);
/// Air-filled tyres on sand.
pub const PNEUMATIC_ON_LOOSE: Row<Resistance> = Row::new(
    Resistance {
        low: 0.1,
        high: 0.4,
    },
    Source::published(
        "Mechanical Engineer's Data Handbook",
        "rolling resistance, pneumatic, and a second table for loose sand",
        "1993",
        Status::Read,
    ),
);

/// The published range for a wheel on a surface.
///
/// `None` for small hard wheels off hard ground: no value was found, they sink, and the leg needs boards or a measured
/// pull.
pub fn resistance(wheel: Wheel, surface: Surface) -> Option<Row<Resistance>> {
    match (wheel, surface) {
        (Wheel::SmallHard, Surface::Hard) => Some(SMALL_HARD_ON_HARD),
        (Wheel::SmallHard, _) => None,
        (Wheel::Pneumatic, Surface::Hard) => Some(PNEUMATIC_ON_HARD),
        (Wheel::Pneumatic, Surface::FirmGravel) => Some(PNEUMATIC_ON_FIRM_GRAVEL),
        (Wheel::Pneumatic, Surface::Soil) => Some(PNEUMATIC_ON_SOIL),
        (Wheel::Pneumatic, Surface::Loose) => Some(PNEUMATIC_ON_LOOSE),
    }
}
