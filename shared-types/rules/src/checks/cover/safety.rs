//! `cover.safety`: a cover that is tested to keep a child out, or a barrier; the local official decides which.

use setdown_types::quantity::Dimension;
use setdown_types::spa::{CoverSheet, CoverStandard};
use setdown_types::subject::Subject;

use super::barrier::barrier;
use super::kind::kind_key;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{astm_f1346, ispsc_305};

/// A spa with a lockable cover to ASTM F1346 needs no barrier, a pool only with a powered one; which of the two the unit
/// is, the local official says. Lock, power and standard are the chosen cover's by its sheet, not by what was hoped for. The cover's tested load is at least 485 lb where the unit is wider than 8 ft, else
/// 275 lb. Otherwise the barrier. Sources: ISPSC 305; ASTM F1346.
pub fn safety(context: &Context<'_>) {
    context.cite(ispsc_305::SAFETY_COVER_EXCEPTION);
    context.caution("caution.drowning");
    let item = context.item(Subject::SITE);
    let decided = context.choice(Subject::SITE, "cover.decided_as");
    let protection = context.choice(Subject::SITE, "cover.protection");
    let Some(protection) = protection else {
        return item.wait();
    };
    if protection == "barrier" {
        item.holds(true, "cover.safety.barrier_chosen");
        return barrier(context);
    }
    match decided.as_deref() {
        None => item.wait(),
        Some("spa") => item.holds(true, "cover.safety.spa"),
        Some("pool") if protection == "powered_cover" => {
            item.holds(true, "cover.safety.pool_powered");
        }
        Some("pool") => item.holds(false, "cover.safety.pool"),
        Some(_) => item.open("cover.safety.ask_the_official"),
    }
    cover(context, protection == "powered_cover");
}

/// The chosen cover as its sheet states it.
fn cover(context: &Context<'_>, to_be_powered: bool) {
    let item = context.item(Subject::SITE);
    let Some(chosen) = context.choice(Subject::SITE, "cover.kind") else {
        return item.wait();
    };
    let covers = &context.spa().covers;
    let Some(sheet) = covers.iter().find(|sheet| kind_key(sheet.kind) == chosen) else {
        return item.open("cover.kind.not_on_sheet");
    };
    match sheet.safety {
        Some(CoverStandard::AstmF1346) => item.holds(true, "cover.safety.to_standard"),
        Some(CoverStandard::Other) => item.holds(false, "cover.safety.other_standard"),
        None => item.open("cover.safety.no_standard"),
    }
    let item = context.item(Subject::SITE);
    if to_be_powered && !sheet.powered {
        item.holds(false, "cover.safety.not_powered");
    } else if to_be_powered {
        item.holds(true, "cover.safety.powered");
    } else if sheet.locks {
        item.holds(true, "cover.safety.locks");
    } else {
        item.holds(false, "cover.safety.does_not_lock");
    }
    load(context, sheet);
}

fn load(context: &Context<'_>, sheet: &CoverSheet) {
    context.cite(astm_f1346::WIDE_ABOVE.source);
    context.cite(astm_f1346::LOAD_WIDE.source);
    let mut item = context.item(Subject::SITE);
    let width = context.spa().bare.width.metres();
    let needed = astm_f1346::cover_load(width);
    let Some(tested) = sheet.tested_load else {
        return item.open("cover.safety.no_load");
    };
    item.line(
        Line::new("cover.safety.load")
            .with("tested", quantity(Dimension::Mass, tested.si()))
            .with("needed", quantity(Dimension::Mass, needed))
            .with("width", quantity(Dimension::Length, width))
            .with(
                "wide",
                quantity(Dimension::Length, astm_f1346::WIDE_ABOVE.value),
            ),
    );
    // A stated load is kept in whole micrograms: half a gram is far below any load that is printed.
    let margin = tested.si() - needed;
    let margin = if margin.abs() < 5e-4 { 0.0 } else { margin };
    item.margin(&Num::exact(margin), Dimension::Mass);
}
