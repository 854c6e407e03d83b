//! `spot.entry`: the entry side faces where people come from, and the steps fit there.

use setdown_types::quantity::Dimension;
use setdown_types::spa::Side;
use setdown_types::subject::Subject;

use super::facing::Facing;
use super::{clear_question, depth_needed, side_word, spec_sheet};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::Line;
use crate::tables::Source;

/// The entry side's direction is the one people come from; its clear distance less the depth of steps or deck, and less
/// the service depth where there is equipment behind that side (steps stay in its way), is at least nothing. Source: spec sheet; common practice, no source.
pub fn entry(context: &Context<'_>) {
    context.cite(spec_sheet("entry sides"));
    context.cite(Source::common_practice());
    let chosen = context.choice(Subject::SITE, "spot.entry_side");
    let side = chosen.as_deref().and_then(Side::from_key);
    let foot = context.choice(Subject::SITE, "spot.service_direction");
    let people = context.choice(Subject::SITE, "spot.people_from");
    let mut item = context.item(Subject::SITE);
    match (
        side,
        foot.as_deref().and_then(Facing::from_key),
        people.as_deref().and_then(Facing::from_key),
    ) {
        (Some(side), Some(foot), Some(people)) => {
            let faces = foot.of_side(side);
            item.line(
                Line::new("spot.entry.faces")
                    .with("side", side_word(side))
                    .with("facing", word(format!("facing.{}", faces.key())))
                    .with("people", word(format!("facing.{}", people.key()))),
            );
            let reason = if faces == people {
                "spot.entry.towards_people"
            } else {
                "spot.entry.away_from_people"
            };
            item.holds(faces == people, reason);
        }
        _ => item.wait(),
    }
    let mut item = context.item(Subject::SITE);
    let depth = context.measure(Subject::SITE, "spot.steps_depth");
    let clear = side.and_then(|side| context.measure(Subject::SITE, clear_question(side)));
    let (Some(depth), Some(clear)) = (depth, clear) else {
        return item.wait();
    };
    let (room, served) = side.map_or((0.0, false), |side| depth_needed(context, side));
    let room = if served { room } else { 0.0 };
    let margin = &clear - &depth - room;
    item.line(
        Line::new(if served {
            "spot.entry.formula_at_service"
        } else {
            "spot.entry.formula"
        })
        .with("clear", context.arg(&clear, Dimension::Length))
        .with("depth", context.arg(&depth, Dimension::Length))
        .with("room", quantity(Dimension::Length, room))
        .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
