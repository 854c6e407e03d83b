//! `roll.surface`: every leg carries the wheels, with nothing hollow under them, no steps, and ramps at its curbs.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::listed::legs;
use super::load::{about, rolled_mass};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::maths::{bearing, roll, weight_of};
use crate::tables::Source;

/// Wheels of a carriage: with any number above one, a rigid load rocks onto two.
const WHEELS: u32 = 4;

/// Per leg: steps, ground, hollows and curbs, each a finding of its own.
pub fn surface(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.rolling");
    for leg in legs(context) {
        context.optionally(|| context.photo(leg, "leg.photo"));
        steps(context, leg);
        ground(context, leg);
        hollow(context, leg);
        curb(context, leg);
    }
}

fn steps(context: &Context<'_>, leg: Subject) {
    let item = context.item(leg);
    match context.yes(leg, "leg.steps") {
        None => item.wait(),
        Some(true) => item.holds(false, "roll.surface.steps"),
        Some(false) => item.holds(true, "roll.surface.no_steps"),
    }
}

/// Whether overlapped mats are needed on this surface.
fn soft(surface: &str) -> bool {
    matches!(surface, "lawn_dry" | "lawn_soft" | "gravel_loose" | "sand")
}

fn ground(context: &Context<'_>, leg: Subject) {
    let mut item = context.item(leg);
    let surface = context.choice(leg, "leg.surface");
    let weight = weight_of(rolled_mass(context, &mut item));
    let Some(wheel) = roll::worst_wheel_load(weight, WHEELS) else {
        return item.open("frame.not_computable");
    };
    item.line(Line::new("roll.surface.wheel").with("load", quantity(Dimension::Force, wheel)));
    let Some(surface) = surface else {
        return item.wait();
    };
    if soft(&surface) {
        let mats = context.yes(leg, "leg.mats");
        let area = context.limit("mat_area");
        if let Some(pressure) = bearing::pressure(wheel, area) {
            let pressure = quantity(Dimension::Pressure, pressure.value);
            item.line(
                Line::new("roll.surface.under_mat")
                    .with("area", quantity(Dimension::Area, area))
                    .with("pressure", pressure),
            );
        }
        // Mats spread the load: whether the ground under them carries it is asked like anywhere else.
        let carries = context.yes(leg, "leg.carries");
        return match (mats, carries) {
            (Some(false), _) => item.holds(false, "roll.surface.no_mats"),
            (_, Some(false)) => item.holds(false, "roll.surface.does_not_carry"),
            (Some(true), Some(true)) => item.holds(true, "roll.surface.mats"),
            _ => item.wait(),
        };
    }
    match context.yes(leg, "leg.carries") {
        None => item.wait(),
        Some(true) => item.holds(true, "roll.surface.carries"),
        Some(false) => item.holds(false, "roll.surface.does_not_carry"),
    }
}

fn hollow(context: &Context<'_>, leg: Subject) {
    let item = context.item(leg);
    let Some(hollow) = context.choices(leg, "leg.hollow") else {
        return item.wait();
    };
    let found = hollow.iter().any(|what| what != "none");
    if hollow.is_empty() {
        return item.open("roll.surface.hollow_not_said");
    }
    if found {
        item.holds(false, "roll.surface.hollow")
    } else {
        item.holds(true, "roll.surface.no_hollow")
    }
}

fn curb(context: &Context<'_>, leg: Subject) {
    let mut item = context.item(leg);
    about(&mut item, "roll.surface.of_ramp");
    match context.yes(leg, "leg.curb") {
        None => return item.wait(),
        Some(false) => return item.not_needed("roll.surface.no_curb"),
        Some(true) => {}
    }
    let height = context.measure(leg, "leg.curb_height");
    let ramp = context.measure(leg, "leg.ramp_length");
    let steepest = context.limit("ramp_slope");
    let (Some(height), Some(ramp)) = (height, ramp) else {
        return item.wait();
    };
    if steepest <= 0.0 {
        return item.open("frame.not_computable");
    }
    let needed = &height * (1.0 / steepest);
    let margin = &ramp - &needed;
    item.line(
        Line::new("roll.surface.ramp_formula")
            .with("ramp", context.arg(&ramp, Dimension::Length))
            .with("height", context.arg(&height, Dimension::Length))
            .with("slope", quantity(Dimension::Slope, steepest))
            .with("needed", context.arg(&needed, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
