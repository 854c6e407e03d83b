//! `base.garage`: the unit gets into the building, and there is room over it for its cover and for people.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::placing::{Placing, of};
use crate::checks::spot;
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::Source;

/// Indoors only. Door width and height against the unit as it ships on its carriage; ceiling over the open cover and
/// over a person on the highest step; fall of the floor along the unit against the tolerance; a drain, and a plan for
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
    let shipping = context.spa().shipping;
    let width = shipping.width.metres() + 2.0 * context.limit("running_clearance_required");
    let height =
        shipping.height.metres() + context.limit("carriage_height") + context.limit("head_room");
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

fn ceiling(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let person = context.limit("standing_height");
    let ceiling = context.measure(Subject::SITE, "garage.ceiling");
    let stand = context.measure(Subject::SITE, "garage.stand_height");
    let chosen = context.choice(Subject::SITE, "cover.kind");
    let (Some(ceiling), Some(stand), Some(chosen)) = (ceiling, stand, chosen) else {
        return item.wait();
    };
    let rim = context.spa().rim_height.metres();
    let lift = context
        .spa()
        .covers
        .iter()
        .find(|sheet| spot::cover_key(sheet.kind) == chosen)
        .and_then(|sheet| sheet.lift_clearance)
        .map_or(0.0, |lift| lift.metres());
    let needed = (&stand + person).max(Num::exact(rim + lift));
    let margin = &ceiling - &needed;
    item.about("what", word("base.garage.ceiling.what"));
    item.line(
        Line::new("base.garage.ceiling")
            .with("ceiling", context.arg(&ceiling, Dimension::Length))
            .with("stand", context.arg(&stand, Dimension::Length))
            .with("person", quantity(Dimension::Length, person))
            .with("cover", quantity(Dimension::Length, rim + lift))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

fn floor(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let Some(tolerance) = context.spa().level_tolerance else {
        return item.open("base.level.no_tolerance");
    };
    let Some(slope) = context.measure(Subject::SITE, "garage.floor_fall") else {
        return item.wait();
    };
    let fall = slope.abs() * context.spa().bare.length.metres();
    let margin = tolerance.metres() - &fall;
    item.about("what", word("base.garage.floor.what"));
    item.line(
        Line::new("base.garage.floor")
            .with("slope", context.arg(&slope, Dimension::Slope))
            .with("fall", context.arg(&fall, Dimension::Length))
            .with("tolerance", quantity(Dimension::Length, tolerance.metres()))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
