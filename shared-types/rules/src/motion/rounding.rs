//! Proved steps with their distances and points in round figures, wherever the rounded ones are proved too.

use super::crew::{Prover, SLIGHT, SMALL_SHIFT, Step};
use super::moves::{About, Action};
use super::yard::{Place, Yard};

/// Parts of an inch that figures are rounded to, the roundest first.
const PARTS: [f64; 4] = [1.0, 2.0, 4.0, 8.0];

/// How often a stretch is tried to be proved.
const MOST_PROOFS: usize = 3;

/// Straight steps one after the other as one, where that is proved.
pub(super) fn merged(prover: &mut Prover, steps: Vec<Step>) -> Vec<Step> {
    let mut merged: Vec<Step> = Vec::with_capacity(steps.len());
    for step in steps {
        let whole = merged
            .last()
            .filter(|last| last.is_straight() && step.is_straight());
        let whole = whole.map(|last| Step::shift(last.from, step.to));
        match whole.filter(|whole| prover.looks(whole) && prover.proves(whole)) {
            Some(whole) => {
                merged.pop();
                merged.extend((!whole.is_nothing()).then_some(whole));
            }
            None => merged.push(step),
        }
    }
    merged
}

/// The same steps in round figures. A stretch of them, from one shift to before the next, may end a little beside where
/// it did if what follows still leads from there to where the next shift ended; the last one ends where it did.
pub(super) fn rounded(prover: &mut Prover, steps: &[Step]) -> Vec<Step> {
    let mut told: Vec<Step> = Vec::with_capacity(steps.len());
    let mut rest = steps;
    while !rest.is_empty() {
        let (stretch, next) = stretch(rest);
        let from = stretch.first().map(|step| step.from);
        let Some(at) = told.last().map(|last| last.to).or(from) else {
            break;
        };
        let plain = (next.first()).and_then(|shift| {
            let is_last = !next.iter().skip(1).any(Step::is_shift);
            let is_pure = is_last && shift.beside() < SLIGHT;
            let pure = is_pure.then(|| round(prover, at, stretch, (shift.to, SLIGHT)));
            (pure.flatten()).or_else(|| round(prover, at, stretch, (shift.to, f64::INFINITY)))
        });
        for step in plain.unwrap_or_else(|| exact(at, stretch)) {
            push(&mut told, step);
        }
        rest = next;
    }
    told
}

/// The stretch in the roundest figures that are proved, and from which the next shift's end is proved to be reached
/// with no more than so much beside it.
fn round(
    prover: &mut Prover,
    at: Place,
    stretch: &[Step],
    (end, beside): (Place, f64),
) -> Option<Vec<Step>> {
    let mut tried: Vec<Vec<Step>> = Vec::new();
    let mut proofs = 0;
    for figures in variants() {
        let mut steps = follow(prover.yard, at, stretch, figures);
        let count = steps.len();
        let rest = Step::shift(steps.last().map_or(at, |last| last.to), end);
        if rest.beside() > beside {
            continue;
        }
        steps.push(rest);
        let is_same = |other: &Vec<Step>| {
            let mut pairs = other.iter().zip(&steps);
            other.len() == steps.len() && pairs.all(|(one, two)| one.action == two.action)
        };
        if tried.iter().any(is_same) || !steps.iter().all(|step| prover.looks(step)) {
            continue;
        }
        if steps.iter().all(|step| prover.proves(step)) {
            steps.truncate(count);
            return Some(steps);
        }
        proofs += 1;
        if proofs == MOST_PROOFS {
            break;
        }
        tried.push(steps);
    }
    None
}

/// Adds a step; one that goes on straight the same way adds to the last.
fn push(told: &mut Vec<Step>, step: Step) {
    let onward = told
        .last()
        .filter(|last| last.is_straight() && step.is_straight())
        .and_then(|last| {
            let ([forward, left], [more, aside]) = (last.by(), step.by());
            let same = (left == 0.0 && aside == 0.0 && forward * more > 0.0)
                || (forward == 0.0 && more == 0.0 && left * aside > 0.0);
            let whole = Step {
                to: step.to,
                ..*last
            };
            same.then(|| whole.with([forward + more, left + aside]))
        });
    if let Some(whole) = onward {
        told.pop();
        told.push(whole);
    } else {
        told.push(step);
    }
}

/// The steps before the second shift, and those from it on.
fn stretch(steps: &[Step]) -> (&[Step], &[Step]) {
    let next = steps.iter().skip(1).position(Step::is_shift);
    steps.split_at(next.map_or(steps.len(), |next| next + 1))
}

/// How shifts and points are rounded: to parts of an inch, or with nothing left out and not at all.
#[derive(Clone, Copy)]
enum Rounding {
    /// Without what is too small to follow.
    Plain(f64),
    To(f64),
    Not,
}

fn variants() -> impl Iterator<Item = (Rounding, Rounding)> {
    PARTS.into_iter().flat_map(|parts| {
        let points = [Rounding::To(parts.min(2.0)), Rounding::Not];
        points.into_iter().flat_map(move |point| {
            [Rounding::Plain(parts), Rounding::To(parts)].map(|shift| (shift, point))
        })
    })
}

impl Rounding {
    fn of(self, [forward, left]: [f64; 2]) -> [f64; 2] {
        let to = |parts: f64| [forward, left].map(|inches| libm::round(inches * parts) / parts);
        match self {
            Rounding::Plain(parts) => to(parts).map(|inches| {
                if inches.abs() < SMALL_SHIFT {
                    0.0
                } else {
                    inches
                }
            }),
            Rounding::To(parts) => to(parts),
            Rounding::Not => [forward, left],
        }
    }
}

/// The steps from a pose on, in round figures: shifts go about to where they went, turns to the same headings.
fn follow(
    yard: &Yard,
    at: Place,
    steps: &[Step],
    (shifts, points): (Rounding, Rounding),
) -> Vec<Step> {
    let mut told: Vec<Step> = Vec::with_capacity(steps.len() + 1);
    let mut at = at;
    for step in steps {
        let step = match step.action {
            Action::Turn { about, .. } => {
                let about = match about {
                    About::Point { forward, left } => {
                        let [forward, left] = points.of([forward, left]);
                        About::Point { forward, left }
                    }
                    named => named,
                };
                let turn = Step::turn(yard, at, about, step.to.heading - at.heading);
                let heading = step.to.heading;
                Step {
                    to: Place { heading, ..turn.to },
                    ..turn
                }
            }
            _ => {
                let [forward, left] = shifts.of(Step::shift(at, step.to).by());
                let to = Place {
                    at: Yard::from_body(at, [forward, left]),
                    ..step.to
                };
                Step::shift(at, to).with([forward, left])
            }
        };
        at = step.to;
        told.extend((!step.is_nothing()).then_some(step));
    }
    told
}

/// The steps as they were, but for where the first begins: that it leads from there to where it ended is proved.
fn exact(at: Place, steps: &[Step]) -> Vec<Step> {
    let mut told = steps.to_vec();
    if let Some(first) = told.first_mut().filter(|step| step.is_shift()) {
        *first = Step::shift(at, first.to);
    }
    told.retain(|step| !step.is_nothing());
    told
}
