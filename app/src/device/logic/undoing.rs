//! What undo takes back: the newest thing of one's own that still stands, and how that is written down.

use setdown_types::order;
use std::collections::BTreeSet;

use setdown_types::entry::{Entry, Intent, Stamp};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Record, Standing};
use setdown_types::site::Site;
use setdown_types::value::Value;

use super::replica::{Changes, Replica};
use super::writing::{Author, ComposeError, NewAnswer, compose, compose_strike};

/// What a press of undo does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenBack {
    /// The entry that no longer stands.
    pub entry: Entry,
    /// The value that stands again; `None`: the question is open.
    pub restored: Option<Value>,
    /// What has to be written, with the mark that something was brought back: both or neither.
    pub changes: Changes,
}

/// Takes back what `author` wrote last on this site as it stands on this device, writing as `id`.
///
/// # Errors
/// [`ComposeError::NothingThere`] where nothing is left to take back, others as [`compose`].
pub fn take_back(
    replica: &Replica,
    author: Author,
    id: EntryId,
    stamp: Stamp,
) -> Result<TakenBack, ComposeError> {
    let records: Vec<&Record> = replica.records.values().map(AsRef::as_ref).collect();
    let seen = replica.fold();
    let undo = undo(records, &seen, author, &replica.brought_back);
    match undo.ok_or(ComposeError::NothingThere)? {
        Undo::Strike(entry) => {
            let written = compose_strike(&entry, &seen, author, id, stamp)?;
            Ok(TakenBack {
                entry: *entry,
                restored: None,
                changes: Changes::one(written.unsent()),
            })
        }
        Undo::Restore(entry, answer) => {
            let written = compose(&answer, &seen, author, id, stamp)?;
            Ok(TakenBack {
                entry: *entry,
                restored: Some(answer.value),
                changes: Changes {
                    brought_back: vec![id],
                    ..Changes::one(written.unsent())
                },
            })
        }
    }
}

/// What an undo has to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Undo {
    /// Strike the entry: it had been the first answer.
    Strike(Box<Entry>),
    /// Answer once more with what stood before.
    Restore(Box<Entry>, Box<NewAnswer>),
}

/// Something written here, with the entry that stands for it: itself, or what brought it back.
struct Written<'a> {
    entry: &'a Entry,
    stands: &'a Entry,
}

/// What takes back the newest thing `author` wrote on this device about this site that still stands, of all `records`.
///
/// Neither a strike nor an answer that brought back what stood before (one of `brought_back`) is taken back: that is how
/// things are taken back, and the next press goes on to what was written before. Where somebody else has replaced or
/// struck the newest, nothing is: what stands is theirs.
pub fn undo<'a>(
    records: impl IntoIterator<Item = &'a Record> + Clone,
    seen: &Site,
    author: Author,
    brought_back: &BTreeSet<EntryId>,
) -> Option<Undo> {
    let known = |id: EntryId| {
        let mut records = records.clone().into_iter();
        records.find(|record| record.entry.id == id)
    };
    let before = |entry: &Entry| match entry.replaces.as_slice() {
        [only] => known(*only),
        _ => None,
    };
    let mut own: Vec<&Entry> = records
        .clone()
        .into_iter()
        .filter(|record| {
            record.entry.device == author.device && record.entry.author == author.person
        })
        .filter(|record| !matches!(record.standing, Standing::Refused(_)))
        .map(|record| &record.entry)
        .filter(|entry| !matches!(entry.intent, Intent::Strike | Intent::Redact))
        .collect();
    order::sort_by_key(&mut own, |entry| entry.stamp.counter);
    let mut written: Vec<Written<'a>> = Vec::new();
    for entry in own {
        let undone = written
            .iter()
            .position(|one| entry.replaces == [one.stands.id]);
        match undone.filter(|_| brought_back.contains(&entry.id)) {
            None => written.push(Written {
                entry,
                stands: entry,
            }),
            Some(place) => {
                let restored = written.remove(place).entry.replaces.first();
                let earlier = written
                    .iter_mut()
                    .find(|one| Some(&one.stands.id) == restored);
                if let Some(earlier) = earlier {
                    earlier.stands = entry;
                }
            }
        }
    }
    let still_stands = |one: &&Written<'_>| {
        let stream = seen.stream(one.stands.subject, &one.stands.question);
        stream.is_some_and(|stream| {
            let mut heads = stream.standing().iter();
            heads.any(|head| head.entry == one.stands.id)
        })
    };
    let is_somebody_elses = |one: &&Written<'_>| {
        let mut records = records.clone().into_iter();
        records.any(|record| {
            let entry = &record.entry;
            entry.replaces.contains(&one.stands.id)
                && (entry.device, entry.author) != (author.device, author.person)
        })
    };
    let mut newest_first = written.iter().rev();
    let last = newest_first.find(|one| still_stands(one) || is_somebody_elses(one))?;
    still_stands(&last).then(|| taking_back(last.stands, before(last.entry)))
}

fn taking_back(entry: &Entry, before: Option<&Record>) -> Undo {
    let restored = before.and_then(|record| Some((record.entry.value()?.clone(), &record.entry)));
    match restored {
        None => Undo::Strike(Box::new(entry.clone())),
        Some((value, before)) => {
            let answer = NewAnswer::new(
                entry.site,
                entry.subject,
                &entry.question,
                value,
                before.method,
            )
            .spread(before.spread)
            .intent(Intent::Correct)
            .correcting(entry.id);
            Undo::Restore(Box::new(entry.clone()), Box::new(answer))
        }
    }
}
