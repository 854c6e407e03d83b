//! Questions asked at this station of the walk: papers.

use super::Question;

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[];
