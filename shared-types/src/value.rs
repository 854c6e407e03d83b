//! What an entry can say: the values a question can be answered with.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::digest::{digest_hex, is_digest};
use crate::quantity::Measure;

mod tie;

pub use tie::{MOST_POINTS, PointList, PointsError, Tie, TieKind};

/// One answer, tagged by its kind on the wire.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Value {
    /// A measured or stated quantity with the text as typed.
    Measure(Measure),
    /// A whole number of things.
    Count(u32),
    /// Yes or no.
    YesNo(bool),
    /// One of a question's choices, by its key.
    Choice(String),
    /// Several of a question's choices, by their keys, sorted.
    Choices(Vec<String>),
    /// Free words.
    Text(String),
    /// A civil date in the site's time zone.
    Date(#[serde(deserialize_with = "crate::civil::read_date")] Date),
    /// A picture, by the hash of its bytes.
    Photo(PhotoRef),
    /// A licensed person's word, with the document it stands in.
    Attestation(Attestation),
    /// What sits in one position of a panel.
    Slot(BreakerSlot),
    /// One level reading at a point of the base.
    Level(LevelPoint),
    /// Things of the yard plan, in order: points, or one leg where the question says so.
    Points(PointList),
    /// What one tape, right angle or straight line ties together.
    Tie(Tie),
    /// A hold point signed.
    Signature(Signature),
    /// A document revision that this site is pinned to, by the digest of its canonical bytes.
    Pin(String),
    /// The thing asked about is not there (the opening was taken off the list).
    Absent,
    /// Somebody tried and could not.
    CannotMeasure(String),
    /// Nobody knows.
    DontKnow,
}

impl Value {
    /// Whether this is an answer, rather than a reason for not having one.
    pub const fn answers(&self) -> bool {
        !matches!(self, Self::Absent | Self::CannotMeasure(_) | Self::DontKnow)
    }
}

/// A picture: its bytes live outside the ledger under this hash.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoRef {
    /// SHA-256 of the stored bytes, lower-case hex, 64 characters.
    pub sha256: String,
    /// Media type: `image/jpeg`, `image/png` or `image/webp`.
    pub media_type: String,
    /// Pixels across, after orientation.
    pub width: u32,
    /// Pixels down, after orientation.
    pub height: u32,
    /// Length of the stored bytes.
    pub bytes: u32,
}

impl PhotoRef {
    /// Whether it names bytes at all: by 64 lower-case hex digits.
    pub fn is_named(&self) -> bool {
        is_digest(&self.sha256)
    }
}

/// A licensed person's decision: who, under which licence, in which document, when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Attestation {
    /// Name of the person.
    pub person: String,
    /// Licence or certificate number and issuing body.
    pub licence: String,
    /// The document it stands in.
    pub document: String,
    /// Date of the document.
    #[serde(deserialize_with = "crate::civil::read_date")]
    pub date: Date,
}

/// One position of an electrical panel as seen from outside, door open and cover on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BreakerSlot {
    /// Position number as printed at the panel, from 1. Odd left, even right is usual, not assumed.
    pub position: u16,
    /// What sits there.
    pub holds: SlotHolds,
    /// Rating in microamperes; `None` when blank or unreadable.
    pub rating: Option<i64>,
    /// The label as written.
    pub label: String,
}

/// What a panel position holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SlotHolds {
    /// A blank, with a place for a breaker behind it.
    Space,
    /// A position that takes no breaker.
    Blocked,
    /// A full-size one-pole breaker.
    OnePole,
    /// Half of a two-pole breaker whose other half is the next position on the same side.
    TwoPole,
    /// Two thin breakers in one position, both on one leg: never 240 V.
    Tandem,
}

/// One level reading: where, and how high relative to the instrument's own datum.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LevelPoint {
    /// Along the long side of the footprint from its first corner, nanometres.
    pub along: i64,
    /// Across, nanometres.
    pub across: i64,
    /// Height of the surface above a datum shared by all points, nanometres (higher is more).
    pub height: i64,
    /// The height as typed.
    pub typed: String,
}

/// A hold point signed: exactly which findings, under which rules and documents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Signature {
    /// Key of the hold point.
    pub hold_point: String,
    /// Digest of the canonical findings that were shown, lower-case hex.
    pub digest: String,
    /// Version of the rules that made them.
    pub rules: String,
    /// Digest of the spa sheet.
    pub spa: String,
    /// Digest of the practice sheet.
    pub practice: String,
    /// Civil date at the site.
    #[serde(deserialize_with = "crate::civil::read_date")]
    pub date: Date,
    /// Name as signed.
    pub name: String,
    /// The canonical bytes of what was signed, as JSON text.
    pub findings: String,
}

impl Signature {
    /// Whether the digest is that of the findings it carries. Otherwise it says of nothing that it was signed.
    pub fn covers_findings(&self) -> bool {
        digest_hex(self.findings.as_bytes()) == self.digest
    }
}
