//! `spot.cover`: the chosen cover has room to open, to stow and to stand on its posts.

use setdown_types::quantity::{Dimension, Length};
use setdown_types::spa::{CoverKind, CoverSheet, Side};
use setdown_types::subject::Subject;

use super::{clear_question, cover_key, depth_needed, side_word, spec_sheet};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::Source;

/// Clear distance at the stow side, less the cover's stow depth (and less the service depth where the cover stows at a
/// service side: what is parked there stays in the way; and less the steps where people enter at that side, unless both
/// stand side by side); height free above the rim, less the cover's; clear distance
/// less the footing of its posts. Source: spec sheet; common practice, no source.
pub fn cover(context: &Context<'_>) {
    context.cite(spec_sheet("covers"));
    context.cite(Source::common_practice());
    context.caution("caution.spot_cover");
    let Some(chosen) = context.choice(Subject::SITE, "cover.kind") else {
        return context.item(Subject::SITE).wait();
    };
    let covers = &context.spa().covers;
    let Some(sheet) = covers.iter().find(|sheet| cover_key(sheet.kind) == chosen) else {
        return context.item(Subject::SITE).open("spot.cover.not_on_sheet");
    };
    let side = match sheet.stow_side {
        Some(side) => Some(side),
        None => context
            .choice(Subject::SITE, "spot.cover_side")
            .as_deref()
            .and_then(Side::from_key),
    };
    stow(context, sheet, side);
    above(context, sheet);
    footing(context, sheet, side);
}

fn stow(context: &Context<'_>, sheet: &CoverSheet, side: Option<Side>) {
    let mut item = context.item(Subject::SITE);
    let Some(depth) = sheet.stow_depth else {
        return if sheet.kind == CoverKind::LiftingRoof {
            item.not_needed("spot.cover.roof_stows_above")
        } else {
            item.open("spot.cover.stow_not_on_sheet")
        };
    };
    let Some(side) = side else {
        return item.wait();
    };
    item.about("what", word("spot.cover.of_stow"));
    let Some(clear) = context.measure(Subject::SITE, clear_question(side)) else {
        return item.wait();
    };
    let (room, served) = depth_needed(context, side);
    let room = if served { room } else { 0.0 };
    let Some(steps) = steps_in_the_way(context, side) else {
        return item.wait();
    };
    let margin = &clear - depth.metres() - room - &steps;
    if steps != Num::exact(0.0) {
        item.line(
            Line::new("spot.cover.steps_there")
                .with("steps", context.arg(&steps, Dimension::Length)),
        );
    }
    item.line(
        Line::new(if served {
            "spot.cover.stow_at_service"
        } else {
            "spot.cover.stow"
        })
        .with("side", side_word(side))
        .with("clear", context.arg(&clear, Dimension::Length))
        .with("depth", quantity(Dimension::Length, depth.metres()))
        .with("room", quantity(Dimension::Length, room))
        .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// Depth of the steps where they stand at the side the cover stows at and not beside it; zero elsewhere, `None` while it
/// is not known.
fn steps_in_the_way(context: &Context<'_>, side: Side) -> Option<Num> {
    let entry = context.choice(Subject::SITE, "spot.entry_side")?;
    if Side::from_key(&entry) != Some(side) {
        return Some(Num::exact(0.0));
    }
    match context.yes(Subject::SITE, "spot.steps_beside_cover")? {
        true => Some(Num::exact(0.0)),
        false => context.measure(Subject::SITE, "spot.steps_depth"),
    }
}

fn above(context: &Context<'_>, sheet: &CoverSheet) {
    let mut item = context.item(Subject::SITE);
    let Some(needed) = sheet.lift_clearance else {
        return if sheet.kind == CoverKind::LiftingRoof {
            item.open("spot.cover.lift_not_on_sheet")
        } else {
            item.not_needed("spot.cover.no_lift")
        };
    };
    let Some(free) = context.measure(Subject::SITE, "spot.height_above_rim") else {
        return item.wait();
    };
    let margin = &free - needed.metres();
    item.about("what", word("spot.cover.of_above"));
    item.line(
        Line::new("spot.cover.above")
            .with("free", context.arg(&free, Dimension::Length))
            .with("needed", quantity(Dimension::Length, needed.metres()))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

fn footing(context: &Context<'_>, sheet: &CoverSheet, side: Option<Side>) {
    let Some(footing) = sheet.footing else {
        let item = context.item(Subject::SITE);
        return if sheet.kind == CoverKind::LiftingRoof {
            item.open("spot.cover.footing_not_on_sheet")
        } else {
            item.not_needed("spot.cover.no_posts")
        };
    };
    match side {
        Some(side) => footing_at(context, footing, side),
        // The question of the side is on record by now; the posts wait for its answer.
        None => context.item(Subject::SITE).open("spot.cover.side_unknown"),
    }
}

fn footing_at(context: &Context<'_>, footing: Length, side: Side) {
    let mut item = context.item(Subject::SITE);
    item.about("what", word("spot.cover.of_footing"));
    let Some(clear) = context.measure(Subject::SITE, clear_question(side)) else {
        return item.wait();
    };
    let margin = &clear - footing.metres();
    item.line(
        Line::new("spot.cover.footing")
            .with("side", side_word(side))
            .with("clear", context.arg(&clear, Dimension::Length))
            .with("footing", quantity(Dimension::Length, footing.metres()))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
