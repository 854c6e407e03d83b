//! Pure computation behind the checks: numbers in, numbers out; no site, no clock, no files.
//!
//! Numbers are SI (metres, kilograms, newtons, pascals, cubic metres); angles are degrees, as in
//! [`setdown_types::quantity::Dimension::Angle`], and slopes are rise over run. Volt-amperes are kept as such. A
//! function whose inputs make no sense answers `None` or names the bad input; nothing here panics or returns NaN.

pub mod bearing;
pub mod chi_square;
pub mod corner;
pub mod crane;
pub mod electric;
mod graded;
pub mod matrix;
pub mod normal;
pub mod plane;
pub mod roll;
pub mod sling;
pub mod stairs;
pub mod tip;
pub mod water;

pub use graded::Graded;

/// Standard gravity in m/s², exact by definition (ISO 80000-3; CODATA).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Radians in one degree.
pub(crate) const RADIANS_PER_DEGREE: f64 = core::f64::consts::PI / 180.0;

/// The weight in newtons of a mass in kilograms, at standard gravity.
pub fn weight_of(mass: f64) -> f64 {
    mass * STANDARD_GRAVITY
}

/// Whether every number is finite and at least zero.
pub(crate) fn all_at_least_zero(numbers: &[f64]) -> bool {
    numbers
        .iter()
        .all(|number| number.is_finite() && *number >= 0.0)
}

/// Whether every number is finite and above zero.
pub(crate) fn all_above_zero(numbers: &[f64]) -> bool {
    numbers
        .iter()
        .all(|number| number.is_finite() && *number > 0.0)
}

/// The value, unless overflow made it infinite or not a number.
pub(crate) fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}
