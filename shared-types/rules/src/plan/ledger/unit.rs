//! The unit as it is carried: its shipping size in the attitude chosen, what the carriage stands out, its heights, and
//! how the carriage rolls.

use serde_json::{Value, json};
use setdown_types::subject::Subject;

use super::writer::inches;
use crate::checks::reach::load::rolling;
use crate::frame::context::Context;

/// Sizes in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Carried {
    /// Along the way, carriage counted.
    pub length: f64,
    /// Across.
    pub width: f64,
    /// Up to what height it needs room.
    pub high: f64,
}

impl Carried {
    /// Shipping size, twice the carriage's overhang, and from the ground to the head room above the load.
    pub fn of(context: &Context<'_>) -> Self {
        let load = rolling(context);
        let overhang = 2.0 * context.limit("carriage_overhang");
        let high = load.height + context.limit("carriage_height") + context.limit("head_room");
        Self {
            length: inches(load.length + overhang),
            width: inches(load.width + overhang),
            high: inches(high),
        }
    }

    /// As the file has it.
    pub fn written(&self) -> Value {
        json!({ "L": self.length, "W": self.width, "carry_z": [0.0, self.high] })
    }
}

/// How the carriage rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Steers {
    /// Nobody said: taken as every way, which is told.
    Unsaid,
    /// In every direction.
    EveryWay,
    /// Forward and back only, or nobody knows.
    FixedAxle,
}

impl Steers {
    /// As answered.
    pub fn of(context: &Context<'_>) -> Self {
        let question = "way.steers";
        let said = context.optionally(|| context.choice(Subject::SITE, question));
        match said.as_deref() {
            Some("every_way") => Self::EveryWay,
            Some(_) => Self::FixedAxle,
            None if context.is_unknown(Subject::SITE, question) => Self::FixedAxle,
            None => Self::Unsaid,
        }
    }
}
