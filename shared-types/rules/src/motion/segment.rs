//! The signed distance from a segment to a rectangle that lies centred along the axes.
//!
//! Positive: the least distance between the two. Negative: the depth of the segment's deepest point inside the
//! rectangle, that is minus its distance to the nearest side.

/// The signed distance, and where along the segment it is met (0 to 1).
pub(super) struct Met {
    pub gap: f64,
    pub share: f64,
}

/// The signed distance of one point to the rectangle with these half sides.
pub(super) fn point_gap(point: [f64; 2], half: [f64; 2]) -> f64 {
    let across = point[0].abs() - half[0];
    let up = point[1].abs() - half[1];
    if across > 0.0 && up > 0.0 {
        libm::sqrt(across * across + up * up)
    } else {
        across.max(up)
    }
}

/// The signed distance from the segment `from`–`to` to the rectangle with these half sides.
///
/// A segment and a rectangle are apart exactly if the rectangle's axes or the segment's normal separate them; the
/// nearest pair then has an end of the segment in it, or the corner of the rectangle that faces the segment.
pub(super) fn segment_gap(from: [f64; 2], to: [f64; 2], half: [f64; 2]) -> Met {
    let step = [to[0] - from[0], to[1] - from[1]];
    let across = step[0] * from[1] - step[1] * from[0];
    let support = half[0] * step[1].abs() + half[1] * step[0].abs();
    if axis_gap(from, to, half) > 0.0 || across.abs() > support {
        apart(from, to, step, half, across)
    } else {
        deepest(from, step, half)
    }
}

/// The largest separation of a segment and the rectangle along one of the rectangle's axes.
pub(super) fn axis_gap(from: [f64; 2], to: [f64; 2], half: [f64; 2]) -> f64 {
    let along = |axis: usize| {
        let low = from[axis].min(to[axis]);
        let high = from[axis].max(to[axis]);
        low.max(-high) - half[axis]
    };
    along(0).max(along(1))
}

fn apart(from: [f64; 2], to: [f64; 2], step: [f64; 2], half: [f64; 2], across: f64) -> Met {
    let mut best = Met {
        gap: point_gap(from, half),
        share: 0.0,
    };
    let end = point_gap(to, half);
    if end < best.gap {
        best = Met {
            gap: end,
            share: 1.0,
        };
    }
    let square = step[0] * step[0] + step[1] * step[1];
    // The corner that faces the segment: `across` is positive if the origin lies to the right of the step.
    let side = if across > 0.0 { 1.0 } else { -1.0 };
    let corner = [
        half[0] * sign(-step[1] * side),
        half[1] * sign(step[0] * side),
    ];
    let share = ((corner[0] - from[0]) * step[0] + (corner[1] - from[1]) * step[1]) / square;
    if share > 0.0 && share < 1.0 {
        let support = half[0] * step[1].abs() + half[1] * step[0].abs();
        let gap = (across.abs() - support) / libm::sqrt(square);
        if gap > 0.0 && gap < best.gap {
            best = Met { gap, share };
        }
    }
    best
}

fn sign(number: f64) -> f64 {
    if number < 0.0 { -1.0 } else { 1.0 }
}

/// The deepest point of a segment that meets the rectangle. The depth is piecewise linear and bends only where a
/// coordinate is zero or where two sides are equally near, so those places and the ends are all there is to try.
fn deepest(from: [f64; 2], step: [f64; 2], half: [f64; 2]) -> Met {
    let depth_at = |share: f64| {
        let a = from[0] + share * step[0];
        let b = from[1] + share * step[1];
        (a.abs() - half[0]).max(b.abs() - half[1])
    };
    let mut best = Met {
        gap: depth_at(0.0),
        share: 0.0,
    };
    let skew = half[0] - half[1];
    let (sum, difference) = (from[0] + from[1], from[0] - from[1]);
    let (sum_step, difference_step) = (step[0] + step[1], step[0] - step[1]);
    let bends = [
        1.0,
        -from[0] / step[0],
        -from[1] / step[1],
        (skew - difference) / difference_step,
        (-skew - difference) / difference_step,
        (skew - sum) / sum_step,
        (-skew - sum) / sum_step,
    ];
    for share in bends {
        // Divisions by zero give infinities or NaN, which fail this test.
        if share > 0.0 && share <= 1.0 {
            let gap = depth_at(share);
            if gap < best.gap {
                best = Met { gap, share };
            }
        }
    }
    best
}
