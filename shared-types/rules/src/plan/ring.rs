//! Whether a ring of corners is one: at least three, none twice in a row, nowhere crossing or touching itself.

/// What is wrong with a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RingFault {
    /// Fewer than three corners.
    TooFew,
    /// A corner, by position, lies on the one after it.
    Doubled(usize),
    /// Two sides, by the positions of their first corners, cross or touch.
    Crosses(usize, usize),
    /// It encloses nothing.
    Empty,
    /// A number is infinite or not a number.
    NotFinite,
}

/// Sides nearer than this are taken to touch, inches: a thousandth of what any tape reads.
pub(super) const TOUCHES: f64 = 1e-6;

/// Checks a ring; its last corner is joined to its first. Takes time with the square of the number of corners, which
/// readers limit.
///
/// # Errors
/// The first fault found.
pub fn check_ring(ring: &[[f64; 2]]) -> Result<(), RingFault> {
    let count = ring.len();
    if !ring.iter().flatten().all(|value| value.is_finite()) {
        return Err(RingFault::NotFinite);
    }
    if count < 3 {
        return Err(RingFault::TooFew);
    }
    let sides: Vec<Side> = sides(ring).collect();
    if let Some(short) = sides
        .iter()
        .position(|(from, to)| length(*from, *to) <= TOUCHES)
    {
        return Err(RingFault::Doubled(short));
    }
    for (first, one) in sides.iter().enumerate() {
        for (second, other) in sides.iter().enumerate().skip(first + 1) {
            let neighbours = second == first + 1 || (first == 0 && second + 1 == count);
            let bad = if neighbours && count > 3 {
                folds_back(*one, *other)
            } else if neighbours {
                false
            } else {
                apart(*one, *other) <= TOUCHES
            };
            if bad {
                return Err(RingFault::Crosses(first, second));
            }
        }
    }
    let area = doubled_area(ring);
    let around: f64 = sides.iter().map(|(from, to)| length(*from, *to)).sum();
    if area.abs() <= TOUCHES * around {
        return Err(RingFault::Empty);
    }
    Ok(())
}

pub(super) type Side = ([f64; 2], [f64; 2]);

fn length(from: [f64; 2], to: [f64; 2]) -> f64 {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    libm::sqrt(dx * dx + dy * dy)
}

/// Twice the area, counter-clockwise positive.
pub(super) fn doubled_area(ring: &[[f64; 2]]) -> f64 {
    sides(ring).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum()
}

/// Whether two neighbouring sides lie on each other; they share a corner, so only a turn back is a fault.
fn folds_back((a, b): Side, (c, d): Side) -> bool {
    // The shared corner is b = c, or for the first and last side a = d.
    let (corner, one, other) = if b == c { (b, a, d) } else { (a, b, c) };
    let (px, py) = (one[0] - corner[0], one[1] - corner[1]);
    let (qx, qy) = (other[0] - corner[0], other[1] - corner[1]);
    let same_way = px * qx + py * qy > 0.0;
    let off = (px * qy - py * qx).abs();
    let longer = length(corner, one).max(length(corner, other));
    same_way && off <= TOUCHES * longer
}

/// How far two sides lie apart; 0 where they cross.
pub(super) fn apart(one: Side, other: Side) -> f64 {
    if cross(one, other) {
        return 0.0;
    }
    let ((a, b), (c, d)) = (one, other);
    (to_side(a, other).min(to_side(b, other))).min(to_side(c, one).min(to_side(d, one)))
}

/// Whether two sides cross properly.
pub(super) fn cross((a, b): Side, (c, d): Side) -> bool {
    let turn = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let (one, two) = (turn(a, b, c), turn(a, b, d));
    let (three, four) = (turn(c, d, a), turn(c, d, b));
    ((one > 0.0 && two < 0.0) || (one < 0.0 && two > 0.0))
        && ((three > 0.0 && four < 0.0) || (three < 0.0 && four > 0.0))
}

/// Whether a point lies inside a simple ring: a ray to the right crosses its sides an odd number of times.
pub fn lies_in([x, y]: [f64; 2], ring: &[[f64; 2]]) -> bool {
    let crossed = sides(ring).filter(|(from, to)| {
        let spans = (from[1] > y) != (to[1] > y);
        spans && x < from[0] + (y - from[1]) / (to[1] - from[1]) * (to[0] - from[0])
    });
    crossed.count() % 2 == 1
}

/// The sides of a ring, its last corner joined to its first.
pub(super) fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = Side> {
    let next = ring.iter().cycle().skip(1);
    ring.iter().copied().zip(next.copied())
}

/// The share of the way along a side at which it is nearest to a point, 0 to 1.
pub(super) fn nearest_share(point: [f64; 2], (a, b): Side) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let squared = dx * dx + dy * dy;
    if squared <= 0.0 {
        return 0.0;
    }
    (((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / squared).clamp(0.0, 1.0)
}

fn to_side(point: [f64; 2], (a, b): Side) -> f64 {
    let share = nearest_share(point, (a, b));
    let near = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
    length(point, near)
}
