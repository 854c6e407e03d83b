//! Small networks worked out by hand: what is loose, what is ambiguous, what the side statements and the kinds of
//! readings do, and which slips are named.

use super::*;
use crate::frame::result::Arg;

fn network(text: &str) -> TapeNetwork {
    read(text).unwrap_or_else(|complaint| panic!("{complaint}"))
}

fn said(text: &str) -> String {
    read(text).map(|_| ()).unwrap_err().to_string()
}

fn answered(text: &str) -> Answer {
    answer(&network(text))
}

fn near(ours: f64, theirs: f64, allowed: f64, what: &str) {
    assert!(
        (ours - theirs).abs() <= allowed,
        "{what}: {ours} here, {theirs} there"
    );
}

/// A 3-4-5 triangle with A-B along x; `rest` continues the object.
fn triangle(rest: &str) -> String {
    format!(
        r#"{{"points": ["A", "B", "C"], "spread": 0.5, "distances": [
            {{"from": "A", "to": "B", "is": 300}}, {{"from": "A", "to": "C", "is": 400}},
            {{"from": "B", "to": "C", "is": 500}}]{rest}}}"#
    )
}

/// Three sides fix a triangle but for its mirror image, which is asked about and settled by one statement.
#[test]
fn triangle_is_asked_about() {
    let open = answered(&triangle(""));
    near(open.points[2].x, 0.0, 1e-9, "x");
    near(
        open.points[2].y,
        400.0,
        1e-9,
        "left is drawn where nobody said",
    );
    let [mirror] = open.mirrors.as_slice() else {
        panic!("one question: {:?}", open.mirrors)
    };
    assert!(mirror.whole && !open.settled);
    assert_eq!((mirror.point.as_str(), mirror.drawn), ("C", "left"));
    let right = triangle(r#", "sides": [{"point": "C", "from": "A", "to": "B", "side": "right"}]"#);
    let settled = answered(&right);
    near(settled.points[2].y, -400.0, 1e-9, "as said");
    assert!(settled.settled && settled.mirrors.is_empty());
}

/// A point on two tapes can be folded over the line of the two on its own; both questions are put.
#[test]
fn folded_point_is_asked_about() {
    let text = r#"{"points": ["A", "B", "C", "D"], "spread": 0.5,
        "sides": [{"point": "C", "from": "A", "to": "B", "side": "left"}],
        "distances": [{"from": "A", "to": "B", "is": 300}, {"from": "A", "to": "C", "is": 400},
            {"from": "B", "to": "C", "is": 500}, {"from": "B", "to": "D", "is": 260}, {"from": "C", "to": "D", "is": 300}]}"#;
    let open = answered(text);
    let [mirror] = open.mirrors.as_slice() else {
        panic!("one question: {:?}", open.mirrors)
    };
    assert_eq!(mirror.point, "D");
    let mut line = [mirror.from.as_str(), mirror.to.as_str()];
    line.sort_unstable();
    assert_eq!(line, ["B", "C"]);
    assert!(!mirror.whole);
    assert_eq!(open.findings[0].key, "network.mirror.part");
}

/// An offset with its side stands in for a side statement.
#[test]
fn offsets_know_their_side() {
    let text = r#"{"points": ["A", "B", "C"], "spread": 0.5, "distances": [{"from": "A", "to": "B", "is": 300}],
        "offsets": [{"point": "C", "from": "A", "to": "B", "along": 120, "right": 80}]}"#;
    let found = answered(text);
    near(found.points[2].x, 120.0, 1e-9, "along");
    near(found.points[2].y, -80.0, 1e-9, "right");
    assert!(found.settled, "{:?}", found.findings);
}

/// A right angle and a straight line each tie what distances leave open.
#[test]
fn right_angles_and_straight_lines_tie() {
    let text = r#"{"points": ["A", "B", "C", "M"], "spread": 0.5,
        "distances": [{"from": "A", "to": "B", "is": 300}, {"from": "B", "to": "C", "is": 200}, {"from": "A", "to": "M", "is": 120}],
        "squares": [{"at": "B", "between": ["A", "C"], "spread": 1}],
        "straights": [{"points": ["A", "M", "B"], "spread": 0.5}],
        "sides": [{"point": "C", "from": "A", "to": "B", "side": "left"}]}"#;
    let found = answered(text);
    assert!(found.tied, "{:?}", found.findings);
    near(found.points[2].x, 300.0, 1e-6, "C over B");
    near(found.points[2].y, 200.0, 1e-6, "C over B");
    near(
        found.points[3].x,
        120.0,
        1e-6,
        "M on the line, between A and B as said",
    );
    assert!(found.settled, "{:?}", found.findings);
    // Across the line M is as sure as the line was said to be; the angle moves C by 200·sin(1°) along x.
    near(
        found.points[3].minor.expect("tied"),
        0.5 * 1.248_9,
        0.01,
        "95 % of two",
    );
}

/// Three points on one chain: the end swings, and the missing side ties it.
#[test]
fn chain_is_loose() {
    let text = r#"{"points": ["A", "B", "C"], "spread": 0.5,
        "distances": [{"from": "A", "to": "B", "is": 300}, {"from": "B", "to": "C", "is": 200}]}"#;
    let found = answered(text);
    assert_eq!((found.rank, found.unknowns, found.tied), (2, 3, false));
    assert_eq!(found.loose[0].points, ["C"]);
    assert_eq!(found.loose[0].fix, Some(["A".to_owned(), "C".to_owned()]));
    // Where that cannot be run, nothing can be suggested and that is said.
    let blocked = text.replace(r#""spread""#, r#""cannot_tape": [["A", "C"]], "spread""#);
    let found = answered(&blocked);
    assert_eq!(found.loose[0].fix, None);
    assert_eq!(found.findings[0].key, "network.loose.no_tape");
}

/// A point that no reading touches needs two tapes.
#[test]
fn untouched_point_needs_two() {
    let text = r#"{"points": ["A", "B", "C"], "spread": 0.5, "distances": [{"from": "A", "to": "B", "is": 300}]}"#;
    let found = answered(text);
    assert_eq!(found.loose.len(), 2);
    let fixes: Vec<_> = found
        .loose
        .iter()
        .filter_map(|part| part.fix.clone())
        .collect();
    assert_eq!(fixes.len(), 2, "{:?}", found.loose);
    assert!(fixes.iter().all(|fix| fix.contains(&"C".to_owned())));
    assert_ne!(fixes[0], fixes[1]);
}

/// No reading at all: nothing panics, everything is loose.
#[test]
fn nothing_taped() {
    let found = answered(r#"{"points": ["A", "B", "C"]}"#);
    assert_eq!((found.rank, found.tied, found.settled), (0, false, false));
    assert!(!found.loose.is_empty());
}

/// Two tapes of 20 ft to a point in the middle of 40 ft: how far it is off the line nobody knows.
#[test]
fn stretched_out_point_is_weak() {
    let text = r#"{"points": ["A", "B", "M"], "spread": 0.5, "distances": [{"from": "A", "to": "B", "is": 480},
        {"from": "A", "to": "M", "is": 240.01}, {"from": "B", "to": "M", "is": 240.01}]}"#;
    let found = answered(text);
    assert!(!found.tied);
    assert_eq!(found.loose[0].points, ["M"]);
    assert!(!found.loose[0].free, "held, but hardly");
}

/// A side statement that the tapes contradict is said, not obeyed silently.
#[test]
fn contradicting_sides() {
    let text = triangle(
        r#", "sides": [{"point": "C", "from": "A", "to": "B", "side": "left"}, {"point": "C", "from": "A", "to": "B", "side": "right"}]"#,
    );
    let found = answered(&text);
    assert!(!found.settled);
    let broken = found
        .findings
        .iter()
        .filter(|line| line.key == "network.sides_contradict");
    // Two that exclude each other: one holds, the other is told with its place in the file.
    let places: Vec<_> = broken
        .filter_map(|line| line.args.iter().find(|(name, _)| *name == "place"))
        .map(|(_, place)| place.clone())
        .collect();
    let side = |place: usize| Arg::Text(format!("network.sides[{place}]"));
    assert!(places == [side(0)] || places == [side(1)], "{places:?}");
}

/// A braced square whose diagonal was read 12 in long on a tape whose zero and scale are in doubt too: the doubt they
/// share does not hide it.
#[test]
fn tape_errors_do_not_hide_a_foot() {
    let mut distances = Vec::new();
    let places = [
        ("A", [0.0, 0.0]),
        ("B", [480.0, 0.0]),
        ("C", [490.0, 360.0]),
        ("D", [-10.0, 340.0]),
        ("E", [200.0, 150.0]),
    ];
    for (k, (a, p)) in places.iter().enumerate() {
        for (b, q) in &places[k + 1..] {
            let length = libm::hypot(p[0] - q[0], p[1] - q[1])
                + if (*a, *b) == ("A", "C") { 12.0 } else { 0.0 };
            distances.push(format!(
                r#"{{"from": "{a}", "to": "{b}", "is": {length}, "tape": "cloth"}}"#
            ));
        }
    }
    let text = format!(
        r#"{{"points": ["A", "B", "C", "D", "E"], "tapes": [{{"id": "cloth", "spread": 0.5, "zero_spread": 0.25, "scale_spread": 0.002}}],
            "sides": [{{"point": "C", "from": "A", "to": "B", "side": "left"}}], "distances": [{}]}}"#,
        distances.join(",")
    );
    let found = answered(&text);
    let first = &found.mistaped[0];
    assert!(first.sure && first.set_aside);
    assert_eq!(first.suspects[0].id, "A-C");
    near(first.suspects[0].excess, 12.0, 0.3, "a foot");
    assert_eq!(
        (
            first.suspects[0].slips[0].kind,
            first.suspects[0].slips[0].count
        ),
        ("feet", 1)
    );
    assert!(
        found.settled,
        "set aside, the rest is sound: {:?}",
        found.findings
    );
}

/// Worked out: the slips people make, each found and none other.
#[test]
fn slips() {
    let first =
        |read: f64, expected: f64| likely_slips(read, expected, 0.3).first().map(|l| l.slip);
    assert_eq!(first(60.0, 72.0), Some(Slip::Feet(-1)));
    assert_eq!(first(84.0, 60.0), Some(Slip::Feet(2)));
    assert_eq!(first(100.25, 101.25), Some(Slip::OneInch(-1)));
    assert_eq!(first(96.0, 69.0), Some(Slip::SwappedInches));
    // 12 ft 3 in written for 21 ft 3 in.
    assert_eq!(first(147.0, 255.0), Some(Slip::SwappedFeet));
    assert_eq!(first(146.0, 149.0), Some(Slip::SixForNine));
    assert_eq!(first(100.0, 104.4), None);
    assert_eq!(first(f64::NAN, 100.0), None);
    assert_eq!(first(1e300, 100.0), None);
}

/// Mistakes in a file are named by their key.
#[test]
fn complaints_name_the_key() {
    let with = |distance: &str| {
        said(&format!(
            r#"{{"points": ["A", "B"], "spread": 0.5, "distances": [{distance}]}}"#
        ))
    };
    assert!(
        with(r#"{"from": "A", "to": "X", "is": 5}"#)
            .starts_with("distances[0].to: there is no point \"X\"")
    );
    assert!(
        with(r#"{"from": "A", "to": "A", "is": 5}"#).starts_with("distances[0].to: the same point")
    );
    assert!(
        with(r#"{"from": "A", "to": "B", "is": -5}"#)
            .starts_with("distances[0].is: must be a number from")
    );
    assert!(
        with(r#"{"from": "A", "to": "B", "is": "5 ft"}"#)
            .starts_with("distances[0].is: expected a number")
    );
    assert!(
        with(r#"{"from": "A", "to": "B", "is": 5, "tape": "t"}"#)
            .starts_with("distances[0].tape: there is no tape")
    );
    assert!(with(r#"{"from": "A", "to": "B"}"#).starts_with("distances[0].is: missing"));
    assert!(said(r#"{"points": ["A", "A"]}"#).starts_with("points[1]: \"A\" is used already"));
    assert!(said(r#"{"points": ["A"]}"#).starts_with("points: must have 2 to 48 entries"));
    assert!(
        said(r#"{"points": ["A", "B"], "frame": {"origin": "A", "along": "A"}}"#)
            .starts_with("frame.along")
    );
    assert!(
        said(r#"{"points": ["A", "B"], "distances": [{"from": "A", "to": "B", "is": 5}]}"#)
            .starts_with("distances[0].spread: no spread")
    );
}

/// Parts made by a program are checked like a file: nothing that refers to nothing gets in.
#[test]
fn parts_are_checked() {
    let reading = Reading {
        id: "r".to_owned(),
        measured: Measured::Distance { from: 0, to: 9 },
        value: 100.0,
        spread: 0.5,
        tape: None,
    };
    let parts = Parts {
        points: vec!["A".to_owned(), "B".to_owned()],
        usual_spread: 0.5,
        readings: vec![reading],
        ..Parts::default()
    };
    assert_eq!(
        TapeNetwork::new(parts.clone()),
        Err(Fault::Reference("r".to_owned()))
    );
    let mut nan = parts;
    nan.readings[0].measured = Measured::Distance { from: 0, to: 1 };
    nan.readings[0].value = f64::NAN;
    assert_eq!(TapeNetwork::new(nan), Err(Fault::Number("r".to_owned())));
}

/// The documented example: the gap is too close to call, and the tape across it would settle it.
#[test]
fn documented_example() {
    let text = include_str!("../../../../tests/examples/route/back-yard-tapes.json");
    let found = answered(text);
    assert!(found.settled, "{:?}", found.findings);
    let gap = &found.clearances[0];
    let (size, spread) = (gap.gap.expect("tied"), gap.spread.expect("tied"));
    assert!((size - 87.7).abs() < spread, "tight: {size} ± {spread}");
    assert_eq!(
        (gap.next[0].from.as_str(), gap.next[0].to.as_str()),
        ("P", "Q")
    );
    let taped = text.replace(
        r#""distances": ["#,
        r#""distances": [{"from": "P", "to": "Q", "is": 88.2, "tape": "steel 50 ft"},"#,
    );
    let found = answered(&taped);
    let (size, after) = (
        found.clearances[0].gap.expect("tied"),
        found.clearances[0].spread.expect("tied"),
    );
    assert!(
        after < 0.7 * spread && size - 87.7 >= after,
        "clear: {size} ± {after}"
    );
    let mistaken = taped.replace("595.7", "609.7");
    let found = answered(&mistaken);
    let suspects: Vec<&str> = found.mistaped[0]
        .suspects
        .iter()
        .map(|s| s.id.as_str())
        .collect();
    assert_eq!(suspects, ["B-D"]);
    near(found.mistaped[0].suspects[0].excess, 14.0, 1.0, "too much");
}
