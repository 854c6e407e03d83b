//! Plans worked out by hand.

use super::*;

mod on_leg;

fn derived(text: &str) -> Derived {
    read(text).unwrap_or_else(|complaint| panic!("{complaint}"))
}

fn plan(text: &str) -> Plan {
    derived(text).plan.expect("the network is tied")
}

fn said(text: &str) -> String {
    read(text).map(|_| ()).unwrap_err().to_string()
}

fn near(ours: f64, theirs: f64, allowed: f64, what: &str) {
    assert!(
        (ours - theirs).abs() <= allowed,
        "{what}: {ours} here, {theirs} there"
    );
}

/// The example documented in `tests/examples/route/README.md`.
const EXAMPLE: &str = include_str!("../../../../tests/examples/route/side-yard-legs.json");

/// A right-angle corner from legs: corridors 120 and 100 wide, one turn to the left.
fn corner(unit: &str, stand: &str) -> String {
    format!(
        r#"{{"spread": 0.5, "unit": {unit}, "legs": [
            {{"id": "in", "left": 60, "right": 60, "length": 400, "turn": {{"is": 90, "spread": 0}}}},
            {{"id": "on", "left": 50, "right": 50, "length": 400}}
        ], "truck_stand": {{"at": [100, 0], "heading": 0}}, "spot": {stand}}}"#
    )
}

/// Worked out: the walls of that corner meet at (350, 60) inside and (450, -60) outside.
#[test]
fn walls_meet_at_the_corner() {
    let plan = plan(&corner(
        r#"{"L": 100, "W": 80}"#,
        r#"{"at": [400, 300], "heading": 90}"#,
    ));
    let end_of = |id: &str| {
        let barrier = plan
            .barriers
            .iter()
            .find(|b| b.id == id)
            .expect("it is there");
        barrier.line.last().expect("a line").clone()
    };
    let inner = end_of("in left");
    assert_eq!(inner.at(), [350.0, 60.0]);
    assert_eq!(end_of("in right").at(), [450.0, -60.0]);
    // x of the inner corner is the first leg's length less the second one's left width: two readings of ±0.5 in.
    near(
        inner.x.spread(),
        0.5 * core::f64::consts::SQRT_2,
        1e-12,
        "spread of x",
    );
    near(inner.y.spread(), 0.5, 1e-12, "spread of y");
}

/// Hardly a turn and another width: the wall steps across at the joint instead of meeting far away.
#[test]
fn wall_steps_across() {
    let text = r#"{"spread": 0.5, "angle_spread": 1, "legs": [
        {"id": "a", "left": 60, "right": 60, "length": 400, "turn": 3},
        {"id": "b", "left": 48, "right": 60, "length": 400}]}"#;
    let plan = plan(text);
    let line = |id: &str| {
        plan.barriers
            .iter()
            .find(|b| b.id == id)
            .expect("there")
            .line
            .clone()
    };
    near(line("a left")[1].at()[0], 400.0, 1e-9, "ends at the joint");
    assert_eq!(line("b left").len(), 3, "a step and a wall");
    assert_eq!(line("b right").len(), 2, "the right wall just bends");
}

/// The three ways of measuring a gate: the width itself is surer than the sum of two offsets.
#[test]
fn gate_spreads() {
    let gate = |sides: &str| {
        let text = format!(
            r#"{{"spread": 0.5, "legs": [{{"id": "a", "left": 70, "right": 70, "length": 300,
                "gates": [{{"id": "gate", "along": 100, {sides}}}]}}]}}"#
        );
        let plan = plan(&text);
        let width = plan.openings[0].width.clone();
        (width.value, width.spread(), plan)
    };
    let (value, spread, offsets) = gate(r#""left": 50, "right": 48"#);
    near(value, 98.0, 1e-12, "sum");
    near(
        spread,
        0.5 * core::f64::consts::SQRT_2,
        1e-12,
        "two readings",
    );
    let (value, spread, _) = gate(r#""left": 50, "width": {"is": 98, "spread": 0.1}"#);
    near(value, 98.0, 1e-12, "as taped");
    near(spread, 0.1, 1e-12, "one reading");
    let (_, spread, middle) = gate(r#""width": 98"#);
    near(spread, 0.5, 1e-12, "one reading");
    assert_eq!(middle.openings[0].between[0].at(), [100.0, 49.0]);
    let posts: Vec<&str> = offsets.obstacles.iter().map(|o| o.id.as_str()).collect();
    assert_eq!(posts, ["gate left post", "gate right post"]);
}

/// Two posts hold a gate: the clearance beside the unit has half the spread of the width.
#[test]
fn margin_in_a_gate_is_half_its_spread() {
    let text = r#"{"spread": 0.5, "unit": {"L": 190, "W": 94}, "legs": [
        {"id": "a", "left": 70, "right": 70, "length": 900,
         "gates": [{"id": "gate", "along": 400, "left": 50, "width": {"is": 98, "spread": 0.2}}]}],
        "truck_stand": {"at": [120, 0], "heading": 0}, "spot": {"at": [700, 0], "heading": 0}}"#;
    let scene = scene(&plan(text)).expect("nothing is missing");
    // The middle of the gate is at 50 − 49 = 1 left of the line.
    let margin = margin(&scene, [190.0, 94.0], [402.0, 1.0, 0.0], &[]).expect("it fits");
    near(margin.clearance.value, 2.0, 1e-9, "half of 98 − 94");
    near(margin.clearance.spread(), 0.1, 1e-6, "half of the gate's");
    let weight = |id: &str| {
        margin
            .held_by
            .iter()
            .find(|(held, _)| held == id)
            .map_or(0.0, |h| h.1)
    };
    near(weight("gate left post"), 0.5, 1e-4, "left");
    near(weight("gate right post"), 0.5, 1e-4, "right");
}

/// At a right-angle corner the best clearance is c(θ) = (a·cosθ + b·sinθ − w − L·sinθ·cosθ)/(1 + sinθ + cosθ) at its
/// least θ (the rectangle touches both outer walls and the inner corner at distance c; derived), so its spread follows
/// from cosθ, sinθ over that divisor: a is the width of the first corridor, b of the second.
#[test]
fn margin_at_a_corner_against_the_formula() {
    let (a, b, length, width) = (120.0, 100.0, 130.0, 70.0);
    let c = |theta: f64| {
        let (s, k) = libm::sincos(theta);
        (a * k + b * s - width - length * s * k) / (1.0 + s + k)
    };
    let mut theta = 0.0;
    for step in 1..157_000 {
        let other = f64::from(step) * 1e-5;
        if c(other) < c(theta) {
            theta = other;
        }
    }
    let (s, k) = libm::sincos(theta);
    let (best, divisor) = (c(theta), 1.0 + s + k);
    // The lower side of the rectangle runs from the first outer wall (y = -60 + c) to the second one (x = 450 - c),
    // turned by θ: its ends are the two corners that touch.
    let (right_end, low) = (450.0 - best, -60.0 + best);
    let left_end = [right_end - length * k, low];
    let middle = [
        left_end[0] + 0.5 * length * k - 0.5 * width * s,
        left_end[1] + 0.5 * length * s + 0.5 * width * k,
    ];
    let degrees = theta * 180.0 / core::f64::consts::PI;
    // With the length along the falling side the same figure is mirrored; this pose is the unit going left round.
    let stand = r#"{"at": [400, 300], "heading": 90}"#;
    let scene = scene(&plan(&corner(r#"{"L": 130, "W": 70}"#, stand))).expect("nothing missing");
    let margin = margin(
        &scene,
        [length, width],
        [middle[0], middle[1], degrees],
        &[],
    );
    let Some(margin) = margin else {
        panic!("the unit passes: {best}, θ {degrees}")
    };
    near(margin.clearance.value, best, 1e-3, "clearance");
    // Widths are sums of two readings of ±0.5 each; the inner corner and the outer walls share the lengths.
    let each = 0.5 / divisor;
    let expected = each * libm::sqrt(2.0 * k * k + 2.0 * s * s);
    near(margin.clearance.spread(), expected, 2e-3, "spread");
}

/// Nothing of a ring round something round is inside it, and its corners hardly stand out.
#[test]
fn round_things_are_circumscribed() {
    for diameter in [0.5, 6.0, 24.0, 90.0] {
        let text = format!(
            r#"{{"spread": 0.5, "unit": {{"L": 100, "W": 80}}, "legs": [{{"id": "a", "left": 300, "right": 300, "length": 900}}],
                "obstacles": [{{"id": "tree", "at": [500, 40], "diameter": {diameter}}}],
                "truck_stand": {{"at": [100, 0], "heading": 0}}, "spot": {{"at": [800, 0], "heading": 0}}}}"#
        );
        let scene = scene(&plan(&text)).expect("nothing is missing");
        let tree = scene
            .obstacles
            .iter()
            .find(|o| o.id == "tree")
            .expect("there");
        let (ring, radius) = (tree.ring(), 0.5 * diameter);
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let share = ring::nearest_share([500.0, 40.0], (*from, *to));
            let (x, y) = (
                from[0] + share * (to[0] - from[0]),
                from[1] + share * (to[1] - from[1]),
            );
            let away = libm::hypot(x - 500.0, y - 40.0);
            assert!(
                away >= radius,
                "a side cuts into the tree: {away} < {radius}"
            );
            let out = libm::hypot(from[0] - 500.0, from[1] - 40.0) - radius;
            assert!(
                out <= 0.0501 || diameter > 80.0,
                "a corner stands out by {out}"
            );
        }
    }
}

/// What is above or below the carried unit is passed over; its spread counts against it, and touching is in the way.
#[test]
fn heights_filter() {
    let with = |z: &str| {
        let text = format!(
            r#"{{"spread": 0.5, "unit": {{"L": 100, "W": 80, "carry_z": [4, 62]}},
                "legs": [{{"id": "a", "left": 300, "right": 300, "length": 900}}],
                "obstacles": [{{"id": "thing", "at": [500, 40], "diameter": 9, {z}}}],
                "truck_stand": {{"at": [100, 0], "heading": 0}}, "spot": {{"at": [800, 0], "heading": 0}}}}"#
        );
        let scene = scene(&plan(&text)).expect("nothing is missing");
        scene.passed_over.contains(&"thing".to_owned())
    };
    assert!(with(r#""z": [0, 3]"#));
    assert!(!with(r#""z": [0, 3], "z_spread": 1"#));
    assert!(with(r#""z": [70, 90]"#));
    assert!(!with(r#""z": [62, 90]"#));
    assert!(!with(r#""z": [0, 20]"#));
}

/// A house is in the way with its walls, and with its eaves where they hang low enough.
#[test]
fn eaves() {
    let with = |height: f64| {
        let text = format!(
            r#"{{"spread": 0.5, "unit": {{"L": 100, "W": 80, "carry_z": [4, 92]}},
                "legs": [{{"id": "a", "left": 300, "right": 300, "length": 900}}],
                "zones": [{{"id": "house", "kind": "house", "ring": [[400, 100], [600, 100], [600, 250], [400, 250]],
                    "eave": {{"overhang": 18, "height": {height}, "spread": 1}}, "ridge": 240}}],
                "truck_stand": {{"at": [100, 0], "heading": 0}}, "spot": {{"at": [800, 0], "heading": 0}}}}"#
        );
        let scene = scene(&plan(&text)).expect("nothing is missing");
        let eaves = scene.obstacles.iter().filter(|o| o.kind == "eave");
        let lowest = eaves
            .flat_map(SceneObstacle::ring)
            .map(|p| p[1])
            .reduce(f64::min);
        (scene.obstacles.iter().any(|o| o.id == "house"), lowest)
    };
    assert_eq!(with(110.0), (true, None));
    // 18 in of overhang and 1 of spread below the wall at y = 100.
    let (house, lowest) = with(90.0);
    assert!(house);
    near(lowest.expect("in the way"), 81.0, 1e-9, "edge of the eave");
}

/// The documented example is whole: every thing is where its readings put it.
#[test]
fn example_from_legs() {
    let derived = derived(EXAMPLE);
    assert!(derived.settled);
    let plan = derived.plan.as_ref().expect("legs always give one");
    let scene = scene(plan).expect("nothing is missing");
    assert_eq!(scene.passed_over, ["service drop"]);
    let ids: Vec<&str> = scene.obstacles.iter().map(|o| o.id.as_str()).collect();
    for id in [
        "gate left post",
        "gate right post",
        "meter",
        "old shed",
        "light post",
        "hose bib",
    ] {
        assert!(ids.contains(&id), "{id}");
    }
    let shed = scene.file["obstacles"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|o| o["id"] == "old shed");
    assert_eq!(shed.expect("there")["cost"], 5.0);
    near(plan.openings[0].width.value, 104.0, 1e-9, "as taped");
    let answer = answer(&derived);
    assert!(answer.route.is_some());
    assert_eq!(answer.findings.len(), 1, "{:?}", answer.findings);
}

/// A plan from a tape network has the network's own spreads, also for what is built on it.
#[test]
fn plan_from_a_network() {
    let network = include_str!("../../../../tests/examples/route/back-yard-tapes.json");
    let text = format!(
        r#"{{"spread": 0, "network": {network}, "openings": [{{"id": "gap", "between": ["P", "Q"]}}],
            "walls": [{{"id": "house", "line": ["A", "B"], "thickness": 6, "side": "right"}}]}}"#
    );
    let derived = derived(&text);
    let answered = derived.network.as_ref().expect("it has one");
    assert!(derived.settled, "{:?}", answered.findings);
    let plan = derived.plan.as_ref().expect("tied");
    let gap = &answered.clearances[0];
    near(
        plan.openings[0].width.value,
        gap.gap.expect("tied"),
        1e-9,
        "gap",
    );
    near(
        plan.openings[0].width.spread(),
        gap.spread.expect("tied"),
        1e-9,
        "its spread",
    );
    // What is missing for a route is said, not guessed.
    let missing = scene(plan).unwrap_err();
    assert_eq!(missing.len(), 3);
}

/// A loose network draws nothing, and says which tape to run.
#[test]
fn loose_network_gives_no_plan() {
    let text = r#"{"network": {"points": ["A", "B", "C"], "spread": 0.5,
        "distances": [{"from": "A", "to": "B", "is": 300}, {"from": "B", "to": "C", "is": 200}]}}"#;
    let derived = derived(text);
    assert!(derived.plan.is_none() && !derived.settled);
    assert_eq!(derived.findings[0].key, "network.loose");
}

/// Mistakes in a file are named by their key.
#[test]
fn complaints_name_the_key() {
    let legs = r#""spread": 0.5, "legs": [{"id": "a", "left": 60, "right": 60, "length": 400}]"#;
    let with = |rest: &str| said(&format!("{{{legs}, {rest}}}"));
    assert!(
        with(r#""obstacles": [{"id": "o", "ring": [[0, 0], [10, 10], [10, 0], [0, 10]]}]"#)
            .starts_with("obstacles[0].ring: the ring crosses or touches itself")
    );
    assert!(
        with(r#""obstacles": [{"id": "o", "ring": [[0, 0], [10, 0], [10, 0], [0, 10]]}]"#)
            .starts_with("obstacles[0].ring: two corners in a row")
    );
    assert!(
        with(r#""obstacles": [{"id": "o", "ring": [[0, 0], [10, 0], [20, 0]]}]"#)
            .starts_with("obstacles[0].ring: the ring encloses nothing")
    );
    assert!(
        with(r#""walls": [{"id": "w", "line": ["X", [1, 1]]}]"#)
            .contains("walls[0].line[0]: there is no point")
    );
    assert!(
        with(r#""obstacles": [{"id": "o", "at": [0, 0], "diameter": 0}]"#)
            .starts_with("obstacles[0].diameter:")
    );
    assert!(
        with(r#""fences": [{"id": "f", "line": [[0, 0], [9, 0]], "thickness": 4, "trouble": 2}]"#)
            .contains("trouble without")
    );
    assert!(with(r#""spott": 1"#).starts_with("spott: not known here"));
    assert!(
        said(r#"{"legs": [{"id": "a", "left": 60, "right": 60, "length": 4}]}"#)
            .starts_with("legs[0].left: no spread")
    );
    assert!(said("{}").starts_with("legs: missing"));
}

/// A million corners are refused before anything is built of them.
#[test]
fn a_million_corners() {
    let ring = vec!["[0,0]"; 1_000_000].join(",");
    let text = format!(r#"{{"legs": [], "obstacles": [{{"id": "o", "ring": [{ring}]}}]}}"#);
    assert!(said(&text).contains("longer than"));
    let ring = vec!["[0,0]"; 100_000].join(",");
    let text = format!(
        r#"{{"spread": 1, "legs": [{{"id": "a", "left": 60, "right": 60, "length": 400}}], "obstacles": [{{"id": "o", "ring": [{ring}]}}]}}"#
    );
    assert_eq!(said(&text), "obstacles[0].ring: must have 3 to 200 entries");
}

/// The value at a path such as `legs[1].gates[0].left` of a document, where a reading stands.
fn at_path<'a>(document: &'a mut serde_json::Value, path: &str) -> &'a mut serde_json::Value {
    let mut place = document;
    for part in path.split('.') {
        let (key, indices) = part.split_once('[').unwrap_or((part, ""));
        place = &mut place[key];
        for index in indices.split('[').filter(|index| !index.is_empty()) {
            place = &mut place[index
                .trim_end_matches(']')
                .parse::<usize>()
                .expect("a number")];
        }
    }
    place
}

/// Coordinates of everything in the way.
fn coordinates(plan: &Plan) -> Vec<Traced> {
    let scene = scene(plan).expect("nothing is missing");
    let mut all = Vec::new();
    for obstacle in scene.obstacles {
        match obstacle.shape {
            Shape::Ring(ring) => all.extend(ring.into_iter().flat_map(|place| [place.x, place.y])),
            Shape::Round { centre, radius } => all.extend([centre.x, centre.y, radius]),
        }
    }
    all
}

/// Every slope of every coordinate of the example: each reading is moved a little both ways, the plan derived again.
#[test]
fn slopes_against_differences() {
    const STEP: f64 = 1e-3;
    let whole = plan(EXAMPLE);
    let ours = coordinates(&whole);
    assert!(whole.sources.len() > 25 && ours.len() > 100);
    let mut moved_any = 0;
    for (index, source) in whole.sources.iter().enumerate() {
        let mut ends = Vec::new();
        for step in [STEP, -STEP] {
            let mut document: serde_json::Value = serde_json::from_str(EXAMPLE).expect("JSON");
            let mut place = at_path(&mut document, &source.name);
            if place.is_object() {
                place = &mut place["is"];
            }
            *place = serde_json::json!(place.as_f64().expect("a reading") + step);
            ends.push(coordinates(&plan(&document.to_string())));
        }
        let sigma = source.spread / crate::frame::spread::SPREADS_PER_SIGMA;
        for (k, coordinate) in ours.iter().enumerate() {
            let by_step = (ends[0][k].value - ends[1][k].value) / (2.0 * STEP);
            let slope = coordinate
                .slopes
                .iter()
                .find(|(of, _)| *of as usize == index);
            let slope = slope.map_or(0.0, |(_, slope)| slope / sigma);
            near(slope, by_step, 1e-5 * (1.0 + by_step.abs()), &source.name);
            moved_any += usize::from(by_step.abs() > 1e-3);
        }
    }
    assert!(moved_any > 200, "readings move coordinates: {moved_any}");
}
