//! Dwelling load calculations, step by step, so that the working can be shown.
//!
//! Four methods: the standard one (new dwellings), the optional one (220.82), the one for existing dwellings (220.83),
//! and recorded demand (220.87). Planning only: a licensed electrician decides. Numbers are volt-amperes.

mod methods;
mod working;

pub use methods::{
    existing_more_climate, existing_same_climate, optional, range_demand, recorded_demand,
    standard, standard_neutral,
};

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
