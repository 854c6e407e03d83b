//! The house's loads as read from the site, with the spread of each.

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use crate::frame::context::Context;
use crate::frame::item::Draft;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::electric::{Dwelling, Heating};

/// One appliance: its kind's key and its nameplate in VA.
pub struct Load {
    /// Key of its kind.
    pub kind: String,
    /// Nameplate in VA.
    pub rating: Num,
}

/// Everything the inventory method asks for.
pub struct Inventory {
    /// Floor area in m².
    pub area: Num,
    /// Small-appliance circuits.
    pub small: u32,
    /// Laundry circuits.
    pub laundry: u32,
    /// The appliances listed.
    pub loads: Vec<Load>,
}

/// Small-appliance circuits that every dwelling counts at least. Source: NEC 210.11(C)(1), from memory.
const LEAST_SMALL: u32 = 2;
/// Laundry circuits that every dwelling counts at least. Source: NEC 210.11(C)(2), from memory.
const LEAST_LAUNDRY: u32 = 1;

/// The inventory; `None` while an answer is missing. Every question is read, so that all missing ones are listed.
/// Fewer circuits than a dwelling must have are counted as that many: it can only raise the load.
pub fn inventory(context: &Context<'_>) -> Option<Inventory> {
    let area = context.measure(Subject::SITE, "house.area");
    let small = context.count(Subject::SITE, "house.small_appliance_circuits");
    let laundry = context.count(Subject::SITE, "house.laundry_circuits");
    let mut loads = Vec::new();
    let mut complete = true;
    for subject in context.subjects(SubjectKind::Appliance) {
        let kind = context.choice(subject, "appliance.kind");
        let rating = rating(context, subject);
        match (kind, rating) {
            (Some(kind), Some(rating)) => loads.push(Load { kind, rating }),
            _ => complete = false,
        }
    }
    Some(Inventory {
        area: area?,
        small: small?.max(LEAST_SMALL),
        laundry: laundry?.max(LEAST_LAUNDRY),
        loads: complete.then_some(loads)?,
    })
}

/// The nameplate in VA: as printed, or amperes times volts.
fn rating(context: &Context<'_>, appliance: Subject) -> Option<Num> {
    let (printed, current) = context.optionally(|| {
        (
            context.measure(appliance, "appliance.rating"),
            context.measure(appliance, "appliance.current"),
        )
    });
    if printed.is_some() {
        return printed;
    }
    let Some(current) = current else {
        // Either will do; this one is asked for.
        return context.measure(appliance, "appliance.rating");
    };
    let volts = match context.choice(appliance, "appliance.volts")?.as_str() {
        "120" => 120.0,
        _ => 240.0,
    };
    Some(current * volts)
}

/// Kinds that were ticked but are not listed with a nameplate.
pub fn unlisted(ticked: &[String], loads: &[Load]) -> Vec<String> {
    ticked
        .iter()
        .filter(|kind| !loads.iter().any(|load| load.kind == **kind))
        .cloned()
        .collect()
}

/// Which part of the calculation a kind of appliance goes into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Ranges, ovens, cooktops.
    Range,
    /// Dryers.
    Dryer,
    /// Heating.
    Heating,
    /// Cooling.
    Cooling,
    /// Everything else.
    Appliance,
}

/// The part for a kind's key.
pub fn part(kind: &str) -> Part {
    match kind {
        "range" => Part::Range,
        "dryer" => Part::Dryer,
        "central_heating" | "room_heating" | "heat_pump" | "heat_pump_supplement" => Part::Heating,
        "cooling" => Part::Cooling,
        _ => Part::Appliance,
    }
}

impl Inventory {
    fn values(&self, wanted: Part) -> Vec<f64> {
        self.loads
            .iter()
            .filter(|load| part(&load.kind) == wanted)
            .map(|load| load.rating.value())
            .collect()
    }

    /// The dwelling as the calculation takes it, with the spa's nameplate maximum in VA. Heating of every kind counts
    /// in full by this method, so it is one sum.
    pub fn dwelling(&self, spa: f64) -> Dwelling {
        let heating: f64 = self.values(Part::Heating).iter().sum();
        Dwelling {
            floor_area: self.area.value(),
            small_appliance_circuits: self.small,
            laundry_circuits: self.laundry,
            ranges: self.values(Part::Range),
            dryers: self.values(Part::Dryer),
            appliances: self.values(Part::Appliance),
            spa,
            heating: if heating > 0.0 {
                Heating::Central(heating)
            } else {
                Heating::None
            },
            cooling: self.values(Part::Cooling).iter().sum(),
            largest_motor: 0.0,
        }
    }

    /// Whether heating is at least cooling, so that cooling does not count.
    pub fn heating_counts(&self) -> bool {
        let sum = |part: Part| self.values(part).iter().sum::<f64>();
        sum(Part::Heating) >= sum(Part::Cooling)
    }
}

/// Shows the steps of a calculation.
pub fn show_steps(item: &mut Draft<'_, '_>, steps: &[crate::maths::electric::Step]) {
    use crate::frame::item::{quantity, word};
    use crate::frame::result::Arg;
    use crate::maths::electric::StepLabel;
    for step in steps {
        let label = match step.label {
            StepLabel::GeneralLighting => "power.load.general_lighting",
            StepLabel::SmallAppliances => "power.load.small_appliances",
            StepLabel::Laundry => "power.load.laundry",
            StepLabel::Range => "power.load.range",
            StepLabel::Dryer => "power.load.dryer",
            StepLabel::Appliance => "power.load.appliance",
            StepLabel::Spa => "power.load.spa",
            StepLabel::GeneralSum => "power.load.general_sum",
            StepLabel::FirstPart => "power.load.first_part",
            StepLabel::Remainder => "power.load.remainder",
            StepLabel::FarRemainder => "power.load.far_remainder",
            StepLabel::Heating => "power.load.heating",
            StepLabel::Cooling => "power.load.cooling",
            StepLabel::LargestMotor => "power.load.largest_motor",
            StepLabel::RecordedDemand => "power.load.recorded_demand",
            StepLabel::Total => "power.load.total",
        };
        item.line(
            Line::new("power.capacity.step")
                .with("label", word(label))
                .with("basis", Arg::Number(step.basis))
                .with("factor", Arg::Number(step.factor))
                .with("va", quantity(Dimension::Power, step.va)),
        );
    }
}
