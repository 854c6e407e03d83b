//! The moves do what they say, one follows on the other, and each keeps the clearance, arcs included.

use crate::random::{Draw, Ring, clearance, random_yard, rings};
use crate::turning::{scene, solved};
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

#[test]
fn moves_of_scenes() {
    for name in [
        "s02a_L_corner_plus1",
        "s05_narrow_gate_posts",
        "s10_three_point_turn",
        "s11_full_yard",
    ] {
        let yard = scene(name);
        let answer = solved(&yard, Options::default());
        let [length, width] = ["L", "W"].map(|side| yard["unit"][side].as_f64().expect("a number"));
        let bounds = serde_json::from_value(yard["bounds"].clone()).expect("four numbers");
        check_moves(&answer, [length, width], &rings(&yard), bounds);
        assert!(
            !answer.moves.is_empty() && answer.moves.len() <= 40,
            "{name}: {}",
            answer.moves.len()
        );
    }
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
            count += 1;
        }
    }
    assert!(count > 20, "{count}");
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}
