//! `power.gfci`: every circuit of the unit has ground-fault protection.

use setdown_types::subject::Subject;

use super::{Chosen, setting};
use crate::frame::context::Context;
use crate::tables::nec;

/// A protecting breaker for each circuit, or protection built into the unit and listed. Source: NEC 680.44, one
/// secondary page: an electrician's word closes it.
pub fn gfci(context: &Context<'_>) {
    super::cautions(context);
    context.lean_on(nec::SPA_GROUND_FAULT);
    let item = context.item(Subject::SITE);
    let circuits = match setting(context) {
        Chosen::Setting(setting) => setting.circuits.len(),
        Chosen::NotYet => return item.wait(),
        Chosen::NotOnSheet => return item.open("power.supply.not_on_sheet"),
    };
    let Some(kind) = context.choice(Subject::SITE, "gfci.kind") else {
        return item.wait();
    };
    match kind.as_str() {
        "none" => item.holds(false, "power.gfci.none"),
        "integral_listed" if context.spa().listing.integral_ground_fault => {
            item.holds(true, "power.gfci.integral");
        }
        "integral_listed" => item.holds(false, "power.gfci.not_integral"),
        _ if circuits > 1 => match context.yes(Subject::SITE, "gfci.each_circuit") {
            Some(true) => item.holds(true, "power.gfci.each"),
            Some(false) => item.holds(false, "power.gfci.not_each"),
            None => item.wait(),
        },
        _ => item.holds(true, "power.gfci.each"),
    }
}
