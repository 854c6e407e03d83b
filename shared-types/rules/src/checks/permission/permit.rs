//! `permission.building`, `permission.electrical`, `permission.street`: permits from an authority.

use jiff::civil::Date;
use setdown_types::party::Party;
use setdown_types::subject::Subject;

use crate::checks::fact::{fact, valid_on};
use crate::frame::context::Context;
use crate::frame::result::{Arg, Line};
use crate::tables::{Source, Status};

/// The questions of one permit and who applies for it.
struct Permit {
    state: &'static str,
    said_by: &'static str,
    expires: &'static str,
    party: Party,
}

const LOCAL: Source = Source::published("local code", "permits", "as adopted", Status::AsReported);

/// The day a paper must still hold on: the day of delivery where it is fixed, else today.
pub(super) fn day_needed(context: &Context<'_>) -> Date {
    context
        .optionally(|| context.date(Subject::SITE, "deliver.date"))
        .unwrap_or_else(|| context.today())
}

/// The building permit, as the local authority asks for it.
pub fn building(context: &Context<'_>) {
    permit(
        context,
        &Permit {
            state: "permit.building",
            said_by: "permit.building_said_by",
            expires: "permit.building_expires",
            party: Party::Office,
        },
    );
}

/// The electrical permit, drawn by the electrician.
pub fn electrical(context: &Context<'_>) {
    context.caution("caution.permit_electric");
    permit(
        context,
        &Permit {
            state: "permit.electrical",
            said_by: "permit.electrical_said_by",
            expires: "permit.electrical_expires",
            party: Party::Electrician,
        },
    );
}

/// Street and crane permit with traffic control, where the truck or the crane stands in the street.
pub fn street(context: &Context<'_>) {
    context.caution("caution.street");
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "permit.street_needed") {
        None => return item.wait(),
        Some(false) => return item.holds(true, "permission.street.not_used"),
        Some(true) => item.holds(true, "permission.street.used"),
    }
    permit(
        context,
        &Permit {
            state: "permit.street",
            said_by: "permit.street_said_by",
            expires: "permit.street_expires",
            party: Party::Office,
        },
    );
    fact(
        context,
        "street.traffic_plan",
        "permission.street.traffic_planned",
        "permission.street.no_traffic_plan",
    );
}

/// Issued and not expired, or not required by somebody named. Applied for and not asked are open; refused is short.
fn permit(context: &Context<'_>, permit: &Permit) {
    context.cite(LOCAL);
    let mut item = context.item(Subject::SITE);
    let Some(state) = context.choice(Subject::SITE, permit.state) else {
        return item.wait();
    };
    match state.as_str() {
        "issued" => match context.date(Subject::SITE, permit.expires) {
            None => item.wait(),
            Some(until) => valid_on(
                item,
                until,
                day_needed(context),
                "permission.issued",
                "permission.expired",
            ),
        },
        "issued_without_end" => item.holds(true, "permission.issued_without_end"),
        "refused" => item.holds(false, "permission.refused"),
        "not_required" => match context.text(Subject::SITE, permit.said_by) {
            None => item.wait(),
            Some(who) if who.trim().is_empty() => item.open("permission.nobody_named"),
            Some(who) => {
                item.about("who", Arg::Text(who));
                item.holds(true, "permission.not_required");
            }
        },
        "applied" => {
            context.action(permit.party, Line::new("do.permit.chase"), 10.0);
            item.open("permission.applied");
        }
        _ => {
            context.action(permit.party, Line::new("do.permit.apply"), 45.0);
            item.open("permission.not_asked");
        }
    }
}
