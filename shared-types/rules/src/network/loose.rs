//! What the readings leave loose, and the tape that would tie each loose part down.
//!
//! A direction in which the points can move without any reading noticing is a null vector of the weighted problem; one
//! in which they can move by several per cent of the yard before any reading objects is as good as one.

use super::adjust::Adjustment;
use super::model::{Measured, TapeNetwork};
use super::observe::{place, towards};
use crate::frame::spread::SPREADS_PER_SIGMA;
use setdown_types::order;

/// A direction whose σ is more than this part of the yard is called loose.
const LOOSE_PART: f64 = 0.02;
/// A point that takes less than this share in a loose movement stays put.
const STAYS: f64 = 0.05;
/// A pair whose distance changes by less than this share of the movement would not tie it.
const TIES: f64 = 0.1;

/// One way in which part of the yard can still move.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    /// The points that move, most mobile first.
    pub points: Vec<usize>,
    /// The tape that would tie them best, where one tape can.
    pub fix: Option<(usize, usize)>,
    /// Whether nothing holds it at all; otherwise it is held, but hardly.
    pub free: bool,
}

/// Every loose movement with the tape that fixes it; each suggestion counts on those before it.
pub fn loose_parts(network: &TapeNetwork, adjusted: &Adjustment) -> Vec<Loose> {
    let extent = extent(adjusted);
    let weakest = |value: f64| value <= 1.0 / (LOOSE_PART * extent);
    let mut directions: Vec<(Vec<f64>, bool)> = Vec::new();
    for (k, value) in adjusted.svd.values.iter().enumerate().rev() {
        if k < adjusted.kept && !weakest(*value) {
            break;
        }
        directions.push((adjusted.svd.right.column(k).to_vec(), k >= adjusted.kept));
    }
    let mut found = Vec::new();
    while !directions.is_empty() {
        let best = best_tie(network, adjusted, &directions);
        let loose = match best {
            Some((pair, rates)) => untie(&mut directions, &rates, adjusted, Some(pair)),
            None => {
                let (direction, free) = directions.remove(0);
                describe(&direction, free, adjusted, None)
            }
        };
        found.push(loose);
    }
    found
}

/// The greatest extent of the yard, inches.
pub(super) fn extent(adjusted: &Adjustment) -> f64 {
    let far = |axis: usize| {
        let values = || adjusted.places.iter().map(move |p| p[axis]);
        values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
    };
    far(0).max(far(1)).max(1.0)
}

/// The pair not yet taped whose distance changes most over all loose directions, with its rate in each.
fn best_tie(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    directions: &[(Vec<f64>, bool)],
) -> Option<((usize, usize), Vec<f64>)> {
    let mut best: Option<(f64, (usize, usize), Vec<f64>)> = None;
    for pair in pairs_to_tape(network) {
        let rates: Vec<f64> = (directions.iter())
            .map(|(direction, _)| rate(adjusted, pair, direction))
            .collect();
        let size: f64 = rates.iter().map(|rate| rate * rate).sum();
        // A clear gain is wanted before a later pair displaces an earlier one, so that rounding decides nothing.
        if size > best.as_ref().map_or(TIES * TIES, |b| b.0 * 1.000_001) {
            best = Some((size, pair, rates));
        }
    }
    best.map(|(_, pair, rates)| (pair, rates))
}

/// Pairs of points that may be taped and have not been.
pub(super) fn pairs_to_tape(network: &TapeNetwork) -> Vec<(usize, usize)> {
    let parts = network.parts();
    let count = parts.points.len();
    let mut pairs = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if !is_taped(network, a, b) && !is_blocked(network, a, b) {
                pairs.push((a, b));
            }
        }
    }
    pairs
}

pub(super) fn is_taped(network: &TapeNetwork, a: usize, b: usize) -> bool {
    network.parts().readings.iter().any(|reading| {
        matches!(reading.measured, Measured::Distance { from, to } if (from, to) == (a, b) || (to, from) == (a, b))
    })
}

pub(super) fn is_blocked(network: &TapeNetwork, a: usize, b: usize) -> bool {
    let blocked = &network.parts().cannot_tape;
    blocked.contains(&(a, b)) || blocked.contains(&(b, a))
}

/// How fast the distance of a pair changes with a movement.
fn rate(adjusted: &Adjustment, (a, b): (usize, usize), direction: &[f64]) -> f64 {
    let (_, [ux, uy]) = towards(place(&adjusted.places, a), place(&adjusted.places, b));
    let ([ax, ay], [bx, by]) = (
        move_of(adjusted, a, direction),
        move_of(adjusted, b, direction),
    );
    ux * (bx - ax) + uy * (by - ay)
}

fn move_of(adjusted: &Adjustment, point: usize, direction: &[f64]) -> [f64; 2] {
    let columns = adjusted
        .layout
        .places
        .get(point)
        .copied()
        .unwrap_or([None, None]);
    columns.map(|column| {
        column
            .and_then(|c| direction.get(c))
            .copied()
            .unwrap_or(0.0)
    })
}

/// Takes the movement that a tape forbids out of the loose directions.
fn untie(
    directions: &mut Vec<(Vec<f64>, bool)>,
    rates: &[f64],
    adjusted: &Adjustment,
    fix: Option<(usize, usize)>,
) -> Loose {
    let size = libm::sqrt(rates.iter().map(|rate| rate * rate).sum::<f64>());
    let unit: Vec<f64> = rates.iter().map(|rate| rate / size).collect();
    let length = directions
        .first()
        .map_or(0, |(direction, _)| direction.len());
    let mut forbidden = vec![0.0; length];
    for ((direction, _), share) in directions.iter().zip(&unit) {
        for (sum, part) in forbidden.iter_mut().zip(direction) {
            *sum += share * part;
        }
    }
    let strongest = unit
        .iter()
        .enumerate()
        .fold((0, 0.0), |best: (usize, f64), (k, share)| {
            if share.abs() > best.1 {
                (k, share.abs())
            } else {
                best
            }
        })
        .0;
    let (_, free) = directions.remove(strongest);
    orthogonal_to(directions, &forbidden);
    describe(&forbidden, free, adjusted, fix)
}

/// Makes directions square to one that is gone, and to each other (Gram and Schmidt).
fn orthogonal_to(directions: &mut [(Vec<f64>, bool)], gone: &[f64]) {
    let mut done: Vec<Vec<f64>> = vec![gone.to_vec()];
    for (direction, _) in directions {
        for other in &done {
            let share = crate::maths::matrix::dot(direction, other);
            for (part, of_other) in direction.iter_mut().zip(other) {
                *part -= share * of_other;
            }
        }
        let length = libm::sqrt(crate::maths::matrix::dot(direction, direction));
        if length > 0.0 {
            direction.iter_mut().for_each(|part| *part /= length);
        }
        done.push(direction.clone());
    }
}

fn describe(
    direction: &[f64],
    free: bool,
    adjusted: &Adjustment,
    fix: Option<(usize, usize)>,
) -> Loose {
    let mut moves: Vec<(f64, usize)> = (0..adjusted.places.len())
        .map(|point| {
            let [x, y] = move_of(adjusted, point, direction);
            (libm::sqrt(x * x + y * y), point)
        })
        .collect();
    let most = moves
        .iter()
        .fold(0.0_f64, |most, (size, _)| most.max(*size));
    moves.retain(|(size, _)| *size > STAYS * most);
    // Rounded, so that equal movements keep the order of the points on every machine.
    order::sort_by_key(&mut moves, |(size, point)| {
        (-(size / most.max(1e-300) * 1e6) as i64, *point)
    });
    Loose {
        points: moves.into_iter().map(|(_, point)| point).collect(),
        fix,
        free,
    }
}

/// Whether the places mean anything: nothing is free, and nothing loose.
pub(super) fn is_tied(adjusted: &Adjustment) -> bool {
    let limit = 1.0 / (LOOSE_PART * extent(adjusted));
    adjusted.rank == adjusted.unknowns && adjusted.svd.values.iter().all(|value| *value > limit)
}

/// The spread that a σ stands for.
pub(super) fn spread(sigma: f64) -> f64 {
    sigma * SPREADS_PER_SIGMA
}
