//! Certified bounds on the clearance over a whole set of poses: centre anywhere in a polygon, heading anywhere in an
//! interval. Every proof of the solver rests on this file.
//!
//! Why the lower bound holds. Let δ be half the heading interval and hu, hv half the extents of the polygon along and
//! across the unit at the middle heading. Every pose's rectangle lies inside the rectangle with half sides
//! L/2 + hu + W/2·sin δ and W/2 + hv + L/2·sin δ about the middle, and the signed distance of a point to a set can
//! only fall when the set grows; so the signed distance of a side to that grown rectangle bounds it from below.
//! Likewise the separation along the side's normal, polygon and heading each at their worst, is a lower bound: where
//! the two are apart it is no more than their distance; where a corner of the unit reaches over the line, the line's
//! deepest point is where the corner's bisector meets it.
//!
//! Why the upper bound holds. Any one obstacle point bounds the clearance from above at every pose; over the set its
//! coordinates in the unit's axes are at most |a| + hu + (|b| + hv)·sin δ and |b| + hv + (|a| + hu)·sin δ, and signed
//! distance grows with both. Where the whole unit stays beside a side's own stretch, the separation is exact.
//!
//! For the bounds of the yard, clearance is how far the unit stays inside their lines, so the separation along the
//! normal is exact and serves as both bounds.
//!
//! Inside of solids. The deepest point of a solid inside the unit lies on a side, or the solid holds the unit's
//! centre line and the depth is half the shorter side. If no side comes as near as the centre over the whole set, the
//! centre is inside for all poses or for none, because the set is connected; so one look at the middle settles it.

use super::polygon::Polygon;
use super::segment::{axis_gap, segment_gap};
use super::yard::{BOUNDS, Side, Yard, into_body};

/// Added to every bound, in inches, against rounding. Coordinates are at most 10⁵ in, so a bound's own rounding is
/// below 10⁻⁹ in.
pub(super) const ROUNDING: f64 = 1e-7;

/// A set of poses, measured in the axes of a unit at its middle.
pub(super) struct Span<'a> {
    polygon: &'a Polygon,
    middle: [f64; 2],
    cosine: f64,
    sine: f64,
    /// Half extents along and across the unit.
    half: [f64; 2],
    /// Sine and cosine of half the heading interval.
    turn_sine: f64,
    turn_cosine: f64,
}

impl<'a> Span<'a> {
    /// Centres in `polygon`, headings within `spread` (at most a quarter turn) of `heading`, in radians.
    pub fn new(polygon: &'a Polygon, heading: f64, spread: f64) -> Self {
        let (sine, cosine) = libm::sincos(heading);
        let (turn_sine, turn_cosine) = libm::sincos(spread);
        let along = polygon.extent([cosine, sine]);
        let across = polygon.extent([-sine, cosine]);
        let u = 0.5 * (along[0] + along[1]);
        let v = 0.5 * (across[0] + across[1]);
        Span {
            polygon,
            middle: [u * cosine - v * sine, u * sine + v * cosine],
            cosine,
            sine,
            half: [
                0.5 * (along[1] - along[0]) + ROUNDING,
                0.5 * (across[1] - across[0]) + ROUNDING,
            ],
            turn_sine: turn_sine + 1e-12,
            turn_cosine,
        }
    }
}

/// What splitting could gain: per inch of extent along the unit and across it, and in inches for the heading.
pub(super) type Gains = [f64; 3];

/// What is known about the clearance over a set of poses, in inches.
#[derive(Clone, Debug)]
pub(super) struct Bounds {
    /// No pose has less, or less than the ceiling it was worked out for.
    pub lower: f64,
    /// No pose has more.
    pub upper: f64,
    /// About what the middle pose has.
    pub estimate: f64,
    /// What splitting could gain.
    pub gains: Gains,
    /// The only sides that can matter for any subset of the poses.
    pub sides: Box<[u32]>,
    /// The only solids that can.
    pub solids: Box<[u32]>,
}

/// Which clearances are of interest, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Interest {
    /// More than this is as good as this.
    pub ceiling: f64,
    /// About what is asked for now; guides splitting, no bound depends on it.
    pub wanted: f64,
}

/// What one side says.
struct Reading {
    lower: f64,
    upper: f64,
    estimate: f64,
    gains: Gains,
}

/// Bounds over a span, looking only at the given sides and solids. Clearance above `ceiling` is of no interest.
pub(super) fn bound(
    yard: &Yard,
    span: &Span,
    sides: &[u32],
    solids: &[u32],
    interest: Interest,
) -> Bounds {
    let ceiling = interest.ceiling;
    let mut out = Bounds {
        lower: ceiling,
        upper: f64::INFINITY,
        estimate: f64::INFINITY,
        gains: [1.0, 1.0, yard.half[0] * span.turn_sine],
        sides: Box::new([]),
        solids: Box::new([]),
    };
    let mut near: Vec<(u32, f64)> = Vec::with_capacity(sides.len());
    for index in sides {
        let Some(side) = yard.sides.get(*index as usize) else {
            continue;
        };
        let Some(reading) = read_side(yard, span, side, ceiling.min(out.upper), interest) else {
            continue;
        };
        near.push((*index, reading.lower));
        out.upper = out.upper.min(reading.upper);
        out.estimate = out.estimate.min(reading.estimate);
        if reading.lower < out.lower {
            out.lower = reading.lower;
            out.gains = reading.gains;
        }
    }
    let relevant = ceiling.min(out.upper);
    out.sides = near
        .iter()
        .filter(|(_, lower)| *lower < relevant)
        .map(|(index, _)| *index)
        .collect();
    look_inside(yard, span, solids, &mut out);
    out
}

/// Settles which solids hold the middle, and drops those that no pose of the span can be inside of.
fn look_inside(yard: &Yard, span: &Span, solids: &[u32], out: &mut Bounds) {
    let mut kept = Vec::with_capacity(solids.len());
    for index in solids {
        let Some(solid) = yard.solids.get(*index as usize) else {
            continue;
        };
        let touched = out.sides.iter().any(|side| {
            yard.sides
                .get(*side as usize)
                .is_some_and(|side| side.solid == *index)
        });
        let inside = solid.holds(span.middle);
        if inside {
            out.upper = out.upper.min(highest(yard, span, [0.0, 0.0]));
            out.estimate = out.estimate.min(-yard.greatest_depth());
            out.lower = out.lower.min(-yard.greatest_depth());
        }
        if touched || inside {
            kept.push(*index);
        }
    }
    out.solids = kept.into_boxed_slice();
}

/// What one side says over a span; `None` if it stays at least `relevant` away.
fn read_side(
    yard: &Yard,
    span: &Span,
    side: &Side,
    relevant: f64,
    interest: Interest,
) -> Option<Reading> {
    let from = into_body(side.from, span.middle, span.cosine, span.sine);
    let to = into_body(side.to, span.middle, span.cosine, span.sine);
    let grown = grown(yard, span);
    let outline = side.owner != BOUNDS;
    if outline && axis_gap(from, to, grown) >= relevant + ROUNDING {
        return None;
    }
    let wall = Wall::new(yard, span, side);
    if wall.lower >= relevant {
        return None;
    }
    if side.owner == BOUNDS {
        return Some(wall.into());
    }
    let met = segment_gap(from, to, grown);
    let point = [
        from[0] + met.share * (to[0] - from[0]),
        from[1] + met.share * (to[1] - from[1]),
    ];
    let boxed = met.gap - ROUNDING;
    if boxed >= relevant {
        return None;
    }
    Some(Reading {
        lower: boxed.max(wall.lower).max(-yard.greatest_depth()),
        upper: highest(yard, span, point).min(wall.upper),
        estimate: yard.point_gap(point),
        gains: if wall.lower > boxed {
            wall.gains
        } else {
            gains(yard, span, point, grown, interest.wanted)
        },
    })
}

/// Half sides of a rectangle that holds the unit at every pose of the span.
fn grown(yard: &Yard, span: &Span) -> [f64; 2] {
    [
        yard.half[0] + span.half[0] + yard.half[1] * span.turn_sine,
        yard.half[1] + span.half[1] + yard.half[0] * span.turn_sine,
    ]
}

/// The most that an obstacle point, given in the axes of the middle pose, can be away from the unit.
fn highest(yard: &Yard, span: &Span, point: [f64; 2]) -> f64 {
    let a = point[0].abs() + span.half[0];
    let b = point[1].abs() + span.half[1];
    yard.point_gap([a + b * span.turn_sine, b + a * span.turn_sine]) + ROUNDING
}

/// The separation along a side's normal over a span.
struct Wall {
    lower: f64,
    upper: f64,
    gains: Gains,
}

impl From<Wall> for Reading {
    fn from(wall: Wall) -> Self {
        Reading {
            lower: wall.lower,
            upper: wall.upper,
            estimate: 0.5 * (wall.lower + wall.upper),
            gains: wall.gains,
        }
    }
}

impl Wall {
    fn new(yard: &Yard, span: &Span, side: &Side) -> Self {
        let n = side.normal;
        let [low, high] = span.polygon.extent(n);
        let (low, high) = (low - side.offset, high - side.offset);
        let normal = [
            (n[0] * span.cosine + n[1] * span.sine).abs(),
            (n[1] * span.cosine - n[0] * span.sine).abs(),
        ];
        let reach = Reach::new(yard.half, normal, span);
        let gains = [normal[0], normal[1], 0.5 * (reach.most - reach.least)];
        // The unit has to stay on one side of the bounds' lines; anything else may be on either side of a side.
        if side.owner == BOUNDS {
            return Wall {
                lower: low - reach.most - ROUNDING,
                upper: high - reach.least + ROUNDING,
                gains,
            };
        }
        let lower = low.max(-high) - reach.most;
        let upper = low.abs().max(high.abs()) - reach.least;
        let [least, most] = slant(normal, span);
        Wall {
            lower: if lower < 0.0 { lower / least } else { lower } - ROUNDING,
            upper: if !beside(yard, span, side) {
                f64::INFINITY
            } else if upper < 0.0 {
                (upper / most).max(-yard.greatest_depth()) + ROUNDING
            } else {
                upper + ROUNDING
            },
            gains,
        }
    }
}

/// Whether the whole unit stays beside the side's own stretch. Then the nearest corner's distance to the line is the
/// distance to the side.
fn beside(yard: &Yard, span: &Span, side: &Side) -> bool {
    let [low, high] = span.polygon.extent(side.along);
    let start = side.along[0] * side.from[0] + side.along[1] * side.from[1];
    let radius = yard.radius();
    low - radius >= start && high + radius <= start + side.length
}

/// Least and greatest of |cos| + |sin| of the angle between the unit and a direction (given in its middle axes, both
/// parts at least 0) over a span. A corner that reaches s over a line has the line's deepest point s divided by this
/// inside the unit, where the corner's bisector meets the line.
fn slant(normal: [f64; 2], span: &Span) -> [f64; 2] {
    let sum = (normal[0] + normal[1]) * span.turn_cosine;
    let turning = (normal[0] - normal[1]).abs();
    let least = sum - turning.max(normal[0] + normal[1]) * span.turn_sine;
    let most = if turning * span.turn_cosine <= (normal[0] + normal[1]) * span.turn_sine {
        core::f64::consts::SQRT_2
    } else {
        sum + turning * span.turn_sine
    };
    [least.max(1.0), most.min(core::f64::consts::SQRT_2)]
}

/// How far the unit reaches from its centre along a direction, over the headings of a span.
struct Reach {
    least: f64,
    most: f64,
}

impl Reach {
    /// `normal`: the direction in the axes of the middle heading, both parts at least 0. A corner q reaches
    /// n·q·cos φ + n×q·sin φ when the unit is turned by φ; the farthest corner counts.
    fn new(half: [f64; 2], normal: [f64; 2], span: &Span) -> Self {
        let (along, across) = (half[0] * normal[0], half[1] * normal[1]);
        let (skew, cross) = (half[0] * normal[1], half[1] * normal[0]);
        let near = [along + across, (skew - cross).abs()];
        let far = [(along - across).abs(), skew + cross];
        let (sine, cosine) = (span.turn_sine, span.turn_cosine);
        let most = |corner: [f64; 2]| {
            if corner[1] * cosine <= corner[0] * sine {
                libm::sqrt(corner[0] * corner[0] + corner[1] * corner[1])
            } else {
                corner[0] * cosine + corner[1] * sine
            }
        };
        Reach {
            least: near[0] * cosine - near[1] * sine,
            most: most(near).max(most(far)),
        }
    }
}

/// What splitting could gain against an obstacle point.
fn gains(yard: &Yard, span: &Span, point: [f64; 2], grown: [f64; 2], wanted: f64) -> Gains {
    let (a, b) = (point[0].abs(), point[1].abs());
    let turning = [yard.half[1] * span.turn_sine, yard.half[0] * span.turn_sine];
    let (across, up) = (a - grown[0], b - grown[1]);
    if across > 0.0 || up > 0.0 {
        let (x, y) = (across.max(0.0), up.max(0.0));
        let length = libm::sqrt(x * x + y * y);
        let (x, y) = (x / length, y / length);
        return [x, y, x * turning[0] + y * turning[1]];
    }
    // The point is inside the grown unit. Splitting helps in a dimension if some poses of the span have the point
    // beyond that side by the wanted depth and others do not.
    let straddles = |axis: usize, at: f64| {
        (at - yard.half[axis] - wanted.min(0.0)).abs() < span.half[axis] + turning[axis]
    };
    match (straddles(0, a), straddles(1, b)) {
        (true, false) => [1.0, 0.0, turning[0]],
        (false, true) => [0.0, 1.0, turning[1]],
        _ => [1.0, 1.0, turning[1]],
    }
}
