//! What an assessment says: outcomes, margins, workings, scores and tasks, as data without words.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::Attestation;

use super::chance::Bet;
use super::spec::Area;
use crate::tables::{Source, Status};

/// A message key; the app words it.
pub type Key = Cow<'static, str>;

/// One outcome of a check, or of one thing it looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Does not apply to this site or to the way not chosen.
    NotNeeded,
    /// Holds with the spread counted.
    Clear,
    /// A licensed person says so, named.
    ClearAttested,
    /// Not measured yet.
    Open,
    /// The spread straddles the limit: measure better.
    Tight,
    /// Does not hold.
    Short,
}

impl Outcome {
    /// Whether nothing more is needed.
    pub const fn settled(self) -> bool {
        matches!(self, Self::Clear | Self::ClearAttested | Self::NotNeeded)
    }

    /// Whether it stands whatever the margins are.
    pub(super) const fn settled_without_margins(self) -> bool {
        matches!(self, Self::ClearAttested | Self::NotNeeded)
    }
}

/// A typed argument of a message.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arg {
    /// A quantity, SI units of its dimension (degrees for angles).
    Quantity {
        /// What it measures.
        dimension: Dimension,
        /// Its value.
        si: f64,
    },
    /// A quantity with its spread, same units.
    Measured {
        /// What it measures.
        dimension: Dimension,
        /// Its value.
        si: f64,
        /// Half-width that holds the truth 19 times in 20.
        spread: f64,
    },
    /// A whole number.
    Count(i64),
    /// A plain number.
    Number(f64),
    /// Somebody's own words.
    Text(String),
    /// A word to look up: a choice, a side, a check.
    Word(Key),
    /// A thing on the site, to be named.
    Subject(Subject),
    /// A civil date.
    Date(#[serde(deserialize_with = "setdown_types::civil::read_date")] Date),
}

/// One message: a key and its arguments by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What to say.
    pub key: Key,
    /// With what in it.
    pub args: Vec<(Key, Arg)>,
}

impl Line {
    /// A message without arguments.
    pub fn new(key: impl Into<Key>) -> Self {
        Self {
            key: key.into(),
            args: Vec::new(),
        }
    }

    /// The same with one more argument.
    pub fn with(mut self, name: &'static str, arg: Arg) -> Self {
        self.args.push((Cow::Borrowed(name), arg));
        self
    }
}

/// A margin: how much is left over, and how sure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Margin {
    /// What it measures.
    pub dimension: Dimension,
    /// Value minus limit, SI units; negative is short.
    pub si: f64,
    /// Half-width that holds the truth 19 times in 20.
    pub spread: f64,
}

/// What would settle a finding that is tight.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// Measuring better.
    #[default]
    Measuring,
    /// No reading: what its check wants done.
    Doing,
}

/// What a check found about one thing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// The thing; the site itself where the check is about the site.
    pub subject: Subject,
    /// Its outcome.
    pub outcome: Outcome,
    /// Why, in one message.
    pub reason: Line,
    /// How much is left over, where that can be measured.
    pub margin: Option<Margin>,
    /// What would settle it while it is tight.
    #[serde(default)]
    pub remedy: Remedy,
    /// The formula with this site's numbers in it, step by step.
    pub working: Vec<Line>,
}

/// A source as shown beside a check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cited {
    /// Document.
    pub document: Key,
    /// Section, table or practice field.
    pub section: Key,
    /// Edition; empty where there is none.
    pub edition: Key,
    /// How well it is known.
    pub status: Status,
}

impl From<Source> for Cited {
    fn from(source: Source) -> Self {
        Self {
            document: source.document.into(),
            section: source.section.into(),
            edition: source.edition.into(),
            status: source.status,
        }
    }
}

/// How a question that a check read stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NeedState {
    /// Answered.
    Answered,
    /// Not asked yet, or struck.
    Missing,
    /// Somebody tried and could not.
    CannotMeasure,
    /// Nobody knows.
    DontKnow,
    /// Answers disagree and nobody has settled it.
    Disputed,
    /// Answered in a form that only a newer version understands, or redacted.
    NotUnderstood,
}

/// One question that a check read.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Need {
    /// Which question about what.
    pub stream: StreamKey,
    /// How it stands.
    pub state: NeedState,
    /// Whether the check can be settled without it.
    pub optional: bool,
}

/// One check applied to the site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckResult {
    /// Its key.
    pub key: Key,
    /// Its area.
    pub area: Area,
    /// Whether a short outcome holds the whole job.
    pub stopper: bool,
    /// Weight in the score.
    pub weight: u32,
    /// Its outcome.
    pub outcome: Outcome,
    /// What it would be if it applied; only where `outcome` is not needed but it was worked out.
    pub would_be: Option<Outcome>,
    /// Why, in one message: the worst item's, or what overrides it.
    pub reason: Line,
    /// The things it looked at.
    pub items: Vec<Item>,
    /// Where its limits come from.
    pub sources: Vec<Cited>,
    /// Cautions that must stand beside it.
    pub cautions: Vec<Key>,
    /// Every question it read.
    pub needs: Vec<Need>,
    /// Who attested it.
    pub attested: Option<Attestation>,
    /// Hold points that name it.
    pub hold_points: Vec<HoldPoint>,
    /// Who sees to it when it is short.
    pub owner: Party,
    /// What to do beyond measuring, by party.
    pub actions: Vec<Action>,
    /// Probability that a measured margin holds, for geometry; facts and life safety are 1 or 0.
    pub chance: f64,
    /// The margins behind it: what several checks make of the same reading holds or fails together.
    #[serde(skip)]
    pub(super) bets: Vec<Bet>,
}

impl CheckResult {
    /// What it comes to on this site, whether or not the way chosen needs it.
    pub fn worked_out(&self) -> Outcome {
        self.would_be.unwrap_or(self.outcome)
    }
}

/// Something a check wants done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Action {
    /// By whom.
    pub party: Party,
    /// What.
    pub line: Line,
    /// Usual minutes.
    pub minutes: f64,
}

/// A stage that may not start until its checks are clear and somebody signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoldPoint {
    /// Ordering the unit.
    Order,
    /// Breaking ground.
    Dig,
    /// Covering up what is buried or built in.
    CloseIn,
    /// Bringing the unit.
    Deliver,
    /// Filling it.
    Fill,
    /// Energising it.
    Start,
    /// The first bathers.
    FirstUse,
}

impl HoldPoint {
    /// All, in the order in which they open.
    pub const ALL: [Self; 7] = [
        Self::Order,
        Self::Dig,
        Self::CloseIn,
        Self::Deliver,
        Self::Fill,
        Self::Start,
        Self::FirstUse,
    ];

    /// Its key.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Order => "order",
            Self::Dig => "dig",
            Self::CloseIn => "close_in",
            Self::Deliver => "deliver",
            Self::Fill => "fill",
            Self::Start => "start",
            Self::FirstUse => "first_use",
        }
    }

    /// The question that its signature answers.
    pub const fn question(self) -> &'static str {
        match self {
            Self::Order => "sign.order",
            Self::Dig => "sign.dig",
            Self::CloseIn => "sign.close_in",
            Self::Deliver => "sign.deliver",
            Self::Fill => "sign.fill",
            Self::Start => "sign.start",
            Self::FirstUse => "sign.first_use",
        }
    }

    /// The hold point with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|point| point.key() == key)
    }
}

/// State of a hold point: that of its worst named check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoldState {
    /// Signed, and nothing signed has changed.
    Signed,
    /// Everything named is clear.
    ReadyToSign,
    /// Something is not measured.
    Unmeasured,
    /// Something is tight.
    Unsure,
    /// A check that is no stopper is short: it must be put right first.
    ToPutRight,
    /// A stopper is short: the whole job is held.
    Stopped,
}

/// A hold point as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoldPointResult {
    /// Which.
    pub hold_point: HoldPoint,
    /// State.
    pub state: HoldState,
    /// Readiness score, 0 to 100: weight settled over weight named.
    pub score: u32,
    /// Checks named and applying.
    pub named: u32,
    /// Of these settled.
    pub settled: u32,
    /// Of these tight.
    pub tight: u32,
    /// Of these open.
    pub to_measure: u32,
    /// Of these short.
    pub stopped: u32,
    /// The worst check, if any is not settled.
    pub worst: Option<Key>,
    /// The checks it names, in order.
    pub checks: Vec<Key>,
    /// Probability that everything measured holds.
    pub chance: f64,
    /// Digest of the findings it would be signed on: outcomes, margins and pinned revisions,
    /// without texts that depend on the date alone.
    pub digest: String,
    /// Canonical bytes of those findings.
    pub findings: String,
    /// The signature on record, if any.
    pub signature: Option<SignatureState>,
}

/// A signature on record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SignatureState {
    /// Who signed.
    pub name: String,
    /// When.
    #[serde(deserialize_with = "setdown_types::civil::read_date")]
    pub date: Date,
    /// Whether the findings are still the ones signed.
    pub holds: bool,
    /// Checks whose finding changed since.
    pub changed: Vec<Key>,
}

/// What one party must do next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Task {
    /// For whom.
    pub party: Party,
    /// What.
    pub line: Line,
    /// Because of which check, or the hold point's standing list.
    pub reason: TaskReason,
    /// Hold points it helps to open, in order.
    pub unlocks: Vec<HoldPoint>,
    /// Usual minutes.
    pub minutes: f64,
    /// Questions to answer, where it is about measuring.
    pub streams: Vec<StreamKey>,
    /// Whether it holds the whole job.
    pub stopper: bool,
}

/// Why there is a task.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TaskReason {
    /// A check is not clear.
    Check(Key),
    /// Always to be done for this hold point.
    Standing(HoldPoint),
}

/// What is worth measuring next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NextMeasurement {
    /// Which question about what.
    pub stream: StreamKey,
    /// Expected gain in settled weight.
    pub gain: f64,
    /// Usual minutes.
    pub minutes: f64,
    /// Checks it can move.
    pub checks: Vec<Key>,
}

/// Everything the rules say about a site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assessment {
    /// Version of the rules.
    pub rules: Key,
    /// Revision of the spa sheet.
    pub spa: String,
    /// Revision of the practice sheet.
    pub practice: String,
    /// Civil date at the site.
    #[serde(deserialize_with = "setdown_types::civil::read_date")]
    pub date: Date,
    /// Every check, in the order of the table.
    pub checks: Vec<CheckResult>,
    /// Every hold point, in order.
    pub hold_points: Vec<HoldPointResult>,
    /// Tasks, most pressing first.
    pub tasks: Vec<Task>,
    /// What to measure next, best first.
    pub next: Vec<NextMeasurement>,
}

impl Assessment {
    /// The hold point being worked towards: the first that is not signed.
    pub fn current(&self) -> Option<&HoldPointResult> {
        self.hold_points
            .iter()
            .find(|point| point.state != HoldState::Signed)
    }

    /// The check with this key.
    pub fn check(&self, key: &str) -> Option<&CheckResult> {
        self.checks.iter().find(|check| check.key == key)
    }
}
