//! From a rough start to the least-squares places: Gauss-Newton steps, damped after Levenberg and Marquardt.

use super::layout::{Layout, Problem, chi_square, problem};
use super::model::TapeNetwork;
use crate::maths::matrix::{Matrix, dot, least_squares};

/// x and y in inches.
pub type Place = [f64; 2];

/// Values of all unknowns.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct State {
    /// Where the points are.
    pub places: Vec<Place>,
    /// Zero and scale of the tapes in units of their σ, by column after those of the places.
    pub shared: Vec<f64>,
    /// How many columns come before those.
    pub place_columns: usize,
}

impl State {
    /// These places, the tapes as they should be.
    pub(super) fn new(places: Vec<Place>, layout: &Layout) -> Self {
        Self {
            places,
            shared: vec![0.0; layout.columns - layout.place_columns],
            place_columns: layout.place_columns,
        }
    }

    /// The value of a tape's unknown; 0 without one.
    pub(super) fn of_column(&self, column: Option<usize>) -> f64 {
        column
            .and_then(|column| column.checked_sub(self.place_columns))
            .and_then(|index| self.shared.get(index).copied())
            .unwrap_or(0.0)
    }

    fn moved(&self, layout: &Layout, step: &[f64]) -> Self {
        let part =
            |column: &Option<usize>| column.and_then(|c| step.get(c)).copied().unwrap_or(0.0);
        let mut moved = self.clone();
        for (place, [x, y]) in moved.places.iter_mut().zip(&layout.places) {
            *place = [place[0] + part(x), place[1] + part(y)];
        }
        for (value, change) in moved
            .shared
            .iter_mut()
            .zip(step.iter().skip(self.place_columns))
        {
            *value += change;
        }
        moved
    }
}

/// A state and how badly it fits.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Settled {
    pub state: State,
    pub chi_square: f64,
}

const MOST_STEPS: usize = 80;
const MOST_DAMPINGS: usize = 12;
/// Inches (and σ of a tape) below which a step no longer matters.
const STILL: f64 = 1e-9;

/// The least-squares state reached from `start`, without the readings set aside.
pub(super) fn settle(
    network: &TapeNetwork,
    layout: &Layout,
    set_aside: &[usize],
    start: State,
) -> Settled {
    let mut best = Settled {
        chi_square: chi_square(network, layout, set_aside, &start),
        state: start,
    };
    let mut damping = 1e-3;
    for _ in 0..MOST_STEPS {
        let near = problem(network, layout, set_aside, &best.state);
        let Some((next, moved)) =
            damped_step(network, layout, set_aside, &near, &best, &mut damping)
        else {
            break;
        };
        best = next;
        if moved < STILL {
            break;
        }
    }
    best
}

/// The first damped step that does not make the fit worse, and the largest change in it.
fn damped_step(
    network: &TapeNetwork,
    layout: &Layout,
    set_aside: &[usize],
    near: &Problem,
    from: &Settled,
    damping: &mut f64,
) -> Option<(Settled, f64)> {
    for _ in 0..MOST_DAMPINGS {
        let step = solve_damped(near, *damping);
        if let Some(step) = step {
            let state = from.state.moved(layout, &step);
            let chi_square = chi_square(network, layout, set_aside, &state);
            if chi_square <= from.chi_square {
                *damping = if *damping < 1e-9 {
                    0.0
                } else {
                    *damping * 0.05
                };
                let moved = step.iter().fold(0.0_f64, |most, part| most.max(part.abs()));
                return Some((Settled { state, chi_square }, moved));
            }
        }
        *damping = (*damping * 10.0).max(1e-6);
    }
    None
}

/// Least squares with a row under every column that pulls its step towards nothing.
fn solve_damped(near: &Problem, damping: f64) -> Option<Vec<f64>> {
    let design = &near.design;
    if damping <= 0.0 {
        return least_squares(design.clone(), near.misfits.clone());
    }
    let (rows, columns) = (design.rows(), design.columns());
    let lengths: Vec<f64> = (0..columns)
        .map(|column| libm::sqrt(dot(design.column(column), design.column(column))))
        .collect();
    let longest = lengths
        .iter()
        .fold(0.0_f64, |most, length| most.max(*length));
    let mut larger = Matrix::zeros(rows + columns, columns);
    for (column, length) in lengths.iter().enumerate() {
        for (row, value) in design.column(column).iter().enumerate() {
            larger.set(row, column, *value);
        }
        let pull = length.max(1e-3 * longest).max(1e-9);
        larger.set(rows + column, column, libm::sqrt(damping) * pull);
    }
    let mut right = near.misfits.clone();
    right.resize(rows + columns, 0.0);
    least_squares(larger, right)
}
