//! One ledger entry: what it carries, and how its bytes are read without losing what is new.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use crate::party::Role;
use crate::question;
use crate::subject::{Subject, SubjectKind};
use crate::value::Value;

/// The version of the entry format this code writes.
pub const SCHEMA: u32 = 1;
/// The longest entry accepted, in bytes of JSON (a signature carries its findings).
pub const MAX_ENTRY_BYTES: usize = 512 * 1024;

/// The most heads that one entry may replace: far more than people ever see, and few enough to look up at each push.
pub const MAX_REPLACES: usize = 64;

/// Why the entry was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Intent {
    /// The first answer its author saw for this question.
    First,
    /// I mistyped: replaces what the author saw.
    Correct,
    /// The site changed: replaces what the author saw.
    Changed,
    /// Measured again on purpose: replaces nothing, stands beside.
    Repeat,
    /// Settles readings that disagree: replaces every head the author saw.
    Settle,
    /// That entry was wrong: the question is open again, the struck entry stays legible.
    Strike,
    /// Personal or wrongly recorded content is taken out; id and parents stay.
    Redact,
    /// An intent of a newer version: its value is kept but not interpreted.
    #[serde(other)]
    Unknown,
}

/// How a reading was got; decides its spread where none is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// A tape read by somebody who measures for a living.
    Tape,
    /// A tape read by the homeowner.
    HomeTape,
    /// A hand-held laser.
    Laser,
    /// A level or digital inclinometer.
    Level,
    /// An instrument that shows the quantity: scale, meter, gauge.
    Instrument,
    /// Looked at.
    Seen,
    /// From a photo.
    Photo,
    /// Estimated by eye or pacing.
    Estimate,
    /// From a document: plat, ticket, chart, label, letter.
    Document,
    /// Told by somebody who knows.
    Told,
    /// A method of a newer version: treated as an estimate.
    #[serde(other)]
    Unknown,
}

/// When, by a device's own clocks. The wall clock is shown, never believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Milliseconds since 1970 by the device's wall clock.
    pub wall: i64,
    /// The page load that wrote it.
    pub boot: BootId,
    /// Milliseconds since that page load, by the monotonic clock.
    pub monotonic: i64,
    /// The device's own count of entries, from 1.
    pub counter: u64,
}

/// What an entry says: a value this version knows, or one it keeps for those that do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Payload {
    /// A value of this version.
    Known(Value),
    /// Nothing: strikes and redactions carry none.
    Nothing,
    /// Something newer; the entry's raw bytes still hold it.
    Unknown,
}

/// One immutable record. Its identity is its id together with its exact bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Primary key, drawn on the device.
    pub id: EntryId,
    /// The dealer it belongs to.
    pub organisation: OrganisationId,
    /// The site it belongs to.
    pub site: SiteId,
    /// What it is about.
    pub subject: Subject,
    /// The key of the question it answers.
    pub question: String,
    /// What it says.
    pub payload: Payload,
    /// Half-width that holds the truth 19 times in 20, in the value's base units; `None`
    /// leaves it to the method's default in the practice sheet.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
    /// Why it was written.
    pub intent: Intent,
    /// The heads its author saw and replaces (or strikes, or redacts).
    pub replaces: Vec<EntryId>,
    /// Who wrote it.
    pub author: PersonId,
    /// As what.
    pub role: Role,
    /// On which device.
    pub device: DeviceId,
    /// When, by that device.
    pub stamp: Stamp,
    /// Format version of the writer.
    pub schema: u32,
}

/// The kinds the rights table knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EntryKind {
    /// An answer to a question.
    Reading,
    /// A picture.
    Photo,
    /// Free words.
    Note,
    /// A thing found, renamed or taken off.
    Subject,
    /// A licensed person's word.
    Attestation,
    /// A hold point signed.
    Signature,
    /// A disagreement settled.
    Settlement,
    /// A document revision pinned.
    Pin,
    /// An entry struck.
    Strike,
    /// An entry redacted.
    Redaction,
}

impl EntryKind {
    /// Every kind, for tables and tests.
    pub const ALL: [Self; 10] = [
        Self::Reading,
        Self::Photo,
        Self::Note,
        Self::Subject,
        Self::Attestation,
        Self::Signature,
        Self::Settlement,
        Self::Pin,
        Self::Strike,
        Self::Redaction,
    ];
}

/// Why bytes are not an entry.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EntryError {
    /// Longer than [`MAX_ENTRY_BYTES`].
    #[error(
        "the entry has {0} bytes; at most {MAX_ENTRY_BYTES} are accepted: split it or shorten its text"
    )]
    TooLong(usize),
    /// Not JSON, or a field is missing or of the wrong form.
    #[error("the entry cannot be read: {0}. Send it as the format in DEVELOPERS.md describes it")]
    Malformed(String),
    /// A strike or redaction without a target, or anything that replaces itself.
    #[error("the entry's 'replaces' does not fit its intent: {0}")]
    Replaces(&'static str),
}

#[derive(Serialize, Deserialize)]
struct Wire {
    id: EntryId,
    organisation: OrganisationId,
    site: SiteId,
    subject: Subject,
    question: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    value: Option<serde_json::Value>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    spread: Option<i64>,
    method: Method,
    intent: Intent,
    #[serde(default)]
    replaces: Vec<EntryId>,
    author: PersonId,
    role: Role,
    device: DeviceId,
    stamp: Stamp,
    schema: u32,
}

/// What is wrong and where, without a word of the content: it may be kept longer than the entry itself.
fn place_of(error: &serde_json::Error) -> String {
    use serde_json::error::Category;
    let what = match error.classify() {
        Category::Data => "a field is missing or of the wrong form",
        Category::Eof => "it breaks off",
        Category::Syntax | Category::Io => "it is no JSON",
    };
    format!("{what} (line {}, column {})", error.line(), error.column())
}

impl Entry {
    /// Reads an entry from its JSON bytes. Values, intents, methods and subject kinds of newer
    /// versions become *unknown*; the caller keeps the bytes.
    pub fn from_json(text: &str) -> Result<Self, EntryError> {
        if text.len() > MAX_ENTRY_BYTES {
            return Err(EntryError::TooLong(text.len()));
        }
        let wire: Wire =
            serde_json::from_str(text).map_err(|error| EntryError::Malformed(place_of(&error)))?;
        let payload = match wire.value {
            None => Payload::Nothing,
            Some(value) => match serde_json::from_value(value) {
                Ok(known) => Payload::Known(known),
                Err(_) => Payload::Unknown,
            },
        };
        let entry = Self {
            id: wire.id,
            organisation: wire.organisation,
            site: wire.site,
            subject: wire.subject,
            question: wire.question,
            payload,
            spread: wire.spread,
            method: wire.method,
            intent: wire.intent,
            replaces: wire.replaces,
            author: wire.author,
            role: wire.role,
            device: wire.device,
            stamp: wire.stamp,
            schema: wire.schema,
        };
        entry.check_replaces()?;
        entry.check_photo()?;
        Ok(entry)
    }

    /// The bytes of an entry this version wrote. `None` for an entry that holds something
    /// unknown: its original bytes are the only true ones.
    pub fn to_json(&self) -> Option<String> {
        let value = match &self.payload {
            Payload::Known(value) => Some(serde_json::to_value(value).ok()?),
            Payload::Nothing => None,
            Payload::Unknown => return None,
        };
        let wire = Wire {
            id: self.id,
            organisation: self.organisation,
            site: self.site,
            subject: self.subject,
            question: self.question.clone(),
            value,
            spread: self.spread,
            method: self.method,
            intent: self.intent,
            replaces: self.replaces.clone(),
            author: self.author,
            role: self.role,
            device: self.device,
            stamp: self.stamp,
            schema: self.schema,
        };
        serde_json::to_string(&wire).ok()
    }

    fn check_replaces(&self) -> Result<(), EntryError> {
        if self.replaces.len() > MAX_REPLACES {
            return Err(EntryError::Replaces(
                "at most 64 entries can be replaced at once",
            ));
        }
        if self.replaces.contains(&self.id) {
            return Err(EntryError::Replaces("an entry cannot replace itself"));
        }
        match self.intent {
            Intent::Strike | Intent::Redact if self.replaces.is_empty() => {
                Err(EntryError::Replaces("name the entry to strike or redact"))
            }
            Intent::Repeat if !self.replaces.is_empty() => Err(EntryError::Replaces(
                "a repeat stands beside and replaces nothing",
            )),
            _ => Ok(()),
        }
    }

    fn check_photo(&self) -> Result<(), EntryError> {
        match self.value() {
            Some(Value::Photo(photo)) if !photo.is_named() => Err(EntryError::Malformed(
                "a photo is named by 64 lower-case hex digits".into(),
            )),
            _ => Ok(()),
        }
    }

    /// The value, if this version knows it.
    pub fn value(&self) -> Option<&Value> {
        match &self.payload {
            Payload::Known(value) => Some(value),
            Payload::Nothing | Payload::Unknown => None,
        }
    }

    /// Whether the entry says something only a newer version understands.
    pub fn is_unknown(&self) -> bool {
        self.payload == Payload::Unknown
            || self.intent == Intent::Unknown
            || self.subject.kind == SubjectKind::Unknown
            || (question::find(&self.question).is_none() && self.schema > SCHEMA)
    }

    /// The kind by which rights are judged.
    pub fn kind(&self) -> EntryKind {
        match self.intent {
            Intent::Strike => return EntryKind::Strike,
            Intent::Redact => return EntryKind::Redaction,
            Intent::Settle => return EntryKind::Settlement,
            _ => {}
        }
        if self.subject.kind.present_question() == Some(self.question.as_str()) {
            return EntryKind::Subject;
        }
        match self.value() {
            Some(Value::Photo(_)) => EntryKind::Photo,
            Some(Value::Text(_)) => EntryKind::Note,
            Some(Value::Attestation(_)) => EntryKind::Attestation,
            Some(Value::Signature(_)) => EntryKind::Signature,
            Some(Value::Pin(_)) => EntryKind::Pin,
            _ => EntryKind::Reading,
        }
    }
}
