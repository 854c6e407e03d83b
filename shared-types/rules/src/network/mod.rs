//! The tape network: named points and what was taped between them, adjusted by least squares, with the spread of
//! everything that follows and the mistakes that it can find.
//!
//! Lengths are inches and angles degrees, as in the files; arguments of messages are SI. A *spread* is the half-width
//! that holds the truth 19 times in 20; the mathematics uses σ = spread / 1.96. Method: nonlinear least squares
//! (Gauss-Newton with Levenberg-Marquardt damping), Baarda's reliability theory for redundancy numbers, normalised
//! residuals and smallest detectable blunders (*A Testing Procedure for Use in Geodetic Networks*, 1968, from memory),
//! error ellipses as in Wolf and Ghilani, *Adjustment Computations* (from memory). All of it is checked against scipy
//! and against reference cases in `tests/tests/oracles/network.rs`.
//!
//! ```text
//! read ─> TapeNetwork ─> start (several places to begin) ─> settle (least squares) ─> adjust (covariance, tests)
//!                                                                │
//!               answer <─ loose, mirror, mistape, clearance <────┘
//! ```

mod adjust;
mod answer;
mod clearance;
mod findings;
mod layout;
mod likely;
mod locus;
mod loose;
mod mirror;
mod mistape;
mod model;
mod observe;
mod read;
mod settle;
mod start;

pub use adjust::{Adjustment, Checked, Ellipse, adjust};
pub use answer::{
    Answer, AnsweredClearance, AnsweredPoint, AnsweredReading, LooseAnswer, MirrorAnswer,
    MistapedAnswer, SuspectAnswer, TapeSuggestion, answer, answer_after,
};
pub use clearance::{Gap, NextTape, gap, next_tapes};
pub use likely::{Likely, Slip, likely_slips};
pub use loose::{Loose, loose_parts};
pub use mirror::{Mirror, mirrors};
pub use mistape::{Hunt, Mistaped, Suspect, hunt};
pub use model::{
    Clearance, Fault, Frame, Measured, Parts, Reading, Side, SideOf, Tape, TapeNetwork, Target,
};
pub use read::read;
pub(crate) use read::{from_place, units};
pub use settle::Place;

/// The most points of one network.
pub const MOST_POINTS: usize = 48;
/// The most readings of one network.
pub const MOST_READINGS: usize = 300;
/// The farthest that anything lies from anything else, in inches: one mile.
pub const FARTHEST: f64 = 63_360.0;
/// The smallest spread that is believed of a length in inches, or of an angle in degrees.
pub const LEAST_SPREAD: f64 = 0.001;
/// The largest spread of a length in inches that still makes a reading.
pub const MOST_SPREAD: f64 = 1_200.0;

#[cfg(test)]
mod tests;
