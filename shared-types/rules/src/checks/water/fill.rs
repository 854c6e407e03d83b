//! `water.fill`: the hose reaches and fills the unit in the time allowed, by a flow that was measured.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::Source;

/// Hours = the unit's water ÷ the flow of a bucket filled by the watch (arithmetic), against the longest filling of the
/// practice sheet. Hose flows in print disagree by a factor of three: only a measured one counts.
pub fn fill(context: &Context<'_>) {
    context.cite(Source::derived("water divided by measured flow"));
    context.caution("caution.filling");
    let source = context.choice(Subject::SITE, "water.source");
    if source.as_deref() == Some("delivered") {
        // Delivered water brings its own hose.
        return context
            .item(Subject::SITE)
            .holds(true, "water.fill.delivered");
    }
    fact(
        context,
        "water.hose_reaches",
        "water.fill.reaches",
        "water.fill.does_not_reach",
    );
    match source {
        None => context.item(Subject::SITE).wait(),
        Some(_) => hours(context),
    }
}

fn hours(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let longest = context.limit("fill_longest");
    let bucket = context.measure(Subject::SITE, "water.bucket");
    let time = context.measure(Subject::SITE, "water.bucket_time");
    let (Some(bucket), Some(time)) = (bucket, time) else {
        return item.wait();
    };
    let water = context.spa().water.si();
    let flow = &bucket / &time;
    let filling = Num::exact(water) / &flow;
    let margin = longest - &filling;
    if !margin.is_finite() {
        return item.open("frame.not_computable");
    }
    item.line(
        Line::new("water.fill.flow")
            .with("bucket", context.arg(&bucket, Dimension::Volume))
            .with("time", context.arg(&time, Dimension::Duration))
            .with("flow", context.arg(&flow, Dimension::Flow)),
    );
    item.line(
        Line::new("water.fill.formula")
            .with("water", quantity(Dimension::Volume, water))
            .with("flow", context.arg(&flow, Dimension::Flow))
            .with("filling", context.arg(&filling, Dimension::Duration))
            .with("longest", quantity(Dimension::Duration, longest)),
    );
    item.margin(&margin, Dimension::Duration);
}
