//! `lift.lines`: no conductor, the house's service drop included, comes near boom, rope, load or tag line.

use setdown_types::entry::Method;
use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::super::listed::{Empty, listed};
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::tables::osha_1926;

/// Per line, at the maximum working radius: beyond 20 ft (50 ft over 350 kV, or where the voltage is not known) it is
/// clear; inside, the lift stops until the utility has settled it in writing, and then Table A by the voltage stated
/// there decides. Lines are presumed live. A voltage is known from a document or from the utility, and counts with its
/// spread; a distance that nobody measured clears nothing.
pub fn lines(context: &Context<'_>) {
    context.cite(osha_1926::TRIGGER.source);
    context.cite(osha_1926::TRIGGER_HIGH.source);
    context.caution("caution.lifting");
    context.caution("caution.power_lines");
    let lines = listed(
        context,
        SubjectKind::Line,
        "lift.lines_listed",
        "lift.lines.not_listed",
        Empty::NotNeeded("lift.lines.none"),
    );
    if lines.is_empty() && context.yes(Subject::SITE, "lift.lines_listed") == Some(true) {
        context
            .item(Subject::SITE)
            .holds(true, "lift.lines.none_seen");
    }
    for line in lines {
        line_item(context, line);
    }
}

fn line_item(context: &Context<'_>, line: Subject) {
    let mut item = context.item(line);
    context.optionally(|| context.choice(line, "line.kind"));
    let known = context.yes(line, "line.voltage_known");
    let volts = if known == Some(true) {
        context.measure(line, "line.voltage")
    } else {
        None
    };
    let word = context.optionally(|| context.attestation(line, "line.utility_word"));
    let documented = context.method(line, "line.voltage") == Some(Method::Document);
    let stated = volts.clone().filter(|_| documented || word.is_some());
    let distance = context.measure(line, "line.distance");
    let Some(distance) = distance else {
        return item.wait();
    };
    let guessed = context.guessed(line, "line.distance");
    let (field, trigger) = trigger(context, stated.as_ref());
    let beyond = &distance - trigger;
    item.line(
        Line::new("lift.lines.trigger")
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("trigger", quantity(Dimension::Length, trigger)),
    );
    if beyond.value() >= context.spread(&beyond) {
        // Only here the distance decides: inside it, it is the utility's word and Table A.
        context.limit(field);
        if guessed {
            return item.tight(Line::new("lift.lines.not_measured"));
        }
        return item.margin(&beyond, Dimension::Length);
    }
    let Some(word) = word else {
        ask_utility(context, line);
        return item.holds(false, "lift.lines.inside");
    };
    item.line(Line::new("lift.lines.settled").with("person", Arg::Text(word.person)));
    let Some(volts) = context.measure(line, "line.voltage").or(volts) else {
        return item.wait();
    };
    context.cite(osha_1926::TABLE_A.source);
    // The highest and the lowest voltage that it may be.
    let spread = context.spread(&volts);
    let least = osha_1926::line_clearance((volts.value() - spread).max(0.0));
    match (osha_1926::line_clearance(volts.value() + spread), least) {
        (Some(most), Some(least)) => {
            table_a(context, item, (&distance, guessed), &volts, [least, most]);
        }
        _ => {
            ask_utility(context, line);
            item.open("lift.lines.utility_sets_distance");
        }
    }
}

fn ask_utility(context: &Context<'_>, line: Subject) {
    let ask = Line::new("lift.lines.ask_utility").with("line", Arg::Subject(line));
    context.action(Party::Office, ask, 30.0);
}

fn table_a(
    context: &Context<'_>,
    mut item: crate::frame::item::Draft<'_, '_>,
    (distance, guessed): (&Num, bool),
    volts: &Num,
    [least, most]: [f64; 2],
) {
    let margin = distance - most;
    item.line(
        Line::new("lift.lines.table_a")
            .with("voltage", context.arg(volts, Dimension::Voltage))
            .with("needed", quantity(Dimension::Length, most))
            .with("distance", context.arg(distance, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    let spread = context.spread(&margin);
    let clears = margin.value() >= spread;
    let within_least = distance.value() - least <= -spread;
    if !clears && !within_least && least < most {
        return item.tight(Line::new("lift.lines.voltage_not_sure"));
    }
    if clears && guessed {
        return item.tight(Line::new("lift.lines.not_measured"));
    }
    item.margin(&margin, Dimension::Length);
}

/// The distance inside which the line must be settled first: the practice sheet's, and never less than the rule's.
fn trigger(context: &Context<'_>, volts: Option<&Num>) -> (&'static str, f64) {
    let highest = volts.map(|volts| volts.value() + context.spread(volts));
    let rule = osha_1926::trigger_distance(highest);
    let low = rule <= osha_1926::TRIGGER.value;
    let field = if low {
        "line_trigger"
    } else {
        "line_trigger_high"
    };
    let stated = context.practice().limit(field);
    (field, stated.map_or(rule, |limit| limit.si.max(rule)))
}
