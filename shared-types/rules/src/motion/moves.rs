//! A line of poses retold as moves that a crew can follow: straight ahead, back or sideways, and turns about a named
//! point. Every move is proved to keep the clearance the line has.

use serde::{Deserialize, Serialize};

use super::certify::Certifier;
use super::crew::{Prover, Step};
use super::hubs::hubs;
use super::path::Track;
use super::retell::Retelling;
use super::rounding::{merged, rounded};
use super::scene::Pose;
use super::stops::stops;
use super::yard::{Place, Yard};

/// Bounds that proving moves may work out: limits its time.
const MOST_WORK: usize = 60_000;
/// A track with more stops than this is retold in parts: limits the time too, which grows with their square.
const MOST_STOPS: usize = 48;
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

/// The track as moves that are proved to keep `least`, which the track's own stretches do.
pub(super) fn moves(yard: &Yard, track: &Track, narrow: &[Place], least: f64) -> Vec<Move> {
    let mut prover = Prover {
        yard,
        certifier: Certifier::new(yard, MOST_WORK),
        least,
    };
    let stops = stops(yard, &mut prover.certifier, track, narrow, least);
    let mut steps = Vec::new();
    let mut first = 0;
    while first + 1 < stops.len() {
        let last = (first + MOST_STOPS).min(stops.len() - 1);
        let part = stops.get(first..=last).unwrap_or_default();
        let hubs = hubs(&prover, part, narrow);
        steps.extend(Retelling::new(part, &hubs).steps(&mut prover));
        first = last;
    }
    let steps = merged(&mut prover, steps);
    let steps = rounded(&mut prover, &steps);
    let outward = |step: Step| Move {
        action: step.action,
        from: yard.outward(step.from),
        to: yard.outward(step.to),
    };
    steps.into_iter().map(outward).collect()
}
