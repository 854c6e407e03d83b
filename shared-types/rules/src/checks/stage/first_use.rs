//! Before first use: the entry as built, the cover's lock, the hand-over.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::{fact, happened};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{Source, irc_stairs};

/// Risers, smallest tread and the difference between risers as built; handrail and guard stand where they are needed.
/// Both risers are held to the limit, whichever of the two was entered as the larger. One riser has no tread and nothing
/// to differ from; none is believed only where the rise asks for none. Source: IRC R318.7.5 (was R311.7.5).
pub fn entry_built(context: &Context<'_>) {
    context.cite(irc_stairs::LARGEST_RISER.source);
    context.caution("caution.falls");
    match context.count(Subject::SITE, "built.risers") {
        None => context.item(Subject::SITE).wait(),
        Some(0) => {
            as_the_rise_asks(context, 0);
        }
        Some(1) => {
            as_the_rise_asks(context, 1);
            riser(context, "riser", "built.largest_riser");
        }
        Some(_) => flight(context),
    }
    fact(
        context,
        "built.handrail_and_guard",
        "stage.entry_built.rails",
        "stage.entry_built.no_rails",
    );
}

/// So few risers are believed only where the rise, at the high end of its spread, asks for no more of them; the
/// difference that one flight may have anyway counts as level. Else the steps are still to be built.
fn as_the_rise_asks(context: &Context<'_>, risers: u32) {
    let item = context.item(Subject::SITE);
    let Some(rise) = context.measure(Subject::SITE, "entry.rise") else {
        return item.wait();
    };
    let highest =
        f64::from(risers) * irc_stairs::LARGEST_RISER.value + irc_stairs::LARGEST_VARIATION.value;
    if rise.value() + context.spread(&rise) > highest {
        item.open("stage.entry_built.steps_missing");
    } else if risers == 0 {
        item.not_needed("stage.entry_built.no_steps");
    } else {
        item.holds(true, "stage.entry_built.one_step");
    }
}

fn riser(context: &Context<'_>, what: &'static str, question: &str) -> Option<Num> {
    let height = context.measure(Subject::SITE, question);
    let limit = irc_stairs::LARGEST_RISER.value;
    let margin = height.as_ref().map(|height| limit - height);
    judge(context, what, limit, height.as_ref(), margin);
    height
}

fn flight(context: &Context<'_>) {
    let largest = riser(context, "riser", "built.largest_riser");
    let smallest = riser(context, "low_riser", "built.smallest_riser");
    let limit = irc_stairs::LARGEST_VARIATION.value;
    let variation = largest
        .zip(smallest)
        .map(|(largest, smallest)| (largest - smallest).abs());
    let margin = variation.as_ref().map(|variation| limit - variation);
    judge(context, "variation", limit, variation.as_ref(), margin);
    let limit = irc_stairs::LEAST_TREAD.value;
    let tread = context.measure(Subject::SITE, "built.smallest_tread");
    let margin = tread.as_ref().map(|tread| tread - limit);
    judge(context, "tread", limit, tread.as_ref(), margin);
}

fn judge(
    context: &Context<'_>,
    what: &'static str,
    limit: f64,
    measured: Option<&Num>,
    margin: Option<Num>,
) {
    let mut item = context.item(Subject::SITE);
    let (Some(measured), Some(margin)) = (measured, margin) else {
        return item.wait();
    };
    item.about("what", word(format!("built.{what}")));
    item.line(
        Line::new("stage.entry_built.formula")
            .with("what", word(format!("built.{what}")))
            .with("measured", context.arg(measured, Dimension::Length))
            .with("limit", quantity(Dimension::Length, limit)),
    );
    item.margin(&margin, Dimension::Length);
}

/// The cover's lock was tried.
pub fn cover_locks(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.drowning");
    fact(
        context,
        "first_use.cover_locks",
        "stage.cover_locks.locks",
        "stage.cover_locks.does_not_lock",
    );
}

/// The hand-over is signed by those who will use it.
pub fn hand_over(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.drowning");
    let item = context.item(Subject::SITE);
    match context.date(Subject::SITE, "first_use.hand_over_on") {
        None => item.wait(),
        Some(when) => happened(
            context,
            item,
            when,
            "stage.hand_over.signed",
            "stage.hand_over.to_come",
        ),
    }
}
