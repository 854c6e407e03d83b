//! `base.garage`: the unit gets into the building, and there is room over it for its cover and for people.

use setdown_types::quantity::Dimension;
use setdown_types::spa::CoverKind;
use setdown_types::subject::Subject;

use super::level;
use super::placing::{Kind, Placing, kind_of, of};
use crate::checks::reach::load;
use crate::checks::spot;
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::Source;

/// Indoors only. Door width and height against the unit as it travels on its carriage, flat or on edge; ceiling over the
/// open cover and over a person on the highest step; a floor that is there, by its level points; a drain, and a plan for
/// moisture. Source: spec sheet, practice sheet; common practice, no source.
pub fn garage(context: &Context<'_>) {
    context.cite(spot::spec_sheet("sizes, level tolerance"));
    context.cite(Source::common_practice());
    match of(context) {
        None => return context.item(Subject::SITE).wait(),
        Some(Placing::Indoors) => {}
        Some(_) => {
            return context
                .item(Subject::SITE)
                .not_needed("base.garage.outdoors");
        }
    }
    let rolling = load::rolling(context);
    let width = rolling.width + 2.0 * context.limit("running_clearance_required");
    let height = rolling.height + context.limit("carriage_height") + context.limit("head_room");
    at_least(
        context,
        "garage.door_width",
        "base.garage.door_width",
        width,
    );
    at_least(
        context,
        "garage.door_height",
        "base.garage.door_height",
        height,
    );
    ceiling(context);
    floor(context);
    for (question, good, bad) in [
        ("garage.drain", "base.garage.drains", "base.garage.no_drain"),
        (
            "garage.moisture_plan",
            "base.garage.moisture_planned",
            "base.garage.no_moisture_plan",
        ),
    ] {
        let item = context.item(Subject::SITE);
        match context.yes(Subject::SITE, question) {
            Some(true) => item.holds(true, good),
            Some(false) => item.holds(false, bad),
            None => item.wait(),
        }
    }
}

fn at_least(context: &Context<'_>, question: &str, key: &'static str, needed: f64) {
    let mut item = context.item(Subject::SITE);
    let Some(measured) = context.measure(Subject::SITE, question) else {
        return item.wait();
    };
    item.about("what", word(format!("{key}.what")));
    let margin = &measured - needed;
    item.line(
        Line::new(key)
            .with("measured", context.arg(&measured, Dimension::Length))
            .with("needed", quantity(Dimension::Length, needed))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// A standing person and the cover each need their own height: a finding for either.
fn ceiling(context: &Context<'_>) {
    let ceiling = context.measure(Subject::SITE, "garage.ceiling");
    let stand = context.measure(Subject::SITE, "garage.stand_height");
    let person = context.limit("standing_height");
    let needed = stand.map(|stand| &stand + person);
    under(context, "base.garage.person", ceiling.as_ref(), needed);
    cover(context, ceiling.as_ref());
}

fn under(context: &Context<'_>, key: &'static str, ceiling: Option<&Num>, needed: Option<Num>) {
    let mut item = context.item(Subject::SITE);
    let (Some(ceiling), Some(needed)) = (ceiling, needed) else {
        return item.wait();
    };
    let margin = ceiling - &needed;
    item.about("what", word(format!("{key}.what")));
    item.line(
        Line::new(key)
            .with("ceiling", context.arg(ceiling, Dimension::Length))
            .with("needed", context.arg(&needed, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// The cover at its highest. A roof always rises; of other covers only those whose sheet says so.
fn cover(context: &Context<'_>, ceiling: Option<&Num>) {
    let item = context.item(Subject::SITE);
    let Some(chosen) = context.choice(Subject::SITE, "cover.kind") else {
        return item.wait();
    };
    let covers = &context.spa().covers;
    let Some(sheet) = covers
        .iter()
        .find(|sheet| spot::cover_key(sheet.kind) == chosen)
    else {
        return item.open("spot.cover.not_on_sheet");
    };
    match sheet.lift_clearance {
        Some(lift) => {
            let high = context.spa().rim_height.metres() + lift.metres();
            under(
                context,
                "base.garage.cover",
                ceiling,
                Some(Num::exact(high)),
            );
        }
        None if sheet.kind == CoverKind::LiftingRoof => item.open("spot.cover.lift_not_on_sheet"),
        None => item.not_needed("spot.cover.no_lift"),
    }
}

/// A floor that is there is read at points, since a level held on it cannot tell a quarter of an inch; a slab still to be
/// poured is judged once it is.
fn floor(context: &Context<'_>) {
    match kind_of(context) {
        None => context.item(Subject::SITE).wait(),
        Some(Kind::Slab) => context
            .item(Subject::SITE)
            .not_needed("base.garage.floor_to_come"),
        Some(_) => level::flat_and_level(context),
    }
}
