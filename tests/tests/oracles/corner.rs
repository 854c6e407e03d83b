//! The rectangle round the corner: published numbers, reference cases, scipy's minimiser, shapely's sweep.

use crate::harness::{Draw, ask, list, near, number, prints_as};
use serde_json::{Value, json};
use setdown_rules::maths::corner::{Manner, longest_turn, passage, room_at};

fn longest(a: f64, b: f64, w: f64) -> f64 {
    longest_turn(a, b, w)
        .unwrap_or_else(|| panic!("a {w} wide rectangle fits {a} and {b}"))
        .length
        .value
}

/// "Moving a Couch around a Corner" (Coll. Math. J. 33(3) 2002, 196-200): corridors 8
/// and 3, width 1, at 31 degrees: 12.8927. Read, recomputed. Its angle is the complement of ours.
#[test]
fn couch_example() {
    let room = room_at(8.0, 3.0, 1.0, 59.0).expect("sensible numbers");
    prints_as(room, 12.8927, 0.0001, "couch");
    let mirrored = room_at(3.0, 8.0, 1.0, 31.0).expect("sensible numbers");
    prints_as(mirrored, 12.8927, 0.0001, "couch");
    assert!(
        longest(8.0, 3.0, 1.0) <= room,
        "the least room is not above it"
    );
}

/// The ladder of no width, 9 by 6 ft: (9^(2/3) + 6^(2/3))^(3/2); formula read (freemathhelp.com thread 90868), 21.0704
/// and 46.8722 worked out from it. A published 20.97 for 5.8 by 8.73 is wrong; the right value is 20.41.
#[test]
fn ladder_of_no_width() {
    for (a, b, length) in [
        (9.0, 6.0, 21.0704),
        (8.0, 27.0, 46.8722),
        (5.8, 8.73, 20.4079),
    ] {
        prints_as(longest(a, b, 0.0), length, 0.0001, "ladder");
    }
}

/// Reference values worked out by minimisation to 1e-12 for 8 ft wide units (no publication).
#[test]
fn corner_table() {
    for (a, b, w, length) in [
        (10.0, 10.0, 8.0, 12.28427),
        (12.0, 10.0, 8.0, 14.97335),
        (12.0, 12.0, 8.0, 17.94113),
        (14.0, 14.0, 8.0, 23.59798),
        (16.0, 12.0, 8.0, 23.29883),
        (20.0, 12.0, 8.0, 28.30890),
        (8.0, 3.0, 1.0, 12.85632),
        (4.0, 6.0, 2.0, 9.98687),
    ] {
        prints_as(longest(a, b, w), length, 0.00001, "corner table");
        prints_as(longest(b, a, w), length, 0.00001, "corner table, mirrored");
    }
    let turn = longest_turn(8.0, 3.0, 1.0).expect("it fits");
    prints_as(turn.angle, 56.4723, 0.0001, "tightest angle");
}

/// `tests/data/l_corner.json`: minimum, root of the discriminant and polygon sweep agree there to six decimals.
#[test]
fn reference_cases() {
    let data: Value =
        serde_json::from_str(include_str!("../../data/l_corner.json")).expect("the file is JSON");
    let cases = list(&data["lmax"]);
    assert!(cases.len() >= 9, "the file has its cases");
    for case in cases {
        let [a, b, w, length, angle] =
            ["a", "b", "w", "Lmax_min", "theta_deg"].map(|key| number(&case[key]));
        let turn = longest_turn(a, b, w).expect("it fits");
        prints_as(turn.length.value, length, 0.000_001, "reference case");
        // That file measures the angle from the other corridor.
        prints_as(90.0 - turn.angle, angle, 0.000_01, "reference case, angle");
    }
}

/// 200 corners against scipy's bounded minimiser after a scan of 2,000 angles.
#[test]
fn random_corners_against_scipy() {
    let mut draw = Draw::new(1);
    let mut cases = Vec::new();
    for k in 0..200 {
        let (a, b) = (draw.between(0.5, 20.0), draw.between(0.5, 20.0));
        let share = match k % 10 {
            0 => 0.0,
            1 => 1.0,
            _ => draw.between(0.0, 1.0),
        };
        cases.push((a, b, share * a.min(b)));
    }
    let request: Vec<Value> = cases
        .iter()
        .map(|(a, b, w)| json!({"a": a, "b": b, "w": w}))
        .collect();
    let answer = ask("corner.py", &Value::from(request));
    assert_eq!(list(&answer).len(), cases.len());
    for ((a, b, w), theirs) in cases.iter().zip(list(&answer)) {
        let what = format!("corner {a} {b} {w}");
        near(longest(*a, *b, *w), number(&theirs["length"]), 1e-9, &what);
    }
}

/// A rectangle a thousandth shorter sweeps through without touching the inner corner, one a thousandth longer cuts
/// into it, as shapely sees the polygons.
#[test]
fn sweep_against_shapely() {
    let cases = [
        (12.0, 12.0, 8.0),
        (10.0, 12.5, 8.0),
        (3.0, 8.0, 1.0),
        (4.0, 6.0, 2.0),
    ];
    let request: Vec<Value> = cases
        .iter()
        .map(|(a, b, w)| json!({"a": a, "b": b, "w": w, "sweep": true}))
        .collect();
    let answer = ask("corner.py", &Value::from(request));
    for ((a, b, w), theirs) in cases.iter().zip(list(&answer)) {
        near(
            longest(*a, *b, *w),
            number(&theirs["length"]),
            1e-9,
            "sweep",
        );
        assert!(
            number(&theirs["overlap_below"]) < 1e-12,
            "{a} {b} {w}: {theirs}"
        );
        assert!(
            number(&theirs["overlap_above"]) > 1e-9,
            "{a} {b} {w}: {theirs}"
        );
    }
}

/// Worked out: what turns, what only goes sideways, and what does neither.
#[test]
fn passages() {
    let turn = passage(12.0, 12.0, 17.0, 8.0).expect("sensible");
    assert_eq!(turn.manner, Manner::Turn);
    near(
        turn.margin.value,
        17.941_125_496_954_28 - 17.0,
        1e-12,
        "turn",
    );
    // 15 long and 9 wide does not turn from 9.05 into 15.5, but goes on sideways.
    let sideways = passage(9.05, 15.5, 15.0, 9.0).expect("sensible");
    assert!(longest(9.05, 15.5, 9.0) < 15.0);
    assert_eq!(sideways.manner, Manner::SidewaysAfter);
    near(sideways.margin.value, 0.05, 1e-12, "sideways after");
    let before = passage(15.5, 9.05, 15.0, 9.0).expect("sensible");
    assert_eq!(before.manner, Manner::SidewaysBefore);
    let stuck = passage(7.5, 7.0, 15.0, 8.0).expect("sensible");
    near(
        stuck.margin.value,
        -1.0,
        1e-12,
        "wider than the narrower corridor",
    );
    // Length and width given the other way round are the same thing, also in their derivatives.
    let swapped = passage(12.0, 12.0, 8.0, 17.0).expect("sensible");
    near(swapped.margin.value, turn.margin.value, 1e-12, "swapped");
    assert_eq!(swapped.margin.gradient[2], turn.margin.gradient[3]);
}

/// Numbers that make no sense get no answer, and nothing panics.
#[test]
fn senseless_corners() {
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(longest_turn(bad, 3.0, 1.0).is_none());
        assert!(longest_turn(3.0, bad, 1.0).is_none());
        assert!(longest_turn(3.0, 3.0, bad).is_none());
        assert!(passage(3.0, 3.0, bad, 1.0).is_none());
    }
    assert!(
        longest_turn(3.0, 4.0, 3.1).is_none(),
        "wider than a corridor"
    );
    assert!(longest_turn(0.0, 3.0, 0.0).is_none());
    assert!(
        longest_turn(f64::MAX, f64::MAX, 1.0).is_none(),
        "too large to compute with"
    );
}
