//! Where the unit comes nearest to a thing: where a pinch is circled.

use setdown_rules::motion::answer::Pinch;
use setdown_rules::plan::{Plan, scene};

use super::track::corners;

/// The places at which the unit is nearest to what a pinch names, one for each; the unit's own middle where what is
/// named is not on the plan.
pub fn contacts(plan: &Plan, pinch: &Pinch) -> Vec<[f64; 2]> {
    let Some(unit) = plan.unit else {
        return vec![[pinch.pose.x, pinch.pose.y]];
    };
    let outline = corners(pinch.pose, [unit.length, unit.width]);
    let obstacles = scene(plan).map(|scene| scene.obstacles).unwrap_or_default();
    let mut found: Vec<[f64; 2]> = pinch
        .against
        .iter()
        .filter_map(|name| obstacles.iter().find(|obstacle| obstacle.id == *name))
        .filter_map(|obstacle| nearest(&outline, &obstacle.ring()))
        .collect();
    if let (true, Some([x, y, x2, y2])) = (
        pinch.against.iter().any(|name| name == "bounds"),
        plan.bounds,
    ) {
        found.extend(nearest(&outline, &[[x, y], [x2, y], [x2, y2], [x, y2]]));
    }
    if found.is_empty() {
        found.push([pinch.pose.x, pinch.pose.y]);
    }
    found
}

/// The middle between the two places at which two outlines are nearest.
fn nearest(one: &[[f64; 2]], other: &[[f64; 2]]) -> Option<[f64; 2]> {
    let towards = corners_to_sides(one, other);
    let back = corners_to_sides(other, one);
    let (_, pair) = towards
        .into_iter()
        .chain(back)
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let [from, to] = pair;
    Some([0, 1].map(|axis| 0.5 * (from[axis] + to[axis])))
}

/// From every corner of the one to every side of the other: how far, and the two places.
fn corners_to_sides(one: &[[f64; 2]], other: &[[f64; 2]]) -> Vec<(f64, [[f64; 2]; 2])> {
    let next = other.iter().cycle().skip(1);
    let sides: Vec<([f64; 2], [f64; 2])> = other.iter().copied().zip(next.copied()).collect();
    let mut found = Vec::with_capacity(one.len() * sides.len());
    for corner in one {
        for (from, to) in &sides {
            let foot = foot(*corner, *from, *to);
            let far = (foot[0] - corner[0]).hypot(foot[1] - corner[1]);
            found.push((far, [*corner, foot]));
        }
    }
    found
}

/// The place of a side that is nearest to a point.
fn foot(point: [f64; 2], from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    let (x, y) = (to[0] - from[0], to[1] - from[1]);
    let squared = x * x + y * y;
    if squared <= 0.0 {
        return from;
    }
    let share = ((point[0] - from[0]) * x + (point[1] - from[1]) * y) / squared;
    let share = share.clamp(0.0, 1.0);
    [from[0] + share * x, from[1] + share * y]
}
