//! The four methods: standard, optional, existing dwelling, recorded demand.

use super::working::Working;
use super::{BadLoad, Dwelling, Heating, Load, Method, Step, StepLabel};
use crate::tables::nec;

/// The standard method, as in Annex D Example D1(a): lighting and circuits at the lighting demand factors, one range by
/// Table 220.55 column C, dryers, appliances (four or more at 75 %), the larger of heating and cooling, a quarter of
/// the largest motor.
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn standard(dwelling: &Dwelling) -> Result<Load, BadLoad> {
    let mut work = Working::new();
    let lighting = work.add_lighting(dwelling)?;
    let full = nec::LIGHTING_IN_FULL.value;
    let far = nec::LIGHTING_FAR.value;
    work.add(StepLabel::GeneralSum, lighting, 1.0, false)?;
    work.add(StepLabel::FirstPart, lighting.min(full), 1.0, true)?;
    let middle = (lighting.min(far) - full).max(0.0);
    let reduced = nec::LIGHTING_REDUCED.value;
    work.add(StepLabel::Remainder, middle, reduced, true)?;
    if lighting > far {
        let factor = nec::LIGHTING_FAR_REDUCED.value;
        work.add(StepLabel::FarRemainder, lighting - far, factor, true)?;
    }
    for range in &dwelling.ranges {
        let demand = range_demand(*range).ok_or(BadLoad {
            what: StepLabel::Range,
        })?;
        let factor = if *range > 0.0 { demand / range } else { 1.0 };
        work.add(StepLabel::Range, *range, factor, true)?;
    }
    for dryer in &dwelling.dryers {
        // A number that makes no sense must not be hidden behind the least load.
        let at_least = if *dryer >= 0.0 {
            dryer.max(nec::DRYER_LEAST.value)
        } else {
            *dryer
        };
        work.add(StepLabel::Dryer, at_least, 1.0, true)?;
    }
    let fixed = fixed_factor(dwelling);
    for appliance in &dwelling.appliances {
        work.add(StepLabel::Appliance, *appliance, fixed, true)?;
    }
    work.add(StepLabel::Spa, dwelling.spa, 1.0, true)?;
    work.add_climate(&in_full(dwelling.heating), dwelling.cooling)?;
    let motor = nec::LARGEST_MOTOR_EXTRA.value;
    work.add(StepLabel::LargestMotor, dwelling.largest_motor, motor, true)?;
    work.total(Method::Standard)
}

/// Four or more appliances fastened in place count at 75 %. The spa is always taken in full beside them.
fn fixed_factor(dwelling: &Dwelling) -> f64 {
    if dwelling.appliances.len() >= nec::FIXED_APPLIANCES_FROM.value {
        nec::FIXED_APPLIANCES_REDUCED.value
    } else {
        1.0
    }
}

/// The demand in VA of one household range of `nameplate` VA by Table 220.55: 80 % up to 8¾ kW (column B), 8 kVA up to
/// 12 kW (column C), and 5 % more for each kilowatt or major fraction above that (note 1), up to 27 kW.
///
/// `None` for a negative nameplate or one above 27 kW. Only the 8 kVA for 12 kW was read; the rest is from memory.
/// Ranges are taken one by one, which is never less than the table's figure for several together.
pub fn range_demand(nameplate: f64) -> Option<f64> {
    if !super::super::all_at_least_zero(&[nameplate]) || nameplate > 27_000.0 {
        return None;
    }
    if nameplate <= 8_750.0 {
        return Some(0.8 * nameplate);
    }
    let over = libm::round(((nameplate - 12_000.0) / 1000.0).max(0.0));
    Some(nec::RANGE_DEMAND.value * (1.0 + 0.05 * over))
}

/// The neutral load in VA of the standard method: lighting after its demand factors, and 70 % of ranges and dryers
/// (220.61), with 120 V appliances in full, given in `neutral_appliances`.
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn standard_neutral(dwelling: &Dwelling, neutral_appliances: f64) -> Result<f64, BadLoad> {
    let load = standard(dwelling)?;
    if !super::super::all_at_least_zero(&[neutral_appliances]) {
        return Err(BadLoad {
            what: StepLabel::Appliance,
        });
    }
    let cooking = nec::NEUTRAL_SHARE.value;
    let part = |step: &Step| match step.label {
        StepLabel::FirstPart | StepLabel::Remainder | StepLabel::FarRemainder => step.va,
        StepLabel::Range | StepLabel::Dryer => cooking * step.va,
        _ => 0.0,
    };
    Ok(load.steps.iter().map(part).sum::<f64>() + neutral_appliances)
}

/// Heating at its nameplate in full.
fn in_full(heating: Heating) -> Vec<(f64, f64)> {
    match heating {
        Heating::None => Vec::new(),
        Heating::Central(va) | Heating::Separate { va, .. } => vec![(va, 1.0)],
        Heating::HeatPump {
            compressor,
            supplement,
        } => vec![(compressor, 1.0), (supplement, 1.0)],
    }
}

/// The optional method, 220.82: everything at its nameplate, the first 10 kVA in full and the rest at 40 %, then the
/// largest of cooling (100 %), heat pump (100 % and 65 % of its supplement), central heating (65 %), fewer than four
/// heating units (65 %), four or more (40 %).
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn optional(dwelling: &Dwelling) -> Result<Load, BadLoad> {
    let mut work = Working::new();
    let sum = work.add_nameplates(dwelling)?;
    let limit = nec::OPTIONAL_IN_FULL.value;
    work.split(sum, limit, nec::OPTIONAL_REDUCED.value)?;
    work.add_climate(&optional_heating(dwelling.heating), dwelling.cooling)?;
    work.total(Method::Optional)
}

fn optional_heating(heating: Heating) -> Vec<(f64, f64)> {
    let central = nec::CENTRAL_HEATING.value;
    match heating {
        Heating::None => Vec::new(),
        Heating::Central(va) => vec![(va, central)],
        Heating::Separate { units, va } if units >= nec::MANY_HEATING_UNITS_FROM.value => {
            vec![(va, nec::MANY_HEATING_UNITS.value)]
        }
        Heating::Separate { va, .. } => vec![(va, nec::FEW_HEATING_UNITS.value)],
        Heating::HeatPump {
            compressor,
            supplement,
        } => vec![(compressor, 1.0), (supplement, central)],
    }
}

/// An existing dwelling to which no heating or cooling is added, 220.83(A): everything, with the larger of heating and
/// cooling at its nameplate, the first 8 kVA in full and the rest at 40 %.
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn existing_same_climate(dwelling: &Dwelling) -> Result<Load, BadLoad> {
    let mut work = Working::new();
    let mut sum = work.add_nameplates(dwelling)?;
    let heating = in_full(dwelling.heating);
    let warm: f64 = heating.iter().map(|(va, _)| va).sum();
    for (va, _) in heating {
        work.add(StepLabel::Heating, va, 1.0, false)?;
    }
    work.add(StepLabel::Cooling, dwelling.cooling, 1.0, false)?;
    sum += warm.max(dwelling.cooling);
    let limit = nec::EXISTING_IN_FULL.value;
    work.split(sum, limit, nec::EXISTING_REDUCED.value)?;
    work.total(Method::ExistingSameClimate)
}

/// An existing dwelling to which heating or cooling is added, 220.83(B): the larger of heating and cooling in full;
/// of everything else the first 8 kVA in full and the rest at 40 %. From memory.
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn existing_more_climate(dwelling: &Dwelling) -> Result<Load, BadLoad> {
    let mut work = Working::new();
    let sum = work.add_nameplates(dwelling)?;
    let limit = nec::EXISTING_IN_FULL.value;
    work.split(sum, limit, nec::EXISTING_REDUCED.value)?;
    work.add_climate(&in_full(dwelling.heating), dwelling.cooling)?;
    work.total(Method::ExistingMoreClimate)
}

/// Recorded demand, 220.87: the greatest `recorded` demand in VA at 125 %, and the `added` load in VA in full.
///
/// The record is a year's, or 30 days at 15-minute steps while the dwelling is occupied; the 30-day record is barred
/// with solar or peak shaving. The 125 % is from memory.
///
/// # Errors
/// [`BadLoad`] names the input that makes no sense.
pub fn recorded_demand(recorded: f64, added: f64) -> Result<Load, BadLoad> {
    let mut work = Working::new();
    let factor = nec::RECORDED_DEMAND_FACTOR.value;
    work.add(StepLabel::RecordedDemand, recorded, factor, true)?;
    work.add(StepLabel::Spa, added, 1.0, true)?;
    work.total(Method::RecordedDemand)
}
