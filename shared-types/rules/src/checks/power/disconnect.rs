//! `power.disconnect`: the maintenance disconnect is in sight, in reach of nobody in the water, and can be worked at.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::nec;

/// In sight of the equipment, readily accessible (NEC 680.13), and not farther than the practice sheet says (50 ft, NEC Article 100, from memory); at
/// least 5 ft from the water unless a barrier makes the way to reach it that long (NEC 680.13); working space before it
/// (practice sheet; NEC 110.26, from memory).
pub fn disconnect(context: &Context<'_>) {
    super::cautions(context);
    context.cite(nec::DISCONNECT_LEAST.source);
    fact(
        context,
        "disconnect.in_sight",
        "power.disconnect.in_sight",
        "power.disconnect.out_of_sight",
    );
    fact(
        context,
        "disconnect.readily_reached",
        "power.disconnect.readily_reached",
        "power.disconnect.hard_to_reach",
    );
    let farthest = context.limit("within_sight");
    let equipment = context.measure(Subject::SITE, "disconnect.from_equipment");
    judge(
        context,
        "power.disconnect.from_equipment",
        equipment.as_ref(),
        farthest,
        equipment.as_ref().map(|distance| farthest - distance),
    );
    from_water(context);
    let depth = context.limit("working_depth");
    let working = context.measure(Subject::SITE, "disconnect.working_depth");
    judge(
        context,
        "power.disconnect.working_space",
        working.as_ref(),
        depth,
        working.as_ref().map(|free| free - depth),
    );
}

fn from_water(context: &Context<'_>) {
    let least = nec::DISCONNECT_LEAST.value;
    let distance = context.measure(Subject::SITE, "disconnect.from_water");
    let margin = distance.as_ref().map(|distance| distance - least);
    let near = margin
        .as_ref()
        .is_some_and(|margin| margin.value() < context.spread(margin));
    if near {
        match context.yes(Subject::SITE, "disconnect.barrier") {
            Some(true) => {
                return context
                    .item(Subject::SITE)
                    .holds(true, "power.disconnect.behind_barrier");
            }
            None => return context.item(Subject::SITE).wait(),
            Some(false) => {}
        }
    }
    judge(
        context,
        "power.disconnect.from_water",
        distance.as_ref(),
        least,
        margin,
    );
}

fn judge(
    context: &Context<'_>,
    key: &'static str,
    measured: Option<&Num>,
    limit: f64,
    margin: Option<Num>,
) {
    let mut item = context.item(Subject::SITE);
    let (Some(measured), Some(margin)) = (measured, margin) else {
        return item.wait();
    };
    item.about("what", word(format!("{key}.what")));
    item.line(
        Line::new(key)
            .with("measured", context.arg(measured, Dimension::Length))
            .with("limit", quantity(Dimension::Length, limit))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
