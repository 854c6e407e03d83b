//! Before delivery: bookings, the way in measured again, photos of what changed, the arrival sheet, the weather rule.

use jiff::civil::Date;
use setdown_types::party::Party;
use setdown_types::subject::Subject;

use crate::checks::fact::{fact, step};
use crate::frame::context::Context;
use crate::frame::item::Draft;
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// Whole days before delivery that a photo may be old: of the day itself or the day before, it is within 48 hours at
/// whatever hour the unit comes.
const PHOTO_DAYS: i64 = 1;

/// The day is fixed, and the crane or the crew that the way needs is booked for it.
pub fn booked(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let mut item = context.item(Subject::SITE);
    let day = context.date(Subject::SITE, "deliver.date");
    let chain = context.choice(Subject::SITE, "way.chain");
    match day {
        None => item.wait(),
        Some(day) => {
            item.about("day", Arg::Date(day));
            item.holds(true, "stage.booked.day");
        }
    }
    let Some(chain) = chain else {
        return context.item(Subject::SITE).wait();
    };
    if chain.contains("lifted") || chain == "carried" {
        step(
            context,
            "deliver.crane_booked",
            "stage.booked.crane",
            "stage.booked.no_crane",
            Party::Office,
            20.0,
        );
    }
    step(
        context,
        "deliver.crew_booked",
        "stage.booked.crew",
        "stage.booked.no_crew",
        Party::Office,
        20.0,
    );
}

/// The way in has been measured again within the practice sheet's days before delivery (14), and is as it was.
pub fn way_again(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.rolling");
    let days = libm::floor(context.limit("remeasure_days").clamp(0.0, 3650.0)) as i64;
    let item = context.item(Subject::SITE);
    let day = context.date(Subject::SITE, "deliver.date");
    let when = context.date(Subject::SITE, "deliver.way_measured_on");
    match (day, when) {
        (Some(day), Some(when)) => within(context, item, (when, day), days, Party::Coordinator),
        _ => item.wait(),
    }
    fact(
        context,
        "deliver.way_unchanged",
        "stage.way_again.unchanged",
        "stage.way_again.changed",
    );
}

/// A photo of the way in, taken within 48 hours before delivery.
pub fn what_changed(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let item = context.item(Subject::SITE);
    let photo = context.photo(Subject::SITE, "deliver.changed_photo");
    let day = context.date(Subject::SITE, "deliver.date");
    let when = context.date(Subject::SITE, "deliver.changed_photo_on");
    match (photo, day, when) {
        (Some(_), Some(day), Some(when)) => {
            within(context, item, (when, day), PHOTO_DAYS, Party::Homeowner);
        }
        _ => item.wait(),
    }
}

/// Clear where `when` lies at most `days` before `day`; too old or still to come is open: `party` does it again.
fn within(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    (when, day): (Date, Date),
    days: i64,
    party: Party,
) {
    let age = when.duration_until(day).as_hours() / 24;
    item.about("when", Arg::Date(when));
    item.about("day", Arg::Date(day));
    item.about("days", Arg::Count(days));
    if when > context.today() {
        item.open("stage.deliver.still_to_come");
    } else if age < 0 {
        item.open("stage.deliver.after_delivery");
    } else if age > days {
        let again = format!("do.{}", context.key());
        context.action(party, Line::new(again), 30.0);
        item.open("stage.deliver.too_old");
    } else {
        item.holds(true, "stage.deliver.fresh");
    }
}

/// The sheet by which the unit is looked over as it arrives is ready.
pub fn arrival_sheet(context: &Context<'_>) {
    context.cite(Source::common_practice());
    step(
        context,
        "deliver.arrival_sheet",
        "stage.arrival_sheet.ready",
        "stage.arrival_sheet.not_ready",
        Party::Office,
        10.0,
    );
}

/// Who calls it off, and at which wind, lightning, frost or soft ground, is agreed.
pub fn weather_rule(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.lifting");
    step(
        context,
        "deliver.weather_rule",
        "stage.weather_rule.agreed",
        "stage.weather_rule.not_agreed",
        Party::Office,
        10.0,
    );
}
