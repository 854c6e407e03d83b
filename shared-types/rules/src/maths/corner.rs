//! A rectangle taken round a right-angle corner between two straight corridors.
//!
//! `a` is the width of the corridor it comes from, `b` of the one it goes to. With the rectangle touching both outer
//! walls at angle θ and its side at the inner corner, the room along it is
//! f(θ) = (a·cosθ + b·sinθ − w)/(sinθ·cosθ); the longest rectangle that passes is the least f. Derived; it agrees with
//! the published 12.8927 ("Moving a Couch around a Corner", Coll. Math. J. 33(3) 2002).

use super::{Graded, RADIANS_PER_DEGREE};

/// The longest rectangle that can be turned round a corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongestTurn {
    /// Greatest length in metres, with its derivatives by `a`, `b` and the width `w`.
    pub length: Graded<3>,
    /// The angle in degrees at which it is tightest.
    pub angle: f64,
}

/// The room in metres along a rectangle of width `w` at `angle` degrees, corridors `a` and `b` (metres).
///
/// `None` unless the corridors are above zero, the width at least zero and the angle strictly between 0 and 90.
pub fn room_at(a: f64, b: f64, w: f64, angle: f64) -> Option<f64> {
    let between = angle > 0.0 && angle < 90.0;
    if !usable(a, b, w) || !between {
        return None;
    }
    let (sine, cosine) = libm::sincos(angle * RADIANS_PER_DEGREE);
    super::finite((a * cosine + b * sine - w) / (sine * cosine))
}

/// The longest rectangle of width `w` that turns the corner between corridors `a` and `b` (all metres).
///
/// `None` if the width is more than either corridor, or an input is not a sensible length. The tightest angle is the
/// root of f′·sin²θ·cos²θ = b·sin³θ − a·cos³θ + w·(cos²θ − sin²θ). For w ≤ min(a, b) that function first falls from
/// at most 0, then rises, then falls again to at least 0, so it crosses zero once and halving always finds it. The
/// derivatives need no derivative of the angle (envelope theorem).
///
/// ```
/// use setdown_rules::maths::corner::longest_turn;
/// // Equal corridors: 2√2·a − 2w.
/// let turn = longest_turn(12.0, 12.0, 8.0).ok_or("8 fits 12")?;
/// assert!((turn.length.value - 17.941_125_496_954_28).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
pub fn longest_turn(a: f64, b: f64, w: f64) -> Option<LongestTurn> {
    if !usable(a, b, w) || w > a.min(b) {
        return None;
    }
    let mut low = 0.0;
    let mut high = 90.0 * RADIANS_PER_DEGREE;
    // 60 halvings bring the bracket below the spacing of f64 near 45 degrees.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        let (sine, cosine) = libm::sincos(middle);
        let falling = b * sine * sine * sine - a * cosine * cosine * cosine
            + w * (cosine * cosine - sine * sine);
        if falling < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let theta = 0.5 * (low + high);
    let (sine, cosine) = libm::sincos(theta);
    let product = sine * cosine;
    let length = Graded::new(
        (a * cosine + b * sine - w) / product,
        [1.0 / sine, 1.0 / cosine, -1.0 / product],
    )?;
    Some(LongestTurn {
        length,
        angle: theta / RADIANS_PER_DEGREE,
    })
}

fn usable(a: f64, b: f64, w: f64) -> bool {
    super::all_above_zero(&[a, b]) && super::all_at_least_zero(&[w])
}

/// How a rectangle gets from one corridor into the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Manner {
    /// It is turned round the corner.
    Turn,
    /// It comes lengthwise and goes on sideways, without turning: length ≤ b and width ≤ a.
    SidewaysAfter,
    /// It comes sideways and goes on lengthwise, without turning: length ≤ a and width ≤ b.
    SidewaysBefore,
}

/// The best way for one rectangle to pass one corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// The manner with the most room.
    pub manner: Manner,
    /// Room left in metres (negative: it does not pass), with its derivatives by `a`, `b`, length and width.
    ///
    /// For a turn this is the longest length that turns minus the length, or where the width itself does not fit the
    /// narrower corridor, that corridor minus the width; sideways it is the lesser of the two gaps.
    pub margin: Graded<4>,
}

/// The best way for a rectangle of `length` by `width` to pass the corner between corridors `a` and `b` (metres).
///
/// The longer of the two sides is taken as the length. `None` if an input is not a sensible length.
pub fn passage(a: f64, b: f64, length: f64, width: f64) -> Option<Passage> {
    if !usable(a, b, width) || !super::all_at_least_zero(&[length]) {
        return None;
    }
    if length < width {
        let swapped = passage(a, b, width, length)?;
        let [by_a, by_b, by_long, by_short] = swapped.margin.gradient;
        let margin = Graded::new(swapped.margin.value, [by_a, by_b, by_short, by_long])?;
        return Some(Passage { margin, ..swapped });
    }
    let mut best = Passage {
        manner: Manner::Turn,
        margin: turn_margin(a, b, length, width)?,
    };
    let sideways = [
        (Manner::SidewaysAfter, after_margin(a, b, length, width)?),
        (Manner::SidewaysBefore, before_margin(a, b, length, width)?),
    ];
    for (manner, margin) in sideways {
        if margin.value > best.margin.value {
            best = Passage { manner, margin };
        }
    }
    Some(best)
}

fn turn_margin(a: f64, b: f64, length: f64, width: f64) -> Option<Graded<4>> {
    match longest_turn(a, b, width) {
        Some(turn) => {
            let [by_a, by_b, by_width] = turn.length.gradient;
            Graded::new(turn.length.value - length, [by_a, by_b, -1.0, by_width])
        }
        None if a <= b => Graded::new(a - width, [1.0, 0.0, 0.0, -1.0]),
        None => Graded::new(b - width, [0.0, 1.0, 0.0, -1.0]),
    }
}

fn after_margin(a: f64, b: f64, length: f64, width: f64) -> Option<Graded<4>> {
    if b - length <= a - width {
        Graded::new(b - length, [0.0, 1.0, -1.0, 0.0])
    } else {
        Graded::new(a - width, [1.0, 0.0, 0.0, -1.0])
    }
}

fn before_margin(a: f64, b: f64, length: f64, width: f64) -> Option<Graded<4>> {
    if a - length <= b - width {
        Graded::new(a - length, [1.0, 0.0, -1.0, 0.0])
    } else {
        Graded::new(b - width, [0.0, 1.0, 0.0, -1.0])
    }
}
