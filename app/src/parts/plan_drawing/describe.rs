//! The drawing in words, for those who hear it.

use setdown_rules::frame::result::{Arg, Line};
use setdown_rules::motion::answer::Verdict;
use setdown_rules::plan::BarrierKind;
use setdown_rules::tables::units::INCH;
use setdown_types::quantity::{Dimension, UnitSystem};

use super::extent::Extent;
use super::marks::is_open_below;
use super::sketch::Sketch;
use crate::words::{Wording, word};

/// What the drawing shows, a sentence each.
pub fn described(sketch: &Sketch, system: UnitSystem) -> Vec<String> {
    let wording = Wording { system, site: None };
    let mut lines = vec![size(sketch)];
    if sketch.loose {
        lines.push(Line::new("drawing.plan.loose"));
    }
    lines.extend(listed(
        "drawing.plan.walls",
        barriers(sketch, BarrierKind::Wall),
    ));
    lines.extend(listed(
        "drawing.plan.fences",
        barriers(sketch, BarrierKind::Fence),
    ));
    let zones = sketch.plan.zones.iter().map(|zone| zone.id.clone());
    lines.extend(listed("drawing.plan.areas", zones.collect()));
    lines.extend(listed("drawing.plan.things", things(sketch, false)));
    lines.extend(listed("drawing.plan.open_below", things(sketch, true)));
    for opening in &sketch.plan.openings {
        let line = Line::new("drawing.plan.opening")
            .with("opening", Arg::Text(opening.id.clone()))
            .with("width", length(opening.width.value));
        lines.push(line);
    }
    for tape in &sketch.tapes {
        lines.extend(taped(sketch, &tape.text, [tape.from, tape.to]));
    }
    lines.extend(way(sketch));
    lines.iter().map(|line| wording.line(line)).collect()
}

fn length(inches: f64) -> Arg {
    Arg::Quantity {
        dimension: Dimension::Length,
        si: inches * INCH,
    }
}

fn size(sketch: &Sketch) -> Line {
    let extent = Extent::of(sketch);
    Line::new("drawing.plan.size")
        .with("width", length(extent.width()))
        .with("height", length(extent.height()))
}

fn barriers(sketch: &Sketch, kind: BarrierKind) -> Vec<String> {
    let all = sketch.plan.barriers.iter();
    all.filter(|barrier| barrier.kind == kind)
        .map(|barrier| barrier.id.clone())
        .collect()
}

/// Things with an underside, or those that stand.
fn things(sketch: &Sketch, open_below: bool) -> Vec<String> {
    let all = sketch.plan.obstacles.iter();
    all.filter(|thing| is_open_below(thing) == open_below)
        .map(|thing| thing.id.clone())
        .collect()
}

fn listed(key: &'static str, names: Vec<String>) -> Option<Line> {
    (!names.is_empty()).then(|| Line::new(key).with("names", Arg::Text(names.join(", "))))
}

/// A tape between two points that have names.
fn taped(sketch: &Sketch, text: &str, ends: [[f64; 2]; 2]) -> Option<Line> {
    let name = |at: [f64; 2]| {
        let found = sketch.points.iter().find(|point| point.at == at)?;
        Some(Arg::Text(found.name.clone()))
    };
    let [from, to] = ends;
    Some(
        Line::new("drawing.plan.tape")
            .with("from", name(from)?)
            .with("to", name(to)?)
            .with("length", Arg::Text(text.to_owned())),
    )
}

fn way(sketch: &Sketch) -> Vec<Line> {
    let Some(answer) = &sketch.answer else {
        return Vec::new();
    };
    let verdict = match answer.verdict {
        Verdict::Route if sketch.has_room => "way.verdict.route",
        Verdict::Route => "way.verdict.route_not_enough",
        Verdict::NoRoute => "way.verdict.no_route",
        Verdict::Undecided => "way.verdict.undecided",
    };
    let mut lines = vec![Line::new(verdict)];
    if answer.verdict != Verdict::Route {
        return lines;
    }
    for (index, pinch) in answer.pinches.iter().enumerate() {
        let line = Line::new("way.pinch")
            .with("number", Arg::Text((index + 1).to_string()))
            .with("against", Arg::Text(against(&pinch.against)))
            .with("gap", length(pinch.gap));
        lines.push(line);
    }
    lines
}

/// What a pinch is against, in words.
pub fn against(names: &[String]) -> String {
    let named = names.iter().map(|name| {
        if name == "bounds" {
            word("way.bounds")
        } else {
            name.clone()
        }
    });
    named.collect::<Vec<_>>().join(", ")
}

/// A length in inches of the yard as the trade writes it.
pub fn short_length(inches: f64, system: UnitSystem) -> String {
    Wording { system, site: None }.quantity(Dimension::Length, inches * INCH)
}
