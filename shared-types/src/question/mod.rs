//! The question table: everything a site can be asked, by whom, and how long it takes.
//!
//! Only structure lives here; the words and drawings for each question are the app's. One file
//! per station of the walk holds that station's questions.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::party::Role;
use crate::quantity::Dimension;
use crate::subject::SubjectKind;

mod audience;
mod base;
mod day;
mod papers;
mod plan;
mod power;
mod reach;
mod spot;
mod water;

pub(crate) use audience::reaches_all_of;
pub use audience::visible;

/// Where on the walk a question is answered, in the order the feet go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Station {
    /// Before leaving: the way chosen, the documents pinned.
    Start,
    /// The street, the truck, the unloading place.
    Street,
    /// The way in on dollies, opening by opening and leg by leg.
    Way,
    /// The crane's stand and what it lifts over.
    Lift,
    /// The spot and what is around it.
    Spot,
    /// The ground and the base.
    Base,
    /// The panel and the way of the supply.
    Power,
    /// Water in and out.
    Water,
    /// Steps, guards, cover, barrier.
    Entry,
    /// Permits, certificates, signatures, words of licensed people.
    Papers,
    /// Delivery day and after.
    Day,
}

impl Station {
    /// Every station in walking order.
    pub const ALL: [Self; 11] = [
        Self::Start,
        Self::Street,
        Self::Way,
        Self::Lift,
        Self::Spot,
        Self::Base,
        Self::Power,
        Self::Water,
        Self::Entry,
        Self::Papers,
        Self::Day,
    ];
}

/// What form an answer takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnswerKind {
    /// A quantity of this dimension.
    Measure(Dimension),
    /// A whole number of things.
    Count,
    /// Yes or no.
    YesNo,
    /// One of these keys.
    Choice(&'static [&'static str]),
    /// Any number of these keys.
    Choices(&'static [&'static str]),
    /// Free words.
    Text,
    /// A civil date.
    Date,
    /// A picture.
    Photo,
    /// A licensed person's word.
    Attestation,
    /// One panel position.
    Slot,
    /// One level reading.
    Level,
    /// Things of the yard plan, in order.
    Points {
        /// What they are.
        of: SubjectKind,
        /// The fewest.
        fewest: usize,
        /// The most.
        most: usize,
    },
    /// What one tape, right angle or straight line ties together.
    Tie,
    /// A signature at a hold point.
    Signature,
    /// A document revision.
    Pin,
}

/// Which of two disagreeing repeats is the worse one for the checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Adverse {
    /// The smaller one: widths, clear heights, bearing.
    Smaller,
    /// The larger one: slopes, loads, obstacles.
    Larger,
}

/// A line drawing of how to measure; the app draws it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Drawing {
    /// A gate taped at ankle, hip and head.
    Gate,
    /// A corner between two legs.
    Turn,
    /// Clear height under something.
    Headroom,
    /// A slope with a level and a rule, or an inclinometer.
    Slope,
    /// A panel, door open, cover on.
    Panel,
    /// Level points over a base.
    BaseLevel,
    /// Clearances round the spot.
    SpotClearances,
    /// The side people come from.
    EntrySide,
    /// A truck getting into the street.
    TruckAccess,
    /// A line overhead, from the ground.
    OverheadLine,
    /// The end the equipment is serviced from.
    ServiceEnd,
    /// Where the cover goes when open.
    Cover,
    /// A leg of the way in.
    Leg,
    /// A crane's stand, radius and load.
    Lift,
    /// Steps up to the rim.
    Steps,
    /// A hose filling a bucket.
    Hose,
}

/// One row of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// Its key: `kind.what`, the same in code, files and database.
    pub key: &'static str,
    /// What kind of thing it is asked about.
    pub subject: SubjectKind,
    /// The form of its answer.
    pub kind: AnswerKind,
    /// Where on the walk it is answered.
    pub station: Station,
    /// Usual minutes to answer it.
    pub minutes: f64,
    /// The usual range, in SI units ([`crate::quantity::Quantity::si`]): outside it the screen asks whether it is
    /// mistyped. Also what a next measurement is weighed by.
    pub plausible: Option<(f64, f64)>,
    /// Which way is worse when repeats disagree.
    pub adverse: Adverse,
    /// Who may answer.
    pub who: &'static [Role],
    /// Who may see the answers; from everybody else the whole stream is hidden. No check reads a stream that
    /// somebody may not see: everybody computes the same score.
    pub audience: &'static [Role],
    /// The drawing that shows how.
    pub drawing: Option<Drawing>,
}

const EVERYBODY: &[Role] = &[Role::Coordinator, Role::Homeowner, Role::Office];
const SURVEY: &[Role] = &[Role::Coordinator, Role::Office];
const OFFICE: &[Role] = &[Role::Office];

impl Question {
    /// A question that the coordinator and the office may answer, in a minute.
    const fn new(
        key: &'static str,
        subject: SubjectKind,
        station: Station,
        kind: AnswerKind,
    ) -> Self {
        Self {
            key,
            subject,
            kind,
            station,
            minutes: 1.0,
            plausible: None,
            adverse: Adverse::Smaller,
            who: SURVEY,
            audience: EVERYBODY,
            drawing: None,
        }
    }

    /// Takes this many minutes.
    const fn minutes(mut self, minutes: f64) -> Self {
        self.minutes = minutes;
        self
    }

    /// Usually between these, in SI units.
    const fn plausible(mut self, low: f64, high: f64) -> Self {
        self.plausible = Some((low, high));
        self
    }

    /// Usually between these, in inches.
    const fn plausible_inches(self, low: f64, high: f64) -> Self {
        self.plausible(low * 0.0254, high * 0.0254)
    }

    /// The larger of disagreeing repeats is the worse.
    const fn larger_is_worse(mut self) -> Self {
        self.adverse = Adverse::Larger;
        self
    }

    /// The homeowner may answer it as well: nothing about it needs a ladder, a tool inside a
    /// panel, digging, or knowledge of a trade.
    const fn homeowner(mut self) -> Self {
        self.who = EVERYBODY;
        self
    }

    /// Only the office answers it.
    const fn office(mut self) -> Self {
        self.who = OFFICE;
        self
    }

    /// Only the dealer's people see it. Its key says so as well, for programs that do not know it yet.
    const fn staff_only(mut self) -> Self {
        self.audience = SURVEY;
        self
    }

    /// Shown with this drawing.
    const fn drawn(mut self, drawing: Drawing) -> Self {
        self.drawing = Some(drawing);
        self
    }

    /// Whether `role` may answer.
    pub fn may_answer(&self, role: Role) -> bool {
        self.who.contains(&role)
    }

    /// Whether `role` may see the answers.
    pub fn may_see(&self, role: Role) -> bool {
        self.audience.contains(&role)
    }
}

/// The tables of all stations, in walking order.
const TABLES: [&[Question]; 8] = [
    reach::QUESTIONS,
    plan::QUESTIONS,
    spot::QUESTIONS,
    base::QUESTIONS,
    power::QUESTIONS,
    water::QUESTIONS,
    papers::QUESTIONS,
    day::QUESTIONS,
];

/// Every question, in walking order.
pub fn all() -> impl Iterator<Item = &'static Question> {
    TABLES.into_iter().flatten()
}

/// The question with this key, and its place in walking order.
fn indexed(key: &str) -> Option<(usize, &'static Question)> {
    static INDEX: LazyLock<BTreeMap<&'static str, (usize, &'static Question)>> =
        LazyLock::new(|| {
            all()
                .enumerate()
                .map(|(place, question)| (question.key, (place, question)))
                .collect()
        });
    INDEX.get(key).copied()
}

/// The question with this key; `None` when this version does not know it.
pub fn find(key: &str) -> Option<&'static Question> {
    indexed(key).map(|(_, question)| question)
}

/// Place of a question in walking order: by station, then as listed.
pub fn walking_order(key: &str) -> (Option<Station>, u32) {
    indexed(key).map_or((None, u32::MAX), |(place, question)| {
        (
            Some(question.station),
            u32::try_from(place).unwrap_or(u32::MAX),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_stands_once_and_begins_with_a_word_of_its_own() {
        let mut keys: Vec<_> = all().map(|question| question.key).collect();
        keys.sort_unstable();
        let count = keys.len();
        keys.dedup();
        assert_eq!(keys.len(), count);
        assert!(keys.iter().all(|key| key.contains('.') && key.is_ascii()));
    }

    #[test]
    fn plausible_ranges_run_upwards_and_fit_measures_and_counts_only() {
        for question in all() {
            if let Some((low, high)) = question.plausible {
                assert!(low < high, "{}", question.key);
                assert!(
                    matches!(question.kind, AnswerKind::Measure(_) | AnswerKind::Count),
                    "{}",
                    question.key
                );
            } else {
                assert!(
                    !matches!(question.kind, AnswerKind::Measure(_) | AnswerKind::Count),
                    "{} needs a plausible range",
                    question.key
                );
            }
        }
    }
}
