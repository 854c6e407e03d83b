//! Parts that several areas show: the marks of outcomes, drawings, and one entry component per kind of answer.
//!
//! Every entry component edits one text (the *draft* of the answer, which the device keeps at every input), and
//! [`answer::understand`] alone says what that text means. So a half-typed answer survives anything that a text
//! survives, and coordinator and homeowner share the same components.

pub mod answer;
pub mod attestation_text;
pub mod drawing;
pub mod fold;
pub mod gap_mark;
pub mod length_keys;
pub mod level_text;
pub mod margin_bar;
pub mod other_sizes_text;
pub mod plan_drawing;
pub mod points_text;
pub mod slope_text;
pub mod tape;
pub mod tapes_checked;
pub mod working;

#[cfg(feature = "client")]
pub mod entries;
#[cfg(feature = "client")]
pub mod moves_text;
#[cfg(feature = "client")]
pub mod preferences;

pub use drawing::DrawingOf;
pub use fold::Folds;
pub use gap_mark::{GapMark, outcome_key};
pub use margin_bar::MarginBar;
pub use tape::ReadinessTape;
pub use working::{CautionList, Working, cautions_of};

#[cfg(feature = "client")]
pub use entries::AnswerEntry;
