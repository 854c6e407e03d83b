//! How sure a pinch is: the spread of the best clearance at a pose from the spreads of what the unit nearly touches.
//!
//! At the tightest place of the best way in, the distances to what is nearest balance: moving or turning the unit away
//! from one thing brings it nearer to another. So there are weights λ ≥ 0 that sum to 1 and let the gradients of those
//! distances by the pose cancel, and the clearance moves with the yard like the λ-weighted distances do (the envelope
//! theorem for a maximum of a minimum; derived). Two posts of a gate weigh ½ each: half the gate's own spread.

use super::model::{Shape, Stand};
use super::ring::nearest_share;
use super::scene::{Scene, SceneObstacle};
use super::traced::{Place, Traced};
use setdown_types::order;

/// The unit's middle and heading.
pub type Pose = [f64; 3];

/// A clearance with where its spread comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Margin {
    /// The smallest distance at this pose, inches; its slopes are those of the best clearance.
    pub clearance: Traced,
    /// What the pose is held between, with the weight of each, heaviest first.
    pub held_by: Vec<(String, f64)>,
}

/// Distances within this of the smallest one count as touching too, inches.
const TIES: f64 = 0.15;
/// Rounds of the weight search; each halves what does not cancel, or nearly so.
const ROUNDS: usize = 4_000;

struct Contact<'a> {
    id: &'a str,
    distance: f64,
    /// Where on the unit.
    on_unit: [f64; 2],
    /// The way of length 1 from the thing to the unit.
    normal: [f64; 2],
    /// The gradient of the distance by x, y and heading (as arc at the far corner).
    by_pose: [f64; 3],
    /// How the distance moves with the yard.
    by_yard: Traced,
}

/// The spread of the clearance at a pose, for the things named in `against`; all things where it is empty.
///
/// `None` where nothing is near or the unit overlaps something: there is no clearance to speak of.
pub fn margin(scene: &Scene, unit: [f64; 2], pose: Pose, against: &[String]) -> Option<Margin> {
    if !pose.iter().chain(&unit).all(|value| value.is_finite()) {
        return None;
    }
    let (nearest, contacts) = nearest_contacts(scene, unit, pose, against)?;
    let weights = cancelling(&contacts);
    let mut clearance = Traced::exact(0.0);
    let mut held_by: Vec<(String, f64)> = Vec::new();
    for (contact, weight) in contacts.iter().zip(&weights) {
        clearance = clearance.plus(&contact.by_yard.times(*weight));
        match held_by.iter_mut().find(|(id, _)| id == contact.id) {
            Some((_, known)) => *known += weight,
            None => held_by.push((contact.id.to_owned(), *weight)),
        }
    }
    held_by.retain(|(_, weight)| *weight > 1e-3);
    order::sort_by(&mut held_by, |a, b| b.1.total_cmp(&a.1));
    clearance.value = nearest;
    Some(Margin { clearance, held_by })
}

/// How far the unit is taken in beyond what it overlaps by, inches.
const TAKEN_IN: f64 = 0.5;

/// The same as [`margin`] at a pose with this gap, also where it is below 0: the unit is taken in on every side until
/// it overlaps nothing, which moves all distances alike, and the clearance is less by that much.
pub fn margin_at(
    scene: &Scene,
    unit: [f64; 2],
    (pose, gap): (Pose, f64),
    against: &[String],
) -> Option<Margin> {
    taken_in(unit, gap, |unit| margin(scene, unit, pose, against))
}

/// The spread of the clearance where the unit stands: it cannot move there to balance distances, and is off together
/// with what its stand was measured from. Of several things as near, the one that is least sure.
pub fn margin_at_stand(
    scene: &Scene,
    unit: [f64; 2],
    (stand, gap): (&Stand, f64),
    against: &[String],
) -> Option<Margin> {
    taken_in(unit, gap, |unit| standing(scene, unit, stand, against))
}

fn taken_in(unit: [f64; 2], gap: f64, held: impl Fn([f64; 2]) -> Option<Margin>) -> Option<Margin> {
    if gap > 0.0 {
        return held(unit);
    }
    let inches = TAKEN_IN - gap;
    let smaller = unit.map(|side| side - 2.0 * inches);
    if !smaller.iter().all(|side| *side > 0.0) {
        return None;
    }
    let mut margin = held(smaller)?;
    margin.clearance.value -= inches;
    Some(margin)
}

fn standing(scene: &Scene, unit: [f64; 2], stand: &Stand, against: &[String]) -> Option<Margin> {
    let [x, y] = stand.at.at();
    let pose = [x, y, stand.heading];
    let (_, contacts) = nearest_contacts(scene, unit, pose, against)?;
    let (sine, cosine) = super::traced::sine_and_cosine(stand.heading);
    let margins = contacts.into_iter().map(|contact| {
        let [dx, dy] = [contact.on_unit[0] - x, contact.on_unit[1] - y];
        let (ahead, left) = (cosine * dx + sine * dy, cosine * dy - sine * dx);
        let moved = (stand.at)
            .plus(&stand.ahead.times(ahead))
            .plus(&stand.ahead.turned_left().times(left));
        let [nx, ny] = contact.normal;
        let mut clearance = contact.by_yard.clone();
        clearance = clearance.plus(&moved.x.times(nx)).plus(&moved.y.times(ny));
        clearance.value = contact.distance;
        let held_by = vec![(contact.id.to_owned(), 1.0)];
        Margin { clearance, held_by }
    });
    margins.reduce(|worst, other| {
        if other.clearance.spread() > worst.clearance.spread() {
            other
        } else {
            worst
        }
    })
}

/// The contacts that are nearest, or as near, with how near. `None` where nothing is near or something overlaps.
fn nearest_contacts<'a>(
    scene: &'a Scene,
    unit: [f64; 2],
    pose: Pose,
    against: &[String],
) -> Option<(f64, Vec<Contact<'a>>)> {
    let mut contacts: Vec<Contact<'_>> = Vec::new();
    for obstacle in &scene.obstacles {
        if against.is_empty() || against.contains(&obstacle.id) {
            contacts.extend(contacts_with(obstacle, unit, pose));
        }
    }
    let distances = contacts.iter().map(|contact| contact.distance);
    let nearest = distances.reduce(f64::min)?;
    contacts.retain(|contact| contact.distance <= nearest + TIES);
    (nearest > 0.0).then_some((nearest, contacts))
}

/// The weights of least |Σλg|, by Frank and Wolfe's steps towards the contact that helps most (exact line search).
fn cancelling(contacts: &[Contact<'_>]) -> Vec<f64> {
    let mut weights = vec![0.0; contacts.len()];
    let Some((first, contact)) = weights.first_mut().zip(contacts.first()) else {
        return weights;
    };
    *first = 1.0;
    let mut sum = contact.by_pose;
    for _ in 0..ROUNDS {
        let along = |contact: &Contact<'_>| dot(contact.by_pose, sum);
        let best = (contacts.iter().enumerate())
            .map(|(index, contact)| (along(contact), index))
            .reduce(|best, other| if other.0 < best.0 { other } else { best });
        let Some((_, index)) = best else {
            break;
        };
        let towards = contacts
            .get(index)
            .map_or([0.0; 3], |contact| contact.by_pose);
        let way = [0, 1, 2].map(|k| towards[k] - sum[k]);
        let length = dot(way, way);
        let step = if length > 0.0 {
            (-dot(way, sum) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        if step <= 1e-12 {
            break;
        }
        for (k, weight) in weights.iter_mut().enumerate() {
            *weight *= 1.0 - step;
            if k == index {
                *weight += step;
            }
        }
        sum = [0, 1, 2].map(|k| sum[k] + step * way[k]);
    }
    weights
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Where the unit and a thing are nearest: corners of one against sides of the other.
fn contacts_with<'a>(obstacle: &'a SceneObstacle, unit: [f64; 2], pose: Pose) -> Vec<Contact<'a>> {
    let (sine, cosine) = super::traced::sine_and_cosine(pose[2]);
    let [half_length, half_width] = [0.5 * unit[0], 0.5 * unit[1]];
    let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)].map(|(a, b)| {
        let (u, v) = (a * half_length, b * half_width);
        [
            pose[0] + cosine * u - sine * v,
            pose[1] + sine * u + cosine * v,
        ]
    });
    let arm = libm::sqrt(half_length * half_length + half_width * half_width);
    let mut contacts = Vec::new();
    let mut push = |on_unit: [f64; 2], on_thing: Place| {
        contacts.extend(contact(obstacle, pose, arm, on_unit, &on_thing));
    };
    match &obstacle.shape {
        Shape::Round { centre, radius } => {
            let middle = centre.at();
            let on_unit = nearest_on(&corners, middle);
            if let Some(towards) = unit_way(middle, on_unit) {
                let reach = Place {
                    x: radius.times(towards[0]),
                    y: radius.times(towards[1]),
                };
                push(on_unit, centre.plus(&reach));
            }
        }
        Shape::Ring(ring) => {
            for place in ring {
                push(nearest_on(&corners, place.at()), place.clone());
            }
            for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                for corner in corners {
                    let share = nearest_share(corner, (from.at(), to.at()));
                    push(corner, from.towards(to, share));
                }
            }
        }
    }
    contacts
}

fn unit_way(from: [f64; 2], to: [f64; 2]) -> Option<[f64; 2]> {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = libm::sqrt(dx * dx + dy * dy);
    (length > 0.0).then(|| [dx / length, dy / length])
}

/// The place of the unit's outline that is nearest to a point.
fn nearest_on(corners: &[[f64; 2]; 4], point: [f64; 2]) -> [f64; 2] {
    let mut best = (f64::INFINITY, point);
    for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let share = nearest_share(point, (*from, *to));
        let near = [
            from[0] + share * (to[0] - from[0]),
            from[1] + share * (to[1] - from[1]),
        ];
        let (dx, dy) = (near[0] - point[0], near[1] - point[1]);
        let away = dx * dx + dy * dy;
        if away < best.0 {
            best = (away, near);
        }
    }
    best.1
}

fn contact<'a>(
    obstacle: &'a SceneObstacle,
    pose: Pose,
    arm: f64,
    on_unit: [f64; 2],
    on_thing: &Place,
) -> Option<Contact<'a>> {
    let normal = unit_way(on_thing.at(), on_unit)?;
    let away = Place::exact(on_unit[0], on_unit[1]).minus(on_thing);
    let by_yard = away.x.times(normal[0]).plus(&away.y.times(normal[1]));
    let lever = [on_unit[0] - pose[0], on_unit[1] - pose[1]];
    let turn = lever[0] * normal[1] - lever[1] * normal[0];
    Some(Contact {
        id: &obstacle.id,
        distance: by_yard.value,
        on_unit,
        normal,
        by_pose: [normal[0], normal[1], turn / arm],
        by_yard,
    })
}
