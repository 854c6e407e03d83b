//! What to measure next: the expected gain in settled weight per minute.

use setdown_types::order;
use std::collections::BTreeMap;

use setdown_types::entry::{Intent, Method};
use setdown_types::ids::{DeviceId, EntryId, PersonId};
use setdown_types::party::Role;
use setdown_types::quantity::{Dimension, Measure, Quantity};
use setdown_types::question::{self, AnswerKind, Question};
use setdown_types::site::{Head, StreamKey};
use setdown_types::value::Value;

use super::assess::{Input, assess_check};
use super::result::{
    CheckResult, HoldPoint, HoldPointResult, HoldState, Key, NeedState, NextMeasurement, Outcome,
};
use crate::checks;

/// How many places of the usual range a measurement is weighed at.
const PLACES: u32 = 5;
/// Share of a check's weight that its last missing answers earn before it is settled: so that
/// the first of several widths is worth asking for as well.
const PROGRESS: f64 = 0.5;

/// Open questions by expected gain per minute, best first; ties in walking order.
pub fn measurements(
    input: &Input<'_>,
    checks: &[CheckResult],
    points: &[HoldPointResult],
) -> Vec<NextMeasurement> {
    let pending: Vec<HoldPoint> = points
        .iter()
        .filter(|point| point.state != HoldState::Signed)
        .map(|point| point.hold_point)
        .collect();
    let mut readers: BTreeMap<&StreamKey, Vec<&CheckResult>> = BTreeMap::new();
    for check in checks {
        if check.outcome == Outcome::NotNeeded
            || !check
                .hold_points
                .iter()
                .any(|point| pending.contains(point))
        {
            continue;
        }
        for need in &check.needs {
            if need.state == NeedState::Missing && !need.optional {
                readers.entry(&need.stream).or_default().push(check);
            }
        }
    }
    let mut list: Vec<NextMeasurement> = readers
        .into_iter()
        .filter_map(|(stream, readers)| weigh(input, stream, &readers))
        .collect();
    order::sort_by(&mut list, |a, b| {
        let rate = |next: &NextMeasurement| next.gain / next.minutes;
        rate(b)
            .total_cmp(&rate(a))
            .then_with(|| place(&a.stream).cmp(&place(&b.stream)))
            .then_with(|| a.stream.cmp(&b.stream))
    });
    list
}

fn place(stream: &StreamKey) -> u32 {
    question::walking_order(&stream.question).1
}

fn weigh(
    input: &Input<'_>,
    stream: &StreamKey,
    readers: &[&CheckResult],
) -> Option<NextMeasurement> {
    let row = question::find(&stream.question)?;
    let answers = answers(row);
    let mut gain = 0.0;
    for check in readers {
        let before = worth(check);
        let spec = checks::find(&check.key)?;
        if answers.is_empty() || spec.solved {
            gain += f64::from(check.weight) * PROGRESS / missing(check).max(1.0);
            continue;
        }
        let mut sum = 0.0;
        for answer in &answers {
            let head = supposed(answer.clone(), row.kind);
            let after = assess_check(
                spec,
                &Input {
                    suppose: Some((stream, &head)),
                    ..*input
                },
            );
            sum += worth(&after) - before;
        }
        gain += sum / answers.len() as f64;
    }
    let checks: Vec<Key> = readers.iter().map(|check| check.key.clone()).collect();
    Some(NextMeasurement {
        stream: stream.clone(),
        gain: if gain.is_finite() { gain } else { 0.0 },
        minutes: row.minutes.max(0.1),
        checks,
    })
}

/// Settled weight of a check, with a share for answers already there.
fn worth(check: &CheckResult) -> f64 {
    let weight = f64::from(check.weight);
    match check.outcome {
        Outcome::Clear | Outcome::ClearAttested | Outcome::NotNeeded => weight,
        Outcome::Tight => weight * 0.5,
        Outcome::Short => 0.0,
        Outcome::Open => {
            let needed = check
                .needs
                .iter()
                .filter(|need| !need.optional)
                .count()
                .max(1) as f64;
            weight * PROGRESS * (1.0 - missing(check) / needed)
        }
    }
}

fn missing(check: &CheckResult) -> f64 {
    let open = |state: NeedState| !matches!(state, NeedState::Answered | NeedState::Disputed);
    check
        .needs
        .iter()
        .filter(|need| !need.optional && open(need.state))
        .count() as f64
}

/// The answers a question is weighed by: its usual range at even steps, or each choice.
fn answers(row: &Question) -> Vec<Value> {
    match row.kind {
        AnswerKind::Measure(dimension) => spaced(row)
            .filter_map(|si| Quantity::from_si(dimension, si).ok())
            .map(|quantity| Value::Measure(Measure::new(quantity, "")))
            .collect(),
        AnswerKind::Count => spaced(row)
            .filter_map(|si| Quantity::from_si(Dimension::Count, si).ok())
            .filter_map(|quantity| u32::try_from(quantity.base).ok())
            .map(Value::Count)
            .collect(),
        AnswerKind::YesNo => vec![Value::YesNo(true), Value::YesNo(false)],
        AnswerKind::Choice(choices) => choices
            .iter()
            .map(|choice| Value::Choice((*choice).to_owned()))
            .collect(),
        _ => Vec::new(),
    }
}

fn spaced(row: &Question) -> impl Iterator<Item = f64> + use<> {
    let (low, high) = row.plausible.unwrap_or((0.0, 0.0));
    (0..PLACES).map(move |step| low + (high - low) * (f64::from(step) + 0.5) / f64::from(PLACES))
}

/// An answer as it would usually be got.
fn supposed(value: Value, kind: AnswerKind) -> Head {
    Head {
        entry: EntryId::NIL,
        value: Some(value),
        unknown: false,
        spread: None,
        method: match kind {
            AnswerKind::Measure(Dimension::Slope | Dimension::Angle) => Method::Level,
            AnswerKind::Measure(Dimension::Length) => Method::Tape,
            AnswerKind::Measure(Dimension::Flow | Dimension::Duration) => Method::Instrument,
            _ => Method::Document,
        },
        intent: Intent::First,
        author: PersonId::NIL,
        role: Role::Coordinator,
        device: DeviceId::NIL,
        wall: 0,
    }
}
