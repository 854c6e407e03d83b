//! `water.empty`: there is a place for the water when the unit is emptied, lower or by pump, and it may go there.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::Source;

/// A place that takes the water, from which it runs away from house and neighbours, lower than the spot or served by a
/// pump, and allowed by local rules. Source: common practice, no source.
pub fn empty(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.emptying");
    let item = context.item(Subject::SITE);
    match context
        .choice(Subject::SITE, "water.drain_place")
        .as_deref()
    {
        None => item.wait(),
        Some("nowhere") => return item.holds(false, "water.empty.nowhere"),
        Some(_) => item.holds(true, "water.empty.place"),
    }
    fact(
        context,
        "water.drain_runs_away",
        "water.empty.runs_away",
        "water.empty.runs_to_house",
    );
    fact(
        context,
        "water.drain_allowed",
        "water.empty.allowed",
        "water.empty.not_allowed",
    );
    downhill(context);
    time(context);
}

fn downhill(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "water.drain_lower") {
        None => item.wait(),
        Some(true) => item.holds(true, "water.empty.lower"),
        Some(false) => match context.yes(Subject::SITE, "water.pump_planned") {
            None => item.wait(),
            Some(true) => item.holds(true, "water.empty.pump"),
            Some(false) => item.holds(false, "water.empty.no_pump"),
        },
    }
}

/// Hours to empty, shown where the flow is known; nothing is judged by them.
fn time(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let flow = context.optionally(|| context.measure(Subject::SITE, "water.drain_flow"));
    let Some(flow) = flow.filter(|flow| flow.value() > 0.0) else {
        return item.not_needed("water.empty.time_unknown");
    };
    let water = context.spa().water.si();
    let emptying = Num::exact(water) / &flow;
    if !emptying.is_finite() {
        return item.open("frame.not_computable");
    }
    item.line(
        Line::new("water.empty.formula")
            .with("water", quantity(Dimension::Volume, water))
            .with("flow", context.arg(&flow, Dimension::Flow))
            .with("emptying", context.arg(&emptying, Dimension::Duration)),
    );
    item.holds(true, "water.empty.time_known");
}
