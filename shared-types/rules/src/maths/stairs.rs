//! A flight of steps: how many risers a height takes, how far the flight runs, and whether it needs a handrail.

use crate::tables::irc_stairs::{HANDRAIL_FROM_RISERS, LARGEST_RISER, LEAST_TREAD};

/// A flight of equal steps up to a landing, platform or deck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flight {
    /// Risers, all alike; zero where there is nothing to climb.
    pub risers: u32,
    /// Height in metres of each riser.
    pub riser: f64,
    /// Treads: one fewer than risers, because the top of the flight is the landing.
    pub treads: u32,
    /// Depth in metres of each tread.
    pub tread: f64,
    /// Horizontal length in metres of the flight: treads times their depth.
    pub run: f64,
    /// Whether the flight needs a handrail.
    pub handrail: bool,
}

/// More risers than anybody builds: a height that asks for more is a slip of the pen.
const MOST_RISERS: f64 = 1000.0;

/// How far a height may exceed a whole number of risers and still count as that number: a part in 10⁹, far below any
/// reading, so that 31 in at 7¾ in is four risers and not five.
const HAIR: f64 = 1e-9;

/// The flight for a `rise` in metres with risers of at most `largest_riser` and treads of `tread` metres.
///
/// risers = ceil(rise / largest). `None` if the rise is negative, a limit is not above zero, or the flight would have
/// more than a thousand risers.
pub fn flight(rise: f64, largest_riser: f64, tread: f64) -> Option<Flight> {
    if !super::all_at_least_zero(&[rise]) || !super::all_above_zero(&[largest_riser, tread]) {
        return None;
    }
    let needed = rise / largest_riser;
    let whole = libm::ceil(needed - HAIR * needed);
    if !(0.0..=MOST_RISERS).contains(&whole) {
        return None;
    }
    let risers = whole as u32;
    let treads = risers.saturating_sub(1);
    let riser = if risers == 0 {
        0.0
    } else {
        rise / f64::from(risers)
    };
    Some(Flight {
        risers,
        riser,
        treads,
        tread,
        run: f64::from(treads) * tread,
        handrail: risers >= HANDRAIL_FROM_RISERS.value,
    })
}

/// The flight for a `rise` in metres at the published limits: risers of at most 7¾ in, treads of 10 in.
pub fn flight_at_limits(rise: f64) -> Option<Flight> {
    flight(rise, LARGEST_RISER.value, LEAST_TREAD.value)
}
