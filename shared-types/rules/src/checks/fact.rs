//! One fact as a finding: yes or no, done or not yet, valid through a day.

use jiff::civil::Date;
use setdown_types::party::Party;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::Draft;
use crate::frame::result::{Arg, Line};

/// A yes is clear for the reason `good`, a no short for `bad`.
pub(super) fn fact(
    context: &Context<'_>,
    question: &str,
    good: &'static str,
    bad: &'static str,
) -> Option<bool> {
    let item = context.item(Subject::SITE);
    let answer = context.yes(Subject::SITE, question);
    match answer {
        Some(true) => item.holds(true, good),
        Some(false) => item.holds(false, bad),
        None => item.wait(),
    }
    answer
}

/// A step that is done or not yet: a no is open, with the step as a task `do.` + question for `party`.
pub(super) fn step(
    context: &Context<'_>,
    question: &str,
    done: &'static str,
    not_yet: &'static str,
    party: Party,
    minutes: f64,
) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, question) {
        Some(true) => item.holds(true, done),
        Some(false) => {
            context.action(party, Line::new(format!("do.{question}")), minutes);
            item.open(not_yet);
        }
        None => item.wait(),
    }
}

/// Valid through `until` itself: clear where that is not before `day`, else short.
pub(super) fn valid_on(
    mut item: Draft<'_, '_>,
    until: Date,
    day: Date,
    good: &'static str,
    expired: &'static str,
) {
    item.about("until", Arg::Date(until));
    item.about("day", Arg::Date(day));
    item.holds(until >= day, if until >= day { good } else { expired });
}

/// Happened on `when`: clear unless that day is still to come, which is open.
pub(super) fn happened(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    when: Date,
    good: &'static str,
    to_come: &'static str,
) {
    item.about("when", Arg::Date(when));
    if when > context.today() {
        item.open(to_come);
    } else {
        item.holds(true, good);
    }
}
