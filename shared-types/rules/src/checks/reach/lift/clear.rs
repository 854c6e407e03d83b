//! `lift.clear`: boom and load clear roofs, trees and the load itself.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::super::listed::{Empty, listed};
use super::super::load::about;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::crane;
use crate::tables::Source;

/// Degrees in a radian.
const DEGREES: f64 = 180.0 / core::f64::consts::PI;

/// The boom as planned, in metres and degrees.
struct Boom {
    radius: Num,
    pivot_behind: Num,
    pivot_height: Num,
    angle: Num,
    tip_height: Num,
    half_depth: Num,
}

/// What it needs to know of the load, metres.
struct Load {
    /// Half the long side: the load may hang with it towards the boom.
    reach: f64,
    height: f64,
    rigging: Num,
    reserve: f64,
    margin: f64,
}

/// Per obstacle: the boom's clearance over it, and the load's where the load passes; then the boom against its own
/// load.
pub fn clear(context: &Context<'_>) {
    context.cite(Source::derived(
        "boom tip L·sinβ + h₀; edge to boom (x + e)·sinβ − (h − h₀)·cosβ; a real boom bends, the operator's chart knows",
    ));
    context.cite(Source::common_practice());
    context.caution("caution.lifting");
    let obstacles = listed(
        context,
        SubjectKind::Obstacle,
        "lift.obstacles_listed",
        "lift.clear.not_listed",
        Empty::NotNeeded("lift.clear.no_obstacles"),
    );
    let boom = boom(context);
    let load = load(context);
    let mut passed = vec![Num::exact(0.0)];
    for obstacle in obstacles {
        context.optionally(|| context.choice(obstacle, "obstacle.kind"));
        over_boom(context, obstacle, boom.as_ref(), &load);
        passed.extend(over_load(context, obstacle, boom.as_ref(), &load));
    }
    own_load(context, boom.as_ref(), &load, &passed);
}

fn load(context: &Context<'_>) -> Option<Load> {
    let size = context.spa().shipping;
    let rigging = context.measure(Subject::SITE, "lift.rigging_height");
    let reserve = context.limit("hook_reserve");
    let margin = context.limit("lift_margin");
    Some(Load {
        reach: 0.5 * size.length.metres(),
        height: size.height.metres(),
        rigging: rigging?,
        reserve,
        margin,
    })
}

/// The boom at the planned radius; a finding says so where it is too short for it.
fn boom(context: &Context<'_>) -> Option<Boom> {
    let mut item = context.item(Subject::SITE);
    let site = Subject::SITE;
    let length = context.measure(site, "lift.boom_length");
    let radius = context.measure(site, "lift.radius");
    let pivot_behind = context.measure(site, "lift.pivot_behind");
    let pivot_height = context.measure(site, "lift.pivot_height");
    let depth = context.measure(site, "lift.boom_depth");
    let (Some(length), Some(radius), Some(pivot_behind), Some(pivot_height), Some(depth)) =
        (length, radius, pivot_behind, pivot_height, depth)
    else {
        item.wait();
        return None;
    };
    let at_radius = crane::boom_at_radius(
        length.value(),
        radius.value(),
        pivot_behind.value(),
        pivot_height.value(),
    );
    let Some(at_radius) = at_radius else {
        item.holds(false, "lift.clear.boom_too_short");
        return None;
    };
    let reach = &radius + &pivot_behind;
    let rise = (&length * &length - &reach * &reach).sqrt();
    // β = acos(reach / length): dβ = (reach/length·dlength − dreach) / rise.
    let angle = if rise.value() > 0.0 {
        let by_reach = 0.0 - DEGREES / rise.value();
        let by_length = DEGREES * reach.value() / (length.value() * rise.value());
        Num::combine(at_radius.angle, &[(&reach, by_reach), (&length, by_length)])
    } else {
        Num::exact(at_radius.angle)
    };
    let boom = Boom {
        tip_height: rise + &pivot_height,
        half_depth: depth * 0.5,
        radius,
        pivot_behind,
        pivot_height,
        angle,
    };
    item.line(
        Line::new("lift.clear.boom")
            .with("angle", context.arg(&boom.angle, Dimension::Angle))
            .with("tip", context.arg(&boom.tip_height, Dimension::Length)),
    );
    item.holds(true, "lift.clear.boom_reaches");
    Some(boom)
}

impl Boom {
    /// From the boom's underside to the edge at `distance` and `height`.
    fn clearance(&self, distance: &Num, height: &Num) -> Option<Num> {
        let clearance = crane::boom_clearance(
            distance.value(),
            self.pivot_behind.value(),
            height.value(),
            self.pivot_height.value(),
            self.angle.value(),
        )?;
        let [by_x, by_e, by_h, by_h0, by_angle] = clearance.gradient;
        let centre = Num::combine(
            clearance.value,
            &[
                (distance, by_x),
                (&self.pivot_behind, by_e),
                (height, by_h),
                (&self.pivot_height, by_h0),
                (&self.angle, by_angle),
            ],
        );
        Some(centre - &self.half_depth)
    }
}

fn over_boom(context: &Context<'_>, obstacle: Subject, boom: Option<&Boom>, load: &Option<Load>) {
    let mut item = context.item(obstacle);
    about(&mut item, "lift.clear.of_boom");
    let distance = context.measure(obstacle, "obstacle.distance");
    let height = context.measure(obstacle, "obstacle.height");
    let (Some(distance), Some(height)) = (distance, height) else {
        return item.wait();
    };
    let (Some(boom), Some(load)) = (boom, load) else {
        return item.open("lift.clear.boom_not_known");
    };
    if distance.value() > boom.radius.value() {
        let beside = &distance - &boom.radius - load.reach - load.margin;
        if beside.value() >= context.spread(&beside) {
            return item.not_needed("lift.clear.beyond_radius");
        }
        let passes = context.optionally(|| context.yes(obstacle, "obstacle.load_passes"));
        if passes == Some(false) {
            // The load hangs over the spot, and its end reaches out this far.
            let plan =
                Line::new("lift.clear.plan_the_end").with("obstacle", Arg::Subject(obstacle));
            context.action(Party::CraneOperator, plan, 20.0);
            return item.open("lift.clear.load_end_reaches");
        }
    }
    let Some(clearance) = boom.clearance(&distance, &height) else {
        return item.open("frame.not_computable");
    };
    let margin = &clearance - load.margin;
    item.line(
        Line::new("lift.clear.boom_formula")
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("height", context.arg(&height, Dimension::Length))
            .with("angle", context.arg(&boom.angle, Dimension::Angle))
            .with("clearance", context.arg(&clearance, Dimension::Length))
            .with("needed", quantity(Dimension::Length, load.margin)),
    );
    item.margin(&margin, Dimension::Length);
}

/// The load over the obstacle: tip, less the reserve below it, the rigging and the load. Gives the obstacle's height
/// where the load passes.
fn over_load(
    context: &Context<'_>,
    obstacle: Subject,
    boom: Option<&Boom>,
    load: &Option<Load>,
) -> Option<Num> {
    let mut item = context.item(obstacle);
    about(&mut item, "lift.clear.of_load");
    match context.yes(obstacle, "obstacle.load_passes") {
        None => {
            item.wait();
            return None;
        }
        Some(false) => {
            item.not_needed("lift.clear.load_does_not_pass");
            return None;
        }
        Some(true) => {}
    }
    let height = context.measure(obstacle, "obstacle.height");
    let (Some(height), Some(boom), Some(load)) = (height.clone(), boom, load) else {
        item.open("lift.clear.boom_not_known");
        return height;
    };
    let under = &boom.tip_height - load.reserve - &load.rigging - load.height;
    let margin = &under - &height - load.margin;
    item.line(
        Line::new("lift.clear.load_formula")
            .with("tip", context.arg(&boom.tip_height, Dimension::Length))
            .with("reserve", quantity(Dimension::Length, load.reserve))
            .with("rigging", context.arg(&load.rigging, Dimension::Length))
            .with("load", quantity(Dimension::Length, load.height))
            .with("obstacle", context.arg(&height, Dimension::Length))
            .with("needed", quantity(Dimension::Length, load.margin))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
    Some(height)
}

/// The load's near top edge against the boom, hoisted as high as each obstacle that it passes asks.
fn own_load(context: &Context<'_>, boom: Option<&Boom>, load: &Option<Load>, passed: &[Num]) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.clear.of_own_load");
    let (Some(boom), Some(load)) = (boom, load) else {
        return item.open("lift.clear.boom_not_known");
    };
    let near = &boom.radius - load.reach;
    let mut margins = Vec::new();
    for height in passed {
        let top = height + (load.margin + load.height);
        let Some(clearance) = boom.clearance(&near, &top) else {
            return item.open("frame.not_computable");
        };
        item.line(
            Line::new("lift.clear.own_load_formula")
                .with("near", context.arg(&near, Dimension::Length))
                .with("top", context.arg(&top, Dimension::Length))
                .with("clearance", context.arg(&clearance, Dimension::Length))
                .with("needed", quantity(Dimension::Length, load.margin)),
        );
        margins.push(&clearance - load.margin);
    }
    item.margins(&margins, Dimension::Length);
}
