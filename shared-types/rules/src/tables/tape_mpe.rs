//! Greatest permissible error of a tape measure, EU measuring instruments directive annex MI-008.

use super::{Row, Source, Status};
use serde::Serialize;

/// Accuracy class printed on the tape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TapeClass {
    /// Class I.
    First,
    /// Class II.
    Second,
    /// Class III.
    Third,
}

/// For classes I, II, III: the fixed part and the part per metre, in millimetres.
pub const COEFFICIENTS: Row<[(TapeClass, f64, f64); 3]> = Row::new(
    [
        (TapeClass::First, 0.1, 0.1),
        (TapeClass::Second, 0.3, 0.2),
        (TapeClass::Third, 0.6, 0.4),
    ],
    Source::published(
        "Directive 2014/32/EU",
        "annex MI-008",
        "2014",
        Status::Read2,
    ),
);

/// The greatest permissible error in metres of a measured `length` in metres: ±(a + b·L) mm, L rounded up to the next
/// whole metre, at 20 °C and the stated pull.
///
/// `None` for a length that is negative or not finite. What a hand and a sagging tape add is not in it.
pub fn greatest_error(class: TapeClass, length: f64) -> Option<f64> {
    if !length.is_finite() || length < 0.0 {
        return None;
    }
    let same = |row: &&(TapeClass, f64, f64)| row.0 == class;
    let (_, fixed, per_metre) = COEFFICIENTS.value.iter().find(same)?;
    Some((fixed + per_metre * libm::ceil(length)) / 1000.0)
}
