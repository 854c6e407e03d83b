//! A pull from its first page to its digest: what each page changes, and whether a full pull must follow.

use std::collections::BTreeSet;
use std::sync::Arc;

use setdown_types::admission::stub;
use setdown_types::entry::Entry;
use setdown_types::ids::{DeviceId, EntryId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Role;
use setdown_types::question::visible;
use setdown_types::wire::Pulled;
use thiserror::Error;

use super::replica::{Changes, Replica, read_record, take_out_redacted, with_standing};

/// A pull that is under way for one site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pulling {
    site: SiteId,
    device: DeviceId,
    role: Role,
    after: u64,
    /// What a full pull has seen so far; `None` for a pull from the cursor.
    seen: Option<BTreeSet<EntryId>>,
    unreadable: usize,
}

/// What comes after a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// Ask for the next page.
    Page,
    /// The digests agree, or the server gave none: done.
    Agreed,
    /// The digests differ: start over with [`Pulling::full`].
    FullPull,
    /// The digests differ even after a full pull: another version of the app reads the entries differently. The site
    /// stays usable; it is said, and tried again when something new arrives.
    StillDiffers,
}

/// Why a page is not to be used. Nothing changes.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PageError {
    /// It is for another site.
    #[error("the page is for another site")]
    OtherSite,
    /// It says that more follows and brings nothing.
    #[error("the page brings nothing and says that more follows")]
    NoProgress,
}

impl Pulling {
    /// A pull of what came after the replica's cursor.
    pub const fn since(site: SiteId, device: DeviceId, role: Role, replica: &Replica) -> Self {
        Self {
            site,
            device,
            role,
            after: replica.cursor,
            seen: None,
            unreadable: 0,
        }
    }

    /// A pull of everything, which also finds out what is no longer there to see.
    pub const fn full(site: SiteId, device: DeviceId, role: Role) -> Self {
        Self {
            site,
            device,
            role,
            after: 0,
            seen: Some(BTreeSet::new()),
            unreadable: 0,
        }
    }

    /// The cursor of the page to ask for.
    pub const fn after(&self) -> u64 {
        self.after
    }

    /// Entries of this pull that are no entry to this version at all.
    pub const fn unreadable(&self) -> usize {
        self.unreadable
    }

    /// What a page changes. Write it down, apply it, then ask [`Pulling::next`].
    ///
    /// # Errors
    /// [`PageError`] where the page does not fit what was asked.
    pub fn take(&mut self, replica: &Replica, page: &Pulled) -> Result<Changes, PageError> {
        if page.site != self.site {
            return Err(PageError::OtherSite);
        }
        let last = page
            .entries
            .iter()
            .map(|pulled| pulled.acceptance.seq)
            .max();
        if page.more && last.is_none_or(|last| last <= self.after) {
            return Err(PageError::NoProgress);
        }
        let mut changes = Changes::default();
        for pulled in &page.entries {
            self.merge(
                replica,
                pulled.raw.get(),
                Standing::Accepted(pulled.acceptance),
                &mut changes,
            );
        }
        for pulled in &page.refused {
            self.merge(
                replica,
                pulled.raw.get(),
                Standing::Refused(pulled.refusal.clone()),
                &mut changes,
            );
        }
        take_out_redacted(replica, &mut changes);
        if page.more {
            self.after = last.unwrap_or(self.after);
        } else {
            self.drop_unseen(replica, &mut changes);
            self.ask_again(replica, page, &mut changes);
            self.after = page.last_seq;
        }
        // Pages of a full pull leave the cursor alone until the last: were it cut short, what it was for still shows.
        if (self.seen.is_none() || !page.more) && replica.cursor != self.after {
            changes.cursor = Some(self.after);
        }
        Ok(changes)
    }

    /// What to do after `page`, once its changes are applied to `replica`.
    pub fn next(&self, replica: &Replica, page: &Pulled) -> Next {
        if page.more {
            return Next::Page;
        }
        match &page.digest {
            None => Next::Agreed,
            Some(digest) if *digest == replica.agreed_digest(|entry| self.compares(entry)) => {
                Next::Agreed
            }
            Some(_) if self.seen.is_none() => Next::FullPull,
            Some(_) => Next::StillDiffers,
        }
    }

    /// Whether an entry counts in the comparison of digests. What was written here and is not for the present role is kept
    /// for those who may see it, and the server says nothing of it.
    fn compares(&self, entry: &Entry) -> bool {
        entry.device != self.device || visible(&entry.question, self.role)
    }

    /// What the server holds back on behalf of this device is told to nobody once it is decided; news of the site may
    /// have decided it, and a restored server may have lost it. Sending it again asks.
    fn ask_again(&self, replica: &Replica, page: &Pulled, changes: &mut Changes) {
        let news = !page.entries.is_empty() || !page.refused.is_empty() || self.seen.is_some();
        if !news {
            return;
        }
        let touched: BTreeSet<EntryId> = changes.put.iter().map(|each| each.entry.id).collect();
        let held = replica.records.values().filter(|record| {
            record.standing == Standing::Held
                && record.entry.device == self.device
                && !touched.contains(&record.entry.id)
        });
        changes
            .put
            .extend(held.map(|record| Arc::new(with_standing(record, Standing::Unsent))));
    }

    fn merge(&mut self, replica: &Replica, raw: &str, standing: Standing, changes: &mut Changes) {
        let Some(record) = read_record(raw, standing) else {
            self.unreadable += 1;
            return;
        };
        let id = record.entry.id;
        if let Some(seen) = &mut self.seen {
            seen.insert(id);
        }
        match replica.records.get(&id).map(Arc::as_ref) {
            None => changes.put.push(Arc::new(record)),
            Some(here) => changes.put.extend(reconciled(here, record).map(Arc::new)),
        }
    }

    /// After a full pull: what the server no longer shows is dropped, except what only this device can restore.
    fn drop_unseen(&self, replica: &Replica, changes: &mut Changes) {
        let Some(seen) = &self.seen else { return };
        for record in replica.records.values() {
            if !matches!(record.standing, Standing::Accepted(_))
                || seen.contains(&record.entry.id)
                || !self.compares(&record.entry)
            {
                continue;
            }
            if record.entry.device == self.device {
                // The server may have been restored from a copy older than this entry, and others may have written
                // since, so that its number proves nothing: send it again. Where the server still has it and only no
                // longer shows it, that is a duplicate and changes nothing.
                changes
                    .put
                    .push(Arc::new(with_standing(record, Standing::Unsent)));
            } else {
                changes.remove.push(record.entry.id);
            }
        }
    }
}

/// What becomes of a record that is here already when the server gives its own; `None`: nothing changes.
fn reconciled(here: &Record, given: Record) -> Option<Record> {
    let same_bytes = here.raw == given.raw;
    match (&here.standing, &given.standing) {
        // A refused entry of this device keeps its words: the server's stub would take them away.
        (_, Standing::Refused(refusal)) => {
            (!matches!(here.standing, Standing::Unsent | Standing::Refused(_)))
                .then(|| with_standing(here, Standing::Refused(refusal.clone())))
        }
        // Not this entry's bytes: its own push will be told so.
        (Standing::Unsent, _) if !same_bytes && !is_stub_of(&given, here) => None,
        _ if same_bytes && here.standing == given.standing => None,
        _ => Some(given),
    }
}

/// Whether `given` is `here` with its content taken out.
fn is_stub_of(given: &Record, here: &Record) -> bool {
    given.raw == stub(&here.raw)
}
