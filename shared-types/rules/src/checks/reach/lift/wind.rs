//! `lift.wind`: the operator has stated up to which wind the lift goes ahead.

use setdown_types::entry::Method;
use setdown_types::quantity::Dimension;
use setdown_types::question;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::{Arg, Line};
use crate::maths::crane;
use crate::tables;

/// Drag of a flat box side, from memory: for showing only.
const DRAG: f64 = 2.0;

/// Clear by the fact that the operator stated a limit in writing, and one that is a limit: a wind that no planner would
/// type is asked again. The sail area and the force of that wind are shown; the formula
/// is remembered and decides nothing.
pub fn wind(context: &Context<'_>) {
    context.cite(tables::osha_1926::WIND);
    context.cite(tables::crane::WIND_PRESSURE);
    context.caution("caution.lifting");
    let mut item = context.item(Subject::SITE);
    let limit = context.measure(Subject::SITE, "lift.wind_limit");
    let size = context.spa().shipping;
    let area = size.length.metres() * size.height.metres();
    item.line(Line::new("lift.wind.sail").with("area", quantity(Dimension::Area, area)));
    let Some(limit) = limit else {
        return item.wait();
    };
    if let Some(force) = crane::wind_force(limit.value(), DRAG, area) {
        item.line(
            Line::new("lift.wind.force")
                .with("limit", quantity(Dimension::Speed, limit.value()))
                .with("drag", Arg::Number(DRAG))
                .with("force", quantity(Dimension::Force, force.value)),
        );
    }
    let written = context.method(Subject::SITE, "lift.wind_limit") == Some(Method::Document);
    let usual = question::find("lift.wind_limit").and_then(|row| row.plausible);
    let highest = usual.map_or(0.0, |(_, highest)| highest);
    let worst = limit.value() + context.spread(&limit);
    if limit.value() > 0.0 && worst > highest {
        item.open("lift.wind.no_such_limit");
    } else if limit.value() > 0.0 && !written {
        item.open("lift.wind.not_in_writing");
    } else if limit.value() > 0.0 {
        let stated = quantity(Dimension::Speed, limit.value());
        item.holds_with(true, Line::new("lift.wind.stated").with("limit", stated));
    } else {
        item.open("lift.wind.no_limit");
    }
}
