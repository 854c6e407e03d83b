//! The site as folded from its ledger: what is known about each thing, and how well.

use crate::order;
use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::entry::{Intent, Method};
use crate::ids::{DeviceId, EntryId, PersonId};
use crate::party::Role;
use crate::subject::{Subject, SubjectKind};
use crate::value::Value;

/// One question about one thing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct StreamKey {
    /// What is asked about.
    pub subject: Subject,
    /// Which question.
    pub question: String,
}

impl StreamKey {
    /// A key from its parts.
    pub fn new(subject: Subject, question: &str) -> Self {
        Self {
            subject,
            question: question.to_owned(),
        }
    }
}

/// A standing entry: replaced by nothing, not struck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// The entry.
    pub entry: EntryId,
    /// What it says; `None` when redacted, or of a kind this version does not know.
    pub value: Option<Value>,
    /// Whether a newer version would know more.
    pub unknown: bool,
    /// Stated spread, base units of the value.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
    /// Why it was written.
    pub intent: Intent,
    /// Who wrote it.
    pub author: PersonId,
    /// As what.
    pub role: Role,
    /// Where.
    pub device: DeviceId,
    /// When by the device's wall clock, milliseconds since 1970: for showing only.
    pub wall: i64,
}

/// What the heads of a stream amount to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StreamState {
    /// Never answered, or struck.
    Empty,
    /// One answer stands.
    One(Head),
    /// Measured more than once on purpose.
    Repeats(Vec<Head>),
    /// Answered by people who did not know of each other.
    Conflict {
        /// The one that stands until somebody settles it.
        provisional: EntryId,
        /// All of them, by id.
        heads: Vec<Head>,
    },
}

/// Everything recorded for one question about one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stream {
    /// What its heads amount to.
    pub state: StreamState,
    /// Ids of all heads, strikes included: what a new entry replaces.
    pub heads: Vec<EntryId>,
    /// Entries that were struck.
    pub struck: BTreeSet<EntryId>,
    /// Entries whose content was taken out.
    pub redacted: BTreeSet<EntryId>,
    /// The first entry that counts: things on a site stand in the order of these. Refused
    /// entries are on one device only and must not move anything.
    pub first: Option<EntryId>,
    /// All entries, by id.
    pub entries: BTreeSet<EntryId>,
}

impl Stream {
    /// The heads that say something.
    pub fn standing(&self) -> &[Head] {
        match &self.state {
            StreamState::Empty => &[],
            StreamState::One(head) => std::slice::from_ref(head),
            StreamState::Repeats(heads) | StreamState::Conflict { heads, .. } => heads,
        }
    }

    /// The one head that stands for facts: the only one, the provisional one, or the latest repeat.
    pub fn leading(&self) -> Option<&Head> {
        match &self.state {
            StreamState::Empty => None,
            StreamState::One(head) => Some(head),
            StreamState::Repeats(heads) => heads.last(),
            StreamState::Conflict { provisional, heads } => {
                heads.iter().find(|head| head.entry == *provisional)
            }
        }
    }
}

/// A site: streams by key, and the things found on it in the order in which they were added.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Site {
    streams: BTreeMap<StreamKey, Stream>,
    subjects: BTreeMap<SubjectKind, Vec<Subject>>,
    /// Those of which one standing entry says that they are gone and another that they are not.
    doubtful: BTreeMap<SubjectKind, Vec<Subject>>,
}

impl Site {
    /// A site from its folded streams.
    pub fn new(streams: BTreeMap<StreamKey, Stream>) -> Self {
        let mut found: BTreeMap<SubjectKind, Vec<(EntryId, Subject)>> = BTreeMap::new();
        let mut doubtful: BTreeMap<SubjectKind, Vec<Subject>> = BTreeMap::new();
        for (key, stream) in &streams {
            if key.subject.kind.present_question() != Some(key.question.as_str()) {
                continue;
            }
            // A thing is gone when everything that stands says so. What was redacted, or is of a newer version, does
            // not say so.
            let gone = |head: &Head| head.value == Some(Value::Absent);
            let standing = stream.standing();
            let here = standing.iter().any(|head| !gone(head));
            if here && standing.iter().any(gone) {
                let kind = doubtful.entry(key.subject.kind).or_default();
                kind.push(key.subject);
            }
            if let (true, Some(first)) = (here, stream.first) {
                found
                    .entry(key.subject.kind)
                    .or_default()
                    .push((first, key.subject));
            }
        }
        let subjects = found
            .into_iter()
            .map(|(kind, mut list)| {
                order::sort(&mut list);
                (kind, list.into_iter().map(|(_, subject)| subject).collect())
            })
            .collect();
        Self {
            streams,
            subjects,
            doubtful,
        }
    }

    /// All streams, by subject and question.
    pub fn streams(&self) -> &BTreeMap<StreamKey, Stream> {
        &self.streams
    }

    /// One stream; `None` when nothing was ever recorded.
    pub fn stream(&self, subject: Subject, question: &str) -> Option<&Stream> {
        self.streams.get(&StreamKey::new(subject, question))
    }

    /// The things of one kind that are on the site, in the order in which they were added.
    pub fn subjects(&self, kind: SubjectKind) -> &[Subject] {
        self.subjects.get(&kind).map_or(&[], Vec::as_slice)
    }

    /// The things of one kind of which it is not settled whether they are on the site.
    pub fn doubtful(&self, kind: SubjectKind) -> &[Subject] {
        self.doubtful.get(&kind).map_or(&[], Vec::as_slice)
    }

    /// What somebody called this thing, if they did.
    pub fn name(&self, subject: Subject) -> Option<&str> {
        let question = subject.kind.present_question()?;
        match self.stream(subject, question)?.leading()?.value.as_ref()? {
            Value::Text(text) if !text.is_empty() => Some(text),
            _ => None,
        }
    }
}
