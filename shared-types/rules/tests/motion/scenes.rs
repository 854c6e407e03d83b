//! The reference scenes, as given and turned, against their known answers.

use crate::turning::{expected, mirrored, number, scene, solved, turned};
use serde_json::Value;
use setdown_rules::maths::corner::longest_turn;
use setdown_rules::motion::answer::{Limit, Verdict};
use setdown_rules::motion::{Answer, Options};

const ANGLES: [f64; 3] = [0.0, 17.3, 131.0];

fn check(name: &str, answer: &Answer, known: &Value, resolution: f64) {
    let figures = &known["max_min_clearance_in"];
    let (low, high) = (
        number(&figures["certified_lower"]),
        number(&figures["certified_upper"]),
    );
    assert!(
        answer.upper >= low,
        "{name}: {} is below {low}",
        answer.upper
    );
    if high < -3.0 {
        assert_eq!(
            (answer.verdict, answer.lower),
            (Verdict::NoRoute, None),
            "{name}"
        );
        return;
    }
    let lower = answer.lower.expect("a lower bound is owed");
    assert!(lower <= high, "{name}: {lower} is above {high}");
    assert!(
        answer.upper - lower <= resolution + 1e-5,
        "{name}: {lower} to {}",
        answer.upper
    );
    if let Some(best) = figures["analytic"].as_f64() {
        // The published figures have six decimals.
        let inside = lower - 1e-6 <= best && best <= answer.upper + 1e-6;
        assert!(
            inside,
            "{name}: {best} is outside {lower} to {}",
            answer.upper
        );
        let verdict = if best >= 0.0 {
            Verdict::Route
        } else {
            Verdict::NoRoute
        };
        assert_eq!(answer.verdict, verdict, "{name}");
    }
    let narrowest = answer.pinches.first().expect("there is a narrowest place");
    let gap = narrowest.gap;
    assert!(
        lower - 1e-6 <= gap && gap <= answer.upper + resolution,
        "{name}: pinch {gap}"
    );
}

/// The corner that is an inch too tight, its bounds made into walls. The unit's corner then counts as deep as the
/// deepest point of the wall inside the unit, not as how far it sticks out: the unit with all sides moved in by d has
/// to turn the corner, longest(120, 150, W - 2d) = L - 2d, so d = 0.1636 (worked out from the corner's formula; the
/// figure of the reference takes the walls as bounds).
fn corner_between_walls(answer: &Answer) {
    let (length, width) = (188.381_291, 96.0);
    let spare = |d: f64| {
        let turn = longest_turn(120.0, 150.0, width - 2.0 * d).expect("it fits");
        turn.length.value - (length - 2.0 * d)
    };
    assert!(spare(0.1636 - 0.0002) < 0.0 && spare(0.1636 + 0.0002) > 0.0);
    let lower = answer.lower.expect("a lower bound is owed");
    assert!(
        lower <= -0.1634 && answer.upper >= -0.1638,
        "{lower} to {}",
        answer.upper
    );
    assert_eq!(answer.verdict, Verdict::NoRoute);
}

fn check_all(resolution: f64, angles: &[f64]) {
    let options = Options {
        resolution,
        ..Options::default()
    };
    for (name, known) in expected().as_object().expect("scenes by name") {
        for angle in angles {
            let answer = solved(&turned(&scene(name), *angle, [31.0, -7.0]), options);
            if name.starts_with("s02b") {
                corner_between_walls(&answer);
            } else {
                check(
                    &format!("{name} turned by {angle}"),
                    &answer,
                    known,
                    resolution,
                );
            }
        }
        check(name, &solved(&scene(name), options), known, resolution);
    }
}

#[test]
fn at_a_tenth() {
    check_all(0.1, &ANGLES);
}

#[test]
fn at_two_hundredths() {
    check_all(0.02, &[23.0]);
}

/// A mirrored yard has the mirrored answer, within what each may be off.
#[test]
fn mirrored_yards_agree() {
    for name in [
        "s01_side_yard_gate",
        "s03_Z_double_corner",
        "s10_three_point_turn",
        "s11_full_yard",
    ] {
        let answers =
            [scene(name), mirrored(&scene(name))].map(|yard| solved(&yard, Options::default()));
        let [one, other] = &answers;
        let (lower, other_lower) = (one.lower.expect("proved"), other.lower.expect("proved"));
        assert!(lower <= other.upper && other_lower <= one.upper, "{name}");
        assert_eq!(one.verdict, other.verdict, "{name}");
    }
}

/// What `expected.json` says of removals: without the cheapest set, and without the alternative, 9.0 in remain.
#[test]
fn clearance_after_removals() {
    let known = &expected()["s09_removable"]["mcr"];
    for (gone, after) in [
        (&known["cheapest"], &known["clearance_after"]),
        (
            &known["alternative"]["set"],
            &known["alternative"]["clearance_after"],
        ),
    ] {
        let gone: Vec<&str> = gone
            .as_array()
            .expect("ids")
            .iter()
            .filter_map(Value::as_str)
            .collect();
        let mut yard = scene("s09_removable");
        let obstacles = yard["obstacles"].as_array_mut().expect("a list");
        obstacles.retain(|each| !gone.contains(&each["id"].as_str().unwrap_or_default()));
        let answer = solved(&turned(&yard, 61.0, [0.0, 3.0]), Options::default());
        let (lower, best) = (answer.lower.expect("proved"), number(after));
        assert!(
            lower <= best && best <= answer.upper,
            "{gone:?}: {lower} to {}",
            answer.upper
        );
    }
}

/// The gate is what is narrow, and its posts are what it is narrow between.
#[test]
fn pinches_name_what_is_near() {
    for (name, posts) in [
        ("s01_side_yard_gate", ["postL", "postR"]),
        ("s11_full_yard", ["gpostA", "gpostB"]),
    ] {
        let answer = solved(&scene(name), Options::default());
        let mut against = answer
            .pinches
            .first()
            .expect("one at least")
            .against
            .clone();
        against.sort();
        assert_eq!(against, posts, "{name}");
        assert_eq!(answer.limited_by, Limit::Way, "{name}");
    }
}
