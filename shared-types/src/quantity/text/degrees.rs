//! Slopes typed in degrees. The only place where text needs a transcendental function, taken from `libm`.

use super::super::{Dimension, Quantity};
use super::problem::QuantityError;

/// The slope whose angle is `degrees`.
pub(super) fn slope_of(degrees: f64) -> Result<Quantity, QuantityError> {
    if degrees.abs() >= 90.0 {
        return Err(QuantityError::TooSteep);
    }
    let ratio = libm::tan(degrees * (core::f64::consts::PI / 180.0));
    Ok(Quantity::from_si(Dimension::Slope, ratio)?)
}

/// The spread of `slope` that a spread of `degrees` of its angle makes: half of what it covers.
pub(super) fn spread_of(slope: Quantity, degrees: f64) -> Result<Quantity, QuantityError> {
    let angle = libm::atan(slope.si()) * (180.0 / core::f64::consts::PI);
    let high = slope_of(angle + degrees)?;
    let low = slope_of(angle - degrees)?;
    Ok(Quantity::from_si(
        Dimension::Slope,
        (high.si() - low.si()) / 2.0,
    )?)
}
