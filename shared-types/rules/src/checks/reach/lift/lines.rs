//! `lift.lines`: no conductor, the house's service drop included, comes near boom, rope, load or tag line.

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
/// there decides. Lines are presumed live.
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
    let distance = context.measure(line, "line.distance");
    let Some(distance) = distance else {
        return item.wait();
    };
    let (field, trigger) = trigger(context, volts.as_ref());
    let beyond = &distance - trigger;
    item.line(
        Line::new("lift.lines.trigger")
            .with("distance", context.arg(&distance, Dimension::Length))
            .with("trigger", quantity(Dimension::Length, trigger)),
    );
    if beyond.value() >= context.spread(&beyond) {
        // Only here the distance decides: inside it, it is the utility's word and Table A.
        context.limit(field);
        return item.margin(&beyond, Dimension::Length);
    }
    let word = context.optionally(|| context.attestation(line, "line.utility_word"));
    let Some(word) = word else {
        context.action(Party::Office, Line::new("lift.lines.ask_utility"), 30.0);
        return item.holds(false, "lift.lines.inside");
    };
    item.line(Line::new("lift.lines.settled").with("person", Arg::Text(word.person)));
    let Some(volts) = context.measure(line, "line.voltage").or(volts) else {
        return item.wait();
    };
    context.cite(osha_1926::TABLE_A.source);
    match osha_1926::line_clearance(volts.value()) {
        Some(needed) => table_a(context, item, &distance, &volts, needed),
        None => {
            context.action(Party::Office, Line::new("lift.lines.ask_utility"), 30.0);
            item.open("lift.lines.utility_sets_distance");
        }
    }
}

fn table_a(
    context: &Context<'_>,
    mut item: crate::frame::item::Draft<'_, '_>,
    distance: &Num,
    volts: &Num,
    needed: f64,
) {
    let margin = distance - needed;
    item.line(
        Line::new("lift.lines.table_a")
            .with("voltage", quantity(Dimension::Voltage, volts.value()))
            .with("needed", quantity(Dimension::Length, needed))
            .with("distance", context.arg(distance, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// The distance inside which the line must be settled first: the practice sheet's, and never less than the rule's.
fn trigger(context: &Context<'_>, volts: Option<&Num>) -> (&'static str, f64) {
    let rule = osha_1926::trigger_distance(volts.map(Num::value));
    let low = rule <= osha_1926::TRIGGER.value;
    let field = if low {
        "line_trigger"
    } else {
        "line_trigger_high"
    };
    let stated = context.practice().limit(field);
    (field, stated.map_or(rule, |limit| limit.si.max(rule)))
}
