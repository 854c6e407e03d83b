//! The ground between the walls of all legs as one ring: what lies wholly outside it is met by nothing.

use super::model::Shape;
use super::ring::{TOUCHES, apart, lies_in, sides};
use super::traced::Place;

/// The walls of all legs, joined at both ends.
#[derive(Clone, Debug)]
pub(super) struct Corridor {
    ring: Vec<[f64; 2]>,
}

impl Corridor {
    /// Between the left wall and the right one, both from the first leg's start to the last one's end.
    pub(super) fn between(left: &[Vec<Place>], right: &[Vec<Place>]) -> Self {
        let places = |lines: &[Vec<Place>]| -> Vec<[f64; 2]> {
            lines.iter().flatten().map(Place::at).collect()
        };
        let mut ring = places(left);
        ring.extend(places(right).into_iter().rev());
        Self { ring }
    }

    /// Whether a thing stands in the corridor, or at least comes within so many inches of its walls.
    pub(super) fn meets(&self, shape: &Shape, unsure: f64) -> bool {
        let (outline, radius) = match shape {
            Shape::Round { centre, radius } => (vec![centre.at()], radius.value),
            Shape::Ring(ring) => (ring.iter().map(Place::at).collect(), 0.0),
        };
        let reach = radius + unsure + TOUCHES;
        let near = |side| sides(&self.ring).any(|wall| apart(side, wall) <= reach);
        let holds = |ring: &[[f64; 2]], corner: Option<&[f64; 2]>| {
            corner.is_some_and(|corner| lies_in(*corner, ring))
        };
        sides(&outline).any(near)
            || holds(&self.ring, outline.first())
            || holds(&outline, self.ring.first())
    }
}
