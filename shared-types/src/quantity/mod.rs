//! Quantities: whole base units of a dimension, what was typed for them, and (in `text`) their written forms.
//!
//! Nothing here knows about spreads, questions or sites. Every quantity is an `i64` count of the base unit of its
//! [`Dimension`], so that adding, comparing and storing are exact and give the same bits on every machine.

mod dimension;
mod length;
mod measure;
pub mod text;
mod unit;
mod value;

pub use dimension::Dimension;
pub use length::Length;
pub use measure::Measure;
pub use unit::{Unit, UnitSystem, unit_table};
pub use value::{Quantity, RangeError};
