//! `roll.effort`: the crew gets it in within the hours the dealer plans for.

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::listed::legs;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// The distance in metres that the practice sheet's time is for.
const HUNDRED_FEET: f64 = 30.48;

/// Crew time: distance and turns at the practice sheet's pace, against its limit.
pub fn effort(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.rolling");
    let pace = context.limit("effort_per_100_feet") / HUNDRED_FEET;
    let per_turn = context.limit("effort_per_turn");
    let limit = context.limit("effort_limit");
    let legs = legs(context);
    if legs.is_empty() {
        return;
    }
    let mut item = context.item(Subject::SITE);
    let lengths: Vec<Option<Num>> = legs
        .iter()
        .map(|&leg| context.measure(leg, "leg.length"))
        .collect();
    context.yes(Subject::SITE, "way.turns_listed");
    let turns = context.subjects(SubjectKind::Turn).len();
    let turns = u32::try_from(turns).unwrap_or(u32::MAX);
    let distance = lengths
        .into_iter()
        .flatten()
        .fold(Num::exact(0.0), |sum, length| sum + length);
    let time = &distance * pace + f64::from(turns) * per_turn;
    let margin = limit - &time;
    item.line(
        Line::new("roll.effort.formula")
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("turns", Arg::Count(i64::from(turns)))
            .with("time", context.arg(&time, Dimension::Duration))
            .with("limit", quantity(Dimension::Duration, limit)),
    );
    item.margin(&margin, Dimension::Duration);
}
