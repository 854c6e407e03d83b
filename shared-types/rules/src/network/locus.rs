//! Circles and lines on which one reading puts a point, and where two of them meet.

use super::model::Measured;
use super::observe::towards;
use super::settle::Place;

/// Where a point may lie, given the others.
#[derive(Clone, Copy, Debug)]
pub(super) enum Locus {
    Circle { middle: Place, radius: f64 },
    Line { through: Place, direction: [f64; 2] },
}

pub(super) fn step(from: Place, direction: [f64; 2], length: f64) -> Place {
    [
        from[0] + direction[0] * length,
        from[1] + direction[1] * length,
    ]
}

/// Where one reading puts a point, its other points being placed.
pub(super) fn locus(
    measured: Measured,
    value: f64,
    places: &[Place],
    point: usize,
) -> Option<Locus> {
    let at = |index: usize| super::observe::place(places, index);
    match measured {
        Measured::Distance { from, to } => {
            let other = if from == point { to } else { from };
            Some(Locus::Circle {
                middle: at(other),
                radius: value,
            })
        }
        Measured::Square {
            at: corner,
            first,
            second,
        } if corner == point => {
            let (length, u) = towards(at(first), at(second));
            Some(Locus::Circle {
                middle: step(at(first), u, 0.5 * length),
                radius: 0.5 * length,
            })
        }
        Measured::Square {
            at: corner,
            first,
            second,
        } => {
            let arm = if first == point { second } else { first };
            let (_, [ux, uy]) = towards(at(corner), at(arm));
            line(at(corner), [-uy, ux])
        }
        Measured::Straight {
            from,
            to,
            point: between,
        } => {
            let (one, other) = match point {
                p if p == from => (to, between),
                p if p == to => (from, between),
                _ => (from, to),
            };
            line(at(one), towards(at(one), at(other)).1)
        }
        Measured::Along {
            from,
            to,
            point: off,
        } if off == point => {
            let (_, [ux, uy]) = towards(at(from), at(to));
            line(step(at(from), [ux, uy], value), [-uy, ux])
        }
        Measured::Across {
            from,
            to,
            point: off,
        } if off == point => {
            let (_, [ux, uy]) = towards(at(from), at(to));
            line(step(at(from), [-uy, ux], value), [ux, uy])
        }
        // A baseline is placed before what is measured from it.
        Measured::Along { .. } | Measured::Across { .. } => None,
    }
}

/// A line, unless it has no direction.
fn line(through: Place, direction: [f64; 2]) -> Option<Locus> {
    (direction != [0.0, 0.0]).then_some(Locus::Line { through, direction })
}

pub(super) fn meet(one: Locus, other: Locus) -> Vec<Place> {
    match (one, other) {
        (
            Locus::Circle { middle, radius },
            Locus::Circle {
                middle: middle_2,
                radius: radius_2,
            },
        ) => circles_meet(middle, radius, middle_2, radius_2),
        (Locus::Circle { middle, radius }, Locus::Line { through, direction })
        | (Locus::Line { through, direction }, Locus::Circle { middle, radius }) => {
            circle_meets_line(middle, radius, through, direction)
        }
        (
            Locus::Line { through, direction },
            Locus::Line {
                through: through_2,
                direction: direction_2,
            },
        ) => lines_meet(through, direction, through_2, direction_2),
    }
}

/// Both meeting points, left of the way from the first middle to the second one first; where the circles miss each
/// other, the point between them.
fn circles_meet(middle: Place, radius: f64, other: Place, other_radius: f64) -> Vec<Place> {
    let (apart, [ux, uy]) = towards(middle, other);
    if apart <= 0.0 {
        return Vec::new();
    }
    let along = 0.5 * (apart + (radius * radius - other_radius * other_radius) / apart);
    let along = along.clamp(-radius, radius);
    let across = libm::sqrt((radius * radius - along * along).max(0.0));
    let foot = step(middle, [ux, uy], along);
    if across <= 0.0 {
        return vec![foot];
    }
    vec![
        step(foot, [-uy, ux], across),
        step(foot, [-uy, ux], -across),
    ]
}

fn circle_meets_line(middle: Place, radius: f64, through: Place, u: [f64; 2]) -> Vec<Place> {
    let (dx, dy) = (middle[0] - through[0], middle[1] - through[1]);
    let foot = step(through, u, dx * u[0] + dy * u[1]);
    let (off, _) = towards(middle, foot);
    let half = libm::sqrt((radius * radius - off * off).max(0.0));
    if half <= 0.0 {
        return vec![foot];
    }
    vec![step(foot, u, half), step(foot, u, -half)]
}

fn lines_meet(through: Place, u: [f64; 2], other: Place, v: [f64; 2]) -> Vec<Place> {
    let turn = u[0] * v[1] - u[1] * v[0];
    if turn.abs() < 1e-6 {
        return Vec::new();
    }
    let (dx, dy) = (other[0] - through[0], other[1] - through[1]);
    vec![step(through, u, (dx * v[1] - dy * v[0]) / turn)]
}
