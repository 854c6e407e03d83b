//! Before filling: the unit stands level and bears, power inspected and off, barrier or cover there, no frost surprise.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::{fact, step};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::{Arg, Line};
use crate::tables::{Source, Status};

/// The fall across the unit as it stands, against the spec sheet's tolerance; no gap under it.
pub fn set_level(context: &Context<'_>) {
    context.cite(Source::published(
        "spec sheet of the unit",
        "level tolerance",
        "",
        Status::Read,
    ));
    let mut item = context.item(Subject::SITE);
    let fall = context.measure(Subject::SITE, "fill.as_set_fall");
    match (fall, context.spa().level_tolerance) {
        (None, _) => item.wait(),
        (Some(_), None) => item.open("stage.set_level.not_on_sheet"),
        (Some(fall), Some(tolerance)) => {
            let margin = tolerance.metres() - &fall.abs();
            item.line(
                Line::new("stage.set_level.formula")
                    .with("fall", context.arg(&fall, Dimension::Length))
                    .with("tolerance", quantity(Dimension::Length, tolerance.metres())),
            );
            item.margin(&margin, Dimension::Length);
        }
    }
    fact(
        context,
        "fill.bears_fully",
        "stage.set_level.bears",
        "stage.set_level.gaps",
    );
}

/// The supply is inspected, in writing by somebody licensed, and switched off while the unit is filled.
pub fn power_off(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.water_and_power");
    let mut item = context.item(Subject::SITE);
    match context.attestation(Subject::SITE, "fill.power_inspection") {
        None => item.wait(),
        Some(word) => {
            item.about("who", Arg::Text(word.person));
            if word.date > context.today() {
                item.open("stage.power_off.to_come");
            } else {
                item.holds(true, "stage.power_off.inspected");
            }
        }
    }
    // Water with live power is danger, not a task still to do: short.
    fact(
        context,
        "fill.power_off",
        "stage.power_off.off",
        "stage.power_off.on",
    );
}

/// The barrier or the cover that keeps children out is there before the water is.
pub fn barrier_there(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.drowning");
    step(
        context,
        "fill.barrier_in_place",
        "stage.barrier_there.there",
        "stage.barrier_there.missing",
        Party::Homeowner,
        60.0,
    );
}

/// In frost it is filled only where it is powered the same day: standing water freezes in the pipes.
pub fn frost(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.water_and_power");
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "fill.frost") {
        None => item.wait(),
        Some(false) => item.holds(true, "stage.frost.none"),
        Some(true) => match context.yes(Subject::SITE, "fill.power_same_day") {
            None => item.wait(),
            Some(true) => item.holds(true, "stage.frost.power_same_day"),
            Some(false) => item.holds(false, "stage.frost.no_power"),
        },
    }
}
