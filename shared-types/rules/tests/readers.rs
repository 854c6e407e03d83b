//! The readers of network and plan files meet whatever a file can hold: they answer or complain, never panic, and what
//! they accept gives finite numbers only.

use proptest::prelude::*;
use serde_json::{Value, json};
use setdown_rules::{network, plan};

/// Keys of both formats, and some that are of neither.
const KEYS: &[&str] = &[
    "name",
    "units",
    "points",
    "frame",
    "origin",
    "along",
    "tapes",
    "id",
    "spread",
    "zero_spread",
    "scale_spread",
    "distances",
    "from",
    "to",
    "is",
    "tape",
    "squares",
    "at",
    "between",
    "straights",
    "offsets",
    "point",
    "left",
    "right",
    "sides",
    "side",
    "clearances",
    "need",
    "cannot_tape",
    "legs",
    "length",
    "turn",
    "gates",
    "width",
    "depth",
    "headroom",
    "things",
    "diameter",
    "z",
    "z_spread",
    "removable",
    "trouble",
    "walls",
    "fences",
    "line",
    "thickness",
    "openings",
    "obstacles",
    "ring",
    "zones",
    "kind",
    "no_go",
    "eave",
    "overhang",
    "height",
    "ridge",
    "lines",
    "keep_off",
    "marks",
    "levels",
    "truck_stand",
    "spot",
    "heading",
    "towards",
    "goal_symmetric",
    "bounds",
    "unit",
    "L",
    "W",
    "carry_z",
    "network",
    "angle_spread",
    "leg",
    "surprise",
];

const WORDS: &[&str] = &[
    "A", "B", "C", "left", "right", "house", "septic", "in", "deg", "a", "",
];

const NUMBERS: &[f64] = &[
    0.0, -0.0, 1.0, -1.0, 4.0, 90.0, -90.0, 180.0, 300.0, 400.0, 500.0, 1e-9, 1e-300, 63_360.0,
    1e9, -1e9, 1e300, 5e-324,
];

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![prop::sample::select(NUMBERS), -1_000.0..1_000.0_f64]
}

/// Any value that these files could hold somewhere.
fn value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        number().prop_map(|number| json!(number)),
        prop::sample::select(WORDS).prop_map(|word| json!(word)),
        any::<bool>().prop_map(|truth| json!(truth)),
        Just(Value::Null),
    ];
    leaf.prop_recursive(4, 60, 8, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..8).prop_map(Value::from),
            prop::collection::btree_map(prop::sample::select(KEYS), inner, 0..8)
                .prop_map(|map| json!(map)),
        ]
    })
}

/// Puts another value somewhere into a document.
fn put(document: &mut Value, path: &[usize], other: Value) {
    let Some((first, rest)) = path.split_first() else {
        *document = other;
        return;
    };
    match document {
        Value::Array(list) if !list.is_empty() => {
            let index = first % list.len();
            put(&mut list[index], rest, other);
        }
        Value::Object(object) if !object.is_empty() => {
            let index = first % object.len();
            if let Some(inner) = object.values_mut().nth(index) {
                put(inner, rest, other);
            }
        }
        whole => *whole = other,
    }
}

fn network_example() -> Value {
    let text = include_str!("../../../tests/examples/route/back-yard-tapes.json");
    serde_json::from_str(text).expect("the example is JSON")
}

fn plan_example() -> Value {
    let text = include_str!("../../../tests/examples/route/side-yard-legs.json");
    serde_json::from_str(text).expect("the example is JSON")
}

/// Whether every number of a document is one; serde_json writes NaN and infinities as null, where none may stand.
fn check_network(text: &str) {
    if let Ok(network) = network::read(text) {
        let answer = network::answer(&network);
        for point in &answer.points {
            assert!(point.x.is_finite() && point.y.is_finite(), "{text}");
            let sizes = [point.major, point.minor, point.heading];
            assert!(
                sizes.iter().flatten().all(|size| size.is_finite()),
                "{text}"
            );
        }
        for clearance in &answer.clearances {
            let sizes = [clearance.gap, clearance.spread, clearance.undetected];
            assert!(
                sizes.iter().flatten().all(|size| size.is_finite()),
                "{text}"
            );
        }
    }
}

fn check_plan(text: &str) {
    let Ok(derived) = plan::read(text) else {
        return;
    };
    let answer = plan::answer(&derived);
    for opening in &answer.openings {
        assert!(
            opening.width.is_finite() && opening.spread.is_finite(),
            "{text}"
        );
    }
    let Some(plan) = &derived.plan else {
        return;
    };
    if let Ok(scene) = plan::scene(plan) {
        for obstacle in &scene.obstacles {
            assert!(
                obstacle.ring().iter().flatten().all(|c| c.is_finite()),
                "{text}"
            );
        }
        let pose = plan.spot.as_ref().map_or([0.0; 3], |spot| {
            let [x, y] = spot.at.at();
            [x, y, spot.heading]
        });
        let held = plan::margin(&scene, [190.0, 94.0], pose, &[]);
        assert!(
            held.is_none_or(|held| held.clearance.spread().is_finite()),
            "{text}"
        );
        // What a plan writes is what the route solver reads: it may find fault with sizes, never with the form.
        if let Err(fault) = setdown_rules::motion::file::read(&scene.file.to_string()) {
            assert!(!fault.why.contains("must be a"), "{fault}: {text}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_500, ..ProptestConfig::default() })]

    /// Texts that are hardly ever files.
    #[test]
    fn any_text(text in "[\\[\\]{}\":,0-9eE.+\\-a-z \\n]{0,200}") {
        check_network(&text);
        check_plan(&text);
    }

    /// Any value anywhere.
    #[test]
    fn any_value(value in value()) {
        let text = value.to_string();
        check_network(&text);
        check_plan(&text);
    }

    /// The documented network with up to three values exchanged for others.
    #[test]
    fn network_with_changes(changes in prop::collection::vec((prop::collection::vec(0..20_usize, 1..5), value()), 1..4)) {
        let mut document = network_example();
        for (path, other) in changes {
            put(&mut document, &path, other);
        }
        check_network(&document.to_string());
    }

    /// The documented network with up to four numbers exchanged for others: those are mostly accepted.
    #[test]
    fn network_with_other_readings(changes in prop::collection::vec((0..12_usize, 1.0..2_000.0_f64), 1..5)) {
        let mut document = network_example();
        for (index, reading) in changes {
            document["distances"][index]["is"] = json!(reading);
        }
        check_network(&document.to_string());
    }

    /// The documented plan with up to three values exchanged for others.
    #[test]
    fn plan_with_changes(changes in prop::collection::vec((prop::collection::vec(0..20_usize, 1..5), value()), 1..4)) {
        let mut document = plan_example();
        for (path, other) in changes {
            put(&mut document, &path, other);
        }
        check_plan(&document.to_string());
    }

    /// The documented plan with numbers of its legs exchanged for others.
    #[test]
    fn plan_with_other_legs(changes in prop::collection::vec((0..3_usize, 0..4_usize, -200.0..2_000.0_f64), 1..6)) {
        let mut document = plan_example();
        for (leg, key, number) in changes {
            let key = ["left", "right", "length", "turn"][key];
            if document["legs"][leg].get(key).is_some() {
                document["legs"][leg][key] = json!(number);
            }
        }
        check_plan(&document.to_string());
    }
}

/// Files as large as are read take bounded time and memory: the largest network, and the largest plan.
#[test]
fn largest_files() {
    let points: Vec<String> = (0..network::MOST_POINTS).map(|k| format!("P{k}")).collect();
    let place = |k: usize| {
        [
            (k % 7) as f64 * 130.0 + (k / 7) as f64 * 11.0,
            (k / 7) as f64 * 120.0,
        ]
    };
    let mut distances = Vec::new();
    'all: for step in 1..network::MOST_POINTS {
        for from in 0..network::MOST_POINTS - step {
            let (p, q) = (place(from), place(from + step));
            let length = ((p[0] - q[0]).powi(2) + (p[1] - q[1]).powi(2)).sqrt();
            distances.push(
                json!({ "from": points[from], "to": points[from + step], "is": length.max(1.0) }),
            );
            if distances.len() == network::MOST_READINGS {
                break 'all;
            }
        }
    }
    let file = json!({ "points": points, "spread": 0.5, "distances": distances });
    let network = network::read(&file.to_string()).expect("it is within the limits");
    assert!(network::answer(&network).tied);
    // Mistakes all over it: every round of the hunt has much to fit anew.
    for distance in distances.iter_mut().step_by(30) {
        let read = distance["is"].as_f64().expect("a number");
        distance["is"] = json!(read + 60.0);
    }
    let file = json!({ "points": points, "spread": 0.5, "distances": distances });
    let network = network::read(&file.to_string()).expect("it is within the limits");
    assert!(!network::answer(&network).mistaped.is_empty());
    let one_more = json!({ "points": points, "spread": 0.5, "distances": vec![distances[0].clone(); network::MOST_READINGS + 1] });
    assert!(network::read(&one_more.to_string()).is_err());
}
