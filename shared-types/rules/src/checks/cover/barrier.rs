//! The barrier of `cover.safety`: height, gaps, gate, and what closes it where a wall of the unit or house is part of it.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::ispsc_305;

/// At least the practice sheet's height (48 in); gaps below 2 in on soft and 4 in on hard ground; openings under 4 in,
/// 1.75 in where rails stand close enough to climb; a gate that opens outward, closes and latches itself, its latch inside
/// where it is low; where the unit's wall serves, that wall as high over the highest surface beside it, and locked or
/// removable steps; alarms where the house wall does. Source: ISPSC 305.
pub(super) fn barrier(context: &Context<'_>) {
    context.cite(ispsc_305::BARRIER_HEIGHT.source);
    let least = context
        .limit("barrier_height")
        .max(ispsc_305::BARRIER_HEIGHT.value);
    let height = context.measure(Subject::SITE, "barrier.height");
    judge(
        context,
        "height",
        least,
        height.as_ref().map(|height| (height, height - least)),
    );
    let soft = context.yes(Subject::SITE, "barrier.ground_soft");
    let gap = context.measure(Subject::SITE, "barrier.gap_below");
    at_most(
        context,
        "gap",
        if soft == Some(false) {
            ispsc_305::GAP_ON_HARD_GROUND.value
        } else {
            ispsc_305::GAP_ON_SOFT_GROUND.value
        },
        gap.filter(|_| soft.is_some()),
    );
    let close = context.yes(Subject::SITE, "barrier.rails_close");
    let opening = context.measure(Subject::SITE, "barrier.opening");
    at_most(
        context,
        "opening",
        if close == Some(false) {
            ispsc_305::OPENING_UNDER.value
        } else {
            ispsc_305::OPENING_CLIMBABLE.value
        },
        opening.filter(|_| close.is_some()),
    );
    gate(context);
    walls(context, least);
}

fn at_most(context: &Context<'_>, what: &'static str, limit: f64, measured: Option<Num>) {
    let margin = measured.as_ref().map(|measured| limit - measured);
    judge(context, what, limit, measured.as_ref().zip(margin));
}

fn judge(context: &Context<'_>, what: &'static str, limit: f64, found: Option<(&Num, Num)>) {
    let mut item = context.item(Subject::SITE);
    let Some((measured, margin)) = found else {
        return item.open("frame.missing");
    };
    item.about("what", word(format!("barrier.{what}")));
    item.line(
        Line::new("cover.safety.barrier")
            .with("what", word(format!("barrier.{what}")))
            .with("measured", context.arg(measured, Dimension::Length))
            .with("limit", quantity(Dimension::Length, limit)),
    );
    item.margin(&margin, Dimension::Length);
}

/// The unit's wall from outside: its rim over the highest surface beside it, which a child can stand on.
fn unit_wall(context: &Context<'_>, least: f64) {
    let surface = context.measure(Subject::SITE, "bonding.surface_height");
    let wall = surface.map(|surface| context.spa().rim_height.metres() - surface);
    let margin = wall.as_ref().map(|wall| wall - least);
    judge(context, "unit_wall", least, wall.as_ref().zip(margin));
}

fn gate(context: &Context<'_>) {
    context.cite(ispsc_305::LATCH_INSIDE_BELOW.source);
    context.cite(ispsc_305::GATE);
    fact(
        context,
        "barrier.gate_opens_outward",
        "cover.safety.gate_outward",
        "cover.safety.gate_inward",
    );
    fact(
        context,
        "barrier.gate_closes_itself",
        "cover.safety.gate_closes",
        "cover.safety.gate_stays_open",
    );
    let item = context.item(Subject::SITE);
    let Some(latch) = context.measure(Subject::SITE, "barrier.latch_height") else {
        return item.wait();
    };
    let above = latch - ispsc_305::LATCH_INSIDE_BELOW.value;
    if above.value() >= context.spread(&above) {
        return item.holds(true, "cover.safety.latch_high");
    }
    match context.yes(Subject::SITE, "barrier.latch_inside") {
        None => item.wait(),
        Some(true) => item.holds(true, "cover.safety.latch_inside"),
        Some(false) => item.holds(false, "cover.safety.latch_outside"),
    }
}

fn walls(context: &Context<'_>, least: f64) {
    if context.yes(Subject::SITE, "barrier.uses_unit_wall") == Some(true) {
        unit_wall(context, least);
        fact(
            context,
            "barrier.steps_locked",
            "cover.safety.steps_locked",
            "cover.safety.steps_open",
        );
    }
    if context.yes(Subject::SITE, "barrier.uses_house_wall") == Some(true) {
        fact(
            context,
            "barrier.house_alarms",
            "cover.safety.alarms",
            "cover.safety.no_alarms",
        );
    }
}
