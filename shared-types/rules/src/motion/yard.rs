//! The scene as the solver works on it: moved and turned so that the dominant wall direction lies along the axes,
//! with the outlines as one list of sides.
//!
//! Turning first makes a turned yard the same problem as the unturned one, up to rounding.

use super::polygon::Polygon;
use super::ring;
use super::scene::{Pose, Scene};
use super::segment::{axis_gap, point_gap, segment_gap};
use core::ops::Range;

/// Owner of the sides of `bounds`.
pub(super) const BOUNDS: u32 = u32::MAX;
const QUARTER: f64 = core::f64::consts::FRAC_PI_2;

/// One side of an outline, with its line as `normal · point = offset`. The normal of a side of the bounds points inside.
#[derive(Clone, Copy, Debug)]
pub(super) struct Side {
    pub from: [f64; 2],
    pub to: [f64; 2],
    pub normal: [f64; 2],
    pub offset: f64,
    /// Unit vector from `from` to `to`.
    pub along: [f64; 2],
    pub length: f64,
    /// Place of the obstacle in the scene's list, or [`BOUNDS`].
    pub owner: u32,
    /// Place in [`Yard::solids`], or [`BOUNDS`].
    pub solid: u32,
}

/// The inside of one obstacle.
#[derive(Clone, Debug)]
pub(super) struct Solid {
    ring: Vec<[f64; 2]>,
    low: [f64; 2],
    high: [f64; 2],
    pub owner: u32,
    /// Its sides in [`Yard::sides`].
    pub sides: Range<usize>,
}

impl Solid {
    fn new(ring: Vec<[f64; 2]>, owner: u32, sides: Range<usize>) -> Self {
        let (low, high) = box_of(ring.iter().copied());
        Solid {
            ring,
            low,
            high,
            owner,
            sides,
        }
    }

    /// Whether the point lies inside.
    pub fn holds(&self, point: [f64; 2]) -> bool {
        let in_box =
            (0..2).all(|axis| point[axis] >= self.low[axis] && point[axis] <= self.high[axis]);
        in_box && ring::holds(&self.ring, point)
    }

    /// Whether some of it may be within `reach` inches of the point.
    pub fn within(&self, point: [f64; 2], reach: f64) -> bool {
        let [x, y] = [0, 1].map(|axis: usize| {
            (self.low[axis] - point[axis])
                .max(point[axis] - self.high[axis])
                .max(0.0)
        });
        x * x + y * y <= reach * reach
    }
}

/// A pose in working coordinates: inches and radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub at: [f64; 2],
    pub heading: f64,
}

/// How scene coordinates become working coordinates.
#[derive(Clone, Copy, Debug)]
struct Turn {
    origin: [f64; 2],
    angle: f64,
    cosine: f64,
    sine: f64,
}

impl Turn {
    fn inward(&self, point: [f64; 2]) -> [f64; 2] {
        let (x, y) = (point[0] - self.origin[0], point[1] - self.origin[1]);
        [
            x * self.cosine + y * self.sine,
            y * self.cosine - x * self.sine,
        ]
    }

    fn outward(&self, point: [f64; 2]) -> [f64; 2] {
        [
            point[0] * self.cosine - point[1] * self.sine + self.origin[0],
            point[0] * self.sine + point[1] * self.cosine + self.origin[1],
        ]
    }
}

/// The scene in working coordinates.
#[derive(Clone, Debug)]
pub(super) struct Yard {
    /// Half the length and half the width of the unit.
    pub half: [f64; 2],
    pub sides: Vec<Side>,
    pub solids: Vec<Solid>,
    pub start: Place,
    pub goal: Place,
    pub either_end: bool,
    bounds: Option<Polygon>,
    turn: Turn,
}

impl Yard {
    /// The working form of a scene.
    pub fn new(scene: &Scene) -> Self {
        let parts = scene.parts();
        let turn = turn_of(scene);
        let bounds = parts
            .bounds
            .map(|bounds| Polygon::new(&corners_of(bounds).map(|c| turn.inward(c))));
        let mut yard = Yard {
            half: [0.5 * parts.length, 0.5 * parts.width],
            sides: Vec::new(),
            solids: Vec::new(),
            start: place(&turn, parts.start),
            goal: place(&turn, parts.goal),
            either_end: parts.either_end,
            bounds,
            turn,
        };
        if let Some(bounds) = bounds {
            yard.add_sides(bounds.corners(), BOUNDS, BOUNDS);
        }
        for (index, obstacle) in scene.in_the_way() {
            let ring: Vec<[f64; 2]> = obstacle.ring.iter().map(|c| turn.inward(*c)).collect();
            let owner = u32::try_from(index).unwrap_or(BOUNDS);
            let solid = u32::try_from(yard.solids.len()).unwrap_or(BOUNDS);
            let first = yard.sides.len();
            yard.add_sides(&ring, owner, solid);
            let sides = first..yard.sides.len();
            yard.solids.push(Solid::new(ring, owner, sides));
        }
        yard
    }

    fn add_sides(&mut self, ring: &[[f64; 2]], owner: u32, solid: u32) {
        for (from, to) in ring::sides(ring) {
            let step = [to[0] - from[0], to[1] - from[1]];
            let length = libm::sqrt(step[0] * step[0] + step[1] * step[1]);
            if length > 0.0 {
                let along = [step[0] / length, step[1] / length];
                let normal = [-along[1], along[0]];
                let offset = normal[0] * from[0] + normal[1] * from[1];
                self.sides.push(Side {
                    from,
                    to,
                    normal,
                    offset,
                    along,
                    length,
                    owner,
                    solid,
                });
            }
        }
    }

    /// A pose of the scene in working coordinates.
    pub fn place_of(&self, pose: super::scene::Pose) -> Place {
        place(&self.turn, pose)
    }

    /// Half the diagonal of the unit.
    pub fn radius(&self) -> f64 {
        libm::sqrt(self.half[0] * self.half[0] + self.half[1] * self.half[1])
    }

    /// Half the shorter side of the unit: no pose is deeper in an obstacle than this.
    pub fn greatest_depth(&self) -> f64 {
        self.half[0].min(self.half[1])
    }

    /// The signed clearance at a pose: least distance from the unit to any obstacle, or minus the depth of the deepest
    /// obstacle point inside it; for the bounds, minus how far it sticks out. Infinite in an empty yard.
    pub fn clearance(&self, pose: Place) -> f64 {
        let mut least = f64::INFINITY;
        self.each_gap(pose, f64::INFINITY, |gap, _| {
            least = least.min(gap);
            least
        });
        least
    }

    /// Tells the signed distance to sides, and `-greatest_depth` for each solid that holds the centre. Things farther
    /// than `reach` may be left out; what `tell` returns is the reach from then on.
    pub fn each_gap(&self, pose: Place, reach: f64, mut tell: impl FnMut(f64, u32) -> f64) {
        let (sine, cosine) = libm::sincos(pose.heading);
        let radius = self.radius();
        let mut reach = reach;
        for side in self.bound_sides() {
            reach = tell(self.inside_by(side, pose.at, [cosine, sine]), side.owner);
        }
        for solid in &self.solids {
            if !solid.within(pose.at, radius + reach.max(0.0)) {
                continue;
            }
            for side in self.sides.get(solid.sides.clone()).unwrap_or_default() {
                let from = into_body(side.from, pose.at, cosine, sine);
                let to = into_body(side.to, pose.at, cosine, sine);
                if axis_gap(from, to, self.half) <= reach {
                    reach = tell(segment_gap(from, to, self.half).gap, side.owner);
                }
            }
            if solid.holds(pose.at) {
                reach = tell(-self.greatest_depth(), solid.owner);
            }
        }
    }

    /// The sides of the bounds; they come first.
    pub fn bound_sides(&self) -> &[Side] {
        let count = self
            .solids
            .first()
            .map_or(self.sides.len(), |solid| solid.sides.start);
        self.sides.get(..count).unwrap_or_default()
    }

    /// How far inside the line of one side of the bounds the unit stays; negative: it sticks out by that much.
    fn inside_by(&self, side: &Side, at: [f64; 2], heading: [f64; 2]) -> f64 {
        let n = side.normal;
        let along = (n[0] * heading[0] + n[1] * heading[1]).abs();
        let across = (n[1] * heading[0] - n[0] * heading[1]).abs();
        let reach = self.half[0] * along + self.half[1] * across;
        n[0] * at[0] + n[1] * at[1] - side.offset - reach
    }

    /// Where the centre of the unit may be: the inside of the bounds, or in an open yard everything within
    /// `reach` inches of the obstacles and the two poses.
    pub fn domain(&self, reach: f64) -> Polygon {
        if let Some(bounds) = self.bounds {
            return bounds;
        }
        let ends = [self.start.at, self.goal.at];
        let (low, high) = box_of(self.sides.iter().map(|side| side.from).chain(ends));
        let corners = corners_of([
            low[0] - reach,
            low[1] - reach,
            high[0] + reach,
            high[1] + reach,
        ]);
        Polygon::new(&corners)
    }

    /// A working pose in scene coordinates; the heading is not brought back to one turn.
    pub fn outward(&self, place: Place) -> Pose {
        let [x, y] = self.turn.outward(place.at);
        // Adding 0 turns -0 into 0: the sign of nothing may differ between machines.
        Pose {
            x: x + 0.0,
            y: y + 0.0,
            heading: (place.heading + self.turn.angle).to_degrees() + 0.0,
        }
    }

    /// A point given in the axes of a unit at a pose (forward, left), in working coordinates.
    pub fn from_body(place: Place, point: [f64; 2]) -> [f64; 2] {
        let (sine, cosine) = libm::sincos(place.heading);
        [
            place.at[0] + point[0] * cosine - point[1] * sine,
            place.at[1] + point[0] * sine + point[1] * cosine,
        ]
    }

    /// Signed distance of a point in the unit's own axes.
    pub fn point_gap(&self, point: [f64; 2]) -> f64 {
        point_gap(point, self.half)
    }
}

/// A point in the axes of a unit at `at` with the heading of this cosine and sine.
pub(super) fn into_body(point: [f64; 2], at: [f64; 2], cosine: f64, sine: f64) -> [f64; 2] {
    let (x, y) = (point[0] - at[0], point[1] - at[1]);
    [x * cosine + y * sine, y * cosine - x * sine]
}

fn place(turn: &Turn, pose: Pose) -> Place {
    Place {
        at: turn.inward([pose.x, pose.y]),
        heading: pose.heading.to_radians() - turn.angle,
    }
}

fn corners_of([x0, y0, x1, y1]: [f64; 4]) -> [[f64; 2]; 4] {
    [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

fn box_of(points: impl Iterator<Item = [f64; 2]>) -> ([f64; 2], [f64; 2]) {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for point in points {
        for axis in 0..2 {
            low[axis] = low[axis].min(point[axis]);
            high[axis] = high[axis].max(point[axis]);
        }
    }
    (low, high)
}

fn turn_of(scene: &Scene) -> Turn {
    let parts = scene.parts();
    let mut steps = Vec::new();
    if let Some(bounds) = parts.bounds {
        steps.extend(ring::sides(&corners_of(bounds)));
    }
    for (_, obstacle) in scene.in_the_way() {
        steps.extend(ring::sides(&obstacle.ring));
    }
    let angle = dominant_direction(&steps);
    let (sine, cosine) = libm::sincos(angle);
    let origin = [
        0.5 * (parts.start.x + parts.goal.x),
        0.5 * (parts.start.y + parts.goal.y),
    ];
    Turn {
        origin,
        angle,
        cosine,
        sine,
    }
}

/// The direction, modulo a quarter turn, that most of the length of all sides follows: the longest side among those
/// within half a degree of the heaviest quarter-degree bin.
fn dominant_direction(steps: &[([f64; 2], [f64; 2])]) -> f64 {
    const BINS: usize = 360;
    let measured: Vec<(f64, f64)> = steps
        .iter()
        .map(|(p, q)| {
            let (x, y) = (q[0] - p[0], q[1] - p[1]);
            let angle = libm::fmod(libm::atan2(y, x) + 4.0 * QUARTER, QUARTER);
            (angle, libm::sqrt(x * x + y * y))
        })
        .collect();
    let bin_of = |angle: f64| ((angle / QUARTER * BINS as f64) as usize).min(BINS - 1);
    let mut weight = [0.0; BINS];
    for (angle, length) in &measured {
        weight[bin_of(*angle)] += length;
    }
    let around =
        |bin: usize| weight[(bin + BINS - 1) % BINS] + weight[bin] + weight[(bin + 1) % BINS];
    let heaviest = (0..BINS).fold(0, |best, bin| {
        if around(bin) > around(best) {
            bin
        } else {
            best
        }
    });
    let near = |angle: f64| (bin_of(angle) + BINS + 1 - heaviest) % BINS <= 2;
    measured
        .iter()
        .filter(|(angle, _)| near(*angle))
        .fold((0.0, 0.0), |best, each| {
            if each.1 > best.1 * (1.0 + 1e-9) {
                *each
            } else {
                best
            }
        })
        .0
}
