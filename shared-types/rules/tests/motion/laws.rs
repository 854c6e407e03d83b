//! Laws that any true answer obeys: less in the way or a smaller unit is never worse; turning and mirroring change
//! nothing; no input makes it panic.

use crate::random::{Draw, random_yard};
use crate::turning::{mirrored, scene, solved, turned};
use serde_json::{Value, json};
use setdown_rules::motion::answer::{Limit, Verdict};
use setdown_rules::motion::{Answer, Options, Solver, file};

const FINE: Options = Options {
    resolution: 0.03,
    cap: None,
    decide_at: None,
    most_cells: 60_000,
};

/// `better` may not be proved worse than `worse`.
fn no_worse(better: &Answer, worse: &Answer, what: &str) {
    if let Some(lower) = worse.lower {
        assert!(
            better.upper >= lower,
            "{what}: at most {} after at least {lower}",
            better.upper
        );
    }
    assert!(
        !(worse.verdict == Verdict::Route && better.verdict == Verdict::NoRoute),
        "{what}"
    );
}

fn same(one: &Answer, other: &Answer, what: &str) {
    no_worse(one, other, what);
    no_worse(other, one, what);
    let narrow = |answer: &Answer| {
        answer
            .lower
            .is_none_or(|lower| answer.upper - lower <= 0.03 + 1e-5)
    };
    assert!(narrow(one) && narrow(other), "{what}");
}

#[test]
fn taking_away_and_shrinking_never_hurt() {
    let mut draw = Draw(21);
    for _ in 0..60 {
        let yard = random_yard(&mut draw);
        let before = solved(&yard, FINE);
        let mut fewer = yard.clone();
        fewer["obstacles"].as_array_mut().expect("a list").pop();
        no_worse(&solved(&fewer, FINE), &before, &format!("one less: {yard}"));
        let mut smaller = yard.clone();
        smaller["unit"] = json!({"L": 19.0, "W": 9.8});
        no_worse(
            &solved(&smaller, FINE),
            &before,
            &format!("smaller: {yard}"),
        );
    }
}

#[test]
fn turning_and_mirroring_change_nothing() {
    let mut draw = Draw(22);
    for _ in 0..60 {
        // Walls stand in for bounds in both, since bounds cannot be turned.
        let yard = turned(&random_yard(&mut draw), 0.0, [0.0, 0.0]);
        let before = solved(&yard, FINE);
        let degrees = draw.between(-200.0, 200.0);
        same(
            &solved(&turned(&yard, degrees, [50.0, 900.0]), FINE),
            &before,
            &format!("turned by {degrees}: {yard}"),
        );
        same(
            &solved(&mirrored(&yard), FINE),
            &before,
            &format!("mirrored: {yard}"),
        );
    }
}

/// What is there may be looked at at any time: bounds only ever tighten, and end where a run in one go ends.
#[test]
fn steps_tighten_and_agree() {
    let yard = scene("s11_full_yard").to_string();
    let yard = file::read(&yard).expect("a good scene");
    let mut steps = Solver::new(&yard, Options::default());
    let (mut lower, mut upper) = (f64::NEG_INFINITY, f64::INFINITY);
    loop {
        let progress = steps.step(50);
        assert!(progress.upper <= upper && progress.lower.unwrap_or(lower) >= lower);
        (lower, upper) = (progress.lower.unwrap_or(lower), progress.upper);
        if progress.finished {
            break;
        }
    }
    let mut whole = Solver::new(&yard, Options::default());
    assert_eq!(whole.solve(), steps.progress());
    assert_eq!(Answer::of(&yard, &whole), Answer::of(&yard, &steps));
}

/// What is of interest ends the search: the way keeps it, and a gate that leaves less is told as ever.
#[test]
fn enough_is_enough() {
    let mut yard = scene("s06_cluttered_trees");
    yard["enough"] = json!(8.0);
    let answer = solved(&yard, FINE);
    assert_eq!(
        (answer.verdict, answer.limited_by),
        (Verdict::Route, Limit::Cap)
    );
    assert!(answer.upper <= 8.001 && answer.lower.is_some_and(|lower| lower >= 7.96));
    let mut tight = scene("s07_gate_plus1");
    tight["enough"] = json!(8.0);
    let plain = solved(&scene("s07_gate_plus1"), FINE);
    let tight = solved(&tight, FINE);
    assert_eq!(tight.limited_by, Limit::Way);
    same(&tight, &plain, "a gate below what is of interest");
}

/// Odd scenes get an answer.
#[test]
fn odd_scenes() {
    let base = json!({"unit": {"L": 20.0, "W": 10.0}, "start": [0.0, 0.0, 0.0], "goal": [100.0, 0.0, 90.0]});
    let with = |change: &dyn Fn(&mut Value)| {
        let mut yard = base.clone();
        change(&mut yard);
        solved(&yard, Options::default())
    };
    let empty = with(&|_| {});
    assert_eq!((empty.verdict, empty.path.len()), (Verdict::Route, 2));
    assert!(empty.upper.is_infinite());
    let block = |x: f64| json!([{"id": "block", "poly": [[x - 8.0, -8.0], [x + 8.0, -8.0], [x + 8.0, 8.0], [x - 8.0, 8.0]]}]);
    let stuck = with(&|yard| yard["obstacles"] = block(0.0));
    assert_eq!(stuck.verdict, Verdict::NoRoute);
    assert_eq!(stuck.limited_by, Limit::Start);
    let occupied = with(&|yard| yard["obstacles"] = block(100.0));
    assert_eq!(occupied.limited_by, Limit::Goal);
    let round = with(&|yard| yard["obstacles"] = block(50.0));
    assert_eq!(round.verdict, Verdict::Route);
    let outside = with(&|yard| yard["bounds"] = json!([-50.0, -50.0, 60.0, 50.0]));
    assert_eq!(outside.verdict, Verdict::NoRoute);
    let small = with(&|yard| {
        yard["unit"] = json!({"L": 3.0, "W": 2.0});
        yard["bounds"] = json!([-50.0, -50.0, 160.0, 50.0]);
        yard["obstacles"] =
            json!([{"id": "wall", "poly": [[50, -60], [51, -60], [51, 60], [50, 60]]}]);
    });
    assert_eq!(small.verdict, Verdict::NoRoute);
}

/// Heights that do not meet the carried unit's are not in the way.
#[test]
fn heights() {
    let mut yard = scene("s08_gate_minus1");
    assert_eq!(solved(&yard, Options::default()).verdict, Verdict::NoRoute);
    yard["carry_z"] = json!([4.0, 60.0]);
    yard["obstacles"][0]["z"] = json!([61.0, 90.0]);
    assert_eq!(solved(&yard, Options::default()).verdict, Verdict::Route);
    yard["obstacles"][0]["z"] = json!([60.0, 90.0]);
    assert_eq!(solved(&yard, Options::default()).verdict, Verdict::NoRoute);
}

/// Bounds on both sides of 0 are narrowed before "undecided" is the answer.
#[test]
fn near_ties_are_settled() {
    for (opening, verdict) in [
        (96.03, Verdict::Route),
        (95.97, Verdict::NoRoute),
        (96.0, Verdict::Undecided),
    ] {
        let mut yard = scene("s07_gate_plus1");
        for corner in [0, 3] {
            yard["obstacles"][1]["poly"][corner][0] = json!(300.0 + opening);
        }
        let answer = solved(&turned(&yard, 40.0, [0.0, 0.0]), Options::default());
        assert_eq!(answer.verdict, verdict, "opening {opening}");
        let lower = answer.lower.expect("proved");
        let best = (opening - 96.0) / 2.0;
        assert!(
            lower <= best + 1e-9 && best - 1e-9 <= answer.upper,
            "opening {opening}"
        );
    }
}
