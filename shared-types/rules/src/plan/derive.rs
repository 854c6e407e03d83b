//! From a plan file to the plan: its legs or its tape network first, then everything that stands on them.

use super::features::{bounds, points, unit};
use super::legs::{crossing_legs, lay};
use super::model::{Named, Plan};
use super::read::Builder;
use super::traced::{Place, Source, Traced};
use crate::document::{Complaint, Object, Place as Written, Problem, parse};
use crate::frame::result::{Arg, Line};
use crate::network::{self, Adjustment, TapeNetwork};

/// What a plan file gives.
#[derive(Clone, Debug)]
pub struct Derived {
    /// The plan; `None` where its tape network leaves points loose, so that there is nothing to draw.
    pub plan: Option<Plan>,
    /// What is known of its tape network, where it has one.
    pub network: Option<network::Answer>,
    /// Whether the plan can be relied on: its network is settled and its legs do not cross.
    pub settled: bool,
    /// What keeps it from being settled.
    pub findings: Vec<Line>,
}

const KEYS: &[&str] = &[
    "name",
    "note",
    "units",
    "angle_units",
    "spread",
    "angle_spread",
    "unit",
    "legs",
    "network",
    "points",
    "walls",
    "fences",
    "openings",
    "obstacles",
    "zones",
    "lines",
    "marks",
    "levels",
    "truck_stand",
    "spot",
    "goal_symmetric",
    "bounds",
    "enough",
];

/// Reads a plan file and derives the plan. The format is documented in `tests/examples/route/README.md`.
///
/// # Errors
/// [`Complaint`] names the key and says what is wrong with it.
pub fn read(text: &str) -> Result<Derived, Complaint> {
    let node = parse(text)?;
    let object = Written::root(&node).object(KEYS)?;
    network::units(&object)?;
    object.text("note")?;
    let mut builder = Builder::new(&object)?;
    builder.plan.name = object.text("name")?;
    let answer = match (object.optional("legs"), object.optional("network")) {
        (Some(legs), None) => {
            lay(&mut builder, &legs)?;
            None
        }
        (None, Some(written)) => {
            let network = network::from_place(&written)?;
            let hunt = network::hunt(&network);
            let answer = network::answer_after(&network, &hunt);
            if !answer.tied {
                return Ok(untied(answer));
            }
            add_network(&mut builder, &network, &hunt.after);
            Some(answer)
        }
        (Some(_), Some(_)) => {
            let why = "a plan comes from legs or from a network: keep one";
            return Err(object.complain("network", Problem::Senseless(why)));
        }
        (None, None) => return Err(object.complain("legs", Problem::Missing)),
    };
    rest(&mut builder, &object)?;
    Ok(derived(builder, answer))
}

fn untied(answer: network::Answer) -> Derived {
    Derived {
        plan: None,
        settled: false,
        findings: answer.findings.clone(),
        network: Some(answer),
    }
}

fn rest(builder: &mut Builder, object: &Object<'_>) -> Result<(), Complaint> {
    points(builder, object)?;
    builder.features(object)?;
    if let Some(written) = object.optional("truck_stand") {
        builder.plan.truck_stand = Some(builder.stand(&written)?);
    }
    if let Some(written) = object.optional("spot") {
        builder.plan.spot = Some(builder.stand(&written)?);
    }
    builder.plan.either_end = match object.optional("goal_symmetric") {
        Some(written) => written.truth()?,
        None => false,
    };
    builder.plan.enough = object.number("enough", 0.0, super::FARTHEST)?;
    builder.plan.unit = object
        .optional("unit")
        .map(|written| unit(&written))
        .transpose()?;
    builder.plan.bounds = object
        .optional("bounds")
        .map(|written| bounds(&written))
        .transpose()?;
    Ok(())
}

fn derived(builder: Builder, answer: Option<network::Answer>) -> Derived {
    let mut findings = answer
        .as_ref()
        .map_or(Vec::new(), |answer| answer.findings.clone());
    let crossing = crossing_legs(&builder);
    if let Some((one, other)) = &crossing {
        let line = Line::new("plan.legs_cross")
            .with("leg", Arg::Text(one.clone()))
            .with("other", Arg::Text(other.clone()));
        findings.push(line);
    }
    Derived {
        settled: crossing.is_none() && answer.as_ref().is_none_or(|answer| answer.settled),
        plan: Some(builder.plan),
        network: answer,
        findings,
    }
}

/// The points of a network with their slopes by its readings and tapes.
fn add_network(builder: &mut Builder, network: &TapeNetwork, adjusted: &Adjustment) {
    let first = builder.plan.sources.len();
    builder.plan.sources.extend(sources(network, adjusted));
    for (point, name) in network.parts().points.iter().enumerate() {
        let place = adjusted.places.get(point).copied().unwrap_or([0.0, 0.0]);
        let traced = |axis: usize| {
            let slopes = adjusted.slopes((point, axis));
            let counts = |(_, slope): &(usize, f64)| *slope != 0.0;
            Traced {
                value: place[axis],
                slopes: (slopes.into_iter().enumerate())
                    .filter(counts)
                    .filter_map(|(k, slope)| Some((u32::try_from(first + k).ok()?, slope)))
                    .collect(),
            }
        };
        builder.plan.points.push(Named {
            name: name.clone(),
            at: Place {
                x: traced(0),
                y: traced(1),
            },
        });
    }
}

/// The independent sources of error of an adjusted network, in the order of its slopes.
fn sources(network: &TapeNetwork, adjusted: &Adjustment) -> Vec<Source> {
    let parts = network.parts();
    let mut sources = Vec::new();
    for (reading, checked) in parts.readings.iter().zip(&adjusted.readings) {
        if checked.is_some() {
            sources.push(Source {
                name: reading.id.clone(),
                spread: reading.spread,
            });
        }
    }
    for tape in &parts.tapes {
        for (what, spread) in [("zero", tape.zero_spread), ("scale", tape.scale_spread)] {
            if spread > 0.0 {
                let name = format!("{} {what}", tape.name);
                // The unknown of a tape is counted in its own σ; its spread is told in inches or as a part.
                sources.push(Source { name, spread });
            }
        }
    }
    sources
}
