//! `spot.handed`: the version, the service end, the entry side and the end that goes first agree with the way in.

use setdown_types::quantity::Dimension;
use setdown_types::spa::{Handed, Side};
use setdown_types::subject::Subject;

use super::facing::Facing;
use super::{side_word, spec_sheet};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::Line;
use crate::tables::Source;

/// The entry side is one the sheet allows; the version is the one the site needs; rolled in, the end that goes first
/// leaves the service end facing where it must, or there is room to turn the unit on the spot. Source: spec sheet; the
/// turning circle is the diagonal of the unit (geometry).
pub fn handed(context: &Context<'_>) {
    context.cite(spec_sheet("entry sides and version"));
    entry_side(context);
    version(context);
    arrival(context);
}

fn entry_side(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let chosen = context.choice(Subject::SITE, "spot.entry_side");
    let Some(side) = chosen.as_deref().and_then(Side::from_key) else {
        return item.wait();
    };
    let allowed = context.spa().entry_sides.contains(&side);
    let reason = if allowed {
        "spot.handed.entry_allowed"
    } else {
        "spot.handed.entry_not_allowed"
    };
    item.holds_with(allowed, Line::new(reason).with("side", side_word(side)));
}

fn version(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let ordered = match context.spa().handed {
        Handed::Neither => return item.not_needed("spot.handed.one_version"),
        Handed::Left => "left",
        Handed::Right => "right",
    };
    let Some(needed) = context.choice(Subject::SITE, "spot.version_needed") else {
        return item.wait();
    };
    let reason = if needed == ordered {
        "spot.handed.version_right"
    } else {
        "spot.handed.version_wrong"
    };
    item.holds_with(
        needed == ordered,
        Line::new(reason)
            .with(
                "needed",
                word(format!("choice.spot.version_needed.{needed}")),
            )
            .with(
                "ordered",
                word(format!("choice.spot.version_needed.{ordered}")),
            ),
    );
}

fn arrival(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let foot = context.choice(Subject::SITE, "spot.service_direction");
    let chain = context.chain();
    let set_down = matches!(
        chain.as_deref(),
        Some("lifted" | "rolled_then_lifted" | "carried")
    );
    if set_down {
        // A load on the hook is turned by its tag lines, either way round.
        return match foot {
            Some(_) => item.holds(true, "spot.handed.turned_in_the_air"),
            None => item.wait(),
        };
    }
    let leading = context.choice(Subject::SITE, "spot.leading_end");
    let travel = context.choice(Subject::SITE, "spot.arrival_direction");
    let (Some(foot), Some(leading), Some(travel)) = (
        foot.as_deref().and_then(Facing::from_key),
        leading.as_deref().and_then(Side::from_key),
        travel.as_deref().and_then(Facing::from_key),
    ) else {
        return item.wait();
    };
    let arrives = travel.turned(if leading == Side::Foot { 0 } else { 2 });
    item.line(
        Line::new("spot.handed.arrives")
            .with("leading", side_word(leading))
            .with("travel", word(format!("facing.{}", travel.key())))
            .with("arrives", word(format!("facing.{}", arrives.key())))
            .with("needed", word(format!("facing.{}", foot.key()))),
    );
    if arrives == foot {
        return item.holds(true, "spot.handed.arrives_right");
    }
    context.cite(Source::derived("the diagonal of the unit as it ships"));
    let size = context.spa().shipping;
    let (long, wide) = (size.length.metres(), size.width.metres());
    let circle = libm::sqrt(long * long + wide * wide);
    let Some(room) = context.measure(Subject::SITE, "spot.turn_room") else {
        if arrives.turned(2) == foot {
            item.line(Line::new("spot.handed.other_end_first"));
        }
        return item.wait();
    };
    let margin = &room - circle;
    item.line(
        Line::new("spot.handed.turn_formula")
            .with("room", context.arg(&room, Dimension::Length))
            .with("circle", quantity(Dimension::Length, circle))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
