//! The longest rectangle round a right-angled corner, over random turned corners.
//!
//! Limits from the corner's own formula (least (a·cos θ + b·sin θ − w)/(sin θ·cos θ), checked elsewhere against
//! published values), and the reference cases of `tests/data/l_corner.json`.

use crate::random::Draw;
use crate::turning::{number, scene, solved, turned};
use serde_json::{Value, json};
use setdown_rules::maths::corner::longest_turn;
use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::largest::{Ends, Extent, Measured, Sought, largest_unit};
use setdown_rules::motion::{Options, Scene, file};

/// Two corridors, `a` wide along y and `b` wide along x, met at the origin's corner.
fn corner(a: f64, b: f64, length: f64, width: f64) -> Value {
    let arm = a.max(b) + 2.0 * length;
    let inner = [[a, b], [arm, b], [arm, arm], [a, arm]];
    json!({
        "bounds": [0.0, 0.0, arm, arm],
        "unit": {"L": length, "W": width},
        "start": [a / 2.0, arm - length / 2.0 - 10.0, 90.0],
        "goal": [arm - length / 2.0 - 10.0, b / 2.0, 0.0],
        "goal_symmetric": true,
        "obstacles": [{"id": "inner", "poly": inner}],
    })
}

/// Just longer and just shorter than the limit: impossible and possible, both proved.
fn check_limit(a: f64, b: f64, width: f64, limit: f64, degrees: f64) {
    let options = Options {
        resolution: 0.02,
        decide_at: Some(0.0),
        ..Options::default()
    };
    for (length, verdict) in [
        (limit - 0.05, Verdict::Route),
        (limit + 0.05, Verdict::NoRoute),
    ] {
        let yard = turned(&corner(a, b, length, width), degrees, [12.0, 5.0]);
        let answer = solved(&yard, options);
        assert_eq!(
            answer.verdict, verdict,
            "{a} {b} {width} {length} turned by {degrees}: {:?} to {}",
            answer.lower, answer.upper
        );
    }
}

#[test]
fn random_corners() {
    let mut draw = Draw(3);
    let mut count = 0;
    while count < 200 {
        let (a, b) = (draw.between(98.0, 150.0), draw.between(98.0, 150.0));
        let width = draw.between(80.0, 96.0);
        let limit = longest_turn(a, b, width).expect("it fits").length.value;
        // A unit no longer than a corridor is wide goes round without turning.
        if limit > a.max(b) + 1.0 {
            check_limit(a, b, width, limit, draw.between(0.0, 360.0));
            count += 1;
        }
    }
}

#[test]
fn reference_corners() {
    let data: Value =
        serde_json::from_str(include_str!("../../../../tests/data/l_corner.json")).expect("JSON");
    for case in data["lmax"].as_array().expect("cases") {
        let [a, b, width, limit] = ["a", "b", "w", "Lmax_min"].map(|key| number(&case[key]));
        if width > 0.0 && limit > a.max(b) {
            check_limit(a, b, width, limit, 27.0);
        }
    }
}

/// `tests/data/route/corner_clearance.json`: the length that turns between corridors narrower by the clearance, with a
/// unit wider by it, is the length; the corner's walls count as bounds there.
#[test]
fn reference_clearances() {
    let cases: Value = serde_json::from_str(include_str!(
        "../../../../tests/data/route/corner_clearance.json"
    ))
    .expect("JSON");
    for case in cases.as_array().expect("cases") {
        let [a, b, width, length, best] =
            ["a", "b", "w", "L", "max_min_clearance"].map(|key| number(&case[key]));
        let options = Options {
            resolution: 0.02,
            ..Options::default()
        };
        let answer = solved(&corner(a, b, length, width), options);
        let lower = answer.lower.expect("proved");
        let inside = lower <= best + 1e-6 && best - 1e-6 <= answer.upper;
        // No longer than the wider corridor: it goes round without turning, with more room than the formula says.
        let bypass = length <= a.max(b) && best <= answer.upper;
        assert!(
            inside || bypass,
            "{best} is outside {lower} to {}",
            answer.upper
        );
    }
}

/// Start and goal as the scene has them.
const MIDDLES: Ends = Ends {
    tail_at_start: false,
    head_at_goal: false,
};

/// The longest and the widest unit round a corner, and through a gate, against the formula and the gate's width.
#[test]
fn largest_units() {
    let (a, b, width) = (120.0, 150.0, 96.0);
    let yard = file::read(&turned(&corner(a, b, 180.0, width), 33.0, [4.0, 9.0]).to_string())
        .expect("a good scene");
    let limit = longest_turn(a, b, width).expect("it fits").length.value;
    brackets(found(&yard, Measured::Length, MIDDLES, 0.0), limit);
    let gate = file::read(&scene("s07_gate_plus1").to_string()).expect("a good scene");
    brackets(found(&gate, Measured::Width, MIDDLES, 0.0), 97.0);
    // With room kept on either side it is less by twice that room.
    brackets(found(&gate, Measured::Width, MIDDLES, 3.0), 91.0);
    let closed = file::read(&scene("s09_removable").to_string()).expect("a good scene");
    let none = found(&closed, Measured::Length, MIDDLES, 0.0);
    assert_eq!(none.passes, None);
}

/// In a straight alley closed at both ends: where the tail stays 5 in from one end and the head 10 in from the other, the
/// longest unit has the 390 in between the other end and that head; where the middles stay, twice the 80 in from the
/// nearer middle to its end.
#[test]
fn longest_between_ends() {
    let alley = json!({
        "unit": {"L": 150, "W": 90}, "bounds": [0, 0, 400, 100],
        "start": [80, 50, 0], "goal": [315, 50, 0], "obstacles": [],
    });
    let yard = turned(&alley, 25.0, [3.0, 8.0]);
    let yard = file::read(&yard.to_string()).expect("a good scene");
    let kept = Ends {
        tail_at_start: true,
        head_at_goal: true,
    };
    // Room to be kept is kept at the closed ends too: once there, and at both ends of the unit.
    for (ends, keeps, limit) in [
        (kept, 0.0, 390.0),
        (kept, 4.0, 386.0),
        (MIDDLES, 0.0, 160.0),
        (MIDDLES, 4.0, 152.0),
    ] {
        brackets(found(&yard, Measured::Length, ends, keeps), limit);
    }
    // 10 in of the alley's 100 are all the room there is beside the unit.
    assert_eq!(found(&yard, Measured::Length, kept, 5.5).passes, None);
}

fn found(scene: &Scene, side: Measured, ends: Ends, keeps: f64) -> Extent {
    let sought = Sought { side, ends, keeps };
    largest_unit(scene, sought, 60_000).expect("sizes are good")
}

fn brackets(extent: Extent, limit: f64) {
    let (passes, fails) = (
        extent.passes.expect("some pass"),
        extent.fails.expect("some fail"),
    );
    assert!(
        passes <= limit && limit <= fails && fails - passes <= 1.0 / 16.0,
        "{passes} to {fails}, not {limit}"
    );
}
