//! `entry.guard`: a walking surface more than 30 in up has a guard.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::irc_stairs;

/// Up to 30 in from the surface down to the ground within 36 in of its edge no guard is needed; above, a guard at least
/// 36 in high that stops a 4 in ball. Source: IRC R321.1 (was R312).
pub fn guard(context: &Context<'_>) {
    context.cite(irc_stairs::GUARD_ABOVE.source);
    context.caution("caution.falls");
    let limit = irc_stairs::GUARD_ABOVE.value;
    let mut item = context.item(Subject::SITE);
    let Some(drop) = context.measure(Subject::SITE, "entry.drop") else {
        return item.wait();
    };
    let below = limit - &drop;
    item.line(
        Line::new("entry.guard.formula")
            .with("drop", context.arg(&drop, Dimension::Length))
            .with("limit", quantity(Dimension::Length, limit))
            .with(
                "within",
                quantity(Dimension::Length, irc_stairs::GUARD_WITHIN.value),
            ),
    );
    if below.value() >= context.spread(&below) {
        return item.margin(&below, Dimension::Length);
    }
    match context.yes(Subject::SITE, "entry.guard") {
        None => item.wait(),
        Some(false) => item.margin(&below, Dimension::Length),
        Some(true) => {
            item.holds(true, "entry.guard.planned");
            made(context);
        }
    }
}

fn made(context: &Context<'_>) {
    context.cite(irc_stairs::GUARD_HEIGHT.source);
    context.cite(irc_stairs::GUARD_OPENING.source);
    let mut item = context.item(Subject::SITE);
    let least = irc_stairs::GUARD_HEIGHT.value;
    match context.measure(Subject::SITE, "entry.guard_height") {
        None => item.wait(),
        Some(height) => {
            item.line(
                Line::new("entry.guard.height")
                    .with("height", context.arg(&height, Dimension::Length))
                    .with("least", quantity(Dimension::Length, least)),
            );
            item.margin(&(&height - least), Dimension::Length);
        }
    }
    fact(
        context,
        "entry.guard_ball_stops",
        "entry.guard.ball_stops",
        "entry.guard.ball_passes",
    );
}
