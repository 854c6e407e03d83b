//! A line of poses retold as moves that a crew can follow: straight ahead, back or sideways, and turns about a named
//! point. Every move is proved to keep the clearance the line has.

use serde::{Deserialize, Serialize};

use super::certify::{Certifier, turned};
use super::path::Track;
use super::scene::Pose;
use super::yard::{Place, Yard, into_body};

/// Bounds that proving moves may work out: limits its time.
const MOST_WORK: usize = 60_000;
/// Shifts below this many inches and sums of turns below this many degrees are no moves of their own.
const NOTHING: f64 = 1e-9;
/// Turning by less than this many radians within a straight move, which is proved with it, is not worth a word: the end
/// of the unit goes 1/10000 in to the side.
const NO_TURN: f64 = 1e-6;

/// The point a turn is about, which stays where it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// The centre of the unit: it turns on the spot.
    Centre,
    /// A corner of the unit.
    Corner {
        /// At the end the heading points to.
        front: bool,
        /// On the left of the heading.
        left: bool,
    },
    /// Another point, in inches from the centre as the unit stands before the turn.
    Point {
        /// Along the heading.
        forward: f64,
        /// To the left of it.
        left: f64,
    },
}

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// The unit moves without turning, by so many inches along its heading and to the left.
    Straight {
        /// Negative: back.
        forward: f64,
        /// Negative: to the right.
        left: f64,
    },
    /// The unit turns about a point.
    Turn {
        /// Counter-clockwise; negative: clockwise.
        degrees: f64,
        /// The point that stays where it is.
        about: About,
    },
    /// The unit's centre moves straight while it turns evenly, in a place too tight for one after the other.
    Together {
        /// Along the heading before the move; negative: back.
        forward: f64,
        /// To the left of it; negative: to the right.
        left: f64,
        /// Counter-clockwise; negative: clockwise.
        degrees: f64,
    },
}

/// One move, with the pose before and after it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Move {
    /// What is done.
    pub action: Action,
    /// Pose before.
    pub from: Pose,
    /// Pose after.
    pub to: Pose,
}

#[derive(Clone, Copy)]
struct Step {
    action: Action,
    from: Place,
    to: Place,
}

/// The track as moves that are proved to keep `least`, which the track's own stretches do.
pub(super) fn moves(yard: &Yard, track: &Track, least: f64) -> Vec<Move> {
    let mut certifier = Certifier::new(yard, MOST_WORK);
    let mut steps: Vec<Step> = Vec::new();
    for pair in track.places.windows(2) {
        if let [from, to] = pair {
            for step in plainest(yard, &mut certifier, [*from, *to], least) {
                add(&mut steps, step);
            }
        }
    }
    let outward = |step: Step| Move {
        action: step.action,
        from: yard.outward(step.from),
        to: yard.outward(step.to),
    };
    steps.into_iter().map(outward).collect()
}

/// Adds a step; one that goes on turning about the centre on the same spot adds to the last. What lies between was
/// proved both ways, so the sum is.
fn add(steps: &mut Vec<Step>, step: Step) {
    let before = steps.last().map(|last| last.action);
    match (before, step.action) {
        (
            Some(Action::Turn {
                degrees,
                about: About::Centre,
            }),
            Action::Turn {
                degrees: more,
                about: About::Centre,
            },
        ) => {
            let from = steps.pop().map_or(step.from, |last| last.from);
            let degrees = degrees + more;
            if degrees.abs() > NOTHING {
                let action = Action::Turn {
                    degrees,
                    about: About::Centre,
                };
                steps.push(Step {
                    action,
                    from,
                    to: step.to,
                });
            }
        }
        _ => steps.push(step),
    }
}

/// The plainest moves between two poses that are proved.
fn plainest(
    yard: &Yard,
    certifier: &mut Certifier,
    [from, to]: [Place; 2],
    least: f64,
) -> Vec<Step> {
    let turn = to.heading - from.heading;
    if turn.abs() < NO_TURN {
        return vec![straight(from, to)];
    }
    for about in pivots() {
        let point = body_point(yard, about);
        // First turned, then straight.
        let between = turned(from, Yard::from_body(from, point), turn);
        let proved = certifier.keeps_turn(from, Yard::from_body(from, point), turn, least);
        if proved && certifier.keeps(between, to, least) {
            return tidy([pivot(from, between, about), straight(between, to)]);
        }
        // First straight, then turned.
        let between = turned(to, Yard::from_body(to, point), -turn);
        let proved = certifier.keeps(from, between, least);
        if proved && certifier.keeps_turn(between, Yard::from_body(to, point), turn, least) {
            return tidy([straight(from, between), pivot(between, to, about)]);
        }
    }
    let pole = pole(from, to, turn);
    if certifier.keeps_turn(from, pole, turn, least) {
        let (sine, cosine) = libm::sincos(from.heading);
        let [forward, left] = into_body(pole, from.at, cosine, sine);
        return vec![pivot(from, to, About::Point { forward, left })];
    }
    let Action::Straight { forward, left } = straight(from, to).action else {
        return Vec::new();
    };
    let degrees = turn.to_degrees();
    vec![Step {
        action: Action::Together {
            forward,
            left,
            degrees,
        },
        from,
        to,
    }]
}

fn tidy(steps: [Step; 2]) -> Vec<Step> {
    let something = |step: &Step| match step.action {
        Action::Straight { forward, left } => forward.abs() + left.abs() > NOTHING,
        _ => true,
    };
    steps.into_iter().filter(something).collect()
}

fn straight(from: Place, to: Place) -> Step {
    let (sine, cosine) = libm::sincos(from.heading);
    let [forward, left] = into_body(to.at, from.at, cosine, sine);
    Step {
        action: Action::Straight { forward, left },
        from,
        to,
    }
}

fn pivot(from: Place, to: Place, about: About) -> Step {
    let degrees = (to.heading - from.heading).to_degrees();
    Step {
        action: Action::Turn { degrees, about },
        from,
        to,
    }
}

fn pivots() -> [About; 5] {
    let corner = |front, left| About::Corner { front, left };
    [
        About::Centre,
        corner(true, true),
        corner(true, false),
        corner(false, true),
        corner(false, false),
    ]
}

fn body_point(yard: &Yard, about: About) -> [f64; 2] {
    let sign = |positive: bool| if positive { 1.0 } else { -1.0 };
    match about {
        About::Centre => [0.0, 0.0],
        About::Corner { front, left } => [sign(front) * yard.half[0], sign(left) * yard.half[1]],
        About::Point { forward, left } => [forward, left],
    }
}

/// The point that one turn carries the first pose into the second about.
fn pole(from: Place, to: Place, turn: f64) -> [f64; 2] {
    let (x, y) = (to.at[0] - from.at[0], to.at[1] - from.at[1]);
    let cotangent = 1.0 / libm::tan(0.5 * turn);
    [
        0.5 * (from.at[0] + to.at[0] - y * cotangent),
        0.5 * (from.at[1] + to.at[1] + x * cotangent),
    ]
}
