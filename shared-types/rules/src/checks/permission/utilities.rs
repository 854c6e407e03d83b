//! `permission.utilities`: what is buried has been located, the ticket still holds, and private lines are found too.

use setdown_types::party::Party;
use setdown_types::subject::Subject;

use super::digging::{Digging, digging};
use crate::checks::fact::{step, valid_on};
use crate::frame::context::Context;
use crate::frame::result::{Arg, Line};
use crate::tables::{Source, Status};

/// A location ticket that has not expired on the day of digging, every utility's answer, and the private lines that no
/// utility marks: irrigation, lights, gas to a grill, septic. Once digging has ended its last day counts, not today.
pub fn utilities(context: &Context<'_>) {
    context.cite(Source::published(
        "local law on locating utilities",
        "",
        "as adopted",
        Status::AsReported,
    ));
    context.caution("caution.digging");
    let mut item = context.item(Subject::SITE);
    match digging(context) {
        Digging::NotSaid => return item.wait(),
        Digging::No => return item.not_needed("permission.utilities.no_digging"),
        Digging::Contradicted => return item.open("permission.utilities.must_be_dug"),
        Digging::Yes => {}
    }
    let ended = context.optionally(|| context.date(Subject::SITE, "dig.finished_on"));
    let day = ended.map_or(context.today(), |ended| ended.min(context.today()));
    let ticket = context.text(Subject::SITE, "utilities.ticket");
    let until = context.date(Subject::SITE, "utilities.ticket_expires");
    match (ticket, until) {
        (Some(ticket), _) if ticket.trim().is_empty() => {
            item.open("permission.utilities.no_ticket");
        }
        (Some(ticket), Some(until)) => {
            item.about("ticket", Arg::Text(ticket));
            valid_on(
                item,
                until,
                day,
                "permission.utilities.ticket_valid",
                "permission.utilities.ticket_expired",
            );
        }
        _ => item.wait(),
    }
    step(
        context,
        "utilities.all_marked",
        "permission.utilities.marked",
        "permission.utilities.not_marked",
        Party::Groundworks,
        20.0,
    );
    private(context);
}

fn private(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context
        .choice(Subject::SITE, "utilities.private_lines")
        .as_deref()
    {
        None => item.wait(),
        Some("marked") => item.holds(true, "permission.utilities.private_marked"),
        Some("none_after_search") => item.holds(true, "permission.utilities.private_none"),
        Some(_) => {
            let line = Line::new("do.utilities.private_lines");
            context.action(Party::Groundworks, line, 60.0);
            item.open("permission.utilities.private_unknown");
        }
    }
}
