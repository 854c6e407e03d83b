//! Before starting: filled, energised only after that, and the ground-fault test passed by an electrician.

use setdown_types::subject::Subject;

use crate::checks::fact::happened;
use crate::frame::context::Context;
use crate::frame::result::Arg;
use crate::tables::Source;

/// Filled first, energised on the same day or later: pumps and heater are never run dry.
pub fn energised(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.water_and_power");
    let mut item = context.item(Subject::SITE);
    let filled = context.date(Subject::SITE, "start.filled_on");
    let live = context.date(Subject::SITE, "start.energised_on");
    match (filled, live) {
        (Some(filled), Some(live)) => {
            item.about("filled", Arg::Date(filled));
            item.about("energised", Arg::Date(live));
            if live < filled {
                item.holds(false, "stage.energised.before_filling");
            } else {
                happened(
                    context,
                    item,
                    live,
                    "stage.energised.after_filling",
                    "stage.energised.to_come",
                );
            }
        }
        _ => item.wait(),
    }
}

/// The ground-fault protection was tested by a licensed electrician after the supply was energised.
pub fn ground_fault(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.water_and_power");
    let mut item = context.item(Subject::SITE);
    let test = context.attestation(Subject::SITE, "start.ground_fault_test");
    let live = context.date(Subject::SITE, "start.energised_on");
    match (test, live) {
        (Some(test), Some(live)) => {
            item.about("who", Arg::Text(test.person));
            if test.date < live {
                item.about("when", Arg::Date(test.date));
                item.open("stage.ground_fault.before_energised");
            } else {
                happened(
                    context,
                    item,
                    test.date,
                    "stage.ground_fault.passed",
                    "stage.ground_fault.to_come",
                );
            }
        }
        _ => item.wait(),
    }
}
