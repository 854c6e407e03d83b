//! `spot.service`: the service end stays clear for the life of the unit, the other sides too or with a signature.

use setdown_types::quantity::Dimension;
use setdown_types::spa::Side;
use setdown_types::subject::Subject;

use super::facing::Facing;
use super::{clear_question, depth_needed, side_word, spec_sheet};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::Line;
use crate::tables::Source;

/// Per side: clear distance to the nearest thing that stays, less the depth the side needs. A side without equipment
/// that is short may be accepted in writing: the unit must then be moved for work there. Source: spec sheet, practice
/// sheet; that nearly all equipment is at one end is common practice, no source.
pub fn service(context: &Context<'_>) {
    context.cite(spec_sheet("service clearances"));
    context.cite(Source::common_practice());
    context.caution("caution.spot_service");
    if context.spa().service.is_empty() {
        context
            .item(Subject::SITE)
            .open("spot.service.not_on_sheet");
    }
    let (accepted, signed) = context.optionally(|| {
        (
            context.choices(Subject::SITE, "spot.sides_accepted"),
            context.attestation(Subject::SITE, "spot.side_acceptance"),
        )
    });
    for side in Side::ALL {
        let accepted = signed.is_some()
            && accepted
                .as_ref()
                .is_some_and(|sides| sides.iter().any(|known| known == side.key()));
        side_item(context, side, accepted);
    }
    for_good(context);
}

fn side_item(context: &Context<'_>, side: Side, accepted: bool) {
    let (needed, served) = depth_needed(context, side);
    let mut item = context.item(Subject::SITE);
    item.about("side", side_word(side));
    let Some(clear) = context.measure(Subject::SITE, clear_question(side)) else {
        return item.wait();
    };
    let margin = &clear - needed;
    item.line(
        Line::new(if served {
            "spot.service.served"
        } else {
            "spot.service.other"
        })
        .with("side", side_word(side))
        .with("clear", context.arg(&clear, Dimension::Length))
        .with("needed", quantity(Dimension::Length, needed))
        .with("margin", context.arg(&margin, Dimension::Length)),
    );
    if accepted && !served && margin.value() < context.spread(&margin) {
        item.holds(true, "spot.service.accepted");
    } else {
        item.margin(&margin, Dimension::Length);
    }
}

/// The homeowner says which sides can stay empty for good; the service end must be one of them.
fn for_good(context: &Context<'_>) {
    let foot = context.choice(Subject::SITE, "spot.service_direction");
    let empty = context.choices(Subject::SITE, "spot.ends_stay_clear");
    for service in &context.spa().service {
        let mut item = context.item(Subject::SITE);
        item.about("side", side_word(service.side));
        let (Some(foot), Some(empty)) = (foot.as_deref().and_then(Facing::from_key), &empty) else {
            item.wait();
            continue;
        };
        let faces = foot.of_side(service.side);
        item.line(
            Line::new("spot.service.faces")
                .with("side", side_word(service.side))
                .with("facing", word(format!("facing.{}", faces.key()))),
        );
        if empty.iter().any(|known| known == faces.key()) {
            item.holds(true, "spot.service.stays_clear");
        } else {
            item.holds(false, "spot.service.not_for_good");
        }
    }
}
