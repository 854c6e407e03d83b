//! International Building Code 1806.2: presumptive bearing of the ground by soil class.

use super::units::POUND_PER_SQUARE_FOOT;
use super::{Row, Source, Status};
use serde::Serialize;

/// A class of ground, as the table tells them apart, and the ones it gives nothing for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SoilClass {
    /// Crystalline bedrock.
    CrystallineBedrock,
    /// Sedimentary and foliated rock.
    SedimentaryRock,
    /// Sandy gravel and gravel (GW, GP).
    Gravel,
    /// Sand, silty or clayey sand, silty or clayey gravel (SW, SP, SM, SC, GM, GC).
    Sand,
    /// Clay, sandy or silty clay, clayey silt, silt (CL, ML, MH, CH).
    Clay,
    /// Mud, organic silt or clay, peat.
    Organic,
    /// Fill that was not placed and tested as such.
    UnpreparedFill,
}

impl SoilClass {
    /// Every class, best ground first.
    pub const ALL: [SoilClass; 7] = [
        SoilClass::CrystallineBedrock,
        SoilClass::SedimentaryRock,
        SoilClass::Gravel,
        SoilClass::Sand,
        SoilClass::Clay,
        SoilClass::Organic,
        SoilClass::UnpreparedFill,
    ];
}

/// Presumptive vertical bearing in psf as printed, for the five classes that have one.
pub const BEARING_PSF: Row<[(SoilClass, f64); 5]> = Row::new(
    [
        (SoilClass::CrystallineBedrock, 12_000.0),
        (SoilClass::SedimentaryRock, 4000.0),
        (SoilClass::Gravel, 3000.0),
        (SoilClass::Sand, 2000.0),
        (SoilClass::Clay, 1500.0),
    ],
    Source::published("IBC", "Table 1806.2", "2012", Status::Read2),
);

/// Mud, organic ground, peat and unprepared fill have no presumptive bearing without data.
pub const NO_BEARING: Source = Source::published("IBC", "1806.2", "2012", Status::Read);

/// The presumptive bearing in pascals of a soil class; `None` where the code gives none without a report.
pub fn presumptive_bearing(class: SoilClass) -> Option<f64> {
    let same = |row: &&(SoilClass, f64)| row.0 == class;
    let row = BEARING_PSF.value.iter().find(same)?;
    Some(row.1 * POUND_PER_SQUARE_FOOT)
}
