//! `spot.water`: rain runs away from the spot instead of into it.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::base::placing::{self, Placing};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::{Source, irc_grading};

/// Not where water stands, drips or runs; the ground falls away by at least 5 %, hard surfaces by 2 % (IRC R401.3, made
/// for houses, used as a measure here); frost is in the base's design. Indoors and on a raised deck it does not apply.
pub fn water(context: &Context<'_>) {
    context.cite(Source::common_practice());
    if matches!(
        placing::of(context),
        Some(Placing::Indoors | Placing::RaisedDeck)
    ) {
        return context
            .item(Subject::SITE)
            .not_needed("spot.water.not_on_the_ground");
    }
    for (question, bad, good) in [
        (
            "spot.water_stands",
            "spot.water.stands",
            "spot.water.drains",
        ),
        ("spot.drip_line", "spot.water.drips", "spot.water.no_drip"),
        (
            "spot.runoff_path",
            "spot.water.in_the_path",
            "spot.water.no_path",
        ),
    ] {
        let item = context.item(Subject::SITE);
        match context.yes(Subject::SITE, question) {
            Some(true) => item.holds(false, bad),
            Some(false) => item.holds(true, good),
            None => item.wait(),
        }
    }
    fall(context);
    frost(context);
}

fn fall(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let hard = context.yes(Subject::SITE, "spot.ground_hard");
    let fall = context.measure(Subject::SITE, "spot.ground_fall");
    let (Some(hard), Some(fall)) = (hard, fall) else {
        return item.wait();
    };
    let limit = if hard {
        irc_grading::LEAST_FALL_HARD
    } else {
        irc_grading::LEAST_FALL
    };
    context.lean_on(limit.source);
    let margin = &fall - limit.value;
    item.line(
        Line::new("spot.water.formula")
            .with("fall", context.arg(&fall, Dimension::Slope))
            .with("limit", quantity(Dimension::Slope, limit.value))
            .with("margin", context.arg(&margin, Dimension::Slope)),
    );
    item.margin(&margin, Dimension::Slope);
}

fn frost(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "spot.ground_freezes") {
        None => item.wait(),
        Some(false) => item.holds(true, "spot.water.no_frost"),
        Some(true) => match context.yes(Subject::SITE, "spot.frost_in_design") {
            None => item.wait(),
            Some(true) => item.holds(true, "spot.water.frost_designed"),
            Some(false) => item.holds(false, "spot.water.frost_not_designed"),
        },
    }
}
