//! One site as this device holds it: its records, its cursor, and the changes that pushes and pulls make to them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use setdown_types::admission::stub;
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Record, Standing, fold, ledger_digest};
use setdown_types::site::Site;

/// The records of one site on one device. A `clone` shares the records.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Replica {
    /// Every record by id.
    pub records: Arc<BTreeMap<EntryId, Arc<Record>>>,
    /// The seq up to which everything that this role may see has been pulled.
    pub cursor: u64,
    /// Answers that undo brought back here: no values that somebody typed.
    pub brought_back: Arc<BTreeSet<EntryId>>,
}

/// What has to be written to the store, and then applied: never the other way round.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Changes {
    /// Records that are new or stand differently.
    pub put: Vec<Arc<Record>>,
    /// Records that this role may no longer see.
    pub remove: Vec<EntryId>,
    /// The new cursor, where it moves.
    pub cursor: Option<u64>,
    /// Those of the new records that undo brought back.
    pub brought_back: Vec<EntryId>,
}

impl Changes {
    /// One record that is new or stands differently.
    pub fn one(record: Record) -> Self {
        Self {
            put: vec![Arc::new(record)],
            ..Self::default()
        }
    }

    /// Whether there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.put.is_empty()
            && self.remove.is_empty()
            && self.cursor.is_none()
            && self.brought_back.is_empty()
    }
}

impl Replica {
    /// A replica from stored records. Later ones of the same id win.
    pub fn new(records: impl IntoIterator<Item = Record>, cursor: u64) -> Self {
        let records = records
            .into_iter()
            .map(|record| (record.entry.id, Arc::new(record)))
            .collect();
        Self {
            records: Arc::new(records),
            cursor,
            brought_back: Arc::default(),
        }
    }

    /// With the marks of what undo brought back.
    pub fn with_brought_back(mut self, brought_back: BTreeSet<EntryId>) -> Self {
        self.brought_back = Arc::new(brought_back);
        self
    }

    /// The site as its holder sees it: unsent and held entries count, refused ones are looked through.
    pub fn fold(&self) -> Site {
        fold(self.records.values().map(Arc::as_ref))
    }

    /// Digest of what the server knows as well, of the entries that `counts` says: comparable with the digest of a
    /// pull's last page.
    pub fn agreed_digest(&self, counts: impl Fn(&Entry) -> bool) -> String {
        let agreed = self.records.values().map(Arc::as_ref).filter(|record| {
            matches!(
                record.standing,
                Standing::Accepted(_) | Standing::Refused(_)
            ) && counts(&record.entry)
        });
        ledger_digest(&fold(agreed))
    }

    /// Carries out changes that the store has confirmed.
    pub fn apply(&mut self, changes: &Changes) {
        if !changes.put.is_empty() || !changes.remove.is_empty() {
            let records = Arc::make_mut(&mut self.records);
            for record in &changes.put {
                records.insert(record.entry.id, Arc::clone(record));
            }
            for id in &changes.remove {
                records.remove(id);
            }
        }
        if let Some(cursor) = changes.cursor {
            self.cursor = cursor;
        }
        if !changes.brought_back.is_empty() {
            Arc::make_mut(&mut self.brought_back).extend(&changes.brought_back);
        }
    }

    /// The changes that verdicts make. Ids that are not here are left out; an entry that a pull has already
    /// brought as accepted stays so.
    pub fn stand(&self, standings: &[(EntryId, Standing)]) -> Changes {
        let put = standings
            .iter()
            .filter_map(|(id, standing)| {
                let record = self.records.get(id)?;
                let settled = matches!(record.standing, Standing::Accepted(_));
                let waits = matches!(standing, Standing::Held | Standing::Unsent);
                let change = record.standing != *standing && !(settled && waits);
                change.then(|| Arc::new(with_standing(record, standing.clone())))
            })
            .collect();
        let mut changes = Changes {
            put,
            ..Changes::default()
        };
        // A redaction written here takes effect here as well, once the server has taken it.
        take_out_redacted(self, &mut changes);
        changes
    }

    /// Ids of records that stand as `wanted` says.
    pub fn ids_where(&self, wanted: impl Fn(&Standing) -> bool) -> BTreeSet<EntryId> {
        self.records
            .values()
            .filter(|record| wanted(&record.standing))
            .map(|record| record.entry.id)
            .collect()
    }

    /// How many records stand as `wanted` says.
    pub fn count_where(&self, wanted: impl Fn(&Standing) -> bool) -> usize {
        self.records
            .values()
            .filter(|record| wanted(&record.standing))
            .count()
    }
}

/// The same record, standing differently.
pub fn with_standing(record: &Record, standing: Standing) -> Record {
    Record {
        entry: record.entry.clone(),
        raw: record.raw.clone(),
        standing,
    }
}

/// A record from stored bytes; `None` where they are no entry of any version.
pub fn read_record(raw: &str, standing: Standing) -> Option<Record> {
    Some(Record {
        entry: Entry::from_json(raw).ok()?,
        raw: raw.to_owned(),
        standing,
    })
}

/// Takes the content out of everything that a redaction among the changes names.
pub(super) fn take_out_redacted(replica: &Replica, changes: &mut Changes) {
    let targets: BTreeSet<EntryId> = changes
        .put
        .iter()
        .filter(|record| {
            record.entry.intent == Intent::Redact
                && matches!(record.standing, Standing::Accepted(_))
        })
        .flat_map(|record| record.entry.replaces.iter().copied())
        .collect();
    for target in targets {
        let changed = changes
            .put
            .iter()
            .position(|record| record.entry.id == target);
        let Some(record) = changed
            .map(|place| changes.put.swap_remove(place))
            .or_else(|| replica.records.get(&target).cloned())
        else {
            continue;
        };
        changes.put.push(emptied(&record).map_or(record, Arc::new));
    }
}

/// The record without its content; `None` where its bytes cannot be emptied.
fn emptied(record: &Record) -> Option<Record> {
    let raw = stub(&record.raw);
    let entry = Entry::from_json(&raw).ok()?;
    Some(Record {
        entry,
        raw,
        standing: record.standing.clone(),
    })
}
