//! Before digging and before covering up: positions marked, work seen and photographed, inspections passed.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::{happened, step};
use crate::checks::permission::digging::{Digging, digging, ring_planned};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// The place where the supply comes up, as the spec sheet gives it, and the conduit's way are marked on the ground.
pub fn stub_up(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.digging");
    let mut item = context.item(Subject::SITE);
    match digging(context) {
        Digging::NotSaid => return item.wait(),
        Digging::No => return item.not_needed("stage.stub_up.no_digging"),
        Digging::Contradicted => return item.open("permission.utilities.must_be_dug"),
        Digging::Yes => {}
    }
    match context.spa().stub_up {
        None => item.open("stage.stub_up.not_on_sheet"),
        Some(place) => {
            item.line(
                Line::new("stage.stub_up.place")
                    .with("side", word(format!("side.{}", place.side.key())))
                    .with(
                        "from_left",
                        quantity(Dimension::Length, place.from_left.metres()),
                    )
                    .with("inset", quantity(Dimension::Length, place.inset.metres())),
            );
            item.holds(true, "stage.stub_up.on_sheet");
        }
    }
    step(
        context,
        "dig.stub_up_marked",
        "stage.stub_up.marked",
        "stage.stub_up.not_marked",
        Party::Electrician,
        20.0,
    );
    step(
        context,
        "dig.conduit_marked",
        "stage.stub_up.conduit_marked",
        "stage.stub_up.conduit_not_marked",
        Party::Electrician,
        20.0,
    );
}

/// Everything that is covered up has been photographed first: what is listed, and whatever the answers: the bonding where
/// a ring is planned, the conduit where the supply is run anew.
pub fn seen(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.digging");
    let item = context.item(Subject::SITE);
    let Some(parts) = context.choices(Subject::SITE, "close_in.parts") else {
        return item.wait();
    };
    let new_run = context.yes(Subject::SITE, "power.existing_run") == Some(false);
    let ring = ring_planned(context);
    let covered = |part: &str| {
        let planned = (part == "conduit" && new_run) || (part == "bonding" && ring);
        planned || parts.iter().any(|known| known == part)
    };
    let photos = [
        ("conduit", "close_in.photo_conduit"),
        ("drain", "close_in.photo_drain"),
        ("bonding", "close_in.photo_bonding"),
    ];
    if !photos.iter().any(|(part, _)| covered(part)) {
        return if covered("none") {
            item.not_needed("stage.seen.nothing")
        } else {
            item.open("stage.seen.say_what")
        };
    }
    item.holds(true, "stage.seen.listed");
    for (part, question) in photos.into_iter().filter(|(part, _)| covered(part)) {
        let mut item = context.item(Subject::SITE);
        item.about("part", word(format!("choice.close_in.parts.{part}")));
        match context.photo(Subject::SITE, question) {
            Some(_) => item.holds(true, "stage.seen.photographed"),
            None => item.wait(),
        }
    }
}

/// The inspections before covering up are passed, or not required by somebody named.
pub fn inspected(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.digging");
    let mut item = context.item(Subject::SITE);
    match context
        .choice(Subject::SITE, "close_in.inspection")
        .as_deref()
    {
        None => item.wait(),
        Some("passed") => match context.date(Subject::SITE, "close_in.inspected_on") {
            None => item.wait(),
            Some(when) => happened(
                context,
                item,
                when,
                "stage.inspected.passed",
                "stage.inspected.to_come",
            ),
        },
        Some("not_required") => match context.text(Subject::SITE, "close_in.said_by") {
            None => item.wait(),
            Some(who) if who.trim().is_empty() => item.open("permission.nobody_named"),
            Some(who) => {
                item.about("who", Arg::Text(who));
                item.holds(true, "permission.not_required");
            }
        },
        Some("failed") => item.holds(false, "stage.inspected.failed"),
        Some(_) => {
            let line = Line::new("do.close_in.inspection");
            context.action(Party::Groundworks, line, 30.0);
            item.open("stage.inspected.not_yet");
        }
    }
}
