//! A move of the way in as a sentence for the crew.

use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::tables::units::INCH;
use setdown_types::quantity::Dimension;

use crate::parts::preferences;
use crate::words::{Wording, filled, word};

/// Inches as the trade writes them.
pub fn length(inches: f64) -> String {
    let wording = Wording {
        system: preferences::system(),
        site: None,
    };
    wording.quantity(Dimension::Length, inches * INCH)
}

/// How far the middle of the unit goes.
pub fn distance(one: &Move) -> f64 {
    (one.to.x - one.from.x).hypot(one.to.y - one.from.y)
}

/// Below this many inches a part of a move is not worth a word.
const WORTH: f64 = 0.125;

/// A move as a sentence.
pub fn move_text(one: &Move) -> String {
    match one.action {
        Action::Straight { forward, left } => {
            filled("way.move.straight", &[("go", &going(forward, left))])
        }
        Action::Turn { degrees, about } => filled(
            "way.move.turn",
            &[("turn", &turning(degrees)), ("about", &turned_about(about))],
        ),
        Action::Together {
            forward,
            left,
            degrees,
        } => filled(
            "way.move.together",
            &[("go", &going(forward, left)), ("turn", &turning(degrees))],
        ),
    }
}

fn going(forward: f64, left: f64) -> String {
    let part = |inches: f64, positive: &str, negative: &str| {
        let key = if inches > 0.0 { positive } else { negative };
        (inches.abs() >= WORTH).then(|| filled(key, &[("distance", &length(inches.abs()))]))
    };
    let parts: Vec<String> = [
        part(forward, "way.go.forward", "way.go.back"),
        part(left, "way.go.left", "way.go.right"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match parts.as_slice() {
        [] => word("way.go.hardly"),
        parts => parts.join(&format!(" {} ", word("way.go.and"))),
    }
}

fn turning(degrees: f64) -> String {
    let key = if degrees > 0.0 {
        "way.turn.left"
    } else {
        "way.turn.right"
    };
    filled(key, &[("angle", &format!("{:.1}", degrees.abs()))])
}

fn turned_about(about: About) -> String {
    match about {
        About::Centre => word("way.about.centre"),
        About::Corner { front, left } => word(match (front, left) {
            (true, true) => "way.about.front_left",
            (true, false) => "way.about.front_right",
            (false, true) => "way.about.rear_left",
            (false, false) => "way.about.rear_right",
        }),
        About::Point { forward, left } => {
            filled("way.about.point", &[("where", &going(forward, left))])
        }
    }
}
