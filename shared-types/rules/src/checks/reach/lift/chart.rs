//! `lift.chart`: the operator's chart carries the load, as the chart is to be read.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::super::load::{about, hoisted};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::{Source, crane};

/// The chart is for this configuration; its row and column are the next larger radius and the next longer boom, never
/// interpolated; off the chart is short. The share of its capacity that the dealer allows, less the load.
pub fn chart(context: &Context<'_>) {
    context.cite(crane::CHART_RULE);
    context.caution("caution.lifting");
    configuration(context);
    let on_chart = context.yes(Subject::SITE, "lift.on_chart");
    if on_chart == Some(false) {
        return context
            .item(Subject::SITE)
            .holds(false, "lift.chart.off_chart");
    }
    row(
        context,
        ["lift.radius", "lift.chart_radius"],
        "lift.chart.of_radius",
    );
    row(
        context,
        ["lift.boom_length", "lift.chart_boom"],
        "lift.chart.of_boom",
    );
    capacity(context);
}

fn configuration(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "lift.chart_configuration") {
        None => item.wait(),
        Some(true) => item.holds(true, "lift.chart.this_configuration"),
        Some(false) => item.holds(false, "lift.chart.other_configuration"),
    }
}

/// A listed value must not be below the planned one. What was read off the chart itself is exact; what was got in any
/// other way keeps its spread.
fn row(context: &Context<'_>, [planned, listed]: [&str; 2], what: &'static str) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, what);
    let planned = context.measure(Subject::SITE, planned);
    let listed = context.listed(Subject::SITE, listed);
    let (Some(planned), Some(listed)) = (planned, listed) else {
        return item.wait();
    };
    let margin = &listed - &planned;
    item.line(
        Line::new("lift.chart.row")
            .with("planned", context.arg(&planned, Dimension::Length))
            .with("listed", context.arg(&listed, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

fn capacity(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.chart.of_capacity");
    let share = context.limit("crane_chart_share");
    let capacity = context.listed(Subject::SITE, "lift.chart_capacity");
    let hoisted = hoisted(context, &mut item);
    let (Some(capacity), Some(hoisted)) = (capacity, hoisted) else {
        return item.wait();
    };
    let allowed = &capacity * share;
    let total = hoisted.total();
    let margin = &allowed - &total;
    item.line(
        Line::new("lift.chart.formula")
            .with("capacity", context.arg(&capacity, Dimension::Mass))
            .with("share", quantity(Dimension::Slope, share))
            .with("allowed", context.arg(&allowed, Dimension::Mass))
            .with("total", context.arg(&total, Dimension::Mass))
            .with("margin", context.arg(&margin, Dimension::Mass)),
    );
    context.cite(Source::derived(
        "capacity × allowed share − everything on the boom",
    ));
    item.margin(&margin, Dimension::Mass);
}
