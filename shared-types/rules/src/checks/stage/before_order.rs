//! Before ordering: who pays for the way in is signed; every permission that could stop the job is known.

use setdown_types::subject::Subject;

use crate::checks::fact::happened;
use crate::frame::context::Context;
use crate::frame::item::word;
use crate::tables::Source;

/// Who pays for the way in (crane, crew, removals) is named and signed.
pub fn way_paid(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let mut item = context.item(Subject::SITE);
    let payer = context.choice(Subject::SITE, "order.way_paid_by");
    let signed = context.date(Subject::SITE, "order.way_paid_signed_on");
    match (payer, signed) {
        (Some(payer), Some(signed)) => {
            item.about("payer", word(format!("choice.order.way_paid_by.{payer}")));
            happened(
                context,
                item,
                signed,
                "stage.way_paid.signed",
                "stage.way_paid.to_be_signed",
            );
        }
        _ => item.wait(),
    }
}

/// Every permission has been asked about, and none refused. Whether each is held comes later.
pub fn permissions_known(context: &Context<'_>) {
    context.cite(Source::common_practice());
    for (check, question) in [
        ("permission.building", "permit.building"),
        ("permission.electrical", "permit.electrical"),
    ] {
        asked(context, check, question);
    }
    conditional(
        context,
        "permission.association",
        "association.must_approve",
        "association.approval",
    );
    conditional(
        context,
        "permission.street",
        "permit.street_needed",
        "permit.street",
    );
    conditional(
        context,
        "permission.neighbour",
        "neighbour.land_used",
        "neighbour.agreed",
    );
}

fn conditional(context: &Context<'_>, check: &str, applies: &str, state: &str) {
    match context.yes(Subject::SITE, applies) {
        Some(true) => asked(context, check, state),
        Some(false) => {
            let mut item = context.item(Subject::SITE);
            item.about("what", word(format!("check.{check}")));
            item.holds(true, "stage.permissions_known.not_needed");
        }
        // The missing answer is on record and keeps the check open.
        None => {}
    }
}

fn asked(context: &Context<'_>, check: &str, state: &str) {
    let mut item = context.item(Subject::SITE);
    item.about("what", word(format!("check.{check}")));
    match context.choice(Subject::SITE, state).as_deref() {
        None => item.wait(),
        Some("not_asked") => item.open("stage.permissions_known.not_asked"),
        Some("refused") => item.holds(false, "stage.permissions_known.refused"),
        Some(_) => item.holds(true, "stage.permissions_known.known"),
    }
}
