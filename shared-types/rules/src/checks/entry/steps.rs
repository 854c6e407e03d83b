//! `entry.steps`: equal risers from the ground to the platform or deck, with room for the flight and a handrail.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::stairs::{Flight, flight_at_limits};
use crate::tables::{Source, irc_stairs};

/// Risers = ceil(rise ÷ largest riser), all equal; treads one fewer; run = treads × depth, and a landing where a platform
/// is set. The rise is judged at the high end of its spread. From platform to rim is a step-over of its own. Source:
/// IRC R318.7 (was R311.7); the step-over from the practice sheet.
pub fn steps(context: &Context<'_>) {
    context.cite(irc_stairs::LARGEST_RISER.source);
    context.cite(irc_stairs::HANDRAIL_FROM_RISERS.source);
    context.cite(Source::common_practice());
    context.caution("caution.falls");
    let item = context.item(Subject::SITE);
    let kind = context.choice(Subject::SITE, "entry.kind");
    let rise = context.measure(Subject::SITE, "entry.rise");
    let room = context.measure(Subject::SITE, "entry.run_available");
    if let (Some(kind), Some(rise), Some(room)) = (kind, rise, room) {
        flight(context, item, &kind, &rise, &room);
    } else {
        item.wait();
    }
    step_over(context);
}

/// The flight at the measured rise and at the high end of its spread.
fn flight(context: &Context<'_>, mut item: Draft<'_, '_>, kind: &str, rise: &Num, room: &Num) {
    let high = rise.value() + context.spread(rise);
    let measured = flight_at_limits(rise.value().max(0.0));
    let (Some(measured), Some(worst)) = (measured, flight_at_limits(high.max(0.0))) else {
        return item.open("frame.not_computable");
    };
    item.line(flight_line("entry.steps.flight", rise.value(), &measured));
    if worst.risers != measured.risers {
        item.line(flight_line("entry.steps.flight_high", high, &worst));
    }
    let platform = kind == "platform" && worst.risers > 0;
    let landing = if platform {
        context.cite(irc_stairs::LEAST_LANDING.source);
        irc_stairs::LEAST_LANDING.value
    } else {
        0.0
    };
    let margin = room - worst.run - landing;
    item.line(
        Line::new("entry.steps.formula")
            .with("room", context.arg(room, Dimension::Length))
            .with("run", quantity(Dimension::Length, worst.run))
            .with("landing", quantity(Dimension::Length, landing))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
    if worst.handrail {
        fact(
            context,
            "entry.handrail",
            "entry.steps.handrail",
            "entry.steps.no_handrail",
        );
    }
}

fn flight_line(key: &'static str, rise: f64, flight: &Flight) -> Line {
    Line::new(key)
        .with("rise", quantity(Dimension::Length, rise))
        .with(
            "largest",
            quantity(Dimension::Length, irc_stairs::LARGEST_RISER.value),
        )
        .with("risers", Arg::Count(i64::from(flight.risers)))
        .with("riser", quantity(Dimension::Length, flight.riser))
        .with("treads", Arg::Count(i64::from(flight.treads)))
        .with("tread", quantity(Dimension::Length, flight.tread))
        .with("run", quantity(Dimension::Length, flight.run))
}

fn step_over(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let highest = context.limit("step_over_highest");
    match context.measure(Subject::SITE, "entry.step_over") {
        None => item.wait(),
        Some(step) => {
            let margin = highest - &step;
            item.line(
                Line::new("entry.steps.step_over")
                    .with("step", context.arg(&step, Dimension::Length))
                    .with("highest", quantity(Dimension::Length, highest)),
            );
            item.margin(&margin, Dimension::Length);
        }
    }
    fact(
        context,
        "entry.handhold",
        "entry.steps.handhold",
        "entry.steps.no_handhold",
    );
}
