//! Single moves of a crew: what they are made of, what they cost in attention, and whether one is proved.

use super::certify::{Certifier, turned};
use super::moves::{About, Action};
use super::pinch::between;
use super::yard::{Place, Yard, into_body};

/// Shifts below this many inches and turns below this many degrees are no moves.
pub(super) const NOTHING: f64 = 1e-9;
/// Turning by less than this many radians within a straight move, which is proved with it, is not worth a word: the end
/// of the unit goes 1/10000 in to the side.
pub(super) const NO_TURN: f64 = 1e-6;
/// Turns below this many degrees and shifts below this many inches are hard to follow.
pub(super) const SMALL_TURN: f64 = 1.0;
pub(super) const SMALL_SHIFT: f64 = 2.0;
/// What is less than this many inches beside a longer shift is not told.
pub(super) const SLIGHT: f64 = 0.126;
/// A point farther from the centre than this many times half the diagonal is hard to turn about.
const FAR: f64 = 1.0;

/// Looks at a step before it is proved; a power of two.
const LOOKS: u32 = 16;

/// A move in working coordinates.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub action: Action,
    pub from: Place,
    pub to: Place,
}

impl Step {
    /// Straight from one pose to another, which may be turned: then both at once.
    pub fn shift(from: Place, to: Place) -> Self {
        let (sine, cosine) = libm::sincos(from.heading);
        let [forward, left] = into_body(to.at, from.at, cosine, sine);
        let degrees = (to.heading - from.heading).to_degrees();
        let action = if (to.heading - from.heading).abs() < NO_TURN {
            Action::Straight { forward, left }
        } else {
            Action::Together {
                forward,
                left,
                degrees,
            }
        };
        Step { action, from, to }
    }

    /// A turn of so many radians.
    pub fn turn(yard: &Yard, from: Place, about: About, turn: f64) -> Self {
        let point = Yard::from_body(from, body_point(yard, about));
        Step {
            action: Action::Turn {
                degrees: turn.to_degrees(),
                about,
            },
            from,
            to: turned(from, point, turn),
        }
    }

    /// Whether it does nothing.
    pub fn is_nothing(&self) -> bool {
        match self.action {
            Action::Straight { forward, left } => forward.abs() + left.abs() <= NOTHING,
            Action::Turn { degrees, .. } => degrees.abs() <= NOTHING,
            Action::Together { .. } => false,
        }
    }

    /// How far it shifts, along the heading and to the left.
    pub fn by(&self) -> [f64; 2] {
        match self.action {
            Action::Straight { forward, left } | Action::Together { forward, left, .. } => {
                [forward, left]
            }
            Action::Turn { .. } => [0.0, 0.0],
        }
    }

    /// The lesser of both.
    pub fn beside(&self) -> f64 {
        let [forward, left] = self.by().map(f64::abs);
        forward.min(left)
    }

    /// The same with these figures, which differ by no more than rounding.
    pub fn with(self, [forward, left]: [f64; 2]) -> Self {
        let action = match self.action {
            Action::Straight { .. } => Action::Straight { forward, left },
            Action::Together { degrees, .. } => Action::Together {
                forward,
                left,
                degrees,
            },
            turn @ Action::Turn { .. } => turn,
        };
        Step { action, ..self }
    }

    /// Whether it moves without turning.
    pub fn is_straight(&self) -> bool {
        matches!(self.action, Action::Straight { .. })
    }

    /// Whether it is no turn about a point.
    pub fn is_shift(&self) -> bool {
        !matches!(self.action, Action::Turn { .. })
    }

    /// Whether it is a turn about the centre.
    pub fn is_on_the_spot(&self) -> bool {
        let about = About::Centre;
        matches!(self.action, Action::Turn { about: found, .. } if found == about)
    }

    /// What it costs a crew, a plain move being 1.
    pub fn trouble(&self, yard: &Yard) -> f64 {
        match self.action {
            Action::Straight { forward, left } => {
                let (long, short) = (forward.abs().max(left.abs()), forward.abs().min(left.abs()));
                let slanted = if short < SLIGHT {
                    0.0
                } else if short < SMALL_SHIFT {
                    0.5
                } else {
                    0.2
                };
                1.0 + small(long, SMALL_SHIFT) + slanted
            }
            Action::Turn { degrees, about } => {
                small(degrees, SMALL_TURN)
                    + match about {
                        About::Centre => 1.0,
                        About::Corner { .. } => 1.3,
                        About::Point { forward, left } => {
                            let far = forward * forward + left * left;
                            let reach = FAR * yard.radius();
                            if far > reach * reach { 4.0 } else { 2.2 }
                        }
                    }
            }
            Action::Together { degrees, .. } => 4.0 + small(degrees, SMALL_TURN),
        }
    }
}

fn small(amount: f64, limit: f64) -> f64 {
    if amount.abs() < limit - NOTHING {
        2.0
    } else {
        0.0
    }
}

/// Proves steps in one yard.
pub(super) struct Prover<'a> {
    pub yard: &'a Yard,
    pub certifier: Certifier<'a>,
    pub least: f64,
}

impl Prover<'_> {
    /// Whether a step is proved to keep the clearance.
    pub fn proves(&mut self, step: &Step) -> bool {
        let Step { action, from, to } = *step;
        match action {
            Action::Turn { about, .. } => {
                let point = Yard::from_body(from, body_point(self.yard, about));
                let turn = to.heading - from.heading;
                self.certifier.keeps_turn(from, point, turn, self.least)
            }
            _ => self.certifier.keeps(from, to, self.least),
        }
    }

    /// Whether some poses on a step have the clearance: most steps that fail do so here, without a proof.
    pub fn looks(&self, step: &Step) -> bool {
        let Step { action, from, to } = *step;
        let at = |share: f64| match action {
            Action::Turn { about, .. } => {
                let point = Yard::from_body(from, body_point(self.yard, about));
                turned(from, point, share * (to.heading - from.heading))
            }
            _ => between(from, to, share),
        };
        // The end, the middle, the quarters, and so on.
        let mut shares = (1..LOOKS).map(|look| {
            f64::from(look.reverse_bits() >> (LOOKS.leading_zeros() + 1)) / f64::from(LOOKS)
        });
        self.has_room(to) && shares.all(|share| self.has_room(at(share)))
    }

    /// Whether a pose has the clearance.
    pub fn has_room(&self, place: Place) -> bool {
        let mut room = true;
        self.yard.each_gap(place, self.least, |gap, _| {
            room &= gap >= self.least;
            self.least
        });
        room
    }
}

/// The centre and the corners.
pub(super) fn pivots() -> [About; 5] {
    let corner = |front, left| About::Corner { front, left };
    [
        About::Centre,
        corner(true, true),
        corner(true, false),
        corner(false, true),
        corner(false, false),
    ]
}

/// The point in the unit's own axes.
pub(super) fn body_point(yard: &Yard, about: About) -> [f64; 2] {
    let sign = |positive: bool| if positive { 1.0 } else { -1.0 };
    match about {
        About::Centre => [0.0, 0.0],
        About::Corner { front, left } => [sign(front) * yard.half[0], sign(left) * yard.half[1]],
        About::Point { forward, left } => [forward, left],
    }
}

/// The point that one turn carries the first pose into the second about, in the axes of the first.
pub(super) fn pole(from: Place, to: Place) -> About {
    let (x, y) = (to.at[0] - from.at[0], to.at[1] - from.at[1]);
    let cotangent = 1.0 / libm::tan(0.5 * (to.heading - from.heading));
    let pole = [
        0.5 * (from.at[0] + to.at[0] - y * cotangent),
        0.5 * (from.at[1] + to.at[1] + x * cotangent),
    ];
    let (sine, cosine) = libm::sincos(from.heading);
    let [forward, left] = into_body(pole, from.at, cosine, sine);
    About::Point { forward, left }
}
