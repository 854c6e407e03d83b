//! Before first use: the entry as built, the cover's lock, the hand-over.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::{fact, happened};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{Source, irc_stairs};

/// Largest riser, smallest tread and the difference between risers as built; handrail and guard stand where they are
/// needed. Source: IRC R318.7.5 (was R311.7.5). Where there is no riser at all, nothing is built to measure.
pub fn entry_built(context: &Context<'_>) {
    context.cite(irc_stairs::LARGEST_RISER.source);
    context.caution("caution.falls");
    let largest = context.measure(Subject::SITE, "built.largest_riser");
    let smallest = context.measure(Subject::SITE, "built.smallest_riser");
    let tread = context.measure(Subject::SITE, "built.smallest_tread");
    let limit = irc_stairs::LARGEST_RISER.value;
    let margin = largest.as_ref().map(|largest| limit - largest);
    judge(context, "riser", limit, largest.as_ref(), margin);
    let limit = irc_stairs::LARGEST_VARIATION.value;
    let variation = largest
        .as_ref()
        .zip(smallest.as_ref())
        .map(|(largest, smallest)| largest - smallest);
    let margin = variation.as_ref().map(|variation| limit - variation);
    judge(context, "variation", limit, variation.as_ref(), margin);
    let limit = irc_stairs::LEAST_TREAD.value;
    let margin = tread.as_ref().map(|tread| tread - limit);
    judge(context, "tread", limit, tread.as_ref(), margin);
    fact(
        context,
        "built.handrail_and_guard",
        "stage.entry_built.rails",
        "stage.entry_built.no_rails",
    );
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
