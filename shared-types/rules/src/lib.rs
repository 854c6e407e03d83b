//! Every check of Setdown as pure computation: a folded site, a spa sheet, a practice sheet and a
//! civil date in; an assessment out, the same bits on phone and server. An incomplete survey is
//! data, never an error. Nothing here is worded for people: results carry message keys, typed
//! arguments and a structured working.

pub mod checks;
pub mod document;
pub mod frame;
pub mod maths;
pub mod motion;
pub mod network;
pub mod plan;
pub mod tables;

pub use frame::assess::{Input, Ways, assess, assess_check, assess_with, assess_worked_out};
pub use frame::result::Assessment;

/// Version of the rules: part of every assessment and every signature. Raised with any change
/// that can move an outcome.
pub const RULES_VERSION: &str = "1.4.0";
