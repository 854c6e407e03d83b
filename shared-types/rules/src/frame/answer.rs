//! One answer by itself: whether its question takes it, what it measures and how well, which of two is the worse.

use std::cmp::Ordering;

use setdown_types::entry::Method;
use setdown_types::practice::PracticeSheet;
use setdown_types::quantity::{Dimension, Measure};
use setdown_types::question::{self, Adverse, AnswerKind, Question};
use setdown_types::site::Head;
use setdown_types::value::{Attestation, LevelPoint, Value};

use super::spread::{self, Instrument, Spread};

/// Orders two readings that disagree, the worse one first.
pub(super) fn worse_first(question: &str, a: f64, b: f64) -> Ordering {
    let Some(row) = question::find(question) else {
        return a.total_cmp(&b);
    };
    match (row.adverse, row.kind) {
        // Of slopes the larger is the steeper, up or down.
        (Adverse::Larger, AnswerKind::Measure(Dimension::Slope)) => b.abs().total_cmp(&a.abs()),
        (Adverse::Larger, _) => b.total_cmp(&a),
        (Adverse::Smaller, _) => a.total_cmp(&b),
    }
}

/// Whether a question takes this value: its kind, its dimension, its choices, and below zero only what can lie there.
/// A question this version does not know takes nothing.
pub(super) fn fits(question: &str, value: &Value) -> bool {
    question::find(question).is_some_and(|row| takes(row, value))
}

/// A reason for not having an answer is always taken; below zero only where the usual range lies there too.
fn takes(row: &Question, value: &Value) -> bool {
    let listed = |choice: &String, all: &[&str]| all.contains(&choice.as_str());
    match (row.kind, value) {
        (AnswerKind::Measure(dimension), Value::Measure(measure)) => {
            let below_zero = row.plausible.is_some_and(|(low, _)| low < 0.0);
            measure.dimension == dimension && (measure.base >= 0 || below_zero)
        }
        (AnswerKind::Choice(all), Value::Choice(choice)) => listed(choice, all),
        (AnswerKind::Points { fewest, most, .. }, Value::Points(points)) => {
            (fewest..=most).contains(&points.ids().len())
        }
        (AnswerKind::Choices(all), Value::Choices(choices)) => {
            choices.iter().all(|choice| listed(choice, all))
        }
        (_, value) if !value.answers() => true,
        (AnswerKind::Count, Value::Count(_))
        | (AnswerKind::YesNo, Value::YesNo(_))
        | (AnswerKind::Text, Value::Text(_))
        | (AnswerKind::Date, Value::Date(_))
        | (AnswerKind::Photo, Value::Photo(_))
        | (AnswerKind::Attestation, Value::Attestation(_))
        | (AnswerKind::Slot, Value::Slot(_))
        | (AnswerKind::Level, Value::Level(_))
        | (AnswerKind::Tie, Value::Tie(_))
        | (AnswerKind::Signature, Value::Signature(_))
        | (AnswerKind::Pin, Value::Pin(_)) => true,
        _ => false,
    }
}

/// Whether a licensed person's word says who, under which licence and in which document.
pub(super) fn names_all(attestation: &Attestation) -> bool {
    let parts = [
        &attestation.person,
        &attestation.licence,
        &attestation.document,
    ];
    parts.iter().all(|part| !part.trim().is_empty())
}

/// What a value measures, if it measures something.
pub(super) fn measured_value(value: &Value) -> Option<Measure> {
    match value {
        Value::Measure(measure) => Some(measure.clone()),
        Value::Level(point) => Some(height_of(point)),
        _ => None,
    }
}

/// The height of a level reading as a length.
pub(super) fn height_of(point: &LevelPoint) -> Measure {
    Measure {
        dimension: Dimension::Length,
        base: point.height,
        typed: point.typed.clone(),
    }
}

/// A level reading's head: a height read off an instrument is as good as the level. By any other method it is what
/// that method makes of a length.
pub(super) fn levelled(head: &Head) -> Head {
    let mut head = head.clone();
    if matches!(head.method, Method::Instrument | Method::Laser) {
        head.method = Method::Level;
    }
    head
}

/// The spread of one reading: as stated, else by its method; with a tape's shared part.
pub(super) fn reading_spread(practice: &PracticeSheet, head: &Head, measure: &Measure) -> Spread {
    let value = measure.si();
    let total = match head.spread {
        Some(base) => Measure {
            base,
            ..measure.clone()
        }
        .si()
        .abs()
        .max(spread::least_stated(head.method, measure.dimension, value)),
        None => spread::by_method(practice, head.method, measure.dimension, value),
    };
    let taped = measure.dimension == Dimension::Length
        && matches!(head.method, Method::Tape | Method::HomeTape);
    Spread {
        total,
        systematic: if taped {
            spread::tape_systematic(value).min(total)
        } else {
            0.0
        },
        instrument: taped.then_some(Instrument {
            person: head.author,
            method: head.method,
        }),
    }
}
