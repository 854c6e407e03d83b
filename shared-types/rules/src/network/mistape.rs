//! The hunt for mistaped readings: one at a time, by normalised residuals (Baarda's data snooping, from memory).
//!
//! A normalised residual above 3.29 (one in a thousand on a sound reading) makes a reading *doubtful*: worth taping
//! again. A network has many readings, so calling one *mistaped* needs more: the critical value is raised until at most
//! one sound network in a thousand accuses anything at all (Šidák's inequality over the tests that differ; the bound by
//! χ² where it is lower). What cannot be told apart from the worst reading is named beside it, never passed over.

use super::adjust::{Adjustment, adjust, adjust_from};
use super::layout::{counted, sigma};
use super::likely::{Likely, likely_slips};
use super::loose::{is_tied, spread};
use super::mirror::preferred;
use super::model::TapeNetwork;
use super::observe::observe;
use super::settle::settle;
use crate::maths::chi_square::probability_above;
use crate::maths::normal::quantile;
use setdown_types::order;

/// The two-sided 0.1 % point of the normal distribution.
const DOUBTFUL: f64 = 3.290_526_731_491_926;
/// How often a sound network may accuse a reading.
const FALSE_ALARM: f64 = 0.001;
/// Two explanations are told apart when one fits better by this much in χ²: odds of 999 to 1, 2·ln 999.
const TOLD_APART: f64 = 13.813_509_558_3;
/// Residuals this strongly correlated show the same thing; which is wrong then hangs on what is too small to trust.
const SAME_TEST: f64 = 0.98;
/// Tests this strongly correlated are one test.
const ONE_TEST: f64 = 0.999;
/// At most so many mistakes are looked for.
const MOST_ROUNDS: usize = 8;
/// At most so many explanations are fitted anew in one round.
const MOST_REFITS: usize = 16;
/// In networks with more readings than this fewer are, so that the time stays bounded: the linear estimate serves.
const MANY_READINGS: usize = 80;
/// How many then.
const FEW_REFITS: usize = 4;

/// What the hunt found.
#[derive(Clone, Debug)]
pub struct Hunt {
    /// All readings adjusted together.
    pub before: Adjustment,
    /// The network without the readings that were set aside.
    pub after: Adjustment,
    /// The mistakes, in the order in which they were found.
    pub found: Vec<Mistaped>,
}

/// One mistake: the likeliest reading first, and all that would explain it as well.
#[derive(Clone, Debug, PartialEq)]
pub struct Mistaped {
    /// The readings it can be.
    pub suspects: Vec<Suspect>,
    /// Whether it is certain that there is a mistake; otherwise a reading is only worth taping again.
    pub sure: bool,
    /// The critical value that the first normalised residual was compared with.
    pub critical: f64,
    /// Whether the suspects were set aside, so that the drawing no longer rests on them.
    pub set_aside: bool,
}

/// A reading that may be the mistaped one.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// Its position.
    pub reading: usize,
    /// Its normalised residual in that round.
    pub normalised: f64,
    /// What it has too much if it is the one, inches (degrees for a right angle).
    pub excess: f64,
    /// The spread of that.
    pub excess_spread: f64,
    /// Slips that would explain it.
    pub slips: Vec<Likely>,
}

/// Looks for mistakes and sets aside what is mistaped beyond doubt, as long as the rest still ties the network.
pub fn hunt(network: &TapeNetwork) -> Hunt {
    let before = drawn(network, &[]);
    let mut after = before.clone();
    let mut found: Vec<Mistaped> = Vec::new();
    while found.len() < MOST_ROUNDS {
        let Some(mut mistaped) = worst(network, &after) else {
            break;
        };
        let next = mistaped
            .sure
            .then(|| without_suspects(network, &after, &mistaped))
            .flatten();
        mistaped.set_aside = next.is_some();
        found.push(mistaped);
        match next {
            Some(adjusted) => after = adjusted,
            None => break,
        }
    }
    if !after.set_aside.is_empty() {
        after = drawn(network, &after.set_aside);
    }
    Hunt {
        before,
        after,
        found,
    }
}

/// The network adjusted, drawn the way it is shown where several drawings fit alike.
fn drawn(network: &TapeNetwork, set_aside: &[usize]) -> Adjustment {
    let adjusted = adjust(network, set_aside);
    if !is_tied(&adjusted) {
        return adjusted;
    }
    match preferred(network, &adjusted) {
        Some(state) => {
            let mut shown = adjust_from(network, set_aside, &state);
            shown.rivals = adjusted.rivals;
            shown
        }
        None => adjusted,
    }
}

/// The network without all suspects of a mistake, if the rest still ties it.
fn without_suspects(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    mistaped: &Mistaped,
) -> Option<Adjustment> {
    let mut set_aside = adjusted.set_aside.clone();
    set_aside.extend(mistaped.suspects.iter().map(|suspect| suspect.reading));
    order::sort(&mut set_aside);
    let next = adjust_from(network, &set_aside, &adjusted.state);
    is_tied(&next).then_some(next)
}

/// One test of the round: row of the problem, position of the reading, normalised residual.
type Test = (usize, usize, f64);

/// The mistake that shows most, if any does.
fn worst(network: &TapeNetwork, adjusted: &Adjustment) -> Option<Mistaped> {
    if adjusted.degrees == 0 || !is_tied(adjusted) {
        return None;
    }
    let mut tests: Vec<Test> = Vec::new();
    for (row, (index, _)) in counted(network, &adjusted.set_aside).enumerate() {
        let checked = adjusted.readings.get(index).copied().flatten();
        if let Some(normalised) = checked.and_then(|checked| checked.normalised) {
            tests.push((row, index, normalised));
        }
    }
    let critical = critical_value(adjusted, &tests);
    order::sort_by(&mut tests, |a, b| {
        b.2.abs().total_cmp(&a.2.abs()).then(a.0.cmp(&b.0))
    });
    let top = tests.first()?.2.abs();
    if top <= DOUBTFUL {
        return None;
    }
    let explanations = explanations(network, adjusted, &tests, top);
    let (best_chi, best_row) = explanations.iter().map(|e| (e.chi_square, e.row)).next()?;
    let is_suspect = |e: &&Explanation| {
        e.chi_square - best_chi < TOLD_APART
            || correlation(adjusted, e.row, best_row).abs() >= SAME_TEST
    };
    let suspects = explanations
        .iter()
        .filter(is_suspect)
        .map(|e| e.suspect.clone());
    Some(Mistaped {
        suspects: suspects.collect(),
        sure: top > critical,
        critical,
        set_aside: false,
    })
}

struct Explanation {
    row: usize,
    /// χ² of the network without the reading.
    chi_square: f64,
    suspect: Suspect,
}

/// What is left when each of the worst readings is taken out in turn; the best fit first.
fn explanations(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    tests: &[Test],
    top: f64,
) -> Vec<Explanation> {
    let refits = if tests.len() > MANY_READINGS {
        FEW_REFITS
    } else {
        MOST_REFITS
    };
    let worth_trying = tests.iter().filter(|test| test.2.abs() >= 0.5 * top);
    let mut found: Vec<Explanation> = worth_trying
        .enumerate()
        .filter_map(|(place, test)| explanation(network, adjusted, *test, place < refits))
        .collect();
    // Rounded to a millionth, so that fits that are equal in exact arithmetic keep the order of the readings.
    let scale = 1e-6 * (1.0 + adjusted.chi_square);
    let key = |e: &Explanation| libm::round(e.chi_square / scale);
    order::sort_by(&mut found, |a, b| {
        key(a).total_cmp(&key(b)).then(a.row.cmp(&b.row))
    });
    found
}

fn explanation(
    network: &TapeNetwork,
    adjusted: &Adjustment,
    (row, index, normalised): Test,
    refit: bool,
) -> Option<Explanation> {
    let reading = network.parts().readings.get(index)?;
    let checked = adjusted.readings.get(index).copied().flatten()?;
    let (chi_square, excess) = if refit {
        let mut set_aside = adjusted.set_aside.clone();
        set_aside.push(index);
        let settled = settle(
            network,
            &adjusted.layout,
            &set_aside,
            adjusted.state.clone(),
        );
        let expected = observe(reading.measured, &settled.state.places).value;
        (settled.chi_square, reading.value - expected)
    } else {
        let chi_square = adjusted.chi_square - normalised * normalised;
        (chi_square, checked.excess.unwrap_or(0.0))
    };
    let excess_spread = spread(sigma(reading) / libm::sqrt(checked.redundancy));
    let slips = if reading.measured.is_taped() {
        let size = reading.value.abs();
        let sign = if reading.value < 0.0 { -1.0 } else { 1.0 };
        likely_slips(size, size - sign * excess, excess_spread)
    } else {
        Vec::new()
    };
    Some(Explanation {
        row,
        chi_square,
        suspect: Suspect {
            reading: index,
            normalised,
            excess,
            excess_spread,
            slips,
        },
    })
}

/// The correlation of two normalised residuals.
fn correlation(adjusted: &Adjustment, one: usize, other: usize) -> f64 {
    let product = adjusted.residual_cofactor(one, one) * adjusted.residual_cofactor(other, other);
    if product > 0.0 {
        adjusted.residual_cofactor(one, other) / libm::sqrt(product)
    } else {
        0.0
    }
}

/// The value that the largest normalised residual of a sound network exceeds once in a thousand networks, or less.
fn critical_value(adjusted: &Adjustment, tests: &[Test]) -> f64 {
    let mut different: Vec<usize> = Vec::new();
    for (row, _, _) in tests {
        let same = |other: &usize| correlation(adjusted, *row, *other).abs() > ONE_TEST;
        if !different.iter().any(same) {
            different.push(*row);
        }
    }
    let each = -libm::expm1(libm::log1p(-FALSE_ALARM) / different.len().max(1) as f64);
    let by_tests = quantile(1.0 - 0.5 * each).unwrap_or(f64::INFINITY);
    by_tests.min(by_chi_square(adjusted.degrees)).max(DOUBTFUL)
}

/// No normalised residual squared is above the network's χ², so χ²'s own limit bounds them all.
fn by_chi_square(degrees: u32) -> f64 {
    let (mut low, mut high) = (0.0, 1e4);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if probability_above(middle, degrees) > FALSE_ALARM {
            low = middle;
        } else {
            high = middle;
        }
    }
    libm::sqrt(high)
}
