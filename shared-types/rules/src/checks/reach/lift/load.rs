//! `lift.load`: everything that will hang on the boom is known.

use setdown_types::subject::Subject;

use super::super::load::hoisted;
use crate::frame::context::Context;
use crate::tables::Source;

/// Unit, water left in it, skid, block, spreader, slings, what else goes up, and an allowance for wind and jerk.
pub fn load(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.cite(crate::tables::crane::CHART_RULE);
    context.caution("caution.lifting");
    let mut item = context.item(Subject::SITE);
    match hoisted(context, &mut item) {
        Some(hoisted) if hoisted.total().is_finite() => item.holds(true, "lift.load.known"),
        Some(_) => item.open("frame.not_computable"),
        None => item.wait(),
    }
}
