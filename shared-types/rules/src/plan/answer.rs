//! Everything that is known of a plan, as data and as messages: what `plan FILE --json` prints.

use serde::Serialize;
use serde_json::Value;
use setdown_types::order;
use setdown_types::quantity::Dimension;

use super::derive::Derived;
use super::model::{Opening, Plan};
use super::scene::scene;
use super::traced::Traced;
use crate::frame::result::{Arg, Line};
use crate::network;
use crate::tables::units::INCH;

/// The answer about a plan file. Lengths in inches, headings in degrees, spreads 19 times in 20.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// What the yard is called.
    pub name: String,
    /// Whether the plan can be relied on.
    pub settled: bool,
    /// Named points with their spreads; empty where there is no plan.
    pub points: Vec<AnsweredPoint>,
    /// Gates and gaps.
    pub openings: Vec<AnsweredOpening>,
    /// The scene for the route solver; null where something it needs is missing.
    pub route: Option<Value>,
    /// What the carried unit passes over or under.
    pub passed_over: Vec<String>,
    /// What is known of the tape network, where the plan has one.
    pub network: Option<network::Answer>,
    /// Everything that somebody should know or answer, most pressing first.
    pub findings: Vec<Line>,
}

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnsweredPoint {
    /// Its name.
    pub id: String,
    /// x with its spread.
    pub x: [f64; 2],
    /// y with its spread.
    pub y: [f64; 2],
}

/// One gate or gap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnsweredOpening {
    /// Its id.
    pub id: String,
    /// Clear width.
    pub width: f64,
    /// Its spread.
    pub spread: f64,
    /// The readings that its spread comes from, most first, with the spread that each alone would give.
    pub from: Vec<(String, f64)>,
}

/// Everything about a plan.
pub fn answer(derived: &Derived) -> Answer {
    let mut findings = derived.findings.clone();
    let empty = Plan::default();
    let plan = derived.plan.as_ref().unwrap_or(&empty);
    let mut answer = Answer {
        name: plan.name.clone(),
        settled: derived.settled,
        points: points(plan),
        openings: plan
            .openings
            .iter()
            .map(|opening| opened(plan, opening))
            .collect(),
        route: None,
        passed_over: Vec::new(),
        network: derived.network.clone(),
        findings: Vec::new(),
    };
    findings.extend(answer.openings.iter().map(opening_line));
    if derived.plan.is_some() {
        match scene(plan) {
            Ok(scene) => {
                answer.route = Some(scene.file);
                answer.passed_over = scene.passed_over;
            }
            Err(missing) => findings.extend(missing),
        }
    }
    answer.findings = findings;
    answer
}

fn points(plan: &Plan) -> Vec<AnsweredPoint> {
    let with_spread = |traced: &Traced| [traced.value, traced.spread()];
    (plan.points.iter())
        .map(|point| AnsweredPoint {
            id: point.name.clone(),
            x: with_spread(&point.at.x),
            y: with_spread(&point.at.y),
        })
        .collect()
}

/// How many readings are named behind a width.
const NAMED: usize = 3;

fn opened(plan: &Plan, opening: &Opening) -> AnsweredOpening {
    let alone = |(source, slope): &(u32, f64)| {
        let name = plan.sources.get(*source as usize)?.name.clone();
        Some((name, slope.abs() * crate::frame::spread::SPREADS_PER_SIGMA))
    };
    let mut from: Vec<(String, f64)> = opening.width.slopes.iter().filter_map(alone).collect();
    order::sort_by(&mut from, |a, b| b.1.total_cmp(&a.1));
    from.truncate(NAMED);
    AnsweredOpening {
        id: opening.id.clone(),
        width: opening.width.value,
        spread: opening.width.spread(),
        from,
    }
}

fn opening_line(opening: &AnsweredOpening) -> Line {
    let width = Arg::Measured {
        dimension: Dimension::Length,
        si: opening.width * INCH,
        spread: opening.spread * INCH,
    };
    Line::new("plan.opening")
        .with("opening", Arg::Text(opening.id.clone()))
        .with("width", width)
}
