//! A gap between a point and a point or a line: its size, its spread, what a hidden mistake could do to it, and the
//! tape that would narrow its spread most.

use super::adjust::{Adjustment, NO_REDUNDANCY};
use super::layout::{counted, sigma};
use super::loose::{is_blocked, is_taped, is_tied, spread};
use super::model::{Clearance, Measured, TapeNetwork, Target};
use super::observe::{Observed, observe};
use crate::frame::spread::SPREADS_PER_SIGMA;
use setdown_types::order;

/// How many tapes are suggested.
const SUGGESTED: usize = 3;
/// A reading that moves the gap by less than this part of its own error does not matter to it.
const MATTERS: f64 = 0.05;

/// A gap as it follows from the adjusted network.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// Inches.
    pub value: f64,
    /// Half-width that holds the truth 19 times in 20, inches.
    pub spread: f64,
    /// How far it moves with one σ of each independent source of error, in the order of [`Adjustment::slopes`].
    pub slopes: Vec<f64>,
    /// The most by which a mistake too small to be found could change it, inches, over the readings that are checked.
    pub undetected: f64,
    /// Readings that matter to it and that nothing checks: a mistake in one of them goes unnoticed at any size.
    pub unchecked: Vec<usize>,
}

/// A tape worth running for a gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextTape {
    /// One end.
    pub from: usize,
    /// The other end.
    pub to: usize,
    /// The spread of the gap with it, inches.
    pub spread: f64,
    /// Whether this has been taped before.
    pub again: bool,
}

/// The gap's length with its slopes by the places.
fn length(adjusted: &Adjustment, clearance: &Clearance) -> Observed {
    match clearance.to {
        Target::Point(to) => {
            let from = clearance.from;
            observe(Measured::Distance { from, to }, &adjusted.places)
        }
        Target::Line(from, to) => {
            let point = clearance.from;
            let off = observe(Measured::Across { from, to, point }, &adjusted.places);
            if off.value < 0.0 { turned(off) } else { off }
        }
    }
}

fn turned(observed: Observed) -> Observed {
    Observed {
        value: -observed.value,
        slopes: observed.slopes.map(|(point, [x, y])| (point, [-x, -y])),
    }
}

/// The slopes as pairs of coordinate and slope.
fn coordinates(observed: &Observed) -> Vec<((usize, usize), f64)> {
    (observed.slopes.iter())
        .flat_map(|(point, [x, y])| [((*point, 0), *x), ((*point, 1), *y)])
        .collect()
}

/// How two quantities vary together, square inches.
fn covariance(adjusted: &Adjustment, one: &Observed, other: &Observed) -> f64 {
    let mut sum = 0.0;
    for (a, slope_a) in coordinates(one) {
        for (b, slope_b) in coordinates(other) {
            sum += slope_a * slope_b * adjusted.covariance_of(a, b);
        }
    }
    sum
}

/// The gap, unless the network is loose.
pub fn gap(network: &TapeNetwork, adjusted: &Adjustment, clearance: &Clearance) -> Option<Gap> {
    if !is_tied(adjusted) {
        return None;
    }
    let observed = length(adjusted, clearance);
    let mut slopes: Vec<f64> = Vec::new();
    for (coordinate, slope) in coordinates(&observed) {
        let of_sources = adjusted.slopes(coordinate);
        slopes.resize(of_sources.len(), 0.0);
        for (sum, part) in slopes.iter_mut().zip(of_sources) {
            *sum += slope * part;
        }
    }
    let variance: f64 = slopes.iter().map(|slope| slope * slope).sum();
    let (undetected, unchecked) = hidden(network, adjusted, &slopes);
    Some(Gap {
        value: observed.value,
        spread: spread(libm::sqrt(variance)),
        slopes,
        undetected,
        unchecked,
    })
}

/// What mistakes that are not found can do (Baarda's external reliability, from memory).
fn hidden(network: &TapeNetwork, adjusted: &Adjustment, slopes: &[f64]) -> (f64, Vec<usize>) {
    let (mut most, mut unchecked) = (0.0_f64, Vec::new());
    for ((index, reading), slope) in counted(network, &adjusted.set_aside).zip(slopes) {
        let Some(checked) = adjusted.readings.get(index).copied().flatten() else {
            continue;
        };
        match checked.detectable {
            Some(mistake) if checked.redundancy > 100.0 * NO_REDUNDANCY => {
                most = most.max((slope * mistake / sigma(reading)).abs());
            }
            _ if slope.abs() > MATTERS * sigma(reading).min(1.0) => unchecked.push(index),
            _ => {}
        }
    }
    (most, unchecked)
}

/// The tapes that would narrow the gap's spread most, the best first.
///
/// One more reading with row a and variance σ² takes (gᵀQa)²/(σ² + aᵀQa) off the gap's variance gᵀQg: the update of a
/// covariance by one observation.
pub fn next_tapes(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    clearance: &Clearance,
) -> Vec<NextTape> {
    if !is_tied(adjusted) {
        return Vec::new();
    }
    let of_gap = length(adjusted, clearance);
    let variance = covariance(adjusted, &of_gap, &of_gap);
    let sigma = network.parts().usual_spread / SPREADS_PER_SIGMA;
    let count = network.parts().points.len();
    let mut tapes: Vec<NextTape> = Vec::new();
    for from in 0..count {
        for to in from + 1..count {
            if is_blocked(network, from, to) {
                continue;
            }
            let of_tape = observe(Measured::Distance { from, to }, &adjusted.places);
            let together = covariance(adjusted, &of_gap, &of_tape);
            let own = sigma * sigma + covariance(adjusted, &of_tape, &of_tape);
            let left = (variance - together * together / own).max(0.0);
            tapes.push(NextTape {
                from,
                to,
                spread: spread(libm::sqrt(left)),
                again: is_taped(network, from, to),
            });
        }
    }
    // To a millionth of an inch: symmetric choices keep the order of the points.
    let key = |tape: &NextTape| libm::round(tape.spread * 1e6);
    order::sort_by(&mut tapes, |a, b| key(a).total_cmp(&key(b)));
    tapes.truncate(SUGGESTED);
    tapes
}
