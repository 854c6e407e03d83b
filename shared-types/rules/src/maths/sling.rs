//! Lifting slings: tension in the legs, the share of each lifting point, and the squeeze on the rim.
//!
//! Angles are degrees from the **horizontal**, as US tables give them.

use super::{Graded, RADIANS_PER_DEGREE};
use crate::tables::slings::{LEAST_ANGLE, PREFERRED_ANGLE};

/// How the flattest sling leg stands against the angle limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Steepness {
    /// Flatter than 30 degrees: refused.
    Refused,
    /// From 30 up to 45 degrees: flatter than it should be.
    Flat,
    /// 45 degrees or steeper.
    Good,
}

/// The standing of a sling `angle` in degrees from the horizontal; not a number is refused.
pub fn steepness(angle: f64) -> Steepness {
    if angle >= PREFERRED_ANGLE.value {
        Steepness::Good
    } else if angle >= LEAST_ANGLE.value {
        Steepness::Flat
    } else {
        Steepness::Refused
    }
}

/// How many legs may be counted on: one alone is one; any more count as two.
///
/// Four legs on a rigid load count as two, because two of them may take nearly all of it (Seabee manual, read in two
/// places). Three count as two by caution (common practice, no source).
pub fn legs_counted(legs: u32) -> u32 {
    legs.min(2)
}

/// The tension in newtons in each leg of an even bridle: T = W/(n·sinα), with its derivatives by weight and angle
/// (per degree).
///
/// `weight` is in newtons; `legs` are counted by [`legs_counted`]. `None` without legs, for a negative weight, or an
/// angle not above 0 up to 90. Published: 1000 lb on two legs gives 500, 577, 707, 1000 at 90, 60, 45, 30 degrees.
pub fn leg_tension(weight: f64, legs: u32, angle: f64) -> Option<Graded<2>> {
    let counted = legs_counted(legs);
    if counted == 0 {
        return None;
    }
    tension_for_share(weight / f64::from(counted), angle).and_then(|tension| {
        let [by_share, by_angle] = tension.gradient;
        Graded::new(tension.value, [by_share / f64::from(counted), by_angle])
    })
}

/// The tension in newtons of one leg that carries the vertical `share` (newtons): T = V/sinα, with its derivatives by
/// share and angle (per degree). `None` for a negative share or an angle not above 0 up to 90.
pub fn tension_for_share(share: f64, angle: f64) -> Option<Graded<2>> {
    let (sine, cosine) = sloping(share, angle)?;
    let by_angle = -share * cosine / (sine * sine) * RADIANS_PER_DEGREE;
    Graded::new(share / sine, [1.0 / sine, by_angle])
}

/// The sideways squeeze in newtons of one leg on the rim: V/tanα, with its derivatives by share and angle (per
/// degree). Zero for a plumb leg. `None` for a negative share or an angle not above 0 up to 90.
pub fn rim_squeeze(share: f64, angle: f64) -> Option<Graded<2>> {
    let (sine, cosine) = sloping(share, angle)?;
    let by_angle = -share / (sine * sine) * RADIANS_PER_DEGREE;
    Graded::new(share * cosine / sine, [cosine / sine, by_angle])
}

fn sloping(share: f64, angle: f64) -> Option<(f64, f64)> {
    let sensible = super::all_at_least_zero(&[share]) && angle > 0.0 && angle <= 90.0;
    if !sensible {
        return None;
    }
    if angle == 90.0 {
        return Some((1.0, 0.0));
    }
    Some(libm::sincos(angle * RADIANS_PER_DEGREE))
}

/// The angle in degrees from the horizontal of a leg that rises `height` over a horizontal `reach` (metres).
pub fn leg_angle(height: f64, reach: f64) -> Option<f64> {
    let sensible = super::all_above_zero(&[height]) && super::all_at_least_zero(&[reach]);
    sensible.then(|| libm::atan2(height, reach) / RADIANS_PER_DEGREE)
}

/// The vertical share of the first and the second of two lifting points `span` metres apart, by moments, when the
/// centre of gravity hangs `from_first` metres from the first towards the second.
///
/// Derivatives of each by weight, span and distance. `None` if the centre of gravity lies outside the two points
/// (the load would tip) or an input makes no sense.
pub fn two_point_shares(weight: f64, span: f64, from_first: f64) -> Option<[Graded<3>; 2]> {
    let sensible = super::all_at_least_zero(&[weight, from_first])
        && super::all_above_zero(&[span])
        && from_first <= span;
    if !sensible {
        return None;
    }
    let part = from_first / span;
    let moment = weight * from_first / (span * span);
    let first = Graded::new(weight * (1.0 - part), [1.0 - part, moment, -weight / span])?;
    let second = Graded::new(weight * part, [part, -moment, weight / span])?;
    Some([first, second])
}

/// The vertical shares in newtons of four lifting points at the corners of a rectangle, by moments both ways.
///
/// `along` and `across` are where the centre of gravity lies, 0 to 1, from the first corner; the corners come in the
/// order (0,0), (1,0), (1,1), (0,1). A rigid load may hang on two of them instead: see [`worst_of_four_shares`].
pub fn four_point_shares(weight: f64, along: f64, across: f64) -> Option<[f64; 4]> {
    let inside = (0.0..=1.0).contains(&along) && (0.0..=1.0).contains(&across);
    if !super::all_at_least_zero(&[weight]) || !inside {
        return None;
    }
    Some([
        weight * (1.0 - along) * (1.0 - across),
        weight * along * (1.0 - across),
        weight * along * across,
        weight * (1.0 - along) * across,
    ])
}

/// The largest share in newtons that any of four legs at the corners can come to carry, however a rigid load hangs.
///
/// Four legs are one too many for statics, so a leg may go slack. Each corner's share is greatest when the leg
/// opposite an end is slack, and is then the lesser of its two ends' shares; with the centre of gravity in the middle
/// that is half the weight, which is why four legs count as two. Derived. `along` and `across` as in
/// [`four_point_shares`].
pub fn worst_of_four_shares(weight: f64, along: f64, across: f64) -> Option<f64> {
    let [a, b, c, d] = four_point_shares(weight, along, across)?;
    // Sides in the order of the corners: each corner lies on two of them.
    let [front, right, back, left] = [a + b, b + c, c + d, d + a];
    let corners = [
        front.min(left),
        front.min(right),
        back.min(right),
        back.min(left),
    ];
    Some(corners.into_iter().fold(0.0, f64::max))
}
