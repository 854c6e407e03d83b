//! A quantity together with the text somebody typed for it.

use super::{Dimension, Length, Quantity};
use serde::{Deserialize, Serialize};

/// What was measured and how it was typed: `{"dimension":"length","base":2400300000,"typed":"7' 10 1/2\""}`.
///
/// The text is kept as it came, so that a reading can always be shown in its author's own words; only `dimension` and
/// `base` enter any computation.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Measure {
    /// What the number measures.
    pub dimension: Dimension,
    /// Whole base units of the dimension.
    pub base: i64,
    /// The text as typed.
    pub typed: String,
}

impl Measure {
    /// A measure of `quantity` as it was `typed`.
    pub fn new(quantity: Quantity, typed: impl Into<String>) -> Self {
        Self {
            dimension: quantity.dimension,
            base: quantity.base,
            typed: typed.into(),
        }
    }

    /// The quantity without its text.
    pub const fn quantity(&self) -> Quantity {
        Quantity::new(self.dimension, self.base)
    }

    /// The value in the SI unit of its dimension (degrees for angles).
    pub fn si(&self) -> f64 {
        self.quantity().si()
    }

    /// The length, if this measures one.
    pub fn length(&self) -> Option<Length> {
        Length::try_from(self.quantity()).ok()
    }
}
