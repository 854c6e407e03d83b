//! From a chain of free cells to a line of poses: one pose in what each two neighbouring cells have in common, so that
//! every straight stretch stays inside one cell.

use super::cells::{Cell, Cells, radians};
use super::yard::{Place, Yard};

/// Slack in inches for a pose on the border of two cells; far below the margin of the cells' bounds.
const SLACK: f64 = 3e-8;

/// Poses from start to goal, headings unwrapped.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Track {
    pub places: Vec<Place>,
}

impl Track {
    /// Straight from one pose to another, for a yard with nothing in it.
    pub fn straight(start: Place, goal: Place, either_end: bool) -> Self {
        let period = if either_end { 1.0 } else { 2.0 } * core::f64::consts::PI;
        let goal = Place {
            heading: nearest(goal.heading, start.heading, period),
            ..goal
        };
        Track {
            places: vec![start, goal],
        }
    }
}

/// Two cells that were taken to touch, but have nothing in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Apart(pub u32, pub u32);

/// The line of poses along a chain of cells.
pub(super) fn track(cells: &Cells, yard: &Yard, chain: &[u32]) -> Result<Track, Apart> {
    let period = radians(f64::from(cells.period()));
    let mut places = vec![yard.start];
    let mut heading = yard.start.heading;
    for pair in chain.windows(2) {
        let [one, other] = pair else { continue };
        let (at, shared) = crossing(cells, *one, *other).ok_or(Apart(*one, *other))?;
        heading = nearest(shared, heading, period);
        places.push(Place { at, heading });
    }
    places.push(Place {
        at: yard.goal.at,
        heading: nearest(yard.goal.heading, heading, period),
    });
    Ok(Track { places })
}

/// `angle` plus the whole number of periods that brings it nearest to `other`.
fn nearest(angle: f64, other: f64, period: f64) -> f64 {
    angle + libm::round((other - angle) / period) * period
}

/// A pose that two cells have in common.
fn crossing(cells: &Cells, one: u32, other: u32) -> Option<([f64; 2], f64)> {
    let (one, other) = (cells.get(one)?, cells.get(other)?);
    let region = one.polygon.common(&other.polygon, SLACK);
    if region.is_empty() {
        return None;
    }
    let count = region.len() as f64;
    let sum = region
        .iter()
        .fold([0.0, 0.0], |sum, c| [sum[0] + c[0], sum[1] + c[1]]);
    Some((
        [sum[0] / count, sum[1] / count],
        shared_heading(cells, one, other)?,
    ))
}

fn shared_heading(cells: &Cells, one: &Cell, other: &Cell) -> Option<f64> {
    let low = one.low.max(other.low);
    let high = one.high.min(other.high);
    if low <= high {
        return Some(radians(0.5 * (f64::from(low) + f64::from(high))));
    }
    let wraps = (one.low == 0 && other.high == cells.period())
        || (other.low == 0 && one.high == cells.period());
    wraps.then_some(0.0)
}
