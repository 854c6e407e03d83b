//! Proofs for single movements: does the unit keep a clearance while it moves straight from one pose to another, or
//! while it turns about a fixed point?

use super::bounds::{Interest, Span, bound};
use super::pinch::between;
use super::polygon::Polygon;
use super::yard::{Place, Yard};

/// How often a stretch is halved before the answer is "not proved".
const DEEPEST_HALVING: u32 = 12;

/// Arcs are taken in parts of at most this many radians.
const LONGEST_ARC: f64 = 0.5;

/// The sides and solids that may matter to a stretch.
#[derive(Clone, Debug)]
struct Nearby {
    sides: Box<[u32]>,
    solids: Box<[u32]>,
}

/// Proves stretches in one yard, with a limit on the work in all.
#[derive(Clone, Debug)]
pub(super) struct Certifier<'a> {
    yard: &'a Yard,
    /// Bounds that may still be worked out.
    work: usize,
}

impl<'a> Certifier<'a> {
    pub fn new(yard: &'a Yard, work: usize) -> Self {
        Certifier { yard, work }
    }

    /// Whether straight interpolation between the two poses is proved to keep `least` inches.
    pub fn keeps(&mut self, from: Place, to: Place, least: f64) -> bool {
        if (to.heading - from.heading).abs() > core::f64::consts::PI {
            return false;
        }
        // The stretch lies in the set of all its centres with all its headings.
        self.proves(least, |[low, high]| {
            let (one, other) = (between(from, to, low), between(from, to, high));
            Piece {
                centres: Polygon::new(&[one.at, other.at]),
                middle: between(from, to, 0.5 * (low + high)),
                spread: 0.5 * (other.heading - one.heading).abs(),
            }
        })
    }

    /// Whether turning by `turn` radians about a fixed point is proved to keep `least` inches.
    pub fn keeps_turn(&mut self, from: Place, about: [f64; 2], turn: f64, least: f64) -> bool {
        // An arc of less than half a turn lies in the triangle of its ends and the crossing of their tangents.
        let count = libm::ceil(turn.abs() / LONGEST_ARC).max(1.0);
        (0..count as u32).all(|index| {
            self.proves(least, |piece| {
                let [low, high] = piece.map(|share| turn * (f64::from(index) + share) / count);
                let half = 0.5 * (high - low);
                let middle = turned(from, about, 0.5 * (low + high));
                let stretch = 1.0 / libm::cos(half);
                let tip = [0, 1]
                    .map(|axis: usize| about[axis] + stretch * (middle.at[axis] - about[axis]));
                Piece {
                    centres: Polygon::new(&[
                        turned(from, about, low).at,
                        tip,
                        turned(from, about, high).at,
                    ]),
                    middle,
                    spread: half.abs(),
                }
            })
        })
    }

    fn proves(&mut self, least: f64, piece: impl Fn([f64; 2]) -> Piece) -> bool {
        let all = self.nearby(&piece([0.0, 1.0]), least);
        self.part(least, &piece, [0.0, 1.0], &all, DEEPEST_HALVING)
    }

    /// The sides and solids that may come near enough to matter to a movement.
    fn nearby(&self, piece: &Piece, least: f64) -> Nearby {
        let yard = self.yard;
        let [x, y] = [[1.0, 0.0], [0.0, 1.0]].map(|axis| piece.centres.extent(axis));
        let middle = [0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1])];
        let half = libm::sqrt((x[1] - x[0]) * (x[1] - x[0]) + (y[1] - y[0]) * (y[1] - y[0])) * 0.5;
        let reach = half + yard.radius() + least.max(0.0) + 1.0;
        let mut sides: Vec<u32> = (0..yard.bound_sides().len() as u32).collect();
        let mut solids = Vec::new();
        for (index, solid) in (0..).zip(&yard.solids) {
            if solid.within(middle, reach) {
                sides.extend(solid.sides.start as u32..solid.sides.end as u32);
                solids.push(index);
            }
        }
        Nearby {
            sides: sides.into_boxed_slice(),
            solids: solids.into_boxed_slice(),
        }
    }

    fn part(
        &mut self,
        least: f64,
        piece: &impl Fn([f64; 2]) -> Piece,
        [low, high]: [f64; 2],
        near: &Nearby,
        halvings: u32,
    ) -> bool {
        if self.work == 0 {
            return false;
        }
        self.work -= 1;
        let Piece {
            centres,
            middle,
            spread,
        } = piece([low, high]);
        let span = Span::new(&centres, middle.heading, spread);
        let interest = Interest {
            ceiling: least + 0.01,
            wanted: least,
        };
        let bounds = bound(self.yard, &span, &near.sides, &near.solids, interest);
        if bounds.lower >= least {
            return true;
        }
        if bounds.upper < least || halvings == 0 || self.yard.clearance(middle) < least {
            return false;
        }
        let near = Nearby {
            sides: bounds.sides,
            solids: bounds.solids,
        };
        let half = 0.5 * (low + high);
        self.part(least, piece, [low, half], &near, halvings - 1)
            && self.part(least, piece, [half, high], &near, halvings - 1)
    }
}

/// A set of poses that holds part of a movement.
struct Piece {
    centres: Polygon,
    middle: Place,
    spread: f64,
}

/// A pose turned by so many radians about a fixed point.
pub(super) fn turned(place: Place, about: [f64; 2], turn: f64) -> Place {
    let (sine, cosine) = libm::sincos(turn);
    let [x, y] = [0, 1].map(|axis: usize| place.at[axis] - about[axis]);
    Place {
        at: [
            about[0] + x * cosine - y * sine,
            about[1] + x * sine + y * cosine,
        ],
        heading: place.heading + turn,
    }
}
