//! 1,000 small random yards against a pose grid that knows nothing of the solver: plain distances between polygons,
//! and how far they can change between grid poses.

use crate::turning::solved;
use serde_json::{Value, json};
use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::{Answer, Options};

/// Numbers that look random and are the same on every run (the SplitMix64 sequence).
pub struct Draw(pub u64);

impl Draw {
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let part = ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64;
        low + part * (high - low)
    }
}

const SIDE: f64 = 64.0;
const UNIT: [f64; 2] = [20.0, 10.0];

pub type Ring = Vec<[f64; 2]>;

fn blob(draw: &mut Draw) -> Ring {
    let corners = 3 + draw.between(0.0, 4.0) as usize;
    let [x, y] = [draw.between(0.0, SIDE), draw.between(0.0, SIDE)];
    let [wide, high] = [draw.between(1.0, 14.0), draw.between(1.0, 14.0)];
    let first = draw.between(0.0, 6.0);
    (0..corners)
        .map(|corner| {
            let angle = first + core::f64::consts::TAU * corner as f64 / corners as f64;
            [x + wide * angle.cos(), y + high * angle.sin()]
        })
        .collect()
}

pub fn random_yard(draw: &mut Draw) -> Value {
    let count = 2 + draw.between(0.0, 5.0) as usize;
    let obstacles: Vec<Value> = (0..count)
        .map(|index| json!({"id": format!("blob{index}"), "poly": blob(draw)}))
        .collect();
    let heading = draw.between(0.0, 360.0);
    json!({
        "bounds": [0.0, 0.0, SIDE, SIDE],
        "unit": {"L": UNIT[0], "W": UNIT[1]},
        "start": [12.0, 12.0, 45.0],
        "goal": [SIDE - 12.0, SIDE - 12.0, heading],
        "goal_symmetric": draw.between(0.0, 1.0) < 0.5,
        "obstacles": obstacles,
    })
}

pub fn rings(yard: &Value) -> Vec<Ring> {
    let ring = |obstacle: &Value| serde_json::from_value(obstacle["poly"].clone()).expect("a ring");
    yard["obstacles"]
        .as_array()
        .expect("a list")
        .iter()
        .map(ring)
        .collect()
}

pub fn rectangle(pose: [f64; 3], unit: [f64; 2]) -> Ring {
    let (sine, cosine) = pose[2].to_radians().sin_cos();
    [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]
        .iter()
        .map(|[a, b]| {
            let (a, b) = (a * unit[0] / 2.0, b * unit[1] / 2.0);
            [
                pose[0] + a * cosine - b * sine,
                pose[1] + a * sine + b * cosine,
            ]
        })
        .collect()
}

fn sides(ring: &Ring) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
    (0..ring.len()).map(|index| (ring[index], ring[(index + 1) % ring.len()]))
}

fn to_segment(point: [f64; 2], (a, b): ([f64; 2], [f64; 2])) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    let share = ((point[0] - a[0]) * x + (point[1] - a[1]) * y) / (x * x + y * y);
    let share = share.clamp(0.0, 1.0);
    (point[0] - a[0] - share * x).hypot(point[1] - a[1] - share * y)
}

fn inside(point: [f64; 2], ring: &Ring) -> bool {
    let mut winding = 0.0;
    for (a, b) in sides(ring) {
        let (p, q) = (
            [a[0] - point[0], a[1] - point[1]],
            [b[0] - point[0], b[1] - point[1]],
        );
        winding += (p[0] * q[1] - p[1] * q[0]).atan2(p[0] * q[0] + p[1] * q[1]);
    }
    winding.abs() > 3.0
}

fn crosses((a, b): ([f64; 2], [f64; 2]), (c, d): ([f64; 2], [f64; 2])) -> bool {
    let turn = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    // On one line without meeting, they are on no side of each other either; then their boxes are apart.
    let boxes_meet = [0, 1].into_iter().all(|axis: usize| {
        let span = |p: [f64; 2], q: [f64; 2]| (p[axis].min(q[axis]), p[axis].max(q[axis]));
        let ((low, high), (from, to)) = (span(a, b), span(c, d));
        low <= to && from <= high
    });
    boxes_meet && turn(a, b, c) * turn(a, b, d) <= 0.0 && turn(c, d, a) * turn(c, d, b) <= 0.0
}

/// Distance between two solids, 0 where they meet.
fn apart(one: &Ring, other: &Ring) -> f64 {
    let meets = sides(one).any(|side| sides(other).any(|beside| crosses(side, beside)));
    if meets || inside(one[0], other) || inside(other[0], one) {
        return 0.0;
    }
    let from = |one: &Ring, other: &Ring| {
        one.iter()
            .flat_map(|corner| sides(other).map(|side| to_segment(*corner, side)))
            .fold(f64::INFINITY, f64::min)
    };
    from(one, other).min(from(other, one))
}

/// Clearance at a pose, 0 or less where something is touched.
pub fn clearance(pose: [f64; 3], unit: [f64; 2], rings: &[Ring], bounds: [f64; 4]) -> f64 {
    let body = rectangle(pose, unit);
    let within = body
        .iter()
        .flat_map(|[x, y]| [x - bounds[0], bounds[2] - x, y - bounds[1], bounds[3] - y])
        .fold(f64::INFINITY, f64::min);
    rings
        .iter()
        .map(|ring| apart(&body, ring))
        .fold(within, f64::min)
}

const CELLS: usize = 20;
const TURNS: usize = 20;

/// Bounds on the best clearance from a grid over centre and heading; the lower one is no more than 0 where the grid
/// proves nothing.
fn grid_bounds(yard: &Value, rings: &[Ring]) -> [f64; 2] {
    let whole = if yard["goal_symmetric"] == json!(true) {
        180.0
    } else {
        360.0
    };
    let turns = if whole == 360.0 { 2 * TURNS } else { TURNS };
    let step = SIDE / CELLS as f64;
    let turn = whole / turns as f64;
    let slack = step / 2.0_f64.sqrt() + UNIT[0].hypot(UNIT[1]) / 2.0 * (turn / 2.0).to_radians();
    let bounds = [0.0, 0.0, SIDE, SIDE];
    let at = |index: usize, size: f64| (index as f64 + 0.5) * size;
    let room: Vec<f64> = (0..CELLS * CELLS * turns)
        .map(|index| {
            let (x, y, t) = (index % CELLS, index / CELLS % CELLS, index / CELLS / CELLS);
            clearance([at(x, step), at(y, step), at(t, turn)], UNIT, rings, bounds)
        })
        .collect();
    let cell_of = |pose: &Value| {
        let value = |place: usize| pose[place].as_f64().expect("a number");
        let x = (value(0) / step) as usize;
        let y = (value(1) / step) as usize;
        let t = (value(2).rem_euclid(whole) / turn) as usize % turns;
        x + CELLS * (y + CELLS * t)
    };
    let best = widest(
        &room,
        turns,
        cell_of(&yard["start"]),
        cell_of(&yard["goal"]),
    );
    let end = |pose: &Value| {
        let pose: [f64; 3] = serde_json::from_value(pose.clone()).expect("a pose");
        clearance(pose, UNIT, rings, bounds)
    };
    let ends = end(&yard["start"]).min(end(&yard["goal"]));
    // Between neighbouring grid poses, corners included, clearance differs from theirs by at most the slack.
    [(best - slack).min(ends), (best + slack).min(ends.max(0.0))]
}

/// The best worst room over all chains of neighbouring cells, corners included.
fn widest(room: &[f64], turns: usize, start: usize, goal: usize) -> f64 {
    let mut order: Vec<usize> = (0..room.len()).collect();
    order.sort_by(|a, b| room[*b].total_cmp(&room[*a]));
    let mut group: Vec<usize> = (0..room.len()).collect();
    let mut joined = vec![false; room.len()];
    fn find(group: &mut [usize], mut at: usize) -> usize {
        while group[at] != at {
            group[at] = group[group[at]];
            at = group[at];
        }
        at
    }
    for cell in order {
        joined[cell] = true;
        let (x, y, t) = (cell % CELLS, cell / CELLS % CELLS, cell / CELLS / CELLS);
        for dt in [turns - 1, 0, 1] {
            for near_y in y.saturating_sub(1)..=(y + 1).min(CELLS - 1) {
                for near_x in x.saturating_sub(1)..=(x + 1).min(CELLS - 1) {
                    let near = near_x + CELLS * (near_y + CELLS * ((t + dt) % turns));
                    if joined[near] {
                        let (one, other) = (find(&mut group, cell), find(&mut group, near));
                        group[one] = other;
                    }
                }
            }
        }
        if joined[start] && joined[goal] && find(&mut group, start) == find(&mut group, goal) {
            return room[cell];
        }
    }
    unreachable!("all cells are joined in the end")
}

/// The path starts and ends where it should and keeps the lower bound at poses at most 0.2 in apart.
pub fn check_path(yard: &Value, answer: &Answer, rings: &[Ring], bounds: [f64; 4]) {
    let unit =
        [&yard["unit"]["L"], &yard["unit"]["W"]].map(|side| side.as_f64().expect("a number"));
    let lower = answer.lower.expect("a path has a bound");
    let poses: Vec<[f64; 3]> = answer
        .path
        .iter()
        .map(|pose| [pose.x, pose.y, pose.heading])
        .collect();
    let ends: [[f64; 3]; 2] =
        ["start", "goal"].map(|key| serde_json::from_value(yard[key].clone()).expect("a pose"));
    let whole = if yard["goal_symmetric"] == json!(true) {
        180.0
    } else {
        360.0
    };
    for (pose, end) in [poses[0], poses[poses.len() - 1]].iter().zip(ends) {
        let off = (pose[2] - end[2]) / whole;
        let near = (pose[0] - end[0]).abs() + (pose[1] - end[1]).abs() + (off - off.round()).abs();
        assert!(near < 1e-6, "{pose:?} is not {end:?}");
    }
    let radius = unit[0].hypot(unit[1]) / 2.0;
    for pair in poses.windows(2) {
        let [from, to] = [pair[0], pair[1]];
        let far = (to[0] - from[0]).hypot(to[1] - from[1])
            + radius * (to[2] - from[2]).abs().to_radians();
        let steps = (far / 0.2).ceil().max(1.0) as usize;
        for step in 0..=steps {
            let share = step as f64 / steps as f64;
            let pose =
                [0, 1, 2].map(|place: usize| from[place] + share * (to[place] - from[place]));
            let room = clearance(pose, unit, rings, bounds);
            assert!(
                room >= lower - 1e-9,
                "{room} at {pose:?} is below {lower}: {yard}"
            );
        }
    }
}

#[test]
fn pose_grid_contradicts_nothing() {
    let mut draw = Draw(7);
    let mut found = [0, 0, 0];
    for _ in 0..1000 {
        let yard = random_yard(&mut draw);
        let rings = rings(&yard);
        let options = Options {
            resolution: 0.25,
            ..Options::default()
        };
        let answer = solved(&yard, options);
        let [low, high] = grid_bounds(&yard, &rings);
        assert!(
            low <= 0.0 || low <= answer.upper,
            "at least {low}, not {}: {yard}",
            answer.upper
        );
        if let Some(lower) = answer.lower {
            assert!(lower <= high, "at most {high}, not {lower}: {yard}");
            assert!(
                answer.upper - lower <= 0.25 + 1e-5,
                "{lower} to {}: {yard}",
                answer.upper
            );
        }
        if answer.verdict == Verdict::Route {
            check_path(&yard, &answer, &rings, [0.0, 0.0, SIDE, SIDE]);
        }
        found[answer.verdict as usize] += 1;
    }
    assert!(
        found[0] > 200 && found[1] > 200,
        "both answers are met often: {found:?}"
    );
}
