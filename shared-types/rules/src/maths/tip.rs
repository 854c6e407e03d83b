//! Tipping sideways: the crossfall at which a carriage would tip, and the crossfall that may be used.

use super::{Graded, RADIANS_PER_DEGREE};

/// The factor kept between the tipping crossfall and the crossfall used (common practice, no source).
pub const TIP_SAFETY: f64 = 2.0;

/// The crossfall at which a load just tips, rise over run: (t/2 − e)/h, with its derivatives by track, offset and
/// height.
///
/// `track` is the distance in metres between the outer wheel contacts, `offset` how far the centre of gravity lies
/// towards the downhill wheels, `height` how high it is. Statics, derived; a moving load tips earlier. `None` unless
/// track and height are above zero and the offset lies inside the wheels.
pub fn tipping_slope(track: f64, offset: f64, height: f64) -> Option<Graded<3>> {
    let arm = 0.5 * track - offset.abs();
    if !super::all_above_zero(&[track, height]) || !offset.is_finite() || arm < 0.0 {
        return None;
    }
    let sign = if offset < 0.0 { 1.0 } else { -1.0 };
    Graded::new(
        arm / height,
        [0.5 / height, sign / height, -arm / (height * height)],
    )
}

/// The crossfall that may be used, rise over run: the tipping crossfall divided by `safety` (at least 1), with its
/// derivatives by track, offset and height.
pub fn allowed_slope(track: f64, offset: f64, height: f64, safety: f64) -> Option<Graded<3>> {
    if !safety.is_finite() || safety < 1.0 {
        return None;
    }
    let tipping = tipping_slope(track, offset, height)?;
    Graded::new(
        tipping.value / safety,
        tipping.gradient.map(|slope| slope / safety),
    )
}

/// The angle in degrees of a slope given as rise over run.
pub fn degrees_of(slope: f64) -> Option<f64> {
    super::finite(libm::atan(slope) / RADIANS_PER_DEGREE)
}
