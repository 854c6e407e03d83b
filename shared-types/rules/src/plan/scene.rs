//! From a plan to the file that the route solver reads: what stands in the way of the unit as it is carried.
//!
//! Only here do shapes become rings of straight sides, always outwards: round things are circumscribed, walls get
//! their thickness, eaves and wires their width. What is higher than the carried unit or lower than its belly is left
//! out, with its spread counted against it, and named in `passed_over`.

use serde_json::{Value, json};

use super::model::{Heights, Plan, Shape, Sweep, Zone};
use super::strip::strip;
use super::traced::{Place, Traced};
use super::{BarrierKind, ZoneKind};
use crate::frame::result::{Arg, Line};

/// How far the corners of a ring round something round may stand out over it, inches.
const STANDS_OUT: f64 = 0.05;
/// The most corners round something round.
const MOST_ROUND: u32 = 64;

/// A scene for the route solver.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// What stands in the way.
    pub obstacles: Vec<SceneObstacle>,
    /// Ids of what the carried unit passes over or under.
    pub passed_over: Vec<String>,
    /// The route file.
    pub file: Value,
}

/// One thing in the way, with what its outline came from.
#[derive(Clone, Debug, PartialEq)]
pub struct SceneObstacle {
    /// Its id in the file; pieces of one wall or house are numbered.
    pub id: String,
    /// What it is.
    pub kind: String,
    /// Its shape, traced to the readings.
    pub shape: Shape,
    /// Its heights.
    pub heights: Heights,
    /// Trouble of removing it.
    pub trouble: Option<f64>,
}

impl SceneObstacle {
    /// The outline as the solver sees it.
    pub fn ring(&self) -> Vec<[f64; 2]> {
        match &self.shape {
            Shape::Ring(ring) => ring.iter().map(Place::at).collect(),
            Shape::Round { centre, radius } => circumscribed(centre.at(), radius.value),
        }
    }
}

/// A regular ring round a circle, touching it from outside; its corners stand out by at most [`STANDS_OUT`] where 64
/// corners are enough for that.
fn circumscribed([x, y]: [f64; 2], radius: f64) -> Vec<[f64; 2]> {
    let half_angle = libm::acos(radius / (radius + STANDS_OUT));
    let wanted = libm::ceil(core::f64::consts::PI / half_angle);
    let count = (wanted.max(8.0) as u32).min(MOST_ROUND);
    let half = core::f64::consts::PI / f64::from(count);
    // A billionth more, so that rounding of the corners never cuts into the circle.
    let out = radius / libm::cos(half) * (1.0 + 1e-9);
    (0..count)
        .map(|k| {
            let (sine, cosine) = libm::sincos(2.0 * half * f64::from(k));
            [x + out * cosine, y + out * sine]
        })
        .collect()
}

/// Writes the route file of a plan.
///
/// # Errors
/// Lines naming what is missing: the unit, where the truck stands, the spot.
pub fn scene(plan: &Plan) -> Result<Scene, Vec<Line>> {
    let (unit, start, goal) = match (plan.unit, &plan.truck_stand, &plan.spot) {
        (Some(unit), Some(start), Some(goal)) => (unit, start, goal),
        _ => return Err(missing(plan)),
    };
    let (mut obstacles, mut passed_over) = (Vec::new(), Vec::new());
    for obstacle in all(plan) {
        if unit
            .carried
            .is_none_or(|carried| obstacle.heights.meets(carried))
        {
            obstacles.push(obstacle);
        } else {
            passed_over.push(obstacle.id);
        }
    }
    let stand = |stand: &super::Stand| {
        let [x, y] = stand.at.at();
        json!([x, y, stand.heading])
    };
    let mut file = json!({
        "name": plan.name,
        "units": "in",
        "angle_units": "deg",
        "unit": { "L": unit.length, "W": unit.width },
        "start": stand(start),
        "goal": stand(goal),
        "goal_symmetric": plan.either_end,
        "obstacles": obstacles.iter().map(in_file).collect::<Vec<_>>(),
    });
    if let (Some(carried), Some(object)) = (unit.carried, file.as_object_mut()) {
        object.insert("carry_z".to_owned(), json!(carried));
    }
    if let (Some(bounds), Some(object)) = (plan.bounds, file.as_object_mut()) {
        object.insert("bounds".to_owned(), json!(bounds));
    }
    if let (Some(enough), Some(object)) = (plan.enough, file.as_object_mut()) {
        object.insert("enough".to_owned(), json!(enough));
    }
    Ok(Scene {
        obstacles,
        passed_over,
        file,
    })
}

fn missing(plan: &Plan) -> Vec<Line> {
    let wanted = [
        ("plan.needs.unit", plan.unit.is_none()),
        ("plan.needs.truck_stand", plan.truck_stand.is_none()),
        ("plan.needs.spot", plan.spot.is_none()),
    ];
    (wanted.iter())
        .filter(|(_, is_missing)| *is_missing)
        .map(|(what, _)| Line::new("plan.route_needs").with("what", Arg::Word((*what).into())))
        .collect()
}

fn in_file(obstacle: &SceneObstacle) -> Value {
    let mut value = json!({
        "id": obstacle.id,
        "kind": obstacle.kind,
        "poly": obstacle.ring(),
        "removable": obstacle.trouble.is_some(),
        "cost": obstacle.trouble.unwrap_or(0.0),
    });
    if obstacle.heights != Heights::ALL
        && let Some(object) = value.as_object_mut()
    {
        let Heights { low, high, spread } = obstacle.heights;
        object.insert(
            "z".to_owned(),
            json!([low - spread, (high + spread).min(super::SKY)]),
        );
    }
    value
}

/// Everything solid, whatever its height.
fn all(plan: &Plan) -> Vec<SceneObstacle> {
    let mut found = Vec::new();
    for barrier in &plan.barriers {
        let kind = match barrier.kind {
            BarrierKind::Wall => "wall",
            BarrierKind::Fence => "fence",
        };
        let pieces = strip(&barrier.line, false, barrier.thickness, barrier.sweep);
        let trouble = barrier.removal.map(|removal| removal.trouble);
        push_pieces(
            &mut found,
            &barrier.id,
            kind,
            pieces,
            barrier.heights,
            trouble,
        );
    }
    for obstacle in &plan.obstacles {
        found.push(SceneObstacle {
            id: obstacle.id.clone(),
            kind: obstacle.kind.clone(),
            shape: obstacle.shape.clone(),
            heights: obstacle.heights,
            trouble: obstacle.removal.map(|removal| removal.trouble),
        });
    }
    for opening in &plan.openings {
        // The head of a gate on a leg is an obstacle already.
        let has_head = plan
            .obstacles
            .iter()
            .any(|o| o.id == format!("{} head", opening.id));
        if let (Some(headroom), false) = (&opening.headroom, has_head) {
            let pieces = strip(&opening.between, false, 4.0, Sweep::Middle);
            let id = format!("{} head", opening.id);
            push_pieces(&mut found, &id, "gate", pieces, from(headroom), None);
        }
    }
    for zone in &plan.zones {
        push_zone(&mut found, zone);
    }
    for line in &plan.lines {
        let pieces = strip(&line.line, false, 2.0 * line.keep_off, Sweep::Middle);
        let heights = Heights {
            low: line.height,
            high: super::SKY,
            spread: line.spread,
        };
        push_pieces(&mut found, &line.id, &line.kind, pieces, heights, None);
    }
    found
}

/// Everything from a height up.
fn from(height: &Traced) -> Heights {
    Heights {
        low: height.value,
        high: super::SKY,
        spread: height.spread(),
    }
}

fn push_pieces(
    found: &mut Vec<SceneObstacle>,
    id: &str,
    kind: &str,
    pieces: Vec<Vec<Place>>,
    heights: Heights,
    trouble: Option<f64>,
) {
    let several = pieces.len() > 1;
    for (index, ring) in pieces.into_iter().enumerate() {
        found.push(SceneObstacle {
            id: if several {
                format!("{id} {}", index + 1)
            } else {
                id.to_owned()
            },
            kind: kind.to_owned(),
            shape: Shape::Ring(ring),
            heights,
            trouble,
        });
    }
}

fn push_zone(found: &mut Vec<SceneObstacle>, zone: &Zone) {
    let is_house = zone.kind == ZoneKind::House;
    if zone.no_go {
        let heights = match zone.ridge {
            Some(ridge) => Heights {
                low: 0.0,
                high: ridge,
                spread: 0.0,
            },
            None => Heights::ALL,
        };
        found.push(SceneObstacle {
            id: zone.id.clone(),
            kind: if is_house { "house" } else { "no-go" }.to_owned(),
            shape: Shape::Ring(zone.ring.clone()),
            heights,
            trouble: None,
        });
    }
    if let Some(eave) = zone.eave {
        let corners: Vec<[f64; 2]> = zone.ring.iter().map(Place::at).collect();
        // Outside is right of a ring that runs counter-clockwise.
        let outside = if super::ring::doubled_area(&corners) > 0.0 {
            Sweep::Right
        } else {
            Sweep::Left
        };
        let width = eave.overhang + eave.spread;
        let heights = Heights {
            low: eave.height,
            high: zone.ridge.unwrap_or(super::SKY).max(eave.height),
            spread: eave.spread,
        };
        let pieces = strip(&zone.ring, true, width, outside);
        push_pieces(
            found,
            &format!("{} eave", zone.id),
            "eave",
            pieces,
            heights,
            None,
        );
    }
}
