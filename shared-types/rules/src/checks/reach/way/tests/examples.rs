//! Worked examples and reference corners, entered as answers, give what their files and tables give.

use super::*;

/// `tests/data/route/corner_clearance.json`: best clearances round a right-angled corner, found by another solver.
#[test]
fn corner_clearances_through_the_legs() {
    let cases: Value = serde_json::from_str(include_str!(
        "../../../../../../../tests/data/route/corner_clearance.json"
    ))
    .expect("JSON");
    for case in cases.as_array().expect("cases") {
        let [a, b, width, long, best] = ["a", "b", "w", "L", "max_min_clearance"]
            .map(|key| case[key].as_f64().expect("a number"));
        let site = corner(a, b, (long, width)).worked_out();
        let built = site.build();
        let wanted = ledger::wanted(&site.input(&built)).expect("a question");
        let answer = &site.ways.get(&wanted.digest).expect("worked out").answer;
        let lower = answer.lower.unwrap_or(f64::NEG_INFINITY);
        let bypass = long <= a.max(b);
        assert!(
            best <= answer.upper + 1e-5 && (bypass || lower <= best + 1e-5),
            "{best} is outside {lower} to {}",
            answer.upper
        );
        assert!(
            answer.upper - lower <= 0.1 + 1e-9,
            "{lower} to {}",
            answer.upper
        );
        let outcome = site.outcome("roll.way");
        let expected = match best - 2.0 {
            over if over > 0.1 => Outcome::Clear,
            over if over < -0.1 => Outcome::Short,
            _ => Outcome::Tight,
        };
        assert_eq!(outcome, expected, "{case}");
    }
}

/// The documented example, walked: the same legs, gates and things as answers give the same scene and answer.
#[test]
fn worked_example_as_answers() {
    let site = side_yard();
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    assert!(drawn.complete, "{:?}", site.missing("roll.way"));
    let ours = drawn.derive().expect("it can be read").plan.expect("legs");
    let theirs = crate::plan::read(&by_hand().to_string()).expect("it can be read");
    let theirs = theirs.plan.expect("legs");
    let (ours, theirs) = (crate::plan::scene(&ours), crate::plan::scene(&theirs));
    let (ours, theirs) = (ours.expect("a scene"), theirs.expect("a scene"));
    assert_eq!(ours.file["start"], theirs.file["start"]);
    assert_eq!(ours.file["unit"], theirs.file["unit"]);
    let sorted = |scene: &crate::plan::Scene| {
        let mut rings: Vec<_> = scene
            .obstacles
            .iter()
            .map(|o| (o.id.clone(), o.ring(), o.heights))
            .collect();
        rings.sort_by(|a, b| a.0.cmp(&b.0));
        rings
    };
    assert_eq!(sorted(&ours), sorted(&theirs));
    for (ours, theirs) in ours.obstacles.iter().zip(&theirs.obstacles) {
        assert_eq!(ours.trouble, theirs.trouble, "{}", ours.id);
    }
    let certify = |file: &Value| {
        crate::motion::certify_scene(&crate::motion::certified::canonical_text(file), 0.1).unwrap()
    };
    let (ours, theirs) = (certify(&ours.file), certify(&theirs.file));
    assert_eq!(ours.answer.verdict, theirs.answer.verdict);
    assert_eq!(
        (ours.answer.lower, ours.answer.upper),
        (theirs.answer.lower, theirs.answer.upper)
    );
    check(&site.worked_out(), Outcome::Short, "roll.way.short");
}

/// `side-yard-legs.json` with what a survey has otherwise: the unit stands at the start of the first leg, runs as the
/// last leg does at the spot, and needs the head room; how deep posts are nobody measures, and wires over legs are
/// another check's.
fn by_hand() -> Value {
    let text = include_str!("../../../../../../../tests/examples/route/side-yard-legs.json");
    let mut file: Value = serde_json::from_str(text).expect("JSON");
    file["truck_stand"] = json!({"at": {"leg": "drive", "along": 100, "left": 0}, "heading": 0});
    file["spot"]["heading"] = json!({"leg": "back yard"});
    file["unit"]["carry_z"] = json!([0, 72]);
    file.as_object_mut().expect("an object").remove("lines");
    let gate = file["legs"][1]["gates"][0].as_object_mut();
    gate.expect("a gate").remove("depth");
    file
}

fn side_yard() -> TestSite {
    let mut site = TestSite::new()
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.openings_listed", true)
        .yes("site", "way.legs_listed", true)
        .choice("site", "plan.basis", "legs")
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    let legs = [
        ("leg#1", "drive", [84, 120, 420]),
        ("leg#2", "side yard", [70, 64, 560]),
        ("leg#3", "back yard", [300, 110, 480]),
    ];
    for (leg, called, [left, right, long]) in legs {
        let parts = [
            ("width_left", left),
            ("width_right", right),
            ("length", long),
        ];
        site = site.add(leg, called);
        for (part, value) in parts {
            site = within(site, leg, &format!("leg.{part}"), f64::from(value));
        }
    }
    site = site
        .measure_within("leg#1", "leg.turn", "90 deg", "2 deg")
        .measure_within("leg#2", "leg.turn", "-88 deg", "1 deg")
        .add("opening#1", "gate")
        .measure_within("opening#1", "opening.width_ankle", "105 in", "0.125 in")
        .measure_within("opening#1", "opening.width_hip", "104 in", "0.125 in")
        .measure_within("opening#1", "opening.width_head", "104.5 in", "0.125 in")
        .points("opening#1", "opening.on_leg", &["leg#2"])
        .measure_within("opening#1", "opening.left", "54.25 in", "0.125 in");
    site = within(site, "opening#1", "opening.along", 220.0);
    site = thing(
        site,
        ("plan_thing#1", "light post", "post"),
        "leg#1",
        &[("along", 60.0), ("left", 110.0), ("diameter", 6.0)],
    );
    site = thing(
        site,
        ("plan_thing#2", "hose bib", "other"),
        "leg#2",
        &[
            ("along", 300.0),
            ("along_to", 304.0),
            ("left", 64.0),
            ("left_to", 70.0),
        ],
    );
    site = thing(
        site,
        ("plan_thing#3", "meter", "meter"),
        "leg#2",
        &[
            ("along", 352.0),
            ("along_to", 376.0),
            ("left", 52.0),
            ("left_to", 64.0),
        ],
    );
    site = thing(
        site,
        ("plan_thing#4", "old shed", "shed"),
        "leg#2",
        &[
            ("along", 480.0),
            ("along_to", 540.0),
            ("left", 20.0),
            ("left_to", 64.0),
        ],
    );
    site = site
        .measure_within("plan_thing#2", "plan_thing.underside", "18 in", "1 in")
        .measure_within("plan_thing#2", "plan_thing.height", "24 in", "1 in")
        .exactly("plan_thing#3", "plan_thing.underside", "10 in")
        .exactly("plan_thing#3", "plan_thing.height", "44 in")
        .yes("plan_thing#4", "plan_thing.removable", true)
        .count("plan_thing#4", "plan_thing.trouble", 5);
    site = within(site, "site", "plan.spot_along", 300.0);
    for (name, side) in [
        ("1", "right"),
        ("2", "left"),
        ("3", "right"),
        ("4", "right"),
    ] {
        site = site.choice(&format!("plan_thing#{name}"), "plan_thing.side", side);
    }
    site = site.choice("site", "plan.spot_side", "left");
    within(site, "site", "plan.spot_left", 180.0)
}

fn within(site: TestSite, name: &str, question: &str, inches: f64) -> TestSite {
    site.measure_within(name, question, &format!("{inches} in"), "0.5 in")
}

fn thing(
    site: TestSite,
    (name, called, kind): (&str, &str, &str),
    leg: &str,
    parts: &[(&str, f64)],
) -> TestSite {
    let site = site
        .add(name, called)
        .choice(name, "plan_thing.kind", kind)
        .points(name, "plan_thing.leg", &[leg]);
    parts.iter().fold(site, |site, (part, inches)| {
        within(site, name, &format!("plan_thing.{part}"), *inches)
    })
}

/// `back-yard-tapes.json` as answers: the same tapes in one hand put every point where the worked example has it.
#[test]
fn taped_example_as_answers() {
    let text = include_str!("../../../../../../../tests/examples/route/back-yard-tapes.json");
    let file: Value = serde_json::from_str(text).expect("JSON");
    let names: Vec<&str> = file["points"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p.as_str().unwrap())
        .collect();
    let point = |value: &Value| {
        let place = names.iter().position(|name| Some(*name) == value.as_str());
        format!("plan_point#{}", place.expect("a point") + 1)
    };
    let mut site = TestSite::new().choice("site", "plan.basis", "tapes");
    for name in &names {
        site = site.add(&point(&json!(name)), name);
    }
    let mut number = 0;
    for taped in file["distances"].as_array().unwrap() {
        number += 1;
        let tie = format!("tie#{number}");
        let spread = if taped["tape"] == "steel 50 ft" {
            "0.25 in"
        } else {
            "0.5 in"
        };
        let length = format!("{} in", taped["is"]);
        site = site
            .tie(
                &tie,
                TieKind::Distance,
                &[&point(&taped["from"]), &point(&taped["to"])],
            )
            .measure_within(&tie, "tie.length", &length, spread);
    }
    for side in file["sides"].as_array().unwrap() {
        number += 1;
        let things = [
            point(&side["point"]),
            point(&side["from"]),
            point(&side["to"]),
        ];
        let things = things.each_ref().map(String::as_str);
        site = site.tie(&format!("tie#{number}"), TieKind::SideLeft, &things);
    }
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    let ours = drawn
        .derive()
        .expect("it can be read")
        .network
        .expect("a network");
    let theirs = crate::network::answer(&crate::network::read(text).expect("it can be read"));
    assert!(ours.tied && ours.mistaped.is_empty(), "{:?}", ours.findings);
    for (ours, theirs) in ours.points.iter().zip(&theirs.points) {
        assert_eq!(ours.name, theirs.name);
        let (dx, dy) = (ours.x - theirs.x, ours.y - theirs.y);
        // The weights differ a little: there a tape of cloth stretches, and a right angle is stated.
        assert!(
            dx.abs() < 0.15 && dy.abs() < 0.15,
            "{}: {dx} {dy}",
            ours.name
        );
    }
}
