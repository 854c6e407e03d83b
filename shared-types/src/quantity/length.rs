//! A length as whole nanometres.

use super::{Dimension, Quantity, RangeError};
use serde::{Deserialize, Serialize};

/// A length in whole nanometres, exact for every 1/64 in. On the wire it is the plain integer.
///
/// The range is ±9.2 million kilometres; arithmetic is checked.
///
/// ```
/// use setdown_types::quantity::Length;
/// let gate = Length::from_inches_64ths(94 * 64 + 32)?;
/// assert_eq!(gate.inches(), 94.5);
/// assert_eq!(gate.nanometres(), 2_400_300_000);
/// # Ok::<(), setdown_types::quantity::RangeError>(())
/// ```
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);
    /// Nanometres in 1/64 in: 25.4 mm / 64, exactly.
    pub const NANOMETRES_PER_64TH: i64 = 396_875;
    /// Nanometres in one inch, exactly.
    pub const NANOMETRES_PER_INCH: i64 = 25_400_000;
    /// Nanometres in one foot, exactly.
    pub const NANOMETRES_PER_FOOT: i64 = 304_800_000;

    /// A length of whole nanometres.
    pub const fn from_nanometres(nanometres: i64) -> Self {
        Self(nanometres)
    }

    /// A length of whole sixty-fourths of an inch, exact.
    ///
    /// # Errors
    /// [`RangeError::TooLarge`] beyond 9.2 million kilometres.
    pub const fn from_inches_64ths(sixty_fourths: i64) -> Result<Self, RangeError> {
        match sixty_fourths.checked_mul(Self::NANOMETRES_PER_64TH) {
            Some(nanometres) => Ok(Self(nanometres)),
            None => Err(RangeError::TooLarge(Dimension::Length)),
        }
    }

    /// The length nearest to `metres`, halves rounded away from zero.
    ///
    /// # Errors
    /// [`RangeError`] if the value is not finite or does not fit.
    pub fn from_metres(metres: f64) -> Result<Self, RangeError> {
        Quantity::from_si(Dimension::Length, metres).map(|quantity| Self(quantity.base))
    }

    /// The length nearest to `inches`, halves rounded away from zero.
    ///
    /// # Errors
    /// [`RangeError`] if the value is not finite or does not fit.
    pub fn from_inches(inches: f64) -> Result<Self, RangeError> {
        Self::from_metres(inches * 0.0254)
    }

    /// Whole nanometres.
    pub const fn nanometres(self) -> i64 {
        self.0
    }

    /// The length in inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / Self::NANOMETRES_PER_INCH as f64
    }

    /// The length in feet.
    pub fn feet(self) -> f64 {
        self.0 as f64 / Self::NANOMETRES_PER_FOOT as f64
    }

    /// The length in metres.
    pub fn metres(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// The sum, or `None` if it does not fit.
    pub fn checked_add(self, other: Self) -> Option<Self> {
        self.0.checked_add(other.0).map(Self)
    }

    /// The difference, or `None` if it does not fit.
    pub fn checked_sub(self, other: Self) -> Option<Self> {
        self.0.checked_sub(other.0).map(Self)
    }
}

impl From<Length> for Quantity {
    fn from(length: Length) -> Self {
        Quantity::new(Dimension::Length, length.0)
    }
}

impl TryFrom<Quantity> for Length {
    type Error = Quantity;

    /// Gives the quantity back if it is not a length.
    fn try_from(quantity: Quantity) -> Result<Self, Quantity> {
        match quantity.dimension {
            Dimension::Length => Ok(Self(quantity.base)),
            _ => Err(quantity),
        }
    }
}
