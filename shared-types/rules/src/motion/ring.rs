//! Rings of corners: whether one is simple, and whether a point lies inside.

use core::cmp::Ordering;
use setdown_types::order;

/// Takes out corners that repeat their neighbour, such as a last one that closes the ring.
pub(super) fn tidy(ring: &mut Vec<[f64; 2]>) {
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
}

/// Why a tidy ring is no outline of a solid, if so. A ring may touch itself; it may not cross itself.
pub(super) fn check(ring: &[[f64; 2]]) -> Result<(), String> {
    if ring.len() < 3 {
        return Err("must have at least three different corners".to_owned());
    }
    if doubled_area(ring) == 0.0 {
        return Err("encloses no area; give the thing at least a small width".to_owned());
    }
    match crossing(ring) {
        None => Ok(()),
        Some((one, other)) => Err(format!(
            "crosses itself: the side after corner {one} crosses the side after corner {other}; list the corners in \
             order round the outline"
        )),
    }
}

fn doubled_area(ring: &[[f64; 2]]) -> f64 {
    let Some(first) = ring.first() else {
        return 0.0;
    };
    sides(ring).map(|(p, q)| turn(*first, p, q)).sum()
}

/// The sides of a ring as pairs of corners.
pub(super) fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter().copied().zip(next.copied())
}

/// Two sides that cross, by sweeping over x. Near linear for outlines that people draw; at worst quadratic, which the
/// limit on corners bounds.
fn crossing(ring: &[[f64; 2]]) -> Option<(usize, usize)> {
    let all: Vec<_> = sides(ring).collect();
    let mut order: Vec<usize> = (0..all.len()).collect();
    let left = |index: usize| all[index].0[0].min(all[index].1[0]);
    let right = |index: usize| all[index].0[0].max(all[index].1[0]);
    order::sort_by(&mut order, |a, b| {
        left(*a).partial_cmp(&left(*b)).unwrap_or(Ordering::Equal)
    });
    for (place, one) in order.iter().enumerate() {
        for other in &order[place + 1..] {
            if left(*other) > right(*one) {
                break;
            }
            if cross(all[*one], all[*other]) {
                return Some((*one.min(other), *one.max(other)));
            }
        }
    }
    None
}

/// Twice the signed area of a triangle: positive where it turns left.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Whether two segments cross in a point inside both.
fn cross((a, b): ([f64; 2], [f64; 2]), (c, d): ([f64; 2], [f64; 2])) -> bool {
    let opposite = |one: f64, other: f64| (one > 0.0 && other < 0.0) || (one < 0.0 && other > 0.0);
    opposite(turn(a, b, c), turn(a, b, d)) && opposite(turn(c, d, a), turn(c, d, b))
}

/// Whether a point lies inside a ring (even-odd rule). Points on the outline may fall either way.
pub(super) fn holds(ring: &[[f64; 2]], point: [f64; 2]) -> bool {
    let mut inside = false;
    for (p, q) in sides(ring) {
        if (p[1] > point[1]) != (q[1] > point[1]) {
            let share = (point[1] - p[1]) / (q[1] - p[1]);
            if point[0] < p[0] + share * (q[0] - p[0]) {
                inside = !inside;
            }
        }
    }
    inside
}
