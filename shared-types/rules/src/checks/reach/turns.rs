//! `roll.turns`: the unit passes every corner of the way, one right-angle turn at a time.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::listed::turns as listed_turns;
use super::load::{self, Rolling};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::{Key, Line};
use crate::maths::corner::{self, Manner};
use crate::plan::ledger::Steers;
use crate::tables::Source;

/// The rectangle that is taken round: the load with the running clearance on every side, metres.
struct Inflated {
    length: f64,
    width: f64,
}

/// Per turn: the longest rectangle that turns the corner, less the load's length, both with the running clearance on
/// every side; or past it sideways, where that is possible. Corners that are not right angles, and corners with less
/// than a load's length of straight way before or after, stay open: this version cannot judge them.
pub fn turns(context: &Context<'_>) {
    context.cite(Source::derived(
        "longest rectangle round a right-angle corner; agrees with Moretti, Coll. Math. J. 33(3) 2002",
    ));
    context.caution("caution.rolling");
    let load = load::rolling(context);
    let clearance = context.limit("running_clearance_required");
    let inflated = Inflated {
        length: load.length + 2.0 * clearance,
        width: load.width + 2.0 * clearance,
    };
    let steers = Steers::of(context);
    for turn in listed_turns(context) {
        turn_item(context, turn, &load, &inflated, steers);
    }
}

fn turn_item(
    context: &Context<'_>,
    turn: Subject,
    load: &Rolling,
    inflated: &Inflated,
    steers: Steers,
) {
    let mut item = context.item(turn);
    let angle = context.choice(turn, "turn.angle");
    if angle.as_deref() == Some("other") {
        return not_judged(context, item, "roll.turns.other_angle");
    }
    let before = context.measure(turn, "turn.width_before");
    let after = context.measure(turn, "turn.width_after");
    let straight = [
        context.measure(turn, "turn.straight_before"),
        context.measure(turn, "turn.straight_after"),
    ];
    let (Some(before), Some(after)) = (before, after) else {
        return item.wait();
    };
    let Some(margin) = margin(context, turn, &mut item, (&before, &after), inflated) else {
        return item.open("frame.not_computable");
    };
    // Where a straight is not measured yet the finding is open anyway, unless the turn is short by itself.
    if let [Some(straight_before), Some(straight_after)] = straight {
        let spare = [straight_before, straight_after].map(|straight| straight - load.length);
        for spare in &spare {
            item.line(
                Line::new("roll.turns.straight")
                    .with("spare", context.arg(spare, Dimension::Length))
                    .with("length", quantity(Dimension::Length, load.length)),
            );
        }
        if spare
            .iter()
            .any(|spare| spare.value() < context.spread(spare))
        {
            return not_judged(context, item, "roll.turns.coupled");
        }
    }
    if steers == Steers::FixedAxle && margin.value() > -context.spread(&margin) {
        // The corner's formula turns and slides the rectangle freely.
        let line = Line::new("roll.way.go_through_moves");
        context.action(Party::Coordinator, line, 10.0);
        return item.tight_until_done(Line::new("roll.turns.fixed_axle"));
    }
    if steers == Steers::Unsaid {
        item.line(Line::new("roll.way.taken_as_every_way"));
    }
    item.margin(&margin, Dimension::Length);
}

/// Not needed where the way in as a whole is proved; else it ends open, with a task: nothing that could be measured at
/// this corner settles it.
fn not_judged(context: &Context<'_>, item: Draft<'_, '_>, reason: &'static str) {
    if context.way_is_clear() {
        return item.not_needed("roll.turns.way_is_proved");
    }
    let line = Line::new("roll.turns.find_another_way");
    context.action(Party::Coordinator, line, 20.0);
    item.open(reason);
}

/// The room left by the best way past the corner that is open to this load.
fn margin(
    context: &Context<'_>,
    turn: Subject,
    item: &mut Draft<'_, '_>,
    (before, after): (&Num, &Num),
    inflated: &Inflated,
) -> Option<Num> {
    let (a, b) = (before.value(), after.value());
    let turned = turning(before, after, inflated)?;
    let mut best = turned.clone();
    if turned.value() < context.spread(&turned) {
        let passage = corner::passage(a, b, inflated.length, inflated.width)?;
        let sideways = passage.manner != Manner::Turn && passage.margin.value >= 0.0;
        if sideways && context.yes(turn, "turn.sideways_possible")? {
            let [by_a, by_b, _, _] = passage.margin.gradient;
            best = Num::combine(passage.margin.value, &[(before, by_a), (after, by_b)]);
            item.line(Line::new(manner(passage.manner)));
        }
    }
    let shown = |line: Line| {
        line.with("before", context.arg(before, Dimension::Length))
            .with("after", context.arg(after, Dimension::Length))
            .with("width", quantity(Dimension::Length, inflated.width))
            .with("length", quantity(Dimension::Length, inflated.length))
    };
    match corner::longest_turn(a, b, inflated.width) {
        Some(longest) => item.line(
            shown(Line::new("roll.turns.formula"))
                .with("angle", quantity(Dimension::Angle, longest.angle))
                .with("longest", quantity(Dimension::Length, longest.length.value))
                .with("margin", context.arg(&best, Dimension::Length)),
        ),
        None => item.line(
            shown(Line::new("roll.turns.too_wide"))
                .with("margin", context.arg(&best, Dimension::Length)),
        ),
    };
    Some(best)
}

/// Longest length that turns, less the load's; where its width alone is too much, the narrower way less the width.
fn turning(before: &Num, after: &Num, inflated: &Inflated) -> Option<Num> {
    let (a, b, width) = (before.value(), after.value(), inflated.width);
    match corner::longest_turn(a, b, width) {
        Some(longest) => {
            let [by_a, by_b, _] = longest.length.gradient;
            let room = longest.length.value - inflated.length;
            Some(Num::combine(room, &[(before, by_a), (after, by_b)]))
        }
        None if a > 0.0 && b > 0.0 => Some(before.clone().min(after.clone()) - width),
        None => None,
    }
}

fn manner(manner: Manner) -> Key {
    Key::Borrowed(match manner {
        Manner::Turn => "roll.turns.turned",
        Manner::SidewaysAfter => "roll.turns.sideways_after",
        Manner::SidewaysBefore => "roll.turns.sideways_before",
    })
}
