//! `roll.way` on yards taped and walked: every outcome, and what it says.

use serde_json::{Value, json};
use setdown_types::entry::Method;
use setdown_types::site::{Head, StreamKey};
use setdown_types::value::TieKind;

use crate::frame::assess::{Input, assess_check};
use crate::frame::result::{Arg, CheckResult, Outcome};
use crate::frame::testing::{TestSite, length, subject};
use crate::plan::ledger;

/// Points of a walled yard, 800 by 600, with a fence across it and a gate in the fence; inches.
fn points(gate: f64) -> [(&'static str, f64, f64); 12] {
    let half = 0.5 * gate;
    [
        ("A", -400.0, -300.0),
        ("B", 400.0, -300.0),
        ("C", 400.0, 300.0),
        ("D", -400.0, 300.0),
        ("P", 0.0, half),
        ("Q", 0.0, -half),
        ("N", 0.0, 300.0),
        ("S", 0.0, -300.0),
        ("T", -250.0, 0.0),
        ("U", -100.0, 0.0),
        ("V", 250.0, 0.0),
        ("W", 350.0, 0.0),
    ]
}

/// What was taped: 25 distances.
const TAPED: [&str; 25] = [
    "AB", "BC", "CD", "DA", "AC", "BD", "NP", "PQ", "QS", "NS", "NC", "ND", "SA", "SB", "TP", "TQ",
    "TA", "TD", "UP", "UQ", "UT", "VB", "VC", "VP", "WV",
];

fn name_of(letter: char) -> String {
    let place = points(0.0)
        .iter()
        .position(|(name, _, _)| name.starts_with(letter));
    format!("plan_point#{}", place.expect("a point") + 1)
}

fn taped(site: TestSite, number: usize, pair: &str, gate: f64) -> TestSite {
    let at = |letter: char| {
        let (_, x, y) = points(gate)[points(gate)
            .iter()
            .position(|p| p.0.starts_with(letter))
            .unwrap()];
        [x, y]
    };
    let mut letters = pair.chars();
    let (from, to) = (letters.next().unwrap(), letters.next().unwrap());
    let ([x, y], [u, v]) = (at(from), at(to));
    let apart = libm::sqrt((x - u) * (x - u) + (y - v) * (y - v));
    let tie = format!("tie#{number}");
    site.tie(&tie, TieKind::Distance, &[&name_of(from), &name_of(to)])
        .measure(&tie, "tie.length", &format!("{apart:.6} in"))
}

/// The yard as it is taped, everything answered, nothing worked out.
fn yard(gate: f64) -> TestSite {
    let mut site = TestSite::new()
        .choice("site", "way.chain", "rolled")
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.openings_listed", true)
        .choice("site", "plan.basis", "tapes");
    for (name, _, _) in points(gate) {
        site = site.add(&name_of(name.chars().next().unwrap()), name);
    }
    for (place, pair) in TAPED.iter().enumerate() {
        site = taped(site, place + 1, pair, gate);
    }
    let named = |letters: &str| -> Vec<String> { letters.chars().map(name_of).collect() };
    let lines = [
        ("edge", "ABCD", "edge of the yard"),
        ("fence", "NP", "fence beside the garage"),
        ("fence", "SQ", "fence beside the house"),
    ];
    for (place, (kind, letters, called)) in lines.into_iter().enumerate() {
        let line = format!("plan_line#{}", place + 1);
        let names = named(letters);
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        site = site
            .add(&line, called)
            .choice(&line, "plan_line.kind", kind)
            .points(&line, "plan_line.points", &names);
    }
    site = site
        .tie(
            "tie#40",
            TieKind::SideLeft,
            &[&name_of('D'), &name_of('A'), &name_of('B')],
        )
        .tie(
            "tie#41",
            TieKind::SideLeft,
            &[&name_of('W'), &name_of('P'), &name_of('Q')],
        )
        .tie(
            "tie#42",
            TieKind::Straight,
            &[&name_of('T'), &name_of('U'), &name_of('V'), &name_of('W')],
        )
        .points("site", "plan.stand", &[&name_of('T'), &name_of('U')])
        .points("site", "plan.spot", &[&name_of('V'), &name_of('W')])
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    site
}

fn check(site: &TestSite, outcome: Outcome, reason: &str) -> CheckResult {
    let result = site.check("roll.way");
    assert_eq!(
        (result.outcome, result.reason.key.as_ref()),
        (outcome, reason),
        "{:#?}",
        result.items
    );
    result
}

fn lines(result: &CheckResult) -> Vec<&str> {
    let items = result.items.iter().flat_map(|item| &item.working);
    items.map(|line| line.key.as_ref()).collect()
}

/// A unit 94 wide: 5 in on either side of a gate of 104, 2 in are needed.
#[test]
fn wide_gate_is_clear() {
    let result = check(&yard(104.0).worked_out(), Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin");
    let inches = margin.si / 0.0254;
    // Worked out: (104 - 94) / 2 - 2; half a tape's 1/4 in, a little less with what checks it.
    assert!((2.89..=3.0).contains(&inches), "{inches}");
    let spread = margin.spread / 0.0254;
    assert!((0.08..=0.13).contains(&spread), "{spread}");
    let said = lines(&result);
    for key in [
        "roll.way.proved",
        "roll.way.bounds",
        "roll.way.pinch",
        "roll.way.spreads",
    ] {
        assert!(said.contains(&key), "{said:?}");
    }
    let pinch = result.items[0]
        .working
        .iter()
        .find(|line| line.key == "roll.way.pinch");
    let against = &pinch.expect("a pinch").args[1].1;
    let fences = "fence beside the garage, fence beside the house";
    assert_eq!(*against, Arg::Text(fences.to_owned()));
}

/// 8 3/4 in on either side: more than the running clearance and what is of interest beyond it, 8 in in all.
#[test]
fn of_more_than_enough_room_only_enough_is_told() {
    let result = check(&yard(111.5).worked_out(), Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((5.89..=6.0).contains(&margin), "{margin}");
    let said = lines(&result);
    assert!(
        said.contains(&"roll.way.bounds_below") && !said.contains(&"roll.way.bounds"),
        "{said:?}"
    );
}

/// Outside what was looked at nothing is known: without an edge the way could lead through the neighbour's garden.
#[test]
fn yard_without_an_edge_stays_open() {
    let site = yard(104.0).choice("plan_line#1", "plan_line.kind", "wall");
    let result = check(&site.worked_out(), Outcome::Open, "roll.way.no_edge");
    let asked = result.actions.iter().map(|action| action.line.key.as_ref());
    assert!(asked.eq(["roll.way.draw_edge"]));
}

/// A ring somewhere in the yard is no edge: truck and spot must lie inside it.
#[test]
fn edge_that_leaves_truck_and_spot_outside_stays_open() {
    let [n, s, c] = ['N', 'S', 'C'].map(name_of);
    let site = yard(104.0).points("plan_line#1", "plan_line.points", &[&n, &s, &c]);
    check(&site.worked_out(), Outcome::Open, "roll.way.outside_edge");
}

#[test]
fn lines_on_a_plan_of_legs_do_not_vanish_without_a_word() {
    let site = TestSite::new()
        .choice("site", "way.chain", "rolled")
        .yes("site", "way.turns_listed", true)
        .choice("site", "plan.basis", "legs")
        .add("leg#1", "side yard")
        .add("plan_line#1", "wall")
        .choice("plan_line#1", "plan_line.kind", "wall");
    check(&site, Outcome::Open, "roll.way.lines_unused");
}

/// Worked out: (98 - 94) / 2 = 2 in, and 2 in are needed; the tape that helps is named.
#[test]
fn gate_with_nothing_to_spare_is_tight() {
    let result = check(&yard(98.0).worked_out(), Outcome::Tight, "roll.way.tight");
    assert!(
        lines(&result).contains(&"roll.way.next_tape"),
        "{:?}",
        lines(&result)
    );
}

#[test]
fn gate_that_leaves_too_little_is_short() {
    let result = check(&yard(96.0).worked_out(), Outcome::Short, "roll.way.short");
    assert!(lines(&result).contains(&"roll.way.proved"));
}

#[test]
fn gate_that_is_too_narrow_is_proved_shut() {
    let result = check(&yard(93.0).worked_out(), Outcome::Short, "roll.way.short");
    assert!(lines(&result).contains(&"roll.way.proved_shut"));
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((-2.51..=-2.39).contains(&margin), "{margin}");
}

#[test]
fn open_until_it_is_worked_out() {
    check(&yard(104.0), Outcome::Open, "roll.way.working");
}

#[test]
fn answer_for_another_yard_is_no_answer() {
    let mut other = yard(104.0);
    other.ways = yard(103.0).worked_out().ways;
    check(&other, Outcome::Open, "roll.way.working");
}

#[test]
fn loose_point_is_named_with_the_tape_that_ties_it() {
    let mut site = yard(104.0);
    for number in [22, 23, 24] {
        let tie = format!("tie#{number}");
        site = site.answer(
            &tie,
            "tie.present",
            setdown_types::value::Value::Absent,
            Method::Seen,
        );
    }
    let result = check(&site, Outcome::Open, "roll.way.loose");
    assert!(
        lines(&result).contains(&"network.loose"),
        "{:?}",
        lines(&result)
    );
}

#[test]
fn mirror_image_is_asked_about() {
    let site = yard(104.0).answer(
        "tie#40",
        "tie.present",
        setdown_types::value::Value::Absent,
        Method::Seen,
    );
    let site = site.answer(
        "tie#41",
        "tie.present",
        setdown_types::value::Value::Absent,
        Method::Seen,
    );
    let result = check(&site, Outcome::Open, "roll.way.mirrored");
    assert!(lines(&result).contains(&"network.mirror.whole"));
}

/// A foot too much on one of the tapes from the truck.
#[test]
fn mistape_is_found_and_named() {
    let site = yard(104.0).measure("tie#6", "tie.length", "1012 in");
    let result = check(&site, Outcome::Open, "roll.way.mistaped");
    let mistaped = result.items[0].working.iter();
    let named: Vec<&Arg> = mistaped
        .filter(|line| line.key.starts_with("network.mistaped"))
        .map(|line| &line.args[0].1)
        .collect();
    assert_eq!(named, [&Arg::Text("B-D".to_owned())]);
    let built = site.build();
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    let stream = drawn.origin("B-D").expect("it leads to its question");
    assert_eq!(*stream, StreamKey::new(subject("tie#6"), "tie.length"));
}

#[test]
fn missing_answers_are_asked_for_and_nothing_is_derived() {
    let site = yard(104.0)
        .without("tie#7", "tie.length")
        .without("site", "plan.spot");
    let result = check(&site, Outcome::Open, "frame.missing");
    assert_eq!(site.missing("roll.way"), ["plan.spot", "tie.length"]);
    assert!(result.items[0].working.is_empty());
    let built = site.build();
    assert_eq!(ledger::wanted(&site.input(&built)), None);
    // What is there can be drawn all the same.
    let drawn = ledger::document(&site.input(&built)).expect("a plan");
    assert!(!drawn.complete);
    let plan = drawn
        .derive()
        .expect("it can be read")
        .plan
        .expect("it is tied");
    assert_eq!(plan.barriers.len(), 3);
}

#[test]
fn nobody_has_said_that_all_is_drawn() {
    let site = yard(104.0).yes("site", "plan.complete", false).worked_out();
    check(&site, Outcome::Open, "roll.way.not_complete");
}

#[test]
fn straight_way_without_a_plan_needs_none() {
    let straight = TestSite::new().yes("site", "way.turns_listed", true);
    check(&straight, Outcome::NotNeeded, "roll.way.straight");
    let turning = straight.clone().add("turn#1", "at the garage");
    check(&turning, Outcome::Open, "frame.missing");
    assert_eq!(turning.missing("roll.way"), ["plan.basis"]);
    let begun = straight.add("plan_point#1", "A");
    check(&begun, Outcome::Open, "frame.missing");
    assert_eq!(TestSite::new().missing("roll.way"), ["way.turns_listed"]);
}

/// A point that was taken off leaves the answers that name it open.
#[test]
fn point_taken_off_is_asked_about() {
    let gone = setdown_types::value::Value::Absent;
    let site = yard(104.0).answer(&name_of('W'), "plan_point.present", gone, Method::Seen);
    let missing = ["plan.spot", "tie.present"];
    assert_eq!(site.missing("roll.way"), missing);
}

/// What is being typed changes what the solver is asked.
#[test]
fn supposed_reading_changes_the_question() {
    let site = yard(104.0);
    let built = site.build();
    let input = site.input(&built);
    let before = ledger::wanted(&input).expect("a question");
    let other = yard(104.0)
        .measure("tie#8", "tie.length", "103.8 in")
        .build();
    let stream = StreamKey::new(subject("tie#8"), "tie.length");
    let head: &Head = other.streams()[&stream].standing().first().expect("a head");
    let supposed = Input {
        suppose: Some((&stream, head)),
        ..input
    };
    let after = ledger::wanted(&supposed).expect("a question");
    assert_ne!(before.digest, after.digest);
    assert_eq!(ledger::wanted(&input).expect("a question"), before);
    let check = crate::checks::find("roll.way").expect("the check");
    assert_eq!(assess_check(check, &supposed).outcome, Outcome::Open);
}

/// The carriage stands out an inch on every side: a gate of 104 leaves 4 in, and 2 in are left over.
#[test]
fn carriage_counts() {
    let site = yard(104.0)
        .practice("carriage_overhang", "1 in")
        .worked_out();
    let result = check(&site, Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((1.89..=2.0).contains(&margin), "{margin}");
}

/// What is lower than nothing the unit carries is passed under, what hangs lower is not.
#[test]
fn wire_counts_where_it_hangs_low() {
    let wired = |height: &str| {
        yard(104.0)
            .add("plan_line#9", "service drop")
            .choice("plan_line#9", "plan_line.kind", "wire")
            .points(
                "plan_line#9",
                "plan_line.points",
                &[&name_of('N'), &name_of('S')],
            )
            .measure("plan_line#9", "plan_line.underside", height)
    };
    let listed = |height: &str| {
        wired(height)
            .add("overhead#1", "service drop")
            .choice("overhead#1", "overhead.kind", "line")
            .worked_out()
    };
    check(&listed("12 ft"), Outcome::Clear, "roll.way.clear");
    // 5 ft 2 in of unit, 8 in of carriage, 2 in of head room: 6 ft.
    check(&listed("5 ft 11 in"), Outcome::Short, "roll.way.short");
    // Only what is listed overhead has its owner asked.
    let unlisted = wired("12 ft").worked_out();
    check(&unlisted, Outcome::Open, "roll.way.wire_not_listed");
}

/// A post 13 in beside the unit at its spot, taped to within 16 in: far more room than at the gate, and not sure.
#[test]
fn spot_that_is_not_sure_is_not_clear() {
    let post = |spread: &str| {
        let mut site = yard(104.0)
            .add("plan_point#20", "K")
            .add("plan_thing#1", "post")
            .choice("plan_thing#1", "plan_thing.kind", "post")
            .points("plan_thing#1", "plan_thing.centre", &["plan_point#20"])
            .exactly("plan_thing#1", "plan_thing.diameter", "6 in");
        // V at (250, 0), W at (350, 0), B at (400, -300): the post stands at (250, 63).
        for (number, (to, apart)) in [('V', "63 in"), ('W', "118.19 in"), ('B', "392.90 in")]
            .into_iter()
            .enumerate()
        {
            let tie = format!("tie#{}", 60 + number);
            site = site
                .tie(&tie, TieKind::Distance, &["plan_point#20", &name_of(to)])
                .measure_within(&tie, "tie.length", apart, spread);
        }
        site
    };
    let sure = post("1/4 in");
    check(&sure.worked_out(), Outcome::Clear, "roll.way.clear");
    let unsure = check(
        &post("16 in").worked_out(),
        Outcome::Tight,
        "roll.way.tight",
    );
    let said = lines(&unsure);
    assert!(said.contains(&"roll.way.spot_unsure"), "{said:?}");
}

/// The corridor of a worked right-angle corner.
fn corner(a: f64, b: f64, unit: (f64, f64)) -> TestSite {
    let inches = |value: f64| format!("{value} in");
    let mut site = TestSite::new()
        .spa(|spa| {
            spa.shipping.length = length(&inches(unit.0));
            spa.shipping.width = length(&inches(unit.1));
        })
        .practice("running_clearance_preferred", "20 in")
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.openings_listed", true)
        .yes("site", "way.legs_listed", true)
        .choice("site", "plan.basis", "legs")
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    for (leg, width, called) in [("leg#1", a, "in"), ("leg#2", b, "on")] {
        site = site
            .add(leg, called)
            .exactly(leg, "leg.width_left", &inches(0.5 * width))
            .exactly(leg, "leg.width_right", &inches(0.5 * width))
            .exactly(leg, "leg.length", "480 in");
    }
    site.exactly("leg#1", "leg.turn", "90 deg")
}

/// `tests/data/route/corner_clearance.json`: best clearances round a right-angled corner, found by another solver.
#[test]
fn corner_clearances_through_the_legs() {
    let cases: Value = serde_json::from_str(include_str!(
        "../../../../../../tests/data/route/corner_clearance.json"
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
    let text = include_str!("../../../../../../tests/examples/route/side-yard-legs.json");
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

/// Heights of the yard's corners: level to the fence, then up to the right.
fn on_a_slope(rise: &str) -> TestSite {
    on_a_slope_behind(104.0, rise)
}

/// The same with a gate of this width.
fn on_a_slope_behind(gate: f64, rise: &str) -> TestSite {
    let mut site = yard(gate)
        .practice("rolling_resistance_small_hard", "40 %")
        .practice("start_extra", "50 %")
        .yes("site", "way.legs_listed", true)
        .choice("site", "way.means", "winch")
        .measure("site", "way.means_pull", "4000 lbf")
        .choice("site", "way.wheels", "small_hard")
        .choice("site", "way.hold_back", "winch")
        .measure("site", "way.hold_back_rated", "4000 lbf")
        .choice("leg#1", "leg.surface", "concrete");
    for (letter, height) in [('A', "1 ft"), ('D', "1 ft"), ('N', "1 ft"), ('S', "1 ft")] {
        site = site.measure(&name_of(letter), "plan_point.height", height);
    }
    for letter in ['B', 'C'] {
        site = site.measure(&name_of(letter), "plan_point.height", rise);
    }
    site
}

/// 5250 lb with the carriage; 12 in of rise over 400 in is 3 %, which the winch pulls; statics as for a leg.
#[test]
fn pull_follows_the_heights_along_the_way() {
    let site = on_a_slope("2 ft");
    // Without an answer the leg's own slope is asked for.
    assert_eq!(site.outcome("roll.pull"), Outcome::Open);
    assert_eq!(site.missing("roll.pull"), ["leg.slope_along"]);
    let solved = site.worked_out();
    let result = solved.check("roll.pull");
    assert_eq!(result.outcome, Outcome::Tight, "{:#?}", result.items);
    assert_eq!(result.reason.key, "frame.remembered");
    let told: Vec<&Arg> = (result.items.iter().flat_map(|item| &item.working))
        .filter(|line| line.key == "roll.pull.stretch")
        .map(|line| &line.args[3].1)
        .collect();
    let slopes: Vec<f64> = told
        .iter()
        .map(|arg| match arg {
            Arg::Measured { si, .. } | Arg::Quantity { si, .. } => *si,
            other => panic!("{other:?}"),
        })
        .collect();
    let steepest = slopes.iter().copied().fold(0.0, f64::max);
    assert!((steepest - 0.03).abs() < 1e-3, "{slopes:?}");
    assert!(
        slopes.first().expect("a stretch").abs() < 1e-3,
        "{slopes:?}"
    );
    // W(sin + c cos) at c = 0.6 to start: 5250 · (0.03 + 0.6)/√1.0009 = 3306 lbf of 4000.
    let margin = result
        .items
        .iter()
        .filter(|item| item.subject == subject("site"));
    let margins: Vec<f64> = margin
        .filter_map(|item| item.margin)
        .map(|m| m.si / 4.448_221_615_260_5)
        .collect();
    assert!(
        margins.iter().any(|lbf| (lbf - 694.0).abs() < 5.0),
        "{margins:?}"
    );
    // A steep place that somebody measured counts beside it.
    let steep = solved.measure("leg#1", "leg.slope_along", "20 %");
    assert_eq!(steep.outcome("roll.pull"), Outcome::Short);
}

/// Heights along a way count only where that way is proved: a gate too tight, a plan said to be incomplete, or a yard
/// without an edge leaves the slope of the leg to be measured.
#[test]
fn heights_along_a_way_not_proved_do_not_stand_for_a_leg() {
    let asked = |site: &TestSite| {
        assert_ne!(site.outcome("roll.way"), Outcome::Clear);
        assert_eq!(site.outcome("roll.pull"), Outcome::Open);
        assert_eq!(site.missing("roll.pull"), ["leg.slope_along"]);
    };
    asked(&on_a_slope_behind(98.0, "2 ft").worked_out());
    let proved = on_a_slope("2 ft").worked_out();
    assert!(proved.missing("roll.pull").is_empty());
    asked(&proved.yes("site", "plan.complete", false));
    let no_edge = on_a_slope("2 ft").choice("plan_line#1", "plan_line.kind", "wall");
    asked(&no_edge.worked_out());
}

/// The sloping yard with the unit across at its spot behind the fence, as no listed turn says: X is 100 in left of V.
fn across_at_the_spot(rise: &str) -> TestSite {
    let mut site = on_a_slope(rise).add("plan_point#13", "X");
    for (number, letter, apart) in [
        ("tie#50", 'V', 100.0),
        ("tie#51", 'W', 100.0 * std::f64::consts::SQRT_2),
        ("tie#52", 'C', 250.0),
        ("tie#53", 'B', 427.200_187),
    ] {
        site = site
            .tie(
                number,
                TieKind::Distance,
                &["plan_point#13", &name_of(letter)],
            )
            .measure(number, "tie.length", &format!("{apart:.6} in"));
    }
    site.points("site", "plan.spot", &[&name_of('V'), "plan_point#13"])
}

/// 3 % behind the fence is no level ground (2 %) to turn on, though nobody listed a turn; 0 % is.
#[test]
fn proved_way_does_not_turn_on_a_slope() {
    let said = |site: &TestSite, key: &str| {
        let result = site.check("roll.pull");
        assert_eq!(site.outcome("roll.way"), Outcome::Clear);
        assert!(lines(&result).contains(&key), "{:#?}", result.items);
        result
    };
    let level = across_at_the_spot("1 ft").worked_out();
    assert_eq!(said(&level, "roll.pull.turned").outcome, Outcome::Clear);
    let slope = across_at_the_spot("2 ft").worked_out();
    let result = said(&slope, "roll.pull.turned");
    assert_eq!(result.outcome, Outcome::Short);
    let by = result.reason.args.iter().find(|(name, _)| name == "what");
    assert_eq!(by.unwrap().1, Arg::Word("roll.pull.of_turn".into()));
    let margin = result
        .items
        .iter()
        .find(|item| item.outcome == Outcome::Short);
    let margin = margin.and_then(|item| item.margin).expect("a margin").si;
    assert!((margin + 0.01).abs() < 1e-3, "{margin}");
}

/// Without heights behind the fence nothing says how the ground lies where the proved way turns.
#[test]
fn turn_on_unknown_ground_keeps_it_open() {
    let mut site = across_at_the_spot("1 ft").measure("leg#1", "leg.slope_along", "1 %");
    for letter in ['B', 'C'] {
        site = site.without(&name_of(letter), "plan_point.height");
    }
    let site = site.worked_out();
    let result = site.check("roll.pull");
    assert_eq!(site.outcome("roll.way"), Outcome::Clear);
    assert_eq!(result.outcome, Outcome::Open, "{:#?}", result.items);
    assert_eq!(result.reason.key, "roll.pull.turn_not_known");
    assert!(lines(&result).contains(&"roll.pull.turned_unknown"));
}

/// Heights by the truck and the fence alone, all level: what lies behind the fence is not known, and the leg's slope is
/// asked for. What is known of the way counts beside it.
#[test]
fn heights_of_a_part_do_not_stand_for_the_whole() {
    let without = |letters: &str, rise| {
        let unknown = |site: TestSite, letter| site.without(&name_of(letter), "plan_point.height");
        let site = letters.chars().fold(on_a_slope(rise), unknown);
        site.worked_out()
    };
    let level = without("BC", "1 ft");
    assert_eq!(level.outcome("roll.way"), Outcome::Clear);
    assert_eq!(level.outcome("roll.pull"), Outcome::Open);
    assert_eq!(level.missing("roll.pull"), ["leg.slope_along"]);
    let measured = level.measure("leg#1", "leg.slope_along", "1 %");
    assert_eq!(measured.outcome("roll.pull"), Outcome::Clear);
    // Heights behind the fence alone, 21 % up: short, whatever the leg's answer.
    let steep = without("AD", "8 ft").measure("leg#1", "leg.slope_along", "1 %");
    assert_eq!(steep.outcome("roll.pull"), Outcome::Short);
}

/// A patio can be of gravel, on which only a trial says how small hard wheels roll; a street cannot.
#[test]
fn gravel_counts_on_a_patio() {
    let on = |kind: &str| {
        let corners = ['A', 'B', 'C', 'D'].map(name_of);
        on_a_slope("2 ft")
            .choice("leg#2", "leg.surface", "gravel_packed")
            .add("plan_line#9", "paving")
            .choice("plan_line#9", "plan_line.kind", kind)
            .points(
                "plan_line#9",
                "plan_line.points",
                &corners.each_ref().map(String::as_str),
            )
            .worked_out()
    };
    assert!(on("street").missing("roll.pull").is_empty());
    let patio = on("patio");
    assert_eq!(patio.outcome("roll.pull"), Outcome::Open);
    assert_eq!(patio.missing("roll.pull"), ["leg.breakaway_pull"]);
}

#[test]
fn steep_yard_is_short() {
    let site = on_a_slope("8 ft").worked_out();
    assert_eq!(site.outcome("roll.pull"), Outcome::Short);
}

/// `back-yard-tapes.json` as answers: the same tapes in one hand put every point where the worked example has it.
#[test]
fn taped_example_as_answers() {
    let text = include_str!("../../../../../../tests/examples/route/back-yard-tapes.json");
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

/// Whatever an answer holds that its question does not take, the check stays open and nothing breaks.
#[test]
fn answers_that_do_not_fit_leave_it_open() {
    use setdown_types::value::Value;
    let site = yard(104.0).worked_out();
    assert_eq!(site.outcome("roll.way"), Outcome::Clear);
    let odd = [
        Some(Value::Count(7)),
        Some(Value::Text("odd".to_owned())),
        None,
    ];
    for (name, question) in [
        ("site", "plan.basis"),
        ("site", "plan.stand"),
        ("site", "plan.either_end"),
        ("tie#3", "tie.present"),
        ("tie#3", "tie.length"),
        ("plan_line#1", "plan_line.kind"),
        ("plan_line#1", "plan_line.points"),
    ] {
        for value in &odd {
            let site = site.clone().forced(name, question, value.clone());
            assert_eq!(
                site.outcome("roll.way"),
                Outcome::Open,
                "{question} {value:?}"
            );
        }
    }
}

/// Corners in the wrong order: the area is named, with its question.
#[test]
fn crossing_outline_is_named() {
    let site = yard(104.0)
        .add("plan_line#8", "patio")
        .choice("plan_line#8", "plan_line.kind", "patio")
        .points(
            "plan_line#8",
            "plan_line.points",
            &[&name_of('A'), &name_of('C'), &name_of('B'), &name_of('D')],
        );
    let result = check(&site, Outcome::Open, "roll.way.plan_at_odds");
    let line = result.items[0].working.first().expect("a line");
    assert_eq!(line.key, "roll.way.ring_crosses");
    assert_eq!(line.args[0].1, Arg::Subject(subject("plan_line#8")));
    assert_eq!(
        line.args[1].1,
        Arg::Word("question.plan_line.points".into())
    );
}

/// A spot 3 in from the end of the last leg, in a corridor with room: the end limits, and how sure that is hangs on the
/// leg's length and on the spot.
#[test]
fn end_that_limits_counts_with_the_spot() {
    let site = corner(150.0, 150.0, (140.0, 80.0))
        .measure_within("leg#2", "leg.length", "480 in", "0.5 in")
        .measure_within("site", "plan.spot_along", "407 in", "0.5 in")
        .worked_out();
    let result = check(&site, Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin");
    let inches = [margin.si / 0.0254, margin.spread / 0.0254];
    // 480 - 407 - 70 = 3 in, less 2 in; two readings of ±0.5 in, of which what the one tape is off cancels.
    assert!((0.89..=1.001).contains(&inches[0]), "{inches:?}");
    assert!((0.67..0.7072).contains(&inches[1]), "{inches:?}");
    assert!(lines(&result).contains(&"roll.way.pinch_at_spot"));
}
