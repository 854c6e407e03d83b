//! Proofs for single stretches: does the unit keep a clearance while it moves straight from one pose to another?

use super::bounds::{Interest, Span, bound};
use super::pinch::between;
use super::polygon::Polygon;
use super::yard::{Place, Yard};

/// How often a stretch is halved before the answer is "not proved".
const DEEPEST_HALVING: u32 = 12;

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
    all: Nearby,
    /// Bounds that may still be worked out.
    work: usize,
}

impl<'a> Certifier<'a> {
    pub fn new(yard: &'a Yard, work: usize) -> Self {
        let all = Nearby {
            sides: (0..yard.sides.len() as u32).collect(),
            solids: (0..yard.solids.len() as u32).collect(),
        };
        Certifier { yard, all, work }
    }

    /// Whether straight interpolation between the two poses is proved to keep `least` inches.
    pub fn keeps(&mut self, from: Place, to: Place, least: f64) -> bool {
        if (to.heading - from.heading).abs() > core::f64::consts::PI {
            return false;
        }
        let none = Nearby {
            sides: Box::new([]),
            solids: Box::new([]),
        };
        let all = core::mem::replace(&mut self.all, none);
        let kept = self.stretch([from, to], least, &all, DEEPEST_HALVING);
        self.all = all;
        kept
    }

    fn stretch(
        &mut self,
        [from, to]: [Place; 2],
        least: f64,
        near: &Nearby,
        halvings: u32,
    ) -> bool {
        if self.work == 0 {
            return false;
        }
        self.work -= 1;
        // The stretch lies in the set of all its centres with all its headings.
        let line = Polygon::new(&[from.at, to.at]);
        let heading = 0.5 * (from.heading + to.heading);
        let span = Span::new(&line, heading, 0.5 * (to.heading - from.heading).abs());
        let interest = Interest {
            ceiling: least + 0.01,
            wanted: least,
        };
        let bounds = bound(self.yard, &span, &near.sides, &near.solids, interest);
        if bounds.lower >= least {
            return true;
        }
        let middle = between(from, to, 0.5);
        if bounds.upper < least || halvings == 0 || self.yard.clearance(middle) < least {
            return false;
        }
        let near = Nearby {
            sides: bounds.sides,
            solids: bounds.solids,
        };
        self.stretch([from, middle], least, &near, halvings - 1)
            && self.stretch([middle, to], least, &near, halvings - 1)
    }
}
