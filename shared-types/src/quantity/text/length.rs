//! From typed text to a length, or to the ways it could be read.

use super::super::{Length, Unit};
use super::length_shape::understand;
use super::length_terms::take_terms;
use super::problem::LengthError;
use super::scan::scan;
use serde::{Deserialize, Serialize};

/// One way to read a typed length.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reading {
    /// The length in this reading.
    pub length: Length,
    /// The reading in words, such as `7 ft 10 8/16 in`.
    pub words: String,
}

/// What a typed length means.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Understood {
    /// It can be read in one way only.
    One(Length),
    /// The author must be asked which of these is meant; at least one, no two alike. Where there is only one, it is
    /// likely but not certain.
    Ambiguous(Vec<Reading>),
}

impl Understood {
    /// The length, if there is one way to read it.
    pub fn certain(&self) -> Option<Length> {
        match self {
            Understood::One(length) => Some(*length),
            Understood::Ambiguous(_) => None,
        }
    }
}

/// Reads a typed length.
///
/// Feet and inches, single units, unicode fractions and curly marks are understood; a number without a unit takes
/// `default_unit`, and without one is asked about (a `default_unit` that measures no length counts as none). So are
/// forms that trades read in different ways: `7-10-08`, `7-10`, `7.10'`, `101/2"`, inches of 12 or more after feet.
/// Fractions are exact; decimals are rounded to the nearest nanometre.
///
/// ```
/// use setdown_types::quantity::text::{parse_length, Understood};
/// use setdown_types::quantity::Length;
/// let typed = parse_length("7' 10 1/2\"", None)?;
/// assert_eq!(typed, Understood::One(Length::from_nanometres(2_400_300_000)));
/// assert!(matches!(parse_length("7-10-08", None)?, Understood::Ambiguous(_)));
/// # Ok::<(), setdown_types::quantity::text::LengthError>(())
/// ```
///
/// # Errors
/// [`LengthError`], whose text says what is wrong and what to do next.
pub fn parse_length(text: &str, default_unit: Option<Unit>) -> Result<Understood, LengthError> {
    let default_unit =
        default_unit.filter(|unit| unit.dimension() == super::super::Dimension::Length);
    let tokens = scan(text)?;
    let terms = take_terms(&tokens)?;
    understand(&terms, default_unit)
}
