//! Dwelling load calculations, step by step, so that the working can be shown.
//!
//! Four methods: the standard one (new dwellings), the optional one (220.82), the one for existing dwellings (220.83),
//! and recorded demand (220.87). Planning only: a licensed electrician decides. Numbers are volt-amperes.

use crate::tables::nec;
use crate::tables::units::FOOT;
use serde::Serialize;

/// What a step of a load calculation stands for; the key under which its words are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StepLabel {
    /// 3 VA for each square foot of floor.
    GeneralLighting,
    /// 1,500 VA for each small-appliance circuit.
    SmallAppliances,
    /// 1,500 VA for each laundry circuit.
    Laundry,
    /// Range, oven or cooktop.
    Range,
    /// Clothes dryer.
    Dryer,
    /// An appliance fastened in place or on its own circuit.
    Appliance,
    /// The spa to be set down, at the maximum of its nameplate.
    Spa,
    /// The sum that a demand factor is taken of.
    GeneralSum,
    /// The part of the sum counted in full.
    FirstPart,
    /// The part of the sum counted at the reduced factor.
    Remainder,
    /// The part of the sum above 120,000 VA.
    FarRemainder,
    /// Space heating.
    Heating,
    /// Cooling.
    Cooling,
    /// A quarter of the largest motor.
    LargestMotor,
    /// The greatest demand recorded.
    RecordedDemand,
    /// The result.
    Total,
}

/// One step: `basis` × `factor` = `va`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What the step stands for.
    pub label: StepLabel,
    /// The quantity the factor is taken of: square feet, circuits, or volt-amperes.
    pub basis: f64,
    /// The factor.
    pub factor: f64,
    /// The step's volt-amperes.
    pub va: f64,
    /// Whether the step enters the total itself; otherwise it is part of a sum shown elsewhere in the list.
    pub counts: bool,
}

/// The method a load was worked out by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// The standard method, Article 220 Parts II and III.
    Standard,
    /// The optional method for a dwelling, 220.82.
    Optional,
    /// An existing dwelling without added heating or cooling, 220.83(A).
    ExistingSameClimate,
    /// An existing dwelling with added heating or cooling, 220.83(B).
    ExistingMoreClimate,
    /// Recorded demand, 220.87.
    RecordedDemand,
}

/// A load worked out, with every step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Load {
    /// The method.
    pub method: Method,
    /// Every step in the order of the working; the last is the total.
    pub steps: Vec<Step>,
    /// The total in volt-amperes.
    pub total: f64,
}

impl Load {
    /// The total in amperes at `volts`; `None` unless the voltage is above zero.
    pub fn amperes(&self, volts: f64) -> Option<f64> {
        let sensible = super::all_above_zero(&[volts]);
        sensible.then(|| self.total / volts).and_then(super::finite)
    }
}

/// A load calculation's input that is negative, infinite or not a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BadLoad {
    /// Which input; read its appliance, area or count again.
    pub what: StepLabel,
}

/// How a dwelling is heated, as the load calculation tells kinds apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "va")]
pub enum Heating {
    /// No electric heating.
    None,
    /// Central electric heating, its nameplate in VA.
    Central(f64),
    /// Separately controlled electric heating units: how many, and their nameplates together in VA.
    Separate {
        /// How many units are controlled separately.
        units: u32,
        /// Their nameplates together in VA.
        va: f64,
    },
    /// A heat pump with supplementary electric heating, both in VA, that may run together.
    HeatPump {
        /// The compressor's nameplate in VA.
        compressor: f64,
        /// The supplementary heating's nameplate in VA.
        supplement: f64,
    },
}

/// What a dwelling draws, as the load calculation asks for it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dwelling {
    /// Floor area in m², from outside dimensions, without garage and open porches.
    pub floor_area: f64,
    /// Small-appliance circuits of 20 A; at least two in a dwelling built to code.
    pub small_appliance_circuits: u32,
    /// Laundry circuits.
    pub laundry_circuits: u32,
    /// Ranges, ovens and cooktops, each nameplate in VA.
    pub ranges: Vec<f64>,
    /// Electric dryers, each nameplate in VA.
    pub dryers: Vec<f64>,
    /// Other appliances fastened in place or on their own circuit, each nameplate in VA.
    pub appliances: Vec<f64>,
    /// The spa at the maximum of its nameplate in VA; zero while it is left out.
    pub spa: f64,
    /// Electric heating.
    pub heating: Heating,
    /// Cooling in VA; zero if there is none.
    pub cooling: f64,
    /// The largest motor in VA, among those named above; zero if there is none. Only the standard method asks.
    pub largest_motor: f64,
}

/// Builds up the list of steps and refuses bad numbers.
struct Working {
    steps: Vec<Step>,
}

impl Working {
    fn new() -> Self {
        Working { steps: Vec::new() }
    }

    fn add(
        &mut self,
        label: StepLabel,
        basis: f64,
        factor: f64,
        counts: bool,
    ) -> Result<f64, BadLoad> {
        let va = basis * factor;
        if !super::all_at_least_zero(&[basis, factor, va]) {
            return Err(BadLoad { what: label });
        }
        self.steps.push(Step {
            label,
            basis,
            factor,
            va,
            counts,
        });
        Ok(va)
    }

    /// Adds a step for each nameplate and gives their sum.
    fn add_each(
        &mut self,
        label: StepLabel,
        nameplates: &[f64],
        counts: bool,
    ) -> Result<f64, BadLoad> {
        let mut sum = 0.0;
        for nameplate in nameplates {
            sum += self.add(label, *nameplate, 1.0, counts)?;
        }
        Ok(sum)
    }

    /// Splits `sum` at `limit`: the first part in full, the remainder at `factor`.
    fn split(&mut self, sum: f64, limit: f64, factor: f64) -> Result<(), BadLoad> {
        self.add(StepLabel::GeneralSum, sum, 1.0, false)?;
        self.add(StepLabel::FirstPart, sum.min(limit), 1.0, true)?;
        self.add(StepLabel::Remainder, (sum - limit).max(0.0), factor, true)?;
        Ok(())
    }

    fn total(mut self, method: Method) -> Result<Load, BadLoad> {
        let counted = self.steps.iter().filter(|step| step.counts);
        let sum = counted.map(|step| step.va).sum();
        let total = self.add(StepLabel::Total, sum, 1.0, false)?;
        Ok(Load {
            method,
            steps: self.steps,
            total,
        })
    }

    /// Lighting, small-appliance and laundry circuits, none counted by itself.
    fn add_lighting(&mut self, dwelling: &Dwelling) -> Result<f64, BadLoad> {
        let square_feet = dwelling.floor_area / (FOOT * FOOT);
        let per_circuit = nec::CIRCUIT_LOAD.value;
        let small = f64::from(dwelling.small_appliance_circuits);
        let laundry = f64::from(dwelling.laundry_circuits);
        let lighting = nec::LIGHTING_PER_SQUARE_FOOT.value;
        Ok(
            self.add(StepLabel::GeneralLighting, square_feet, lighting, false)?
                + self.add(StepLabel::SmallAppliances, small, per_circuit, false)?
                + self.add(StepLabel::Laundry, laundry, per_circuit, false)?,
        )
    }

    /// Everything at its nameplate except heating and cooling, none counted by itself.
    fn add_nameplates(&mut self, dwelling: &Dwelling) -> Result<f64, BadLoad> {
        Ok(self.add_lighting(dwelling)?
            + self.add_each(StepLabel::Range, &dwelling.ranges, false)?
            + self.add_each(StepLabel::Dryer, &dwelling.dryers, false)?
            + self.add_each(StepLabel::Appliance, &dwelling.appliances, false)?
            + self.add(StepLabel::Spa, dwelling.spa, 1.0, false)?)
    }

    /// The larger of heating and cooling counts; the other is shown and does not.
    fn add_climate(&mut self, heating: &[(f64, f64)], cooling: f64) -> Result<(), BadLoad> {
        let warm: f64 = heating.iter().map(|(va, factor)| va * factor).sum();
        let heating_counts = warm >= cooling;
        for (va, factor) in heating {
            self.add(StepLabel::Heating, *va, *factor, heating_counts)?;
        }
        self.add(StepLabel::Cooling, cooling, 1.0, !heating_counts)?;
        Ok(())
    }
}

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
    if !super::all_at_least_zero(&[nameplate]) || nameplate > 27_000.0 {
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
    if !super::all_at_least_zero(&[neutral_appliances]) {
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
