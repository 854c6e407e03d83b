//! `roll.way`: the certified way in through the yard plan leaves the running clearance everywhere.

use std::sync::Arc;

use setdown_types::party::Party;
use setdown_types::subject::{Subject, SubjectKind};

use crate::frame::context::Context;
use crate::frame::item::Draft;
use crate::frame::result::Line;
use crate::plan::ledger::{self, Drawn, Steers};
use crate::plan::{Derived, Place, Plan, check_ring, lies_in};
use crate::tables::Source;

mod found;

use found::Found;

/// Findings about a tape network that somebody has to do something about in the yard.
const TO_DO: [&str; 8] = [
    "network.loose",
    "network.weak",
    "network.mirror.",
    "network.mistaped",
    "network.doubtful",
    "network.sides_contradict",
    "network.order_contradicts",
    "network.misfit",
];
/// How long that takes.
const MINUTES: f64 = 10.0;

/// The bounds on the best clearance, less the running clearance, against the spread of the survey at the narrowest
/// pinch: clear where the proved lower bound leaves more than the spread, short where the upper bound leaves less than
/// minus the spread. Open while the plan is incomplete, loose, mirrored or mistaped, or the solver has not worked it
/// out. Not needed where there is no turn and no plan: widths and openings decide.
pub fn way(context: &Context<'_>) {
    context.cite(Source::derived(
        "certified motion of a rectangle: bounds over cells of poses, proved for the plan as drawn",
    ));
    context.caution("caution.rolling");
    let item = context.item(Subject::SITE);
    let listed = context.yes(Subject::SITE, "way.turns_listed");
    let turns = context.subjects(SubjectKind::Turn);
    let begun = ledger::begun(context);
    match (listed, turns.is_empty(), begun) {
        (Some(true), true, false) => return item.not_needed("roll.way.straight"),
        (None, _, false) => return item.wait(),
        _ => {}
    }
    let Some(drawn) = ledger::drawn(context) else {
        return item.wait();
    };
    let complete = context.yes(Subject::SITE, "plan.complete");
    let steers = Steers::of(context);
    if context.choice(Subject::SITE, "plan.basis").as_deref() == Some("legs") {
        let legs = context.subjects(SubjectKind::Leg);
        if legs.is_empty() {
            return item.open("reach.no_legs");
        }
        if legs.len() <= turns.len() {
            return item.open("roll.way.turns_missing");
        }
    }
    // Legs are closed at their sides and ends. Outside what was taped nothing is known: a way must not lead through it.
    if is_taped(context) && !ledger::has_edge(context) {
        let line = Line::new("roll.way.draw_edge");
        context.action(Party::Coordinator, line, MINUTES);
        return item.open("roll.way.no_edge");
    }
    if context.choice(Subject::SITE, "plan.basis").as_deref() == Some("legs")
        && !context.subjects(SubjectKind::PlanLine).is_empty()
    {
        // What was drawn through points has no place on a plan of legs, and must not vanish without a word.
        return item.open("roll.way.lines_unused");
    }
    if wires_not_listed(context) {
        context.caution("caution.power_lines");
        let line = Line::new("roll.way.list_wire");
        context.action(Party::Coordinator, line, MINUTES);
        return item.open("roll.way.wire_not_listed");
    }
    if complete == Some(false) {
        return item.open("roll.way.not_complete");
    }
    if context.missing() > 0 {
        return item.wait();
    }
    planned(context, item, (&drawn, steers));
}

fn planned(context: &Context<'_>, mut item: Draft<'_, '_>, (drawn, steers): (&Drawn, Steers)) {
    let planned = context.ways().planned(&drawn.document);
    let derived = match &planned.derived {
        Ok(derived) => derived,
        Err(complaint) => {
            item.line(drawn.fault(complaint));
            return item.open("roll.way.plan_at_odds");
        }
    };
    if let Some(reason) = unsettled(derived) {
        for finding in &derived.findings {
            item.line(finding.clone());
            if TO_DO.iter().any(|start| finding.key.starts_with(start)) {
                context.action(Party::Coordinator, finding.clone(), MINUTES);
            }
        }
        return item.open(reason);
    }
    if derived
        .plan
        .as_ref()
        .is_some_and(|plan| !plan.lines.is_empty())
    {
        context.caution("caution.power_lines");
    }
    if let Some(refused) = &planned.refused {
        item.line(drawn.no_sense_in(refused));
        return item.open("roll.way.plan_at_odds");
    }
    let (Some(plan), Some(Ok(scene)), Some(wanted)) =
        (&derived.plan, &planned.scene, &planned.wanted)
    else {
        return item.open("roll.way.plan_at_odds");
    };
    if is_taped(context) && !ends_inside_edge(context, drawn, plan) {
        let line = Line::new("roll.way.draw_edge");
        context.action(Party::Coordinator, line, MINUTES);
        return item.open("roll.way.outside_edge");
    }
    match context.ways().get(&wanted.digest) {
        // Of disagreeing readings only one is worked out.
        None if context.disputed() => item.open("roll.way.disputed"),
        None => item.open("roll.way.working"),
        Some(certified) => {
            let found = Found {
                context,
                drawn,
                plan,
                scene,
                certified: Arc::clone(certified),
                steers,
            };
            found.judge(item);
        }
    }
}

fn is_taped(context: &Context<'_>) -> bool {
    context.choice(Subject::SITE, "plan.basis").as_deref() == Some("tapes")
}

/// Whether a wire is drawn that is not among the things overhead: there its owner's word is asked for, and its height
/// judged with the pitch of the load.
fn wires_not_listed(context: &Context<'_>) -> bool {
    let kind_of = |subject, question: &str| context.choice(subject, question);
    let lines = context.subjects(SubjectKind::PlanLine).into_iter();
    let drawn = lines.filter(|line| kind_of(*line, "plan_line.kind").as_deref() == Some("wire"));
    let drawn = drawn.count();
    if drawn == 0 {
        return false;
    }
    let overheads = context.subjects(SubjectKind::Overhead).into_iter();
    let listed = overheads.filter(|one| kind_of(*one, "overhead.kind").as_deref() == Some("line"));
    listed.count() < drawn
}

/// Whether truck and spot lie inside one and the same edge; then the way does, since it crosses no edge.
fn ends_inside_edge(context: &Context<'_>, drawn: &Drawn, plan: &Plan) -> bool {
    let (Some(truck), Some(spot)) = (&plan.truck_stand, &plan.spot) else {
        return false;
    };
    plan.barriers.iter().any(|barrier| {
        let is_edge = drawn.origin(&barrier.id).is_some_and(|origin| {
            context.choice(origin.subject, "plan_line.kind").as_deref() == Some("edge")
        });
        let mut ring: Vec<[f64; 2]> = barrier.line.iter().map(Place::at).collect();
        ring.pop();
        is_edge
            && check_ring(&ring).is_ok()
            && [truck, spot]
                .into_iter()
                .all(|end| lies_in(end.at.at(), &ring))
    })
}

/// Why a plan cannot be relied on.
fn unsettled(derived: &Derived) -> Option<&'static str> {
    let network = derived.network.as_ref();
    if network.is_some_and(|network| !network.tied) {
        return Some("roll.way.loose");
    }
    if network.is_some_and(|network| !network.mistaped.is_empty()) {
        return Some("roll.way.mistaped");
    }
    if network.is_some_and(|network| !network.mirrors.is_empty()) {
        return Some("roll.way.mirrored");
    }
    (!derived.settled).then_some("roll.way.plan_at_odds")
}

#[cfg(test)]
mod tests;
