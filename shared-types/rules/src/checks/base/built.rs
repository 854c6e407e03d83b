//! `base.cured`: the base is built as it was meant to be, and concrete has had its time.

use jiff::Span;
use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::placing::{Kind, kind_of};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// Slab: pour date plus cure days is not after today. Rock: a truck can drive on it, proof-rolled, edged. Pad: on
/// prepared ground. Deck: built as designed. Source: practice sheet; common practice, no source.
pub fn built(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.base_structure");
    context.action(Party::Groundworks, Line::new("base.cured.finish"), 60.0);
    let Some(kind) = kind_of(context) else {
        return context.item(Subject::SITE).wait();
    };
    match kind {
        Kind::Slab => cured(context),
        Kind::ExistingSlab => context
            .item(Subject::SITE)
            .not_needed("base.cured.stands_already"),
        Kind::Rock => {
            fact(
                context,
                "base.truck_drives",
                "base.cured.truck_drives",
                "base.cured.truck_sinks",
            );
            fact(
                context,
                "base.proof_rolled",
                "base.cured.proof_rolled",
                "base.cured.not_proof_rolled",
            );
            fact(
                context,
                "base.edged",
                "base.cured.edged",
                "base.cured.not_edged",
            );
        }
        Kind::Pad => fact(
            context,
            "base.ground_prepared",
            "base.cured.prepared",
            "base.cured.not_prepared",
        ),
        Kind::Deck => fact(
            context,
            "base.built_as_designed",
            "base.cured.as_designed",
            "base.cured.not_as_designed",
        ),
    }
}

fn fact(context: &Context<'_>, question: &str, good: &'static str, bad: &'static str) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, question) {
        Some(true) => item.holds(true, good),
        Some(false) => item.open(bad),
        None => item.wait(),
    }
}

/// Waiting is not short: nothing is wrong, it only is not time yet.
fn cured(context: &Context<'_>) {
    let days = context.limit("cure_days");
    let mut item = context.item(Subject::SITE);
    let Some(poured) = context.date(Subject::SITE, "base.pour_date") else {
        return item.wait();
    };
    // A count of days beyond a century is a slip of the practice sheet.
    let whole = libm::ceil(days.clamp(0.0, 36_500.0)) as i64;
    let ready = Span::new()
        .try_days(whole)
        .and_then(|days| poured.checked_add(days));
    let Ok(ready) = ready else {
        return item.open("frame.not_computable");
    };
    item.line(
        Line::new("base.cured.formula")
            .with("poured", Arg::Date(poured))
            .with("days", quantity(Dimension::Count, whole as f64))
            .with("ready", Arg::Date(ready)),
    );
    item.about("ready", Arg::Date(ready));
    if poured > context.today() {
        item.open("base.cured.not_poured");
    } else if ready > context.today() {
        item.open("base.cured.waiting");
    } else {
        item.holds(true, "base.cured.ready");
    }
}
