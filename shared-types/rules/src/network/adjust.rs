//! The adjusted network: places with their covariance, and for every reading how well the others check it.

use super::layout::{Layout, chi_square, counted, problem, sigma};
use super::model::{Reading, SideOf, TapeNetwork};
use super::observe::{order_holds, side_holds};
use super::settle::{Place, Settled, State, settle};
use super::start::{framed, starts};
use crate::maths::chi_square::probability_above;
use crate::maths::matrix::{Singular, singular};
use crate::maths::normal::quantile;
use setdown_types::order;

/// A singular value so much smaller than the largest one is zero but for rounding.
const RANK_TOLERANCE: f64 = 1e-9;
/// A redundancy number below this is none.
pub(super) const NO_REDUNDANCY: f64 = 1e-6;
/// Significance 0.1 % two-sided and power 80 %, as is usual: 3.29 + 0.84 (Baarda; from memory, recomputed).
const DETECTABLE: [f64; 2] = [0.9995, 0.8];
/// How improbable a fit must be before more starts are tried.
const DOUBTFUL_FIT: f64 = 0.001;
/// Larger networks than this are tied so many times over that shaking their drawings finds nothing new.
const SHAKEN_POINTS: usize = 16;
/// How many drawings are carried to the end.
const CARRIED: usize = 8;

/// The network after adjustment.
#[derive(Clone, Debug)]
pub struct Adjustment {
    /// Places of the points in inches.
    pub places: Vec<Place>,
    /// The sum of squared residuals, each divided by its σ.
    pub chi_square: f64,
    /// How many readings there are beyond those needed.
    pub degrees: u32,
    /// The probability of so bad a fit if every spread is right and nothing is mistaped; 1 without redundancy.
    pub fit: f64,
    /// How many coordinates the readings determine.
    pub rank: usize,
    /// How many coordinates there are to determine.
    pub unknowns: usize,
    /// Singular values of the weighted problem, largest first, per inch.
    pub singular_values: Vec<f64>,
    /// By position of the reading; `None` for one that was set aside.
    pub readings: Vec<Option<Checked>>,
    pub(super) state: State,
    pub(super) layout: Layout,
    pub(super) set_aside: Vec<usize>,
    pub(super) svd: Singular,
    /// Singular values that count.
    pub(super) kept: usize,
    /// Other places that fit as well, found on the way.
    pub(super) rivals: Vec<Settled>,
}

/// How a reading stands against the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Checked {
    /// Adjusted minus read, inches or degrees.
    pub residual: f64,
    /// The share of a mistake that shows in its own residual, 0 to 1.
    pub redundancy: f64,
    /// The normalised residual v/(σ√r); `None` where nothing checks the reading.
    pub normalised: Option<f64>,
    /// What the reading has too much if only it is wrong, −v/r; `None` where nothing checks it.
    pub excess: Option<f64>,
    /// The smallest mistake that would be found 8 times in 10; `None` where none would be.
    pub detectable: Option<f64>,
}

/// The ellipse that says how well a point is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Half the long axis at one σ, inches.
    pub major: f64,
    /// Half the short axis at one σ, inches.
    pub minor: f64,
    /// Degrees from x to the long axis, 0 up to 180.
    pub heading: f64,
    /// What both are multiplied with to hold the truth 19 times in 20.
    pub to_95: f64,
}

/// Adjusts the network without the readings `set_aside`.
pub fn adjust(network: &TapeNetwork, set_aside: &[usize]) -> Adjustment {
    let layout = Layout::of(network);
    let mut minima = Vec::new();
    for places in starts(network, set_aside).into_iter().take(CARRIED) {
        carry(network, &layout, set_aside, places, &mut minima);
    }
    sort(network, &mut minima);
    let doubtful = minima.first().is_none_or(|best: &Settled| {
        probability_above(best.chi_square, degrees(network, &layout, set_aside)) < DOUBTFUL_FIT
    });
    if doubtful && network.parts().points.len() <= SHAKEN_POINTS {
        for places in shaken(network, &minima) {
            carry(network, &layout, set_aside, places, &mut minima);
        }
        sort(network, &mut minima);
    }
    finish(network, layout, set_aside, minima)
}

/// Adjusts again from places that are nearly right.
pub(super) fn adjust_from(network: &TapeNetwork, set_aside: &[usize], start: &State) -> Adjustment {
    let layout = Layout::of(network);
    let settled = settle(network, &layout, set_aside, start.clone());
    finish(network, layout, set_aside, vec![settled])
}

/// Readings beyond the unknowns, as if all unknowns were determined.
fn degrees(network: &TapeNetwork, layout: &Layout, set_aside: &[usize]) -> u32 {
    let readings = counted(network, set_aside).count();
    u32::try_from(readings.saturating_sub(layout.place_columns)).unwrap_or(0)
}

fn carry(
    network: &TapeNetwork,
    layout: &Layout,
    set_aside: &[usize],
    places: Vec<Place>,
    minima: &mut Vec<Settled>,
) {
    let mut settled = settle(network, layout, set_aside, State::new(places, layout));
    // The point along x may have ended up on the other side of the origin: that is the same drawing, turned round.
    settled.state.places = framed(network, settled.state.places);
    settled.chi_square = chi_square(network, layout, set_aside, &settled.state);
    let known = |other: &Settled| farthest_move(&other.state, &settled.state) < 0.05;
    if !minima.iter().any(known) {
        minima.push(settled);
    }
}

/// The farthest that any point lies from where it lies in another state, inches.
pub(super) fn farthest_move(one: &State, other: &State) -> f64 {
    (one.places.iter().zip(&other.places))
        .map(|(a, b)| super::observe::towards(*a, *b).0)
        .fold(0.0, f64::max)
}

/// How many stated sides and orders along lines a drawing breaks.
pub(super) fn broken_sides(network: &TapeNetwork, state: &State) -> usize {
    sides_broken(network, state).count() + orders_broken(network, state).count()
}

/// The stated sides that a drawing breaks, each with its place in the list.
pub(super) fn sides_broken<'n>(
    network: &'n TapeNetwork,
    state: &'n State,
) -> impl Iterator<Item = (usize, &'n SideOf)> {
    let sides = network.parts().sides.iter().enumerate();
    sides.filter(|(_, side)| !side_holds(side, &state.places))
}

/// The readings along lines whose order a drawing breaks.
pub(super) fn orders_broken<'n>(
    network: &'n TapeNetwork,
    state: &'n State,
) -> impl Iterator<Item = &'n Reading> {
    let readings = network.parts().readings.iter();
    readings.filter(|reading| !order_holds(reading, &state.places))
}

/// Best first: stated sides kept, then the better fit, then, between equal fits, the one more to the left.
fn sort(network: &TapeNetwork, minima: &mut [Settled]) {
    order::sort_by(minima, |a, b| {
        let broken = |s: &Settled| broken_sides(network, &s.state);
        (broken(a).cmp(&broken(b))).then(a.chi_square.total_cmp(&b.chi_square))
    });
    let Some(best) = minima.first().cloned() else {
        return;
    };
    let equal = |s: &Settled| {
        broken_sides(network, &s.state) == broken_sides(network, &best.state)
            && s.chi_square <= best.chi_square + 1e-6 * (1.0 + best.chi_square)
    };
    let count = minima.iter().take_while(|s| equal(s)).count();
    if let Some(equals) = minima.get_mut(..count) {
        order::sort_by(equals, |a, b| more_left(&a.state, &b.state));
    }
}

/// Compares the first point that lies on different sides of x in two states: left of it comes first.
pub(super) fn more_left(one: &State, other: &State) -> core::cmp::Ordering {
    for ([_, a], [_, b]) in one.places.iter().zip(&other.places) {
        if (a - b).abs() > 1e-3 {
            return b.total_cmp(a);
        }
    }
    core::cmp::Ordering::Equal
}

/// Drawings near the best ones with every point moved by up to a tenth of the yard, always by the same amounts.
fn shaken(network: &TapeNetwork, minima: &[Settled]) -> Vec<Vec<Place>> {
    let mut drawings = Vec::new();
    let mut seed = 0x5EED_u64;
    let mut next = || {
        // SplitMix64.
        seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = seed;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
    };
    for best in minima.iter().take(2) {
        let extent =
            (best.state.places.iter().flatten()).fold(1.0_f64, |most, c| most.max(c.abs()));
        for _ in 0..4 {
            let shaken = (best.state.places.iter())
                .map(|[x, y]| [x + 0.2 * extent * next(), y + 0.2 * extent * next()])
                .collect();
            drawings.push(framed(network, shaken));
        }
    }
    drawings
}

fn finish(
    network: &TapeNetwork,
    layout: Layout,
    set_aside: &[usize],
    mut minima: Vec<Settled>,
) -> Adjustment {
    let best = if minima.is_empty() {
        Settled {
            state: State::new(vec![[0.0, 0.0]; network.parts().points.len()], &layout),
            chi_square: 0.0,
        }
    } else {
        minima.remove(0)
    };
    let near = problem(network, &layout, set_aside, &best.state);
    let svd = singular(&near.design);
    let largest = svd.values.first().copied().unwrap_or(0.0);
    let kept = (svd.values.iter())
        .take_while(|value| **value > RANK_TOLERANCE * largest)
        .count();
    let beyond = near.misfits.len().saturating_sub(kept);
    let degrees = u32::try_from(beyond).unwrap_or(u32::MAX);
    let mut readings = vec![None; network.parts().readings.len()];
    for (row, (index, reading)) in counted(network, set_aside).enumerate() {
        if let (Some(place), Some(misfit)) = (readings.get_mut(index), near.misfits.get(row)) {
            *place = Some(checked(
                redundancy(&svd, kept, row),
                *misfit,
                sigma(reading),
            ));
        }
    }
    let shared = layout.columns - layout.place_columns;
    Adjustment {
        places: best.state.places.clone(),
        chi_square: best.chi_square,
        degrees,
        fit: if degrees == 0 {
            1.0
        } else {
            probability_above(best.chi_square, degrees)
        },
        rank: kept.saturating_sub(shared),
        unknowns: layout.place_columns,
        singular_values: svd.values.clone(),
        readings,
        state: best.state,
        layout,
        set_aside: set_aside.to_vec(),
        svd,
        kept,
        rivals: minima,
    }
}

/// 1 minus the reading's leverage, the squared length of its row of U.
fn redundancy(svd: &Singular, kept: usize, row: usize) -> f64 {
    let leverage: f64 = (0..kept)
        .map(|k| svd.left.at(row, k) * svd.left.at(row, k))
        .sum();
    (1.0 - leverage).clamp(0.0, 1.0)
}

/// `misfit` is read minus adjusted, in σ.
fn checked(redundancy: f64, misfit: f64, sigma: f64) -> Checked {
    let residual = -misfit * sigma;
    let seen = redundancy > NO_REDUNDANCY;
    let root = libm::sqrt(redundancy);
    let [significance, power] = DETECTABLE.map(|p| quantile(p).unwrap_or(0.0));
    Checked {
        residual,
        redundancy,
        normalised: seen.then(|| residual / (sigma * root)),
        excess: seen.then(|| -residual / redundancy),
        detectable: seen.then(|| (significance + power) * sigma / root),
    }
}

impl Adjustment {
    /// The covariance of two unknowns by column, square inches.
    pub(super) fn covariance(&self, one: usize, other: usize) -> f64 {
        let mut sum = 0.0;
        for (k, value) in self.svd.values.iter().enumerate().take(self.kept) {
            sum += self.svd.right.at(one, k) * self.svd.right.at(other, k) / (value * value);
        }
        sum
    }

    /// The covariance of two coordinates; `axis` 0 is x and 1 is y. Square inches; 0 for what the frame fixes.
    pub fn covariance_of(&self, one: (usize, usize), other: (usize, usize)) -> f64 {
        match (self.column(one), self.column(other)) {
            (Some(a), Some(b)) => self.covariance(a, b),
            _ => 0.0,
        }
    }

    fn column(&self, (point, axis): (usize, usize)) -> Option<usize> {
        *self.layout.places.get(point)?.get(axis)?
    }

    /// How far a coordinate moves when one of the independent sources of error moves by one σ of its own.
    ///
    /// The sources are the readings that count, in order, then the zeros and scales of the tapes.
    pub fn slopes(&self, coordinate: (usize, usize)) -> Vec<f64> {
        let sources = self.svd.left.rows();
        let Some(column) = self.column(coordinate) else {
            return vec![0.0; sources];
        };
        let mut slopes = vec![0.0; sources];
        for (k, value) in self.svd.values.iter().enumerate().take(self.kept) {
            let weight = self.svd.right.at(column, k) / value;
            for (slope, part) in slopes.iter_mut().zip(self.svd.left.column(k)) {
                *slope += weight * part;
            }
        }
        slopes
    }

    /// The cofactor of two residuals, by row of the problem: 1 on the diagonal minus what the adjustment took up.
    pub(super) fn residual_cofactor(&self, one: usize, other: usize) -> f64 {
        let taken: f64 = (0..self.kept)
            .map(|k| self.svd.left.at(one, k) * self.svd.left.at(other, k))
            .sum();
        if one == other { 1.0 - taken } else { -taken }
    }

    /// The error ellipse of a point.
    pub fn ellipse(&self, point: usize) -> Ellipse {
        let of = |a, b| self.covariance_of((point, a), (point, b));
        let (xx, xy, yy) = (of(0, 0), of(0, 1), of(1, 1));
        let half_sum = 0.5 * (xx + yy);
        let half_difference = 0.5 * (xx - yy);
        let root = libm::sqrt(half_difference * half_difference + xy * xy);
        let degrees = 0.5 * libm::atan2(2.0 * xy, xx - yy) * 180.0 / core::f64::consts::PI;
        let minor = libm::sqrt((half_sum - root).max(0.0));
        let major = libm::sqrt(half_sum + root);
        // A point that can only move along x is known to ±1.96 σ; one that can move in the plane to √χ²(95 %, 2).
        let flat = minor <= 1e-9 * major;
        Ellipse {
            major,
            minor: if flat { 0.0 } else { minor },
            heading: if degrees < 0.0 {
                degrees + 180.0
            } else {
                degrees
            },
            to_95: if flat {
                1.959_963_984_540_054
            } else {
                ELLIPSE_95
            },
        }
    }
}

/// √(−2·ln 0.05): the factor that makes a one-σ ellipse hold the truth 19 times in 20.
const ELLIPSE_95: f64 = 2.447_746_830_680_816;
