//! `power.bonding`: the unit is spared the bonding ring by every condition of the code, or the ring is planned.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::base::placing::{Placing, of};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{Source, Status, nec};

/// The exemption's conditions one by one: listed self-contained, for above-ground use, not indoor only, installed as the
/// maker says on or above grade, rim at least 28 in above every surface within 30 in. A raised deck or a vault defeats
/// it, and it is for outdoors. Otherwise a ring, decided by an electrician before any pour. Source: NEC 680.42(B), 680.26.
pub fn bonding(context: &Context<'_>) {
    super::cautions(context);
    context.caution("caution.power_bonding");
    context.cite(nec::BONDING_RIM_HEIGHT.source);
    let mut item = context.item(Subject::SITE);
    let placing = of(context);
    let per_maker = context.yes(Subject::SITE, "bonding.per_maker");
    let surface = context.measure(Subject::SITE, "bonding.surface_height");
    let rim = surface.as_ref().map(|surface| {
        Num::exact(context.spa().rim_height.metres()) - surface - nec::BONDING_RIM_HEIGHT.value
    });
    let listing = context.spa().listing;
    let facts = [
        ("power.bonding.self_contained", Some(listing.self_contained)),
        ("power.bonding.above_ground", Some(listing.above_ground)),
        ("power.bonding.not_indoor_only", Some(!listing.indoor_only)),
        (
            "power.bonding.on_grade",
            placing.map(|placing| placing == Placing::OnGrade),
        ),
        ("power.bonding.per_maker", per_maker),
    ];
    for (key, holds) in facts {
        item.line(Line::new(key).with("holds", crate::frame::item::word(holds_word(holds))));
    }
    if let (Some(surface), Some(margin)) = (&surface, &rim) {
        rim_line(context, &mut item, surface, margin);
    }
    let fails = facts.iter().any(|(_, holds)| *holds == Some(false))
        || rim
            .as_ref()
            .is_some_and(|margin| margin.value() <= -context.spread(margin));
    if fails {
        ring(context, item);
    } else if facts.iter().any(|(_, holds)| holds.is_none()) {
        item.wait();
    } else if let Some(margin) = rim {
        item.margin(&margin, Dimension::Length);
    } else {
        item.wait();
    }
    metal(context);
}

fn rim_line(context: &Context<'_>, item: &mut Draft<'_, '_>, surface: &Num, margin: &Num) {
    item.line(
        Line::new("power.bonding.rim")
            .with(
                "rim",
                quantity(Dimension::Length, context.spa().rim_height.metres()),
            )
            .with("surface", context.arg(surface, Dimension::Length))
            .with(
                "needed",
                quantity(Dimension::Length, nec::BONDING_RIM_HEIGHT.value),
            )
            .with(
                "within",
                quantity(Dimension::Length, nec::BONDING_RIM_WITHIN.value),
            )
            .with("margin", context.arg(margin, Dimension::Length)),
    );
}

const fn holds_word(holds: Option<bool>) -> &'static str {
    match holds {
        Some(true) => "power.bonding.yes",
        Some(false) => "power.bonding.no",
        None => "power.bonding.unanswered",
    }
}

/// The exemption is lost: a ring that is planned waits for the electrician's word, one that is not is short.
fn ring(context: &Context<'_>, item: Draft<'_, '_>) {
    context.cite(Source::published("NEC", "680.26(B)", "", Status::Memory));
    match context.yes(Subject::SITE, "bonding.ring_planned") {
        None => item.wait(),
        Some(true) => item.open("power.bonding.ring_planned"),
        Some(false) => item.holds(false, "power.bonding.ring_not_planned"),
    }
}

/// Metal that somebody in or at the water can touch is bonded by an electrician.
fn metal(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "bonding.metal_near") {
        None => item.wait(),
        Some(false) => item.holds(true, "power.bonding.no_metal"),
        Some(true) => item.open("power.bonding.metal"),
    }
}
