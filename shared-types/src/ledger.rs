//! The ledger: a set of entries, and the folding that makes one site of it.
//!
//! Merging is set union and the fold is a pure function of the set: the order in which entries
//! arrive never matters. Times are consulted only between entries that know nothing of each
//! other, and only where the server could bridge the device's clock to its own.

use crate::order;
use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::digest::digest_hex;
use crate::entry::{Entry, Intent, Payload};
use crate::ids::EntryId;
use crate::site::{Head, Site, Stream, StreamKey, StreamState};
use crate::value::Value;

/// Where an entry stands between its device and the server.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Written here, not yet acknowledged: counts as accepted on its own device.
    Unsent,
    /// Waiting at the server for an entry it builds on: counts as accepted on its own device.
    Held,
    /// Part of the site for everybody.
    Accepted(Acceptance),
    /// Not taken by the server: stays on its device, marked, and is transparent to the fold.
    Refused(Refusal),
}

/// What the server added to an accepted entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Acceptance {
    /// Position among the site's accepted entries, gapless from 1.
    pub seq: u64,
    /// Milliseconds since 1970 by the server's clock.
    pub received_at: i64,
    /// When it was written, by the server's clock; `None` where the device's clock could not
    /// be bridged (it restarted in between).
    pub effective_at: Option<i64>,
}

/// Why the server refused an entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    /// The same id came before with other bytes.
    OtherBytes,
    /// The rights table says no.
    NotAllowed,
    /// The writer is not who is signed in.
    NotYours,
    /// The site is not of this organisation, or this invitation is for another site.
    OtherSite,
    /// The bytes cannot be read as an entry.
    Malformed(String),
    /// It replaces an entry of another question or subject.
    OtherStream,
    /// It pins the site to a sheet that the dealer does not have, or of another kind.
    NoSuchSheet,
    /// It signs findings whose digest is another one.
    OtherFindings,
    /// Too many entries of its author wait at this site for others: not taken now, and not remembered. It stays on its
    /// device and may be sent again.
    TooManyWaiting,
    /// A reason of a newer server.
    #[serde(other)]
    Other,
}

/// One entry with its exact bytes and its standing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// The entry as read.
    pub entry: Entry,
    /// Its exact bytes.
    pub raw: String,
    /// Where it stands.
    pub standing: Standing,
}

impl Record {
    fn counts(&self) -> bool {
        !matches!(self.standing, Standing::Refused(_))
    }

    fn effective_at(&self) -> Option<i64> {
        match self.standing {
            Standing::Accepted(acceptance) => acceptance.effective_at,
            _ => None,
        }
    }
}

/// Folds a set of records into the site they describe.
///
/// Records of one site in any order; duplicates by id are one record.
pub fn fold<'a>(records: impl IntoIterator<Item = &'a Record>) -> Site {
    let by_id: BTreeMap<EntryId, &Record> = records
        .into_iter()
        .map(|record| (record.entry.id, record))
        .collect();
    let redacted: BTreeSet<EntryId> = by_id
        .values()
        .filter(|record| record.counts() && record.entry.intent == Intent::Redact)
        .flat_map(|record| record.entry.replaces.iter().copied())
        .collect();
    let mut streams: BTreeMap<StreamKey, Vec<&Record>> = BTreeMap::new();
    for record in by_id
        .values()
        .filter(|record| record.entry.intent != Intent::Redact)
    {
        let key = StreamKey {
            subject: record.entry.subject,
            question: record.entry.question.clone(),
        };
        streams.entry(key).or_default().push(record);
    }
    let streams = streams
        .into_iter()
        .map(|(key, members)| (key, fold_stream(&members, &by_id, &redacted)))
        .collect();
    Site::new(streams)
}

/// What `entry` replaces once refused parents are looked through.
fn replaced_by(entry: &Entry, by_id: &BTreeMap<EntryId, &Record>) -> BTreeSet<EntryId> {
    let mut seen = BTreeSet::new();
    let mut queue = entry.replaces.clone();
    let mut replaced = BTreeSet::new();
    while let Some(id) = queue.pop() {
        if !seen.insert(id) {
            continue;
        }
        match by_id.get(&id) {
            Some(parent) if !parent.counts() => queue.extend(parent.entry.replaces.iter().copied()),
            _ => {
                replaced.insert(id);
            }
        }
    }
    replaced
}

fn fold_stream(
    members: &[&Record],
    by_id: &BTreeMap<EntryId, &Record>,
    redacted: &BTreeSet<EntryId>,
) -> Stream {
    let counting: Vec<&Record> = members
        .iter()
        .copied()
        .filter(|record| record.counts())
        .collect();
    let mut replaced = BTreeSet::new();
    let mut struck = BTreeSet::new();
    for record in &counting {
        let targets = replaced_by(&record.entry, by_id);
        if record.entry.intent == Intent::Strike {
            struck.extend(targets.iter().copied());
        }
        replaced.extend(targets);
    }
    let heads: Vec<&Record> = counting
        .iter()
        .copied()
        .filter(|record| !replaced.contains(&record.entry.id))
        .collect();
    let mut standing: Vec<Head> = heads
        .iter()
        .filter(|record| record.entry.intent != Intent::Strike)
        .map(|record| head(record, redacted))
        .collect();
    order::sort_by_key(&mut standing, |head| head.entry);
    let state = state(&standing, &heads);
    Stream {
        state,
        heads: heads.iter().map(|record| record.entry.id).collect(),
        struck,
        redacted: counting
            .iter()
            .map(|record| record.entry.id)
            .filter(|id| redacted.contains(id))
            .collect(),
        first: counting.iter().map(|record| record.entry.id).min(),
        entries: members.iter().map(|record| record.entry.id).collect(),
    }
}

fn head(record: &Record, redacted: &BTreeSet<EntryId>) -> Head {
    let entry = &record.entry;
    let gone = redacted.contains(&entry.id);
    Head {
        entry: entry.id,
        value: entry
            .value()
            .filter(|value| !gone && says_something(value))
            .cloned(),
        unknown: !gone && (entry.payload == Payload::Unknown || entry.intent == Intent::Unknown),
        spread: entry.spread,
        method: entry.method,
        intent: entry.intent,
        author: entry.author,
        role: entry.role,
        device: entry.device,
        wall: entry.stamp.wall,
    }
}

/// A signature of other findings than it carries signs nothing: the hold point counts as unsigned.
fn says_something(value: &Value) -> bool {
    !matches!(value, Value::Signature(signature) if !signature.covers_findings())
}

/// One head stands alone; repeats stand side by side; anything else is a conflict in which one
/// stands provisionally.
fn state(standing: &[Head], heads: &[&Record]) -> StreamState {
    match standing {
        [] => StreamState::Empty,
        [only] => StreamState::One(only.clone()),
        several => {
            let plain = several
                .iter()
                .filter(|head| head.intent != Intent::Repeat)
                .count();
            if plain <= 1 {
                StreamState::Repeats(several.to_vec())
            } else {
                StreamState::Conflict {
                    provisional: provisional(heads),
                    heads: several.to_vec(),
                }
            }
        }
    }
}

/// The later one by the server's clock if every head can be placed on it; else time expresses no
/// preference and the ids' random bits decide. Both are total orders, so every replica agrees.
fn provisional(heads: &[&Record]) -> EntryId {
    let candidates: Vec<&&Record> = heads
        .iter()
        .filter(|record| !matches!(record.entry.intent, Intent::Strike | Intent::Repeat))
        .collect();
    let bridged = candidates
        .iter()
        .all(|record| record.effective_at().is_some());
    let key = |record: &Record| {
        let time = if bridged { record.effective_at() } else { None };
        (time, record.entry.id.random_bits(), record.entry.id)
    };
    candidates
        .into_iter()
        .max_by_key(|record| key(record))
        .map_or(EntryId::NIL, |record| record.entry.id)
}

/// Digest of a site's streams and their heads: equal digests mean equal sites.
///
/// Streams without heads hold only refused entries, which no other replica sees: they stay out.
pub fn ledger_digest(site: &Site) -> String {
    let mut text = String::new();
    for (key, stream) in site.streams() {
        if stream.heads.is_empty() {
            continue;
        }
        let mut heads = stream.heads.clone();
        order::sort(&mut heads);
        text.push_str(&format!(
            "{}/{}/{}",
            key.subject.kind.key(),
            key.subject.id,
            key.question
        ));
        for id in heads {
            text.push_str(&format!(" {id}"));
        }
        for id in &stream.redacted {
            text.push_str(&format!(" -{id}"));
        }
        text.push('\n');
    }
    digest_hex(text.as_bytes())
}
