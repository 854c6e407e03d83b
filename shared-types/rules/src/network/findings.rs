//! What is known of a tape network as messages: keys with arguments, which the app words.

use setdown_types::quantity::Dimension;

use super::adjust::{orders_broken, sides_broken};
use super::answer::{
    Answer, AnsweredClearance, AnsweredReading, LooseAnswer, MISFIT, MirrorAnswer, MistapedAnswer,
    SlipAnswer, SuspectAnswer,
};
use super::model::{Measured, Side, SideOf, TapeNetwork};
use super::settle::State;
use crate::frame::result::{Arg, Line};
use crate::tables::units::INCH;

fn inches(value: f64) -> Arg {
    Arg::Quantity {
        dimension: Dimension::Length,
        si: value * INCH,
    }
}

fn text(name: &str) -> Arg {
    Arg::Text(name.to_owned())
}

/// The messages; keys start with `network.`.
pub(super) fn findings(network: &TapeNetwork, answer: &Answer, state: &State) -> Vec<Line> {
    let mut lines = Vec::new();
    lines.extend(answer.loose.iter().map(loose_line));
    // What is loose lies at any one place: nothing that was said of it is wrong yet.
    if answer.tied {
        let broken = sides_broken(network, state);
        lines.extend(broken.map(|(place, side)| side_line(network, place, side)));
        lines.extend(orders_broken(network, state).map(|reading| order_line(&reading.id)));
    }
    lines.extend(answer.mirrors.iter().map(mirror_line));
    for mistaped in &answer.mistaped {
        mistaped_lines(network, mistaped, &mut lines);
    }
    if answer.tied && answer.fit < MISFIT && answer.mistaped.is_empty() {
        lines.push(misfit_line(answer));
    }
    for clearance in &answer.clearances {
        clearance_lines(clearance, &mut lines);
    }
    if answer.tied {
        for reading in answer
            .readings
            .iter()
            .filter(|r| !r.set_aside && r.detectable.is_none())
        {
            lines.push(Line::new("network.unchecked").with("reading", text(&reading.id)));
        }
    }
    lines
}

/// No reading stands out alone; the one that fits worst is where to look first.
fn misfit_line(answer: &Answer) -> Line {
    let line = Line::new("network.misfit").with("chance", Arg::Number(answer.fit));
    let off = |reading: &AnsweredReading| reading.normalised.map_or(0.0, f64::abs);
    let worst = answer.readings.iter();
    match worst.max_by(|a, b| off(a).total_cmp(&off(b))) {
        Some(worst) => line.with("place", text(&worst.id)),
        None => line,
    }
}

fn loose_line(loose: &LooseAnswer) -> Line {
    let key = match (&loose.fix, loose.free) {
        (Some(_), true) => "network.loose",
        (Some(_), false) => "network.weak",
        (None, true) => "network.loose.no_tape",
        (None, false) => "network.weak.no_tape",
    };
    let mut line = Line::new(key).with("points", text(&loose.points.join(", ")));
    if let Some([from, to]) = &loose.fix {
        line = line.with("from", text(from)).with("to", text(to));
    }
    line
}

/// A side that was said and is not so in the drawing, with its place in the file.
fn side_line(network: &TapeNetwork, place: usize, broken: &SideOf) -> Line {
    let points = &network.parts().points;
    let point = |index: usize| text(points.get(index).map_or("?", String::as_str));
    let said = match broken.side {
        Side::Left => "network.side.left",
        Side::Right => "network.side.right",
    };
    Line::new("network.sides_contradict")
        .with("point", point(broken.point))
        .with("from", point(broken.from))
        .with("to", point(broken.to))
        .with("said", Arg::Word(said.into()))
        .with("place", text(&format!("network.sides[{place}]")))
}

fn order_line(reading: &str) -> Line {
    Line::new("network.order_contradicts")
        .with("reading", text(reading))
        .with("place", text(reading))
}

fn mirror_line(mirror: &MirrorAnswer) -> Line {
    let key = if mirror.whole {
        "network.mirror.whole"
    } else {
        "network.mirror.part"
    };
    let drawn = if mirror.drawn == "left" {
        "network.side.left"
    } else {
        "network.side.right"
    };
    Line::new(key)
        .with("point", text(&mirror.point))
        .with("from", text(&mirror.from))
        .with("to", text(&mirror.to))
        .with("drawn", Arg::Word(drawn.into()))
        .with("points", text(&mirror.moves.join(", ")))
}

fn mistaped_lines(network: &TapeNetwork, mistaped: &MistapedAnswer, lines: &mut Vec<Line>) {
    let key = match (mistaped.sure, mistaped.suspects.len()) {
        (false, _) => "network.doubtful",
        (true, 1) => "network.mistaped",
        (true, _) => "network.mistaped.either",
    };
    let ids: Vec<&str> = mistaped.suspects.iter().map(|s| s.id.as_str()).collect();
    let Some(first) = mistaped.suspects.first() else {
        return;
    };
    lines.push(
        Line::new(key)
            .with("reading", text(&first.id))
            .with("readings", text(&ids.join(", ")))
            .with("count", Arg::Count(ids.len() as i64)),
    );
    for suspect in &mistaped.suspects {
        lines.push(excess_line(network, suspect));
        for slip in &suspect.slips {
            lines.push(slip_line(&suspect.id, slip));
        }
    }
}

/// What may have happened.
fn slip_line(reading: &str, slip: &SlipAnswer) -> Line {
    let key = match slip.kind {
        "feet" => "network.slip.feet",
        "ten_inches" => "network.slip.ten_inches",
        "one_inch" => "network.slip.one_inch",
        "swapped_inches" => "network.slip.swapped_inches",
        "swapped_feet" => "network.slip.swapped_feet",
        _ => "network.slip.six_for_nine",
    };
    Line::new(key)
        .with("reading", text(reading))
        .with("count", Arg::Count(slip.count.abs()))
        .with("showed", inches(slip.reading))
}

/// By how much one suspect would be off.
fn excess_line(network: &TapeNetwork, suspect: &SuspectAnswer) -> Line {
    let parts = network.parts();
    let reading = parts
        .readings
        .iter()
        .find(|reading| reading.id == suspect.id);
    let is_angle = matches!(reading.map(|r| r.measured), Some(Measured::Square { .. }));
    let (dimension, unit) = if is_angle {
        (Dimension::Angle, 1.0)
    } else {
        (Dimension::Length, INCH)
    };
    let excess = Arg::Measured {
        dimension,
        si: suspect.excess.abs() * unit,
        spread: suspect.excess_spread * unit,
    };
    let key = if suspect.excess < 0.0 {
        "network.excess.little"
    } else {
        "network.excess.much"
    };
    Line::new(key)
        .with("reading", text(&suspect.id))
        .with("excess", excess)
}

fn clearance_lines(clearance: &AnsweredClearance, lines: &mut Vec<Line>) {
    let (Some(gap), Some(spread)) = (clearance.gap, clearance.spread) else {
        lines.push(Line::new("network.gap.open").with("gap", text(&clearance.id)));
        return;
    };
    let measured = Arg::Measured {
        dimension: Dimension::Length,
        si: gap * INCH,
        spread: spread * INCH,
    };
    let mut line = Line::new(match clearance.need {
        None => "network.gap",
        Some(need) if gap - need >= spread => "network.gap.clear",
        Some(need) if need - gap >= spread => "network.gap.short",
        Some(_) => "network.gap.tight",
    });
    line = line.with("gap", text(&clearance.id)).with("size", measured);
    if let Some(need) = clearance.need {
        line = line.with("need", inches(need));
    }
    lines.push(line);
    if let Some(next) = clearance.next.first() {
        lines.push(
            Line::new("network.gap.next")
                .with("gap", text(&clearance.id))
                .with("from", text(&next.from))
                .with("to", text(&next.to))
                .with("spread", inches(next.spread)),
        );
    }
    if !clearance.unchecked.is_empty() {
        lines.push(
            Line::new("network.gap.unchecked")
                .with("gap", text(&clearance.id))
                .with("readings", text(&clearance.unchecked.join(", "))),
        );
    }
}
