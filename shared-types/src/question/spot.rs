//! Questions asked at this station of the walk: spot.

use super::Question;

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[];
