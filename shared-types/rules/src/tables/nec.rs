//! National Electrical Code (NFPA 70): load calculations, standard ratings and Article 680, as far as planning needs.
//!
//! The code binds only as adopted and amended locally; section numbers move between editions. The texts were read on
//! pages that reproduce them, not in the book. A licensed electrician decides.

use super::units::{FOOT, INCH};
use super::{Row, Source, Status};

const fn nec(section: &'static str, edition: &'static str, status: Status) -> Source {
    Source::published("NEC", section, edition, status)
}

/// General lighting in VA per square foot of floor.
pub const LIGHTING_PER_SQUARE_FOOT: Row<f64> =
    Row::new(3.0, nec("220.12, Annex D Ex. D1(a)", "2005", Status::Read));
/// VA for each small-appliance or laundry circuit.
pub const CIRCUIT_LOAD: Row<f64> = Row::new(
    1500.0,
    nec("220.52, Annex D Ex. D1(a)", "2005", Status::Read),
);
/// Standard method: lighting VA counted in full.
pub const LIGHTING_IN_FULL: Row<f64> = Row::new(
    3000.0,
    nec("Table 220.42, Annex D Ex. D1(a)", "2005", Status::Read),
);
/// Standard method: factor for lighting from 3,001 to 120,000 VA.
pub const LIGHTING_REDUCED: Row<f64> = Row::new(
    0.35,
    nec("Table 220.42, Annex D Ex. D1(a)", "2005", Status::Read),
);
/// Standard method: lighting VA from which the second reduction applies.
pub const LIGHTING_FAR: Row<f64> = Row::new(120_000.0, nec("Table 220.42", "2005", Status::Memory));
/// Standard method: factor for lighting above 120,000 VA.
pub const LIGHTING_FAR_REDUCED: Row<f64> =
    Row::new(0.25, nec("Table 220.42", "2005", Status::Memory));
/// Demand in VA of one household range of at most 12 kW (column C).
pub const RANGE_DEMAND: Row<f64> = Row::new(
    8000.0,
    nec("Table 220.55, Annex D Ex. D1(a)", "2005", Status::Read),
);
/// Least VA for a dryer.
pub const DRYER_LEAST: Row<f64> = Row::new(5000.0, nec("220.54", "2005", Status::Memory));
/// How many appliances fastened in place it takes for the 75 % factor.
pub const FIXED_APPLIANCES_FROM: Row<usize> = Row::new(4, nec("220.53", "2005", Status::Memory));
/// Factor for four or more appliances fastened in place.
pub const FIXED_APPLIANCES_REDUCED: Row<f64> =
    Row::new(0.75, nec("220.53", "2005", Status::Memory));
/// Share of the largest motor added to the load.
pub const LARGEST_MOTOR_EXTRA: Row<f64> =
    Row::new(0.25, nec("220.50, 430.24", "2005", Status::Memory));
/// Share of ranges and dryers that the neutral carries.
pub const NEUTRAL_SHARE: Row<f64> =
    Row::new(0.7, nec("220.61, Annex D Ex. D1(a)", "2005", Status::Read));
/// Optional method: VA counted in full.
pub const OPTIONAL_IN_FULL: Row<f64> =
    Row::new(10_000.0, nec("220.82(B)", "2005 to 2017", Status::Read2));
/// Optional method: factor for the rest.
pub const OPTIONAL_REDUCED: Row<f64> =
    Row::new(0.4, nec("220.82(B)", "2005 to 2017", Status::Read2));
/// Optional method: factor for central electric heating and a heat pump's supplement.
pub const CENTRAL_HEATING: Row<f64> = Row::new(0.65, nec("220.82(C)", "2005, 2014", Status::Read2));
/// Optional method: factor for fewer than four separately controlled heating units.
pub const FEW_HEATING_UNITS: Row<f64> = Row::new(0.65, nec("220.82(C)", "2005", Status::Memory));
/// Optional method: factor for four or more separately controlled heating units.
pub const MANY_HEATING_UNITS: Row<f64> = Row::new(
    0.4,
    nec("220.82(C), Annex D Ex. D2(a)", "2005", Status::Read),
);
/// How many separately controlled heating units it takes for that factor.
pub const MANY_HEATING_UNITS_FROM: Row<u32> =
    Row::new(4, nec("220.82(C), Annex D Ex. D2(a)", "2005", Status::Read));
/// Existing dwelling: VA counted in full (8 kVA, not the 10 of the optional method).
pub const EXISTING_IN_FULL: Row<f64> = Row::new(8000.0, nec("220.83", "2005 on", Status::Read2));
/// Existing dwelling: factor for the rest.
pub const EXISTING_REDUCED: Row<f64> = Row::new(0.4, nec("220.83", "2005 on", Status::Read2));
/// Recorded demand: factor on the greatest demand.
pub const RECORDED_DEMAND_FACTOR: Row<f64> = Row::new(1.25, nec("220.87", "", Status::Memory));
/// Recorded demand: days a recording at 15-minute steps must last.
pub const RECORDING_DAYS: Row<u32> = Row::new(30, nec("220.87 Exception", "2011", Status::Read));
/// Smallest service in amperes for a one-family dwelling.
pub const LEAST_DWELLING_SERVICE: Row<f64> = Row::new(
    100.0,
    nec("230.79(C), Annex D Ex. D1(a)", "2005", Status::Read),
);
/// Continuous loads: the circuit is rated for this factor.
pub const CONTINUOUS_FACTOR: Row<f64> = Row::new(1.25, nec("210.20(A)", "", Status::ReadSecondary));

/// Standard ratings of breakers and fuses in amperes, rising.
pub const STANDARD_RATINGS: Row<[f64; 37]> = Row::new(
    [
        15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0,
        125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0, 600.0, 700.0,
        800.0, 1000.0, 1200.0, 1600.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0, 6000.0,
    ],
    nec("240.6(A)", "2023", Status::Read2),
);

/// The smallest standard rating in amperes of at least `amperes`; `None` above 6,000 A or for not a number.
pub fn next_standard_rating(amperes: f64) -> Option<f64> {
    let enough = |rating: &f64| *rating >= amperes;
    STANDARD_RATINGS.value.into_iter().find(enough)
}

/// Least distance in metres, any direction, from the water to bundled conductors on a grounded messenger, up to 750 V.
pub const OVERHEAD_BUNDLED: Row<f64> = Row::new(
    22.5 * FOOT,
    nec("680.9(A) (680.8 up to 2014)", "2017 on", Status::Read2),
);
/// Least distance in metres, any direction, from the water to other conductors, 0 to 15 kV.
pub const OVERHEAD_OTHER: Row<f64> = Row::new(
    25.0 * FOOT,
    nec("Table 680.9(A)", "2017 on", Status::Memory),
);
/// Least distance in metres, any direction, from the water to conductors above 15 and up to 50 kV.
pub const OVERHEAD_OVER_15_KILOVOLT: Row<f64> = Row::new(
    27.0 * FOOT,
    nec("Table 680.9(A)", "2017 on", Status::Memory),
);
/// Least height in metres of communications conductors above the water.
pub const OVERHEAD_COMMUNICATIONS: Row<f64> = Row::new(
    10.0 * FOOT,
    nec("680.9(B) (680.8 up to 2014)", "2017 on", Status::Read2),
);
/// How far in metres beyond the inside wall the overhead zone reaches at least.
pub const OVERHEAD_ZONE: Row<f64> = Row::new(
    10.0 * FOOT,
    nec("680.9 (680.8 up to 2014)", "2017 on", Status::Read2),
);
/// Least horizontal distance in metres from the water to the maintenance disconnect, unless a barrier gives that
/// reach path.
pub const DISCONNECT_LEAST: Row<f64> = Row::new(
    5.0 * FOOT,
    nec("680.13 (680.12 up to 2014)", "2017 on", Status::Read2),
);
/// Greatest distance in metres that still counts as within sight.
pub const WITHIN_SIGHT: Row<f64> = Row::new(
    50.0 * FOOT,
    nec("Article 100, \"within sight\"", "", Status::Memory),
);
/// Nearest place in metres for the receptacle that is required.
pub const RECEPTACLE_NEAREST: Row<f64> =
    Row::new(6.0 * FOOT, nec("680.22(A)(1)", "2011", Status::Read));
/// Farthest place in metres for the receptacle that is required.
pub const RECEPTACLE_FARTHEST: Row<f64> =
    Row::new(20.0 * FOOT, nec("680.22(A)(1)", "2011", Status::Read));
/// Farthest place in metres for the receptacle that an indoor spa requires.
pub const RECEPTACLE_FARTHEST_INDOORS: Row<f64> =
    Row::new(10.0 * FOOT, nec("680.43(A)(1)", "2011", Status::Read));
/// Within this distance in metres 15 and 20 A receptacles have ground-fault protection.
pub const RECEPTACLE_PROTECTED_WITHIN: Row<f64> =
    Row::new(20.0 * FOOT, nec("680.22(A)(4)", "2011", Status::Read));
/// Nearest place in metres for a switch without a solid barrier.
pub const SWITCH_NEAREST: Row<f64> = Row::new(5.0 * FOOT, nec("680.22(C)", "2011", Status::Read));
/// Height in metres of the rim above all perimeter surfaces that, with the other conditions, spares the bonding ring.
pub const BONDING_RIM_HEIGHT: Row<f64> =
    Row::new(28.0 * INCH, nec("680.42(B)", "2014 on", Status::Read2));
/// How far in metres round the spa the perimeter surfaces are looked at for that height.
pub const BONDING_RIM_WITHIN: Row<f64> =
    Row::new(30.0 * INCH, nec("680.42(B)", "2014 on", Status::Read2));
/// Spa outlets have ground-fault protection, or the unit has it built in and listed.
pub const SPA_GROUND_FAULT: Source = nec("680.44", "", Status::ReadSecondary);
