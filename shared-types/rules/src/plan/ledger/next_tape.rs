//! The tape that would make a pinch surest: between which points of the plan it holds, and what the network says of
//! that gap.

use serde_json::{Value, json};

use super::super::model::Shape;
use super::super::scene::{Scene, SceneObstacle};
use super::super::traced::Place;
use super::super::{Margin, Plan};
use super::Drawn;
use crate::network::{self, TapeSuggestion};

/// A point this near to a thing's outline is one of its corners, inches.
const NEAR: f64 = 6.0;

impl Drawn {
    /// The best tape for a pinch at this place; `None` where the plan is of legs, or no points lie at what holds it.
    pub fn next_tape(
        &self,
        plan: &Plan,
        scene: &Scene,
        held: &Margin,
        at: [f64; 2],
    ) -> Option<TapeSuggestion> {
        let corners = held.held_by.iter().filter_map(|(id, _)| {
            let obstacle = scene.obstacles.iter().find(|obstacle| obstacle.id == *id)?;
            nearest_corner(plan, obstacle, at)
        });
        let mut corners: Vec<String> = corners.collect();
        corners.dedup();
        let [from, to] = corners.get(..2)? else {
            return None;
        };
        let file: Value = serde_json::from_str(&self.document).ok()?;
        let mut network = file.get("network")?.clone();
        let gap = json!([{ "id": "pinch", "from": from, "to": to }]);
        network
            .as_object_mut()?
            .insert("clearances".to_owned(), gap);
        let network = network::read(&network.to_string()).ok()?;
        let answer = network::answer(&network);
        answer.clearances.first()?.next.first().cloned()
    }
}

/// Of the points that lie at a thing, the one nearest to a place.
fn nearest_corner(plan: &Plan, obstacle: &SceneObstacle, at: [f64; 2]) -> Option<String> {
    let beside = plan
        .points
        .iter()
        .filter(|point| away(obstacle, point.at.at()) <= NEAR);
    let nearest = beside.min_by(|a, b| apart(a.at.at(), at).total_cmp(&apart(b.at.at(), at)));
    nearest.map(|point| point.name.clone())
}

/// How far a place is from the corners of a thing, or from its middle where it is round.
fn away(obstacle: &SceneObstacle, place: [f64; 2]) -> f64 {
    match &obstacle.shape {
        Shape::Round { centre, .. } => apart(centre.at(), place),
        Shape::Ring(ring) => {
            let each = ring.iter().map(Place::at);
            each.map(|corner| apart(corner, place))
                .fold(f64::INFINITY, f64::min)
        }
    }
}

fn apart(one: [f64; 2], other: [f64; 2]) -> f64 {
    let (x, y) = (one[0] - other[0], one[1] - other[1]);
    libm::sqrt(x * x + y * y)
}
