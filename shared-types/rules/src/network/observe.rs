//! What a reading would show if the points were where we think, and how that moves with each point.

use super::model::{Measured, Reading, Side, SideOf};
use super::settle::Place;

/// Degrees in one radian.
const DEGREES: f64 = 180.0 / core::f64::consts::PI;

/// A computed reading with its derivatives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Observed {
    /// Inches or degrees.
    pub value: f64,
    /// By x and y of each point; a point may come twice.
    pub slopes: [(usize, [f64; 2]); 3],
}

/// The place of a point; the origin for one that is not there.
pub(super) fn place(places: &[Place], point: usize) -> Place {
    places.get(point).copied().unwrap_or([0.0, 0.0])
}

/// The reading as it follows from the places.
pub(super) fn observe(measured: Measured, places: &[Place]) -> Observed {
    match measured {
        Measured::Distance { from, to } => distance(places, from, to),
        Measured::Square { at, first, second } => square(places, at, first, second),
        Measured::Straight { from, to, point } | Measured::Across { from, to, point } => {
            across(places, from, to, point)
        }
        Measured::Along { from, to, point } => along(places, from, to, point),
    }
}

/// From one place to another: the length and the direction of unit length; no direction where they coincide.
pub(super) fn towards(from: Place, to: Place) -> (f64, [f64; 2]) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = libm::sqrt(dx * dx + dy * dy);
    if length > 0.0 {
        (length, [dx / length, dy / length])
    } else {
        (0.0, [0.0, 0.0])
    }
}

/// d = |to − from|; its derivative by either end is the unit vector.
fn distance(places: &[Place], from: usize, to: usize) -> Observed {
    let (value, [ux, uy]) = towards(place(places, from), place(places, to));
    Observed {
        value,
        slopes: [(from, [-ux, -uy]), (to, [ux, uy]), (to, [0.0, 0.0])],
    }
}

/// The cosine of the angle, written in degrees: near a right angle that is how far it is from one.
fn square(places: &[Place], at: usize, first: usize, second: usize) -> Observed {
    let (long_a, a) = towards(place(places, at), place(places, first));
    let (long_b, b) = towards(place(places, at), place(places, second));
    let cosine = a[0] * b[0] + a[1] * b[1];
    // d(â·b̂)/da = (b̂ − (â·b̂)·â)/|a|, and the corner moves against both.
    let slope = |mine: [f64; 2], other: [f64; 2], length: f64| {
        if length > 0.0 {
            let part = |k: usize| DEGREES * (other[k] - cosine * mine[k]) / length;
            [part(0), part(1)]
        } else {
            [0.0, 0.0]
        }
    };
    let (by_first, by_second) = (slope(a, b, long_a), slope(b, a, long_b));
    let by_corner = [-by_first[0] - by_second[0], -by_first[1] - by_second[1]];
    Observed {
        value: DEGREES * cosine,
        slopes: [(first, by_first), (second, by_second), (at, by_corner)],
    }
}

/// The station and the offset of a point on a baseline, with the baseline's length and direction.
fn on_baseline(
    places: &[Place],
    from: usize,
    to: usize,
    point: usize,
) -> ([f64; 2], f64, [f64; 2]) {
    let start = place(places, from);
    let (length, u) = towards(start, place(places, to));
    let end = place(places, point);
    let (dx, dy) = (end[0] - start[0], end[1] - start[1]);
    ([u[0] * dx + u[1] * dy, u[0] * dy - u[1] * dx], length, u)
}

/// The station s = û·(p − a). Turning the baseline moves it by the offset h.
fn along(places: &[Place], from: usize, to: usize, point: usize) -> Observed {
    let ([station, offset], length, [ux, uy]) = on_baseline(places, from, to, point);
    let turn = if length > 0.0 { offset / length } else { 0.0 };
    let by_to = [-turn * uy, turn * ux];
    Observed {
        value: station,
        slopes: [
            (point, [ux, uy]),
            (to, by_to),
            (from, [-ux - by_to[0], -uy - by_to[1]]),
        ],
    }
}

/// The offset h = û × (p − a), left positive. Turning the baseline moves it by minus the station s.
fn across(places: &[Place], from: usize, to: usize, point: usize) -> Observed {
    let ([station, offset], length, [ux, uy]) = on_baseline(places, from, to, point);
    let turn = if length > 0.0 { station / length } else { 0.0 };
    let by_to = [turn * uy, -turn * ux];
    Observed {
        value: offset,
        slopes: [
            (point, [-uy, ux]),
            (to, by_to),
            (from, [uy - by_to[0], -ux - by_to[1]]),
        ],
    }
}

/// Whether a point lies where it was seen to lie; on the line counts for both sides.
pub(super) fn side_holds(side: &SideOf, places: &[Place]) -> bool {
    let offset = across(places, side.from, side.to, side.point).value;
    match side.side {
        Side::Left => offset >= 0.0,
        Side::Right => offset <= 0.0,
    }
}

/// Whether a point that was said to lie on the line from one point to another lies between them, but for its spread;
/// everything else holds always.
pub(super) fn order_holds(reading: &Reading, places: &[Place]) -> bool {
    let Measured::Straight { from, to, point } = reading.measured else {
        return true;
    };
    let ([station, _], length, _) = on_baseline(places, from, to, point);
    station >= -reading.spread && station <= length + reading.spread
}
