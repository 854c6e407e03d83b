//! 29 CFR 1926 (construction): cranes near power lines, ground under cranes, depth of unprotected cuts.

use super::units::FOOT;
use super::{Row, Source, Status};

const fn osha(section: &'static str, status: Status) -> Source {
    Source::published("29 CFR 1926", section, "", status)
}

/// One row of Table A: from above the voltage before it up to and including this one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineClearance {
    /// Nominal voltage in volts up to and including which the row holds.
    pub up_to_volts: f64,
    /// Least clearance in metres.
    pub clearance: f64,
}

const fn line(kilovolts: f64, feet: f64) -> LineClearance {
    LineClearance {
        up_to_volts: kilovolts * 1000.0,
        clearance: feet * FOOT,
    }
}

/// Least clearance by voltage, alternating current.
pub const TABLE_A: Row<[LineClearance; 6]> = Row::new(
    [
        line(50.0, 10.0),
        line(200.0, 15.0),
        line(350.0, 20.0),
        line(500.0, 25.0),
        line(750.0, 35.0),
        line(1000.0, 45.0),
    ],
    osha(".1408 Table A", Status::Read2),
);

/// The Table A clearance in metres for a nominal voltage in volts.
///
/// `None` above 1,000 kV, where the utility or a registered engineer sets it, and for a voltage that makes no sense.
pub fn line_clearance(volts: f64) -> Option<f64> {
    if volts.is_nan() || volts < 0.0 {
        return None;
    }
    let holds = |row: &&LineClearance| volts <= row.up_to_volts;
    TABLE_A.value.iter().find(holds).map(|row| row.clearance)
}

/// Distance in metres at the maximum working radius within which lines up to 350 kV must be dealt with first.
pub const TRIGGER: Row<f64> = Row::new(20.0 * FOOT, osha(".1408(a)(1)", Status::ReadSecondary));
/// The same above 350 kV, and where the voltage is not known.
pub const TRIGGER_HIGH: Row<f64> = Row::new(50.0 * FOOT, osha(".1409(a)", Status::ReadSecondary));
/// Voltage in volts up to which [`TRIGGER`] holds.
pub const TRIGGER_UP_TO_VOLTS: Row<f64> =
    Row::new(350_000.0, osha(".1408, .1409", Status::ReadSecondary));

/// The distance in metres within which a line must be dealt with before the crane works: 20 ft up to 350 kV, 50 ft
/// above that or where the `volts` are not known.
pub fn trigger_distance(volts: Option<f64>) -> f64 {
    match volts {
        Some(volts) if (0.0..=TRIGGER_UP_TO_VOLTS.value).contains(&volts) => TRIGGER.value,
        _ => TRIGGER_HIGH.value,
    }
}

/// Ground under a crane: firm, drained and graded, so that the maker's support and level demands are met.
pub const CRANE_GROUND: Source = osha(".1402(b)", Status::Read2);
/// Custom lifting accessories are marked and proof-tested to this multiple of their rated load.
pub const CUSTOM_ACCESSORY_PROOF: Row<f64> = Row::new(1.25, osha(".251(a)(4)", Status::Read));
/// Depth in metres under which a cut may stand unprotected, if a competent person finds no cave-in potential.
pub const UNPROTECTED_CUT: Row<f64> = Row::new(5.0 * FOOT, osha(".652(a)(1)", Status::Read2));
/// Least distance in metres of spoil and equipment from the edge of a cut.
pub const SPOIL_BACK: Row<f64> = Row::new(2.0 * FOOT, osha(".651(j)(2)", Status::Read2));
/// Wind and weather: a competent person adjusts the lift.
pub const WIND: Source = osha(".1417(n)", Status::Memory);
