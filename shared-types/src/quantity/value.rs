//! A quantity: a dimension and a whole number of its base units.

use super::Dimension;
use serde::{Deserialize, Serialize};

/// A number that cannot be kept as a quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RangeError {
    /// The number was infinite or not a number.
    #[error("this {} is not a number; measure it again", .0.word())]
    NotFinite(Dimension),
    /// The number needs more than 63 bits of base units.
    #[error("this {} is too large to keep; check the unit", .0.word())]
    TooLarge(Dimension),
}

/// A whole number of base units of one dimension, exact.
///
/// See [`Dimension`] for the base unit and the SI unit of each. Ordering compares the dimension first, so it is only
/// meaningful between quantities of one dimension; [`Quantity::checked_add`] and its kin refuse to mix them.
///
/// ```
/// use setdown_types::quantity::{Dimension, Quantity};
/// let weight = Quantity::from_si(Dimension::Mass, 0.453_592_37)?;
/// assert_eq!(weight.base, 453_592_370);
/// assert_eq!(weight.si(), 0.453_592_37);
/// # Ok::<(), setdown_types::quantity::RangeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Quantity {
    /// What the number measures.
    pub dimension: Dimension,
    /// Whole base units.
    pub base: i64,
}

impl Quantity {
    /// A quantity of `base` whole base units.
    pub const fn new(dimension: Dimension, base: i64) -> Self {
        Self { dimension, base }
    }

    /// The value in the SI unit of its dimension (metres, kilograms, cubic metres, square metres, plain ratio,
    /// **degrees**, amperes, volts, watts, m³/s, newtons, pascals, m/s, seconds, or a count). Never NaN or infinite.
    pub fn si(self) -> f64 {
        self.base as f64 / self.dimension.base_per_si()
    }

    /// The quantity nearest to `value` SI units, halves rounded away from zero.
    ///
    /// # Errors
    /// [`RangeError`] if the value is not finite or does not fit.
    pub fn from_si(dimension: Dimension, value: f64) -> Result<Self, RangeError> {
        if !value.is_finite() {
            return Err(RangeError::NotFinite(dimension));
        }
        let base = libm::round(value * dimension.base_per_si());
        // 2^63: every f64 strictly inside fits an i64.
        if base.abs() >= 9_223_372_036_854_775_808.0 {
            return Err(RangeError::TooLarge(dimension));
        }
        Ok(Self::new(dimension, base as i64))
    }

    /// The sum, or `None` if the dimensions differ or it does not fit.
    pub fn checked_add(self, other: Self) -> Option<Self> {
        self.combine(other, i64::checked_add)
    }

    /// The difference, or `None` if the dimensions differ or it does not fit.
    pub fn checked_sub(self, other: Self) -> Option<Self> {
        self.combine(other, i64::checked_sub)
    }

    fn combine(self, other: Self, operation: fn(i64, i64) -> Option<i64>) -> Option<Self> {
        if self.dimension != other.dimension {
            return None;
        }
        operation(self.base, other.base).map(|base| Self::new(self.dimension, base))
    }
}
