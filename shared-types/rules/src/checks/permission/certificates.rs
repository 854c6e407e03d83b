//! `permission.insurance`: the certificates of those who bring the unit hold on the day it comes.

use setdown_types::subject::Subject;

use super::permit::day_needed;
use crate::checks::fact::valid_on;
use crate::frame::context::Context;
use crate::tables::Source;

/// Insurance of carrier and crew; the crane operator's certificate where part of the way is lifted or carried. Each
/// holds through its last day. Source: common practice, no source.
pub fn insurance(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let item = context.item(Subject::SITE);
    match context.date(Subject::SITE, "insurance.expires") {
        None => item.wait(),
        Some(until) => valid_on(
            item,
            until,
            day_needed(context),
            "permission.insurance.valid",
            "permission.insurance.expired",
        ),
    }
    let item = context.item(Subject::SITE);
    let chain = context.choice(Subject::SITE, "way.chain");
    let by_machine = chain
        .as_deref()
        .map(|chain| chain.contains("lifted") || chain == "carried");
    match by_machine {
        None => item.wait(),
        Some(false) => item.not_needed("permission.insurance.no_operator"),
        Some(true) => {
            context.caution("caution.lifting");
            match context.date(Subject::SITE, "operator.certificate_expires") {
                None => item.wait(),
                Some(until) => valid_on(
                    item,
                    until,
                    day_needed(context),
                    "permission.insurance.operator_valid",
                    "permission.insurance.operator_expired",
                ),
            }
        }
    }
}
