//! `spot.overhead`: wires over and near the water are far enough from it.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::{Row, nec};

/// The distance from the water to the lowest wire, in any direction, less what its kind needs; or its distance
/// sideways, less the zone's 10 ft: one of both must hold. For communications wires the height counts. The rim is taken
/// as the water's edge, which is the nearer. Source: NEC 680.9; other kinds by Table 680.9(A), from memory.
pub fn overhead(context: &Context<'_>) {
    context.caution("caution.spot_wires");
    context.cite(nec::OVERHEAD_ZONE.source);
    let mut item = context.item(Subject::SITE);
    let Some(present) = context.yes(Subject::SITE, "spot.overhead_lines") else {
        return item.wait();
    };
    if !present {
        return item.holds(true, "spot.overhead.none");
    }
    let kind = context.choice(Subject::SITE, "spot.overhead_kind");
    let height = context.measure(Subject::SITE, "spot.overhead_height");
    let across = context.measure(Subject::SITE, "spot.overhead_across");
    let (Some(kind), Some(height), Some(across)) = (kind, height, across) else {
        return item.wait();
    };
    let limit: Row<f64> = match kind.as_str() {
        "grounded_messenger" => nec::OVERHEAD_BUNDLED,
        "communications" => nec::OVERHEAD_COMMUNICATIONS,
        "over_15_kilovolt" => nec::OVERHEAD_OVER_15_KILOVOLT,
        _ => nec::OVERHEAD_OTHER,
    };
    context.lean_on(limit.source);
    let rise = &height - context.spa().rim_height.metres();
    let distance = if kind == "communications" {
        rise.clone()
    } else {
        (&rise * &rise + &across * &across).sqrt()
    };
    let outside = &across - nec::OVERHEAD_ZONE.value;
    let margin = (&distance - limit.value).max(outside.clone());
    item.line(
        Line::new("spot.overhead.formula")
            .with("rise", context.arg(&rise, Dimension::Length))
            .with("across", context.arg(&across, Dimension::Length))
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("needed", quantity(Dimension::Length, limit.value)),
    );
    item.line(
        Line::new("spot.overhead.zone")
            .with("across", context.arg(&across, Dimension::Length))
            .with(
                "zone",
                quantity(Dimension::Length, nec::OVERHEAD_ZONE.value),
            )
            .with("margin", context.arg(&outside, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
