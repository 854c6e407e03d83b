//! `spot.fits`: the unit and the room round it stay inside what may be built on.

use setdown_types::entry::Method;
use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::spa::Side;
use setdown_types::subject::Subject;

use super::{depth_needed, side_word};
use crate::frame::context::Context;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{Source, Status};

const fn line_question(side: Side) -> &'static str {
    match side {
        Side::Foot => "spot.line_foot",
        Side::Head => "spot.line_head",
        Side::Left => "spot.line_left",
        Side::Right => "spot.line_right",
    }
}

/// Per side: distance to the property line as the plat shows it, less the setback, and less the room that side needs; a
/// finding for each. Easements and septic parts are facts. Source: local code, practice sheet. A fence is no property line.
pub fn fits(context: &Context<'_>) {
    context.cite(Source::published(
        "local zoning code",
        "setbacks",
        "as adopted",
        Status::AsReported,
    ));
    context.caution("caution.spot_local_code");
    context.action(Party::Homeowner, Line::new("spot.fits.find_plat"), 20.0);
    context.optionally(|| context.photo(Subject::SITE, "spot.plat"));
    let setback = context.measure(Subject::SITE, "spot.setback_required");
    let mut distances = Vec::new();
    for side in Side::ALL {
        let question = line_question(side);
        let distance = context.measure(Subject::SITE, question);
        let from_plat = context.method(Subject::SITE, question) == Some(Method::Document);
        distances.push((side, distance, from_plat));
    }
    for (side, distance, from_plat) in distances {
        side_item(context, side, distance, from_plat, setback.as_ref());
    }
    for (question, good, bad) in [
        (
            "spot.easement_clear",
            "spot.fits.off_easements",
            "spot.fits.on_easement",
        ),
        (
            "spot.septic_clear",
            "spot.fits.off_septic",
            "spot.fits.on_septic",
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

fn side_item(
    context: &Context<'_>,
    side: Side,
    distance: Option<Num>,
    from_plat: bool,
    setback: Option<&Num>,
) {
    let (room, _) = depth_needed(context, side);
    let setback = setback.cloned();
    let room = Some(Num::exact(room));
    for (key, needed) in [("spot.fits.setback", setback), ("spot.fits.room", room)] {
        against(context, side, (distance.as_ref(), from_plat), key, needed);
    }
}

fn against(
    context: &Context<'_>,
    side: Side,
    (distance, from_plat): (Option<&Num>, bool),
    key: &'static str,
    needed: Option<Num>,
) {
    let mut item = context.item(Subject::SITE);
    item.about("side", side_word(side));
    let (Some(distance), Some(needed)) = (distance, needed) else {
        return item.wait();
    };
    let margin = distance - &needed;
    item.line(
        Line::new(key)
            .with("side", side_word(side))
            .with("distance", context.arg(distance, Dimension::Length))
            .with("needed", context.arg(&needed, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    if from_plat {
        item.margin(&margin, Dimension::Length);
    } else {
        item.open("spot.fits.not_from_plat");
    }
}
