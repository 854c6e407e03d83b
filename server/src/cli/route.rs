//! `route FILE`: the certified way through a route file, in words or as JSON.

use std::fmt::Write as _;
use std::path::Path;

use setdown_app::words::{Wording, word};
use setdown_rules::motion::answer::{Limit, Verdict};
use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::motion::{Answer, Options, Scene, Solver, file};
use setdown_types::quantity::{Dimension, UnitSystem};

use super::yard::{BadFile, text_of};

/// Metres in an inch, exact: route files are in inches.
const INCH: f64 = 0.0254;
/// The finest resolution that may be asked for, in inches: finer ones meet the limits on time and memory.
const FINEST: f64 = 0.01;
/// The coarsest resolution that says anything, in inches.
const COARSEST: f64 = 12.0;

/// What is asked for beside the file.
#[derive(Debug, Clone, Copy)]
pub struct Choices {
    /// As JSON.
    pub json: bool,
    /// Largest difference between the bounds, in inches.
    pub resolution: f64,
    /// Units of the text.
    pub units: UnitSystem,
}

/// Reads a resolution as typed.
///
/// # Errors
/// What would be right, in words.
pub fn resolution(typed: &str) -> Result<f64, String> {
    typed
        .parse()
        .ok()
        .filter(|inches| (FINEST..=COARSEST).contains(inches))
        .ok_or_else(|| format!("a number of inches from {FINEST} to {COARSEST} is needed"))
}

/// The certified answer to a route file.
///
/// # Errors
/// [`BadFile`] names the key that is wrong.
pub fn route(path: &Path, choices: Choices) -> Result<String, BadFile> {
    let text = text_of(path, file::LONGEST_FILE)?;
    let scene = file::read(&text).map_err(|fault| BadFile::of(path, &fault.to_string()))?;
    let mut solver = Solver::new(
        &scene,
        Options {
            resolution: choices.resolution,
            ..Options::default()
        },
    );
    solver.solve();
    let answer = Answer::of(&scene, &solver);
    if choices.json {
        return Ok(format!("{:#}\n", answer.to_json()));
    }
    Ok(in_words(&scene, &answer, choices.units))
}

fn in_words(scene: &Scene, answer: &Answer, units: UnitSystem) -> String {
    let wording = Wording {
        system: units,
        site: None,
    };
    let length = |inches: f64| wording.quantity(Dimension::Length, inches * INCH);
    let mut out = String::new();
    if !scene.parts().name.is_empty() {
        let _ = writeln!(out, "{}", scene.parts().name);
    }
    let verdict = match answer.verdict {
        Verdict::Route => "route.cli.route",
        Verdict::NoRoute => "route.cli.no_route",
        Verdict::Undecided => "route.cli.undecided",
    };
    let _ = writeln!(out, "{}", word(verdict));
    let lower = answer
        .lower
        .map_or_else(|| word("route.cli.nothing"), length);
    let upper = if answer.upper.is_finite() {
        length(answer.upper)
    } else {
        word("route.cli.nothing")
    };
    let _ = writeln!(out, "{}: {lower} .. {upper}", word("route.cli.clearance"));
    let limit = match answer.limited_by {
        Limit::Way | Limit::Cap => "route.cli.limited_by_way",
        Limit::Start => "route.cli.limited_by_start",
        Limit::Goal => "route.cli.limited_by_goal",
    };
    let _ = writeln!(out, "{}", word(limit));
    for pinch in &answer.pinches {
        let against = pinch.against.join(", ");
        let _ = writeln!(
            out,
            "  {} {}: {against}",
            word("route.cli.pinch"),
            length(pinch.gap)
        );
    }
    if !answer.moves.is_empty() {
        let _ = writeln!(out, "{}", word("route.cli.moves"));
    }
    for (number, step) in (1..).zip(&answer.moves) {
        let _ = writeln!(out, "  {number:>2}. {}", told(step, length));
    }
    let _ = writeln!(out, "{}", word("route.cli.means"));
    for caution in ["caution.rolling", "caution.heavy_load_slope"] {
        let _ = writeln!(out, "{}", word(caution));
    }
    out
}

/// One move in words.
fn told(step: &Move, length: impl Fn(f64) -> String) -> String {
    match step.action {
        Action::Straight { forward, left } => straight(forward, left, length),
        Action::Turn { degrees, about } => {
            format!("{} {}", turn(degrees), about_what(about, length))
        }
        Action::Together {
            forward,
            left,
            degrees,
        } => {
            let shift = straight(forward, left, length);
            format!("{shift}, {} {}", word("route.cli.while"), turn(degrees))
        }
    }
}

fn straight(forward: f64, left: f64, length: impl Fn(f64) -> String) -> String {
    let part = |inches: f64, plus: &str, minus: &str| {
        let key = if inches < 0.0 { minus } else { plus };
        (inches.abs() >= 0.05).then(|| format!("{} {}", word(key), length(inches.abs())))
    };
    let parts = [
        part(forward, "route.cli.forward", "route.cli.back"),
        part(left, "route.cli.left", "route.cli.right"),
    ];
    match parts.into_iter().flatten().collect::<Vec<_>>() {
        none if none.is_empty() => word("route.cli.hardly"),
        some => some.join(", "),
    }
}

fn turn(degrees: f64) -> String {
    let key = if degrees < 0.0 {
        "route.cli.turn_right"
    } else {
        "route.cli.turn_left"
    };
    format!("{} {:.1}°", word(key), degrees.abs())
}

fn about_what(about: About, length: impl Fn(f64) -> String) -> String {
    match about {
        About::Centre => word("route.cli.about_centre"),
        About::Corner { front, left } => word(match (front, left) {
            (true, true) => "route.cli.about_front_left",
            (true, false) => "route.cli.about_front_right",
            (false, true) => "route.cli.about_rear_left",
            (false, false) => "route.cli.about_rear_right",
        }),
        About::Point { forward, left } => {
            let place = straight(forward, left, length);
            format!("{} ({place})", word("route.cli.about_point"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_resolution_is_a_sensible_number_of_inches() {
        assert_eq!(resolution("0.1"), Ok(0.1));
        for bad in ["", "0", "-1", "NaN", "inf", "13", "a tenth"] {
            assert!(resolution(bad).is_err(), "{bad}");
        }
    }
}
