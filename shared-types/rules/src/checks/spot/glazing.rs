//! `spot.glazing`: glass near the water is safety glass, and no bedroom's way out is blocked.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::{Source, Status};

/// Glass within the distance of the practice sheet (60 in by IRC R308.4.5, from memory) is marked as safety glass;
/// the unit, its steps and its cover leave every bedroom's escape window free.
pub fn glazing(context: &Context<'_>) {
    context.cite(Source::published(
        "IRC",
        "R308.4.5, R310",
        "",
        Status::Memory,
    ));
    context.caution("caution.spot_glass");
    glass(context);
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "spot.egress_blocked") {
        Some(true) => item.holds(false, "spot.glazing.egress_blocked"),
        Some(false) => item.holds(true, "spot.glazing.egress_free"),
        None => item.wait(),
    }
}

fn glass(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "spot.glass_near") {
        None => return item.wait(),
        Some(false) => return item.holds(true, "spot.glazing.no_glass"),
        Some(true) => {}
    }
    match context.yes(Subject::SITE, "spot.glass_safety") {
        Some(true) => return item.holds(true, "spot.glazing.safety_glass"),
        None => return item.wait(),
        Some(false) => {}
    }
    let limit = context.limit("glazing_distance");
    let Some(distance) = context.measure(Subject::SITE, "spot.glass_distance") else {
        return item.wait();
    };
    let margin = &distance - limit;
    item.line(
        Line::new("spot.glazing.formula")
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("limit", quantity(Dimension::Length, limit))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
