//! The written forms of quantities: what people type, and what is shown to them.
//!
//! Parsing is exact (whole numbers and fractions throughout; floating point only for a slope typed in degrees). A form
//! that trades read in different ways is never guessed: it comes back as [`Understood::Ambiguous`]. Nothing here
//! panics, whatever is typed.

mod degrees;
mod exact;
mod format;
mod format_length;
mod length;
mod length_shape;
mod length_terms;
mod problem;
mod quantity;
mod scan;
mod spread;
mod written;

pub use format::{format_in, format_quantity};
pub use format_length::{InchFraction, LengthFormat, format_length};
pub use length::{Reading, Understood, parse_length};
pub use problem::{LengthError, NumberError, QuantityError};
pub use quantity::parse_quantity;
pub use spread::{parse_quantity_with_spread, parse_with_spread};
