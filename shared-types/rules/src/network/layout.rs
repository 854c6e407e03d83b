//! Which column of the least-squares problem belongs to which unknown, and the problem itself near a state.

use super::model::{Reading, TapeNetwork};
use super::observe::observe;
use super::settle::State;
use crate::frame::spread::SPREADS_PER_SIGMA;
use crate::maths::matrix::Matrix;

/// Columns of the unknowns. The origin has none and the point along x has only x.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// For every point, its columns for x and y.
    pub places: Vec<[Option<usize>; 2]>,
    /// For every tape, the column of its zero and of its scale, each in units of its own σ.
    pub tapes: Vec<[Option<usize>; 2]>,
    /// How many columns belong to places; they come first.
    pub place_columns: usize,
    /// How many there are in all.
    pub columns: usize,
}

impl Layout {
    pub(super) fn of(network: &TapeNetwork) -> Self {
        let parts = network.parts();
        let mut next = 0;
        let mut column = |wanted: bool| {
            wanted.then(|| {
                next += 1;
                next - 1
            })
        };
        let places = (0..parts.points.len())
            .map(|point| {
                let free = point != parts.frame.origin;
                [column(free), column(free && point != parts.frame.along)]
            })
            .collect();
        let tapes = (parts.tapes.iter())
            .map(|tape| {
                [
                    column(tape.zero_spread > 0.0),
                    column(tape.scale_spread > 0.0),
                ]
            })
            .collect::<Vec<_>>();
        let in_tapes = tapes.iter().flatten().flatten().count();
        Self {
            places,
            tapes,
            place_columns: next - in_tapes,
            columns: next,
        }
    }

    /// Columns of a tape's zero and scale.
    fn of_tape(&self, tape: Option<usize>) -> [Option<usize>; 2] {
        tape.and_then(|tape| self.tapes.get(tape).copied())
            .unwrap_or([None, None])
    }
}

/// The problem near a state, every row divided by its σ.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    /// Derivatives of every reading, then one row for each unknown of a tape that keeps it near what is usual.
    pub design: Matrix,
    /// Readings minus what they should be.
    pub misfits: Vec<f64>,
}

/// What a reading shows in a state: the place's share stretched by the tape's scale and shifted by its zero.
fn shown(network: &TapeNetwork, layout: &Layout, reading: &Reading, state: &State) -> Shown {
    let observed = observe(reading.measured, &state.places);
    let tape = reading
        .tape
        .and_then(|tape| network.parts().tapes.get(tape));
    let [zero_column, scale_column] = layout.of_tape(reading.tape);
    let (zero_sigma, scale_sigma) = tape.map_or((0.0, 0.0), |tape| {
        (
            tape.zero_spread / SPREADS_PER_SIGMA,
            tape.scale_spread / SPREADS_PER_SIGMA,
        )
    });
    let sign = if observed.value < 0.0 { -1.0 } else { 1.0 };
    let stretch = 1.0 + scale_sigma * state.of_column(scale_column);
    Shown {
        value: observed.value * stretch + sign * zero_sigma * state.of_column(zero_column),
        stretch,
        slopes: observed.slopes,
        of_tape: [
            (zero_column, sign * zero_sigma),
            (scale_column, observed.value * scale_sigma),
        ],
    }
}

struct Shown {
    value: f64,
    stretch: f64,
    slopes: [(usize, [f64; 2]); 3],
    of_tape: [(Option<usize>, f64); 2],
}

/// The σ of a reading.
pub(super) fn sigma(reading: &Reading) -> f64 {
    reading.spread / SPREADS_PER_SIGMA
}

/// The readings that count, by position.
pub(super) fn counted<'a>(
    network: &'a TapeNetwork,
    set_aside: &'a [usize],
) -> impl Iterator<Item = (usize, &'a Reading)> {
    (network.parts().readings.iter().enumerate()).filter(|(index, _)| !set_aside.contains(index))
}

/// Sets up the problem near a state, without the readings set aside.
pub(super) fn problem(
    network: &TapeNetwork,
    layout: &Layout,
    set_aside: &[usize],
    state: &State,
) -> Problem {
    let readings: Vec<&Reading> = counted(network, set_aside).map(|(_, r)| r).collect();
    let rows = readings.len() + layout.columns - layout.place_columns;
    let mut design = Matrix::zeros(rows, layout.columns);
    let mut misfits = vec![0.0; rows];
    for (row, (reading, misfit)) in readings.iter().zip(&mut misfits).enumerate() {
        let (shown, sigma) = (shown(network, layout, reading, state), sigma(reading));
        *misfit = (reading.value - shown.value) / sigma;
        for (point, slope) in shown.slopes {
            let columns = layout.places.get(point).copied().unwrap_or([None, None]);
            for (column, part) in columns.into_iter().zip(slope) {
                if let Some(column) = column {
                    design.add(row, column, part * shown.stretch / sigma);
                }
            }
        }
        for (column, part) in shown.of_tape {
            if let Some(column) = column {
                design.add(row, column, part / sigma);
            }
        }
    }
    for (row, misfit) in misfits.iter_mut().enumerate().skip(readings.len()) {
        let column = layout.place_columns + row - readings.len();
        design.set(row, column, 1.0);
        *misfit = -state.of_column(Some(column));
    }
    Problem { design, misfits }
}

/// The sum of the squares of all misfits.
pub(super) fn chi_square(
    network: &TapeNetwork,
    layout: &Layout,
    set_aside: &[usize],
    state: &State,
) -> f64 {
    let mut sum = 0.0;
    for (_, reading) in counted(network, set_aside) {
        let misfit =
            (reading.value - shown(network, layout, reading, state).value) / sigma(reading);
        sum += misfit * misfit;
    }
    for column in layout.place_columns..layout.columns {
        let off = state.of_column(Some(column));
        sum += off * off;
    }
    sum
}
