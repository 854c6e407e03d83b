//! From a plan file to the certified answer: the scene that a plan writes is read by the route solver as it stands.

use setdown_rules::motion::{Answer, Options, Solver, answer::Verdict, file};
use setdown_rules::plan::{margin, read, scene};

fn solved(text: &str) -> (setdown_rules::plan::Scene, Answer) {
    let derived = read(text).unwrap_or_else(|complaint| panic!("{complaint}"));
    let plan = derived.plan.expect("the plan is tied");
    let scene = scene(&plan).expect("nothing is missing");
    let checked = file::read(&scene.file.to_string()).unwrap_or_else(|fault| panic!("{fault}"));
    let mut solver = Solver::new(&checked, Options::default());
    solver.solve();
    let answer = Answer::of(&checked, &solver);
    (scene, answer)
}

/// A straight way 140 wide with a gate 98 wide: the best clearance of a 94 wide unit is 2 (worked out).
fn gate(width: f64) -> String {
    format!(
        r#"{{"spread": 0.5, "unit": {{"L": 190, "W": 94}}, "goal_symmetric": true, "legs": [
            {{"id": "a", "left": 70, "right": 70, "length": 900,
              "gates": [{{"id": "gate", "along": 400, "left": 50, "width": {{"is": {width}, "spread": 0.2}}}}]}}],
            "truck_stand": {{"at": [120, 0], "heading": 0}}, "spot": {{"at": [700, 0], "heading": 0}}}}"#
    )
}

#[test]
fn gate_is_the_pinch_and_has_half_its_spread() {
    let (scene, answer) = solved(&gate(98.0));
    assert_eq!(answer.verdict, Verdict::Route);
    let lower = answer.lower.expect("proved");
    assert!(
        lower > 1.89 && answer.upper < 2.11,
        "{lower} to {}",
        answer.upper
    );
    let pinch = answer.pinches.first().expect("a pinch");
    let pose = [pinch.pose.x, pinch.pose.y, pinch.pose.heading];
    let held = margin(&scene, [190.0, 94.0], pose, &[]).expect("it fits");
    assert!(
        held.held_by.iter().all(|(id, _)| id.starts_with("gate")),
        "{:?}",
        held.held_by
    );
    let spread = held.clearance.spread();
    assert!((spread - 0.1).abs() < 0.02, "half of ±0.2: {spread}");
}

/// The corridor is closed at both ends: a gate that is too narrow cannot be driven round.
#[test]
fn narrow_gate_is_proved_shut() {
    let (_, answer) = solved(&gate(93.0));
    assert_eq!(answer.verdict, Verdict::NoRoute);
    assert!(
        (answer.upper + 0.5).abs() < 0.11,
        "short by half of 1: {}",
        answer.upper
    );
}

/// The documented example: with the shed there is no way, without it there is.
#[test]
fn documented_example() {
    let text = include_str!("../../../tests/examples/route/side-yard-legs.json");
    let (_, with_shed) = solved(text);
    assert_eq!(with_shed.verdict, Verdict::NoRoute);
    let mut file: serde_json::Value = serde_json::from_str(text).expect("JSON");
    let things = file["legs"][1]["things"].as_array_mut().expect("a list");
    things.retain(|thing| thing["id"] != "old shed");
    let (_, without) = solved(&file.to_string());
    assert_eq!(
        without.verdict,
        Verdict::Route,
        "{:?} {}",
        without.lower,
        without.upper
    );
}

/// Two legs and a gate too narrow for the unit on one of them.
fn with_narrow_gate((turn, one, other): (i32, i32, i32), gate_on: usize, along: i32) -> String {
    let gate = format!(r#", "gates": [{{"id": "gate", "along": {along}, "width": 60}}]"#);
    let on = |leg: usize| if leg == gate_on { gate.as_str() } else { "" };
    format!(
        r#"{{"spread": 0.5, "unit": {{"L": 110, "W": 94}}, "goal_symmetric": true, "legs": [
            {{"id": "a", "left": {one}, "right": {one}, "length": 400, "turn": {{"is": {turn}, "spread": 1}}{}}},
            {{"id": "b", "left": {other}, "right": {other}, "length": 500{}}}],
            "truck_stand": {{"at": {{"leg": "a", "along": 60}}, "heading": {{"leg": "a"}}}},
            "spot": {{"at": {{"leg": "b", "along": 440}}, "heading": {{"leg": "b"}}}}}}"#,
        on(0),
        on(1)
    )
}

/// Wherever a gate is accepted it closes its leg from wall to wall; where a corner opens to the side it is refused.
#[test]
fn no_accepted_gate_can_be_driven_round() {
    let (mut shut, mut refused) = (0, 0);
    for turn in [-90, -50, -12, 20, 90] {
        for (one, other) in [(60, 60), (52, 110), (110, 60)] {
            let stations = |first: i32, last: i32| (first..=last).step_by(35).chain([last]);
            let gates = (stations(120, 400).map(|along| (0, along)))
                .chain(stations(0, 380).map(|along| (1, along)));
            for (on, along) in gates {
                let text = with_narrow_gate((turn, one, other), on, along);
                let derived = match read(&text) {
                    Ok(derived) => derived,
                    Err(complaint) => {
                        let told = complaint.to_string();
                        assert!(told.contains("open to the side"), "{text}: {told}");
                        refused += 1;
                        continue;
                    }
                };
                let plan = derived.plan.expect("the plan is tied");
                let scene = scene(&plan).expect("nothing is missing");
                let checked = file::read(&scene.file.to_string()).expect("a good scene");
                let options = Options {
                    decide_at: Some(0.0),
                    ..Options::default()
                };
                let solved = Solver::new(&checked, options).solve();
                assert!(solved.upper < 0.0, "{text}: {solved:?}");
                shut += 1;
            }
        }
    }
    assert!(shut > 100 && refused > 20, "{shut} shut, {refused} refused");
}
