//! What lies on a leg but outside the corridor is refused with the number that is wrong: nothing would meet it there, and
//! it would be gone without a word.

use super::*;

/// What is said of a thing or gate on a single leg, 400 long and 60 to both sides.
fn on_leg(rest: &str) -> Option<String> {
    let text = format!(
        r#"{{"spread": 0.5, "legs": [{{"id": "a", "left": 60, "right": 60, "length": 400, {rest}}}]}}"#
    );
    read(&text).err().map(|complaint| complaint.to_string())
}

/// The same on the first of two legs, the second of which turns off square to the left.
fn before_a_corner(thing: &str) -> Option<String> {
    let text = format!(
        r#"{{"spread": 0.5, "legs": [
            {{"id": "a", "left": 60, "right": 60, "length": 400, "turn": {{"is": 90, "spread": 1}},
             "things": [{{"id": "t", "kind": "meter", {thing}}}]}},
            {{"id": "b", "left": 60, "right": 60, "length": 400}}]}}"#
    );
    read(&text).err().map(|complaint| complaint.to_string())
}

#[test]
fn gates_and_things_beyond_their_leg_are_refused() {
    for beyond in [
        r#""gates": [{"id": "g", "along": 401, "width": 40}]"#,
        r#""gates": [{"id": "g", "along": 400, "width": 40}]"#,
        r#""things": [{"id": "t", "along": [405, 519], "left": [0, 20]}]"#,
        r#""things": [{"id": "t", "along": [-119, -5], "left": [0, 20]}]"#,
        r#""things": [{"id": "t", "along": 530, "left": 20, "diameter": 8}]"#,
        r#""things": [{"id": "t", "along": [525, 540], "left": [0, 20]}]"#,
        r#""things": [{"id": "t", "along": [-150, -125], "left": [0, 20]}]"#,
        r#""things": [{"id": "t", "along": [525, 540], "left": [600, 620]}]"#,
    ] {
        let text = on_leg(beyond).unwrap_or_default();
        assert!(
            text.contains(".along: this lies beyond"),
            "{beyond}: {text}"
        );
    }
}

/// The corridor reaches 60 to both sides.
#[test]
fn gates_and_things_behind_the_wall_are_refused() {
    for (behind, number) in [
        (
            r#""things": [{"id": "t", "along": [100, 120], "left": [600, 610]}]"#,
            "left",
        ),
        (
            r#""things": [{"id": "t", "along": [100, 120], "right": [62, 70]}]"#,
            "right",
        ),
        (
            r#""things": [{"id": "t", "along": 100, "left": 66, "diameter": 8}]"#,
            "left",
        ),
        (
            r#""things": [{"id": "t", "along": 100, "right": 66, "diameter": 8}]"#,
            "right",
        ),
        (
            r#""gates": [{"id": "g", "along": 100, "left": 600, "width": 40}]"#,
            "left",
        ),
        (
            r#""gates": [{"id": "g", "along": 100, "left": -60, "width": 40}]"#,
            "left",
        ),
        (
            r#""gates": [{"id": "g", "along": 100, "right": 600, "width": 40}]"#,
            "right",
        ),
    ] {
        let text = on_leg(behind).unwrap_or_default();
        let wanted = format!(".{number}: this lies wholly behind the wall");
        assert!(text.contains(&wanted), "{behind}: {text}");
    }
}

/// What reaches into the corridor, touches its wall or holds all of it is met.
#[test]
fn what_reaches_the_corridor_is_taken() {
    for met in [
        r#""things": [{"id": "t", "kind": "meter", "along": [100, 120], "left": [59, 610]}]"#,
        r#""things": [{"id": "t", "kind": "meter", "along": [100, 120], "left": [60, 66]}]"#,
        r#""things": [{"id": "t", "kind": "tree", "along": 100, "left": 64, "diameter": 8}]"#,
        r#""things": [{"id": "t", "kind": "other", "along": [-10, 500], "left": [-100, 100]}]"#,
        r#""things": [{"id": "t", "kind": "other", "along": [390, 420], "left": [-70, -20]}]"#,
        r#""gates": [{"id": "g", "along": 100, "left": 60, "width": 40}]"#,
        r#""gates": [{"id": "g", "along": 100, "left": 70, "width": 140}]"#,
    ] {
        assert_eq!(on_leg(met), None, "{met}");
    }
}

/// The outer walls of the two legs meet at (460, -60), 60 in past the end of the first.
#[test]
fn corners_belong_to_both_legs() {
    for met in [
        r#""along": [405, 440], "left": [-60, -30]"#,
        r#""along": [380, 420], "left": [200, 230]"#,
        r#""along": 462, "left": 300, "diameter": 6"#,
    ] {
        assert_eq!(before_a_corner(met), None, "{met}");
    }
    for (outside, number) in [
        (r#""along": [380, 420], "left": [-100, -70]"#, "left"),
        (r#""along": [380, 420], "left": [470, 490]"#, "left"),
        (r#""along": [470, 500], "left": [-20, 20]"#, "along"),
        (r#""along": 466, "left": 20, "diameter": 6"#, "along"),
    ] {
        let text = before_a_corner(outside).unwrap_or_default();
        let wanted = format!("legs[0].things[0].{number}: this lies");
        assert!(text.starts_with(&wanted), "{outside}: {text}");
    }
}

/// Legs that cross enclose no one ground: they are told themselves, and nothing on them is refused.
#[test]
fn things_on_legs_that_cross_wait_for_the_legs() {
    let square = |id: &str, rest: &str| {
        format!(
            r#"{{"id": "{id}", "left": 30, "right": 30, "length": 300, "turn": {{"is": 90, "spread": 1}}{rest}}}"#
        )
    };
    let thing =
        r#", "things": [{"id": "t", "kind": "meter", "along": [100, 120], "left": [600, 610]}]"#;
    let legs = [square("a", thing), square("b", ""), square("c", "")].join(",");
    let last = r#"{"id": "d", "left": 30, "right": 30, "length": 600}"#;
    let derived = derived(&format!(r#"{{"spread": 0.5, "legs": [{legs}, {last}]}}"#));
    assert!(!derived.settled);
    assert_eq!(derived.findings[0].key, "plan.legs_cross");
}

/// A meter at the outer corner stands between its leg's ends and widths, though the walls of the narrower next leg are
/// drawn before it; and a reading that the survey leaves open is not refused for a fifth of an inch.
#[test]
fn things_in_corners_and_within_the_spread_are_accepted() {
    let text = r#"{"spread": 0.5, "legs": [
        {"id": "a", "left": 60, "right": 30, "length": 400, "turn": {"is": -45, "spread": 1},
         "things": [{"id": "t", "kind": "downspout", "along": 400, "left": 59, "diameter": 2}]},
        {"id": "b", "left": 30, "right": 30, "length": 150}]}"#;
    assert_eq!(
        read(text).err().map(|complaint| complaint.to_string()),
        None
    );
    let meter = |left: f64| {
        on_leg(&format!(
            r#""things": [{{"id": "t", "along": [100, 120], "left": [{left}, 70]}}]"#
        ))
    };
    assert_eq!(meter(60.2), None);
    assert!(meter(62.0).is_some());
}
