//! A move of the way in as a sentence for the crew.

use leptos::prelude::*;
use setdown_rules::frame::result::CheckResult;
use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::plan::ledger::GROUND_CHECK;
use setdown_rules::tables::units::INCH;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::parts::preferences;
use crate::parts::working::capital;
use crate::words::{Wording, filled, word};

/// Inches as the trade writes them.
pub fn length(inches: f64) -> String {
    let wording = Wording {
        system: preferences::system(),
        site: None,
    };
    wording.quantity(Dimension::Length, inches * INCH)
}

/// What the check of the pull says of the way as a whole: stretch by stretch over which ground, how steep, what it takes to
/// pull and to hold it, and where it turns on a slope.
pub fn ground_lines(check: &CheckResult, wording: &Wording<'_>) -> Vec<String> {
    let of_way = check.items.iter();
    let lines = of_way
        .filter(|item| item.subject == Subject::SITE)
        .flat_map(|item| &item.working)
        .filter(|line| line.key.starts_with(GROUND_CHECK));
    lines.map(|line| wording.line(line)).collect()
}

/// These lines under their title; that there are none, where there are none.
pub fn ground_list(lines: Vec<String>) -> AnyView {
    if lines.is_empty() {
        return view! { <p class="quiet">{word("way.ground.unknown")}</p> }.into_any();
    }
    let rows: Vec<_> = lines
        .into_iter()
        .map(|line| view! { <li class="number">{line}</li> })
        .collect();
    view! { <ul class="plain ground">{rows}</ul> }.into_any()
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
        Action::Turn { degrees, about } => {
            let turn = capital(&turning(degrees));
            let about = turned_about(about);
            filled("way.move.turn", &[("turn", &turn), ("about", &about)])
        }
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
    let angle = format!("{:.1}", degrees.abs());
    let angle = angle.strip_suffix(".0").unwrap_or(&angle);
    filled(key, &[("angle", angle)])
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
        About::Point { forward, left } if forward.hypot(left) < WORTH => word("way.about.centre"),
        About::Point { forward, left } => {
            filled("way.about.point", &[("where", &going(forward, left))])
        }
    }
}
