//! The moves do what they say, one follows on the other, and each keeps the clearance, arcs included.

use crate::random::{Draw, Ring, clearance, random_yard, rings};
use crate::turning::{number, scene, solved, turned as turned_scene};
use serde_json::{Value, json};
use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::motion::scene::Pose;
use setdown_rules::motion::{Answer, Options};

fn ahead(pose: [f64; 3], forward: f64, left: f64) -> [f64; 2] {
    let (sine, cosine) = pose[2].to_radians().sin_cos();
    [
        pose[0] + forward * cosine - left * sine,
        pose[1] + forward * sine + left * cosine,
    ]
}

fn turned(pose: [f64; 3], about: [f64; 2], degrees: f64) -> [f64; 3] {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let (x, y) = (pose[0] - about[0], pose[1] - about[1]);
    [
        about[0] + x * cosine - y * sine,
        about[1] + x * sine + y * cosine,
        pose[2] + degrees,
    ]
}

/// The pose when a share of the action is done.
fn done(pose: [f64; 3], action: Action, share: f64, unit: [f64; 2]) -> [f64; 3] {
    match action {
        Action::Straight { forward, left } => {
            let [x, y] = ahead(pose, share * forward, share * left);
            [x, y, pose[2]]
        }
        Action::Together {
            forward,
            left,
            degrees,
        } => {
            let [x, y] = ahead(pose, share * forward, share * left);
            [x, y, pose[2] + share * degrees]
        }
        Action::Turn { degrees, about } => {
            let sign = |positive: bool| if positive { 0.5 } else { -0.5 };
            let [forward, left] = match about {
                About::Centre => [0.0, 0.0],
                About::Corner { front, left } => [sign(front) * unit[0], sign(left) * unit[1]],
                About::Point { forward, left } => [forward, left],
            };
            turned(pose, ahead(pose, forward, left), share * degrees)
        }
    }
}

fn pose(pose: Pose) -> [f64; 3] {
    [pose.x, pose.y, pose.heading]
}

fn near(one: [f64; 3], other: [f64; 3]) -> bool {
    one.iter().zip(other).all(|(a, b)| (a - b).abs() < 1e-5)
}

fn check_moves(answer: &Answer, unit: [f64; 2], rings: &[Ring], bounds: [f64; 4]) {
    let lower = answer.lower.expect("proved");
    let mut at = pose(answer.path[0]);
    for Move { action, from, to } in &answer.moves {
        assert!(near(at, pose(*from)), "{at:?} is not {from:?}");
        for step in 0..=60 {
            let passing = done(at, *action, f64::from(step) / 60.0, unit);
            let room = clearance(passing, unit, rings, bounds);
            assert!(
                room >= lower - 1e-6,
                "{room} in {action:?} at {passing:?}, not {lower}"
            );
        }
        at = done(at, *action, 1.0, unit);
        assert!(near(at, pose(*to)), "{at:?} is not {to:?} after {action:?}");
        // What is left of rounding does not add up.
        at = pose(*to);
    }
    let last = answer.path.last().expect("a path has an end");
    assert!(near(at, pose(*last)));
}

/// The way starts and ends to the bit where it should.
fn check_ends(answer: &Answer) {
    let [first, last] = [answer.moves.first(), answer.moves.last()].map(|one| one.expect("a move"));
    assert_eq!(Some(&first.from), answer.path.first());
    assert_eq!(Some(&last.to), answer.path.last());
}

/// Everything the unit may not touch, and bounds far away where the scene has none.
fn around(yard: &Value) -> (Vec<Ring>, [f64; 4]) {
    let bounds = serde_json::from_value(yard["bounds"].clone());
    (rings(yard), bounds.unwrap_or([-1e5, -1e5, 1e5, 1e5]))
}

/// Scenes with the most moves that they may take, turned by any angle. The fewest there can be is 1 in a straight yard
/// and 3 round a corner: up to it, round it, and on.
const MOST: [(&str, usize); 9] = [
    ("s01_side_yard_gate", 1),
    ("s02a_L_corner_plus1", 6),
    ("s03_Z_double_corner", 10),
    ("s04_U_turn_garage", 9),
    ("s05_narrow_gate_posts", 5),
    ("s06_cluttered_trees", 15),
    ("s07_gate_plus1", 5),
    ("s10_three_point_turn", 12),
    ("s11_full_yard", 19),
];

#[test]
fn moves_of_scenes() {
    let mut all: Vec<Action> = Vec::new();
    for (name, most) in MOST {
        for degrees in [0.0, 17.0, 61.0] {
            let yard = match degrees {
                0.0 => scene(name),
                _ => turned_scene(&scene(name), degrees, [0.0, 0.0]),
            };
            let answer = solved(&yard, Options::default());
            let unit = ["L", "W"].map(|side| number(&yard["unit"][side]));
            let (rings, bounds) = around(&yard);
            check_moves(&answer, unit, &rings, bounds);
            check_ends(&answer);
            let count = answer.moves.len();
            assert!(
                (1..=most).contains(&count),
                "{name} turned by {degrees}: {count} moves"
            );
            let before_last = answer.moves.iter().rev().skip(1);
            all.extend(before_last.map(|one| one.action));
        }
    }
    // The last move takes up what is left of rounding. Where it is tight, exact figures are needed.
    let share = |test: fn(&Action) -> bool| {
        all.iter().filter(|action| test(action)).count() as f64 / all.len() as f64
    };
    let [round, small, together] = [share(is_round), share(is_small), share(is_together)];
    assert!(round > 0.85, "{round} of {} in round figures", all.len());
    assert!(small < 0.05, "{small} of {} are small", all.len());
    assert!(together < 0.05, "{together} of {} roll and turn", all.len());
}

fn is_multiple(value: f64, of: f64) -> bool {
    (value / of - (value / of).round()).abs() < 1e-6
}

/// Half degrees and eighths of an inch, but for the point that a turn is about.
fn is_round(action: &Action) -> bool {
    match *action {
        Action::Straight { forward, left } => [forward, left]
            .into_iter()
            .all(|inches| is_multiple(inches, 0.125)),
        Action::Turn { degrees, .. } => is_multiple(degrees, 0.5),
        Action::Together { .. } => false,
    }
}

/// Less than a crew can follow: under 1 degree or 2 in.
fn is_small(action: &Action) -> bool {
    match *action {
        Action::Straight { forward, left } => forward.abs().max(left.abs()) < 2.0 - 1e-6,
        Action::Turn { degrees, .. } | Action::Together { degrees, .. } => {
            degrees.abs() < 1.0 - 1e-6
        }
    }
}

fn is_together(action: &Action) -> bool {
    matches!(action, Action::Together { .. })
}

#[test]
fn moves_of_random_yards() {
    let mut draw = Draw(40);
    let mut count = 0;
    for _ in 0..100 {
        let yard = random_yard(&mut draw);
        let answer = solved(&yard, Options::default());
        if answer.verdict == Verdict::Route {
            let bounds = [
                &json!(0.0),
                &json!(0.0),
                &yard["bounds"][2],
                &yard["bounds"][3],
            ]
            .map(number);
            check_moves(&answer, [20.0, 10.0], &rings(&yard), bounds);
            check_ends(&answer);
            count += 1;
        }
    }
    assert!(count > 20, "{count}");
}
