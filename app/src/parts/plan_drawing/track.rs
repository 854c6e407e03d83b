//! The way in as a row of poses close enough to play it, and the outline that the unit sweeps.

use setdown_rules::motion::Answer;
use setdown_rules::motion::moves::{About, Action, Move};
use setdown_rules::motion::scene::Pose;

use super::sketch::Sketch;

/// Farthest between two samples, inches.
const STEP: f64 = 5.0;
/// Most turning between two samples, degrees.
const TURN: f64 = 3.0;
/// Most samples of one move.
const MOST: usize = 120;

/// One moment of the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// How the unit stands.
    pub pose: Pose,
    /// Which move it is in, counted from 0.
    pub step: usize,
}

/// The way in, to be played.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Track {
    /// Moments, in order.
    pub samples: Vec<Sample>,
    /// How many moves.
    pub steps: usize,
}

impl Track {
    /// Of an answer; empty where it has no way.
    pub fn of(answer: &Answer, unit: [f64; 2]) -> Self {
        if answer.lower.is_none_or(|lower| lower < 0.0) {
            return Self::default();
        }
        let mut samples = Vec::new();
        if answer.moves.is_empty() {
            for (step, pair) in answer.path.windows(2).enumerate() {
                if let [from, to] = pair {
                    samples.extend(between(*from, *to, |share| mixed(*from, *to, share), step));
                }
            }
        }
        for (step, one) in answer.moves.iter().enumerate() {
            samples.extend(between(
                one.from,
                one.to,
                |share| during(one, unit, share),
                step,
            ));
        }
        let steps = samples.last().map_or(0, |last| last.step + 1);
        Self { samples, steps }
    }

    /// Of the answer in a sketch; empty where none is worked out.
    pub fn of_sketch(sketch: &Sketch) -> Self {
        match (&sketch.answer, sketch.plan.unit) {
            (Some(answer), Some(unit)) => Self::of(answer, [unit.length, unit.width]),
            _ => Self::default(),
        }
    }

    /// The moment at a share of the whole, from 0 to 1.
    pub fn at(&self, share: f64) -> Option<Sample> {
        let last = self.samples.len().checked_sub(1)?;
        let place = (share.clamp(0.0, 1.0) * last as f64).round() as usize;
        self.samples.get(place).copied()
    }

    /// The share of the whole at which a move has just ended.
    pub fn end_of(&self, step: usize) -> f64 {
        let last = self.samples.len().saturating_sub(1).max(1);
        let place = self.samples.iter().rposition(|sample| sample.step <= step);
        place.unwrap_or(0) as f64 / last as f64
    }
}

/// Samples from one pose to another along `way`, both ends counted.
fn between(from: Pose, to: Pose, way: impl Fn(f64) -> Pose, step: usize) -> Vec<Sample> {
    let far = (to.x - from.x).hypot(to.y - from.y) / STEP;
    let turned = (to.heading - from.heading).abs() / TURN;
    let count = (far.max(turned).ceil().max(1.0) as usize).min(MOST);
    (0..=count)
        .map(|place| Sample {
            pose: way(place as f64 / count as f64),
            step,
        })
        .collect()
}

fn mixed(from: Pose, to: Pose, share: f64) -> Pose {
    let mix = |from: f64, to: f64| from + share * (to - from);
    Pose {
        x: mix(from.x, to.x),
        y: mix(from.y, to.y),
        heading: mix(from.heading, to.heading),
    }
}

/// How the unit stands while a move is done: a turn carries its middle round the point that stays.
fn during(one: &Move, unit: [f64; 2], share: f64) -> Pose {
    let Action::Turn { degrees, about } = one.action else {
        return mixed(one.from, one.to, share);
    };
    let stays = outward(one.from, in_body(about, unit));
    let turned = one.from.heading + share * degrees;
    let [forward, left] = in_body(about, unit).map(|value| -value);
    let at = Pose {
        x: stays[0],
        y: stays[1],
        heading: turned,
    };
    let [x, y] = outward(at, [forward, left]);
    Pose {
        x,
        y,
        heading: turned,
    }
}

/// The point of a turn, forward and left of the unit's middle.
pub fn in_body(about: About, [length, width]: [f64; 2]) -> [f64; 2] {
    let half = |whole: f64, positive: bool| if positive { 0.5 * whole } else { -0.5 * whole };
    match about {
        About::Centre => [0.0, 0.0],
        About::Corner { front, left } => [half(length, front), half(width, left)],
        About::Point { forward, left } => [forward, left],
    }
}

/// A point forward and left of a pose, in the yard.
pub fn outward(pose: Pose, [forward, left]: [f64; 2]) -> [f64; 2] {
    let (sine, cosine) = pose.heading.to_radians().sin_cos();
    [
        pose.x + forward * cosine - left * sine,
        pose.y + forward * sine + left * cosine,
    ]
}

/// The four corners of the unit at a pose: rear right, front right, front left, rear left.
pub fn corners(pose: Pose, [length, width]: [f64; 2]) -> [[f64; 2]; 4] {
    let (half, side) = (0.5 * length, 0.5 * width);
    [[-half, -side], [half, -side], [half, side], [-half, side]].map(|point| outward(pose, point))
}
