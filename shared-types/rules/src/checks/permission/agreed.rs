//! `permission.association`, `permission.hours`, `permission.neighbour`: what others must agree to.

use setdown_types::party::Party;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::result::Line;
use crate::tables::Source;

/// Where somebody has to approve a fence or paint, that body has approved this.
pub fn association(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "association.must_approve") {
        None => item.wait(),
        Some(false) => item.holds(true, "permission.association.nobody"),
        Some(true) => match context
            .choice(Subject::SITE, "association.approval")
            .as_deref()
        {
            None => item.wait(),
            Some("approved") => item.holds(true, "permission.association.approved"),
            Some("refused") => item.holds(false, "permission.refused"),
            Some(_) => {
                context.action(Party::Homeowner, Line::new("do.association.approval"), 45.0);
                item.open("permission.association.not_yet");
            }
        },
    }
}

/// The booked time lies inside the hours that local rules allow for trucks and noise.
pub fn hours(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "hours.limited") {
        None => item.wait(),
        Some(false) => item.holds(true, "permission.hours.not_limited"),
        Some(true) => match context.yes(Subject::SITE, "hours.fits") {
            None => item.wait(),
            Some(true) => item.holds(true, "permission.hours.inside"),
            Some(false) => item.holds(false, "permission.hours.outside"),
        },
    }
}

/// The neighbour has agreed in writing where the way, the truck or the lift uses their land or the air over it.
pub fn neighbour(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "neighbour.land_used") {
        None => item.wait(),
        Some(false) => item.holds(true, "permission.neighbour.not_used"),
        Some(true) => match context.choice(Subject::SITE, "neighbour.agreed").as_deref() {
            None => item.wait(),
            Some("in_writing") => item.holds(true, "permission.neighbour.in_writing"),
            Some("refused") => item.holds(false, "permission.refused"),
            Some(_) => {
                context.action(Party::Homeowner, Line::new("do.neighbour.agreed"), 30.0);
                item.open("permission.neighbour.not_in_writing");
            }
        },
    }
}
