//! One write to a site: from a plan on what this tab knows, over a strict transaction, to memory, screens and other
//! tabs.
//!
//! IndexedDB serialises writing transactions over all tabs. Each checks that the store is still at the version that
//! the plan was made on; where it is not, nothing is written, and the plan is made again on what is there.

use setdown_types::entry::Intent;
use setdown_types::ids::{EntryId, PersonId, SiteId};

use super::database::{DRAFTS, ENTRIES, EXPECTED, META, PHOTOS, SITES, StoreError, Transaction};
use super::inner::{COUNTER, Inner, read_brought_back, read_counter, read_version, stored_row};
use super::logic::entering::may_write;
use super::logic::replica::{Changes, Replica};
use super::people::stored_session;
use super::photo;
use super::rows::{SiteRow, brought_back_key, entry_row, to_text, version_key};
use super::wake::{self, Told};

/// How often a plan is made again because another tab was faster.
const ATTEMPTS: usize = 10;

/// What one write is to do.
#[derive(Debug, Default)]
pub struct Plan {
    /// Changes of records and cursor.
    pub changes: Changes,
    /// Who writes, where it is a person: nothing is written unless they are signed in.
    pub author: Option<PersonId>,
    /// How many entries of this device are new.
    pub written: u64,
    /// Keys of drafts and expected photos that are done with.
    pub done_with: Vec<String>,
    /// Photos that an entry now names.
    pub photos: Vec<(String, EntryId)>,
    /// When this pull ended well, milliseconds since 1970.
    pub pulled_at: Option<i64>,
    /// The seq at which digests were found apart for good; `Some(None)` takes the remark back.
    pub differs_at: Option<Option<(u64, String)>>,
}

impl Plan {
    /// A plan that only changes records and cursor.
    pub fn of(changes: Changes) -> Self {
        Self {
            changes,
            ..Self::default()
        }
    }

    /// Puts the site's row as it is after the plan, on what lies in the store; `None` where it stays as it is.
    async fn put_row(
        &self,
        transaction: &Transaction,
        site: SiteId,
    ) -> Result<Option<SiteRow>, StoreError> {
        if self.changes.cursor.is_none() && self.pulled_at.is_none() && self.differs_at.is_none() {
            return Ok(None);
        }
        let mut row = stored_row(transaction, site).await?;
        row.cursor = self.changes.cursor.unwrap_or(row.cursor);
        row.last_pull = self.pulled_at.or(row.last_pull);
        if let Some(differs) = self.differs_at.clone() {
            row.differs = differs;
        }
        transaction.put_text(SITES, &site.to_string(), &to_text(&row)?)?;
        Ok(Some(row))
    }

    /// Marks what undo brought back, beside all that lies in the store: with its entry, or not at all.
    async fn mark(&self, transaction: &Transaction, site: SiteId) -> Result<(), StoreError> {
        if self.changes.brought_back.is_empty() {
            return Ok(());
        }
        let mut all = read_brought_back(transaction, site).await?;
        all.extend(&self.changes.brought_back);
        transaction.put_text(META, &brought_back_key(site), &to_text(&all)?)
    }

    /// Whether it takes content out of an entry, so that a photo may be named by nothing any more.
    fn takes_out(&self) -> bool {
        let mut put = self.changes.put.iter();
        !self.changes.remove.is_empty() || put.any(|record| record.entry.intent == Intent::Redact)
    }

    fn is_empty(&self) -> bool {
        self.changes.is_empty()
            && self.pulled_at.is_none()
            && self.differs_at.is_none()
            && self.photos.is_empty()
    }
}

/// Why a write did not happen: the plan's own reason, or the store's.
#[derive(Debug)]
pub enum CommitError<E> {
    /// The plan said no.
    Plan(E),
    /// Its author is not who is signed in by the store.
    OtherPerson,
    /// The store failed.
    Store(StoreError),
}

/// Why a plan was not written, by what lies in the store.
enum Unwritten {
    /// The store is ahead of what it was made on.
    Behind,
    /// Its author is not who is signed in.
    OtherPerson,
}

impl<E> From<StoreError> for CommitError<E> {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl Inner {
    /// Makes a plan on the site as it stands and the device's count of entries, and carries it out. `plan` may be
    /// called several times.
    pub async fn commit<E>(
        &self,
        site: SiteId,
        plan: impl Fn(&Replica, u64) -> Result<Plan, E>,
    ) -> Result<(), CommitError<E>> {
        for _ in 0..ATTEMPTS {
            let (replica, version) = self.replica(site).await?;
            let counter = self.counter.get();
            let plan = plan(&replica, counter).map_err(CommitError::Plan)?;
            if plan.is_empty() {
                return Ok(());
            }
            let mut written = self.write_plan(site, &plan, version, counter).await;
            if matches!(written, Err(StoreError::Full)) && photo::make_room(self).await {
                written = self.write_plan(site, &plan, version, counter).await;
            }
            match written? {
                Ok(()) => return Ok(()),
                Err(Unwritten::OtherPerson) => return Err(CommitError::OtherPerson),
                Err(Unwritten::Behind) => self.catch_up(site, version).await?,
            }
        }
        Err(StoreError::Failed("another tab keeps writing".to_owned()).into())
    }

    /// Writes the plan, where the store is as it was made on and its author is who is signed in.
    async fn write_plan(
        &self,
        site: SiteId,
        plan: &Plan,
        version: u64,
        counter: u64,
    ) -> Result<Result<(), Unwritten>, StoreError> {
        let stores = [META, SITES, ENTRIES, DRAFTS, EXPECTED, PHOTOS];
        let written = self
            .database
            .write(&stores, async |transaction| {
                let there = read_version(transaction, site).await?;
                if there != version
                    || (plan.written > 0 && read_counter(transaction).await? != counter)
                {
                    return Ok(Err(Unwritten::Behind));
                }
                if let Some(author) = plan.author
                    && !may_write(author, stored_session(transaction).await?.as_ref())
                {
                    return Ok(Err(Unwritten::OtherPerson));
                }
                transaction.put(META, &version_key(site), &((version + 1) as f64).into())?;
                if plan.written > 0 {
                    transaction.put(META, COUNTER, &((counter + plan.written) as f64).into())?;
                }
                let row = plan.put_row(transaction, site).await?;
                plan.mark(transaction, site).await?;
                self.put_all(transaction, plan)?;
                Ok(Ok(row))
            })
            .await?;
        self.note_reopened();
        match written {
            Ok(row) => Ok(Ok(self.applied(site, plan, version, counter, row).await?)),
            Err(unwritten) => Ok(Err(unwritten)),
        }
    }

    fn put_all(&self, transaction: &Transaction, plan: &Plan) -> Result<(), StoreError> {
        for record in &plan.changes.put {
            transaction.put(
                ENTRIES,
                &record.entry.id.to_string(),
                &entry_row(record, self.device)?,
            )?;
        }
        for id in &plan.changes.remove {
            transaction.delete(ENTRIES, &id.to_string())?;
        }
        for key in &plan.done_with {
            transaction.delete(DRAFTS, key)?;
            transaction.delete(EXPECTED, key)?;
        }
        for (sha256, entry) in &plan.photos {
            if let Some(mut row) = self.photo_rows.borrow().get(sha256).cloned() {
                row.named_by(*entry);
                transaction.put_text(PHOTOS, sha256, &to_text(&row)?)?;
            }
        }
        Ok(())
    }

    /// Carries what is on the disk into memory, screens and other tabs.
    async fn applied(
        &self,
        site: SiteId,
        plan: &Plan,
        version: u64,
        counter: u64,
        row: Option<SiteRow>,
    ) -> Result<(), StoreError> {
        if plan.written > 0 {
            self.counter
                .set(self.counter.get().max(counter + plan.written));
        }
        if let Some(row) = row {
            self.rows.borrow_mut().insert(site, row);
        }
        if plan.takes_out() {
            self.syncing.photos_untidy();
        }
        for (sha256, entry) in &plan.photos {
            if let Some(row) = self.photo_rows.borrow_mut().get_mut(sha256) {
                row.named_by(*entry);
            }
        }
        if let Some(slot) = self
            .slots
            .borrow_mut()
            .get_mut(&site)
            .filter(|slot| slot.version == version)
        {
            slot.replica.apply(&plan.changes);
            slot.version = version + 1;
        }
        self.load_documents(site).await?;
        self.show(site);
        self.refresh_counts().await?;
        wake::tell(self, Told::Site(site));
        Ok(())
    }

    /// Reads again what another tab has written.
    async fn catch_up(&self, site: SiteId, version: u64) -> Result<(), StoreError> {
        let (there, counter) = self
            .database
            .read(&[META], async |transaction| {
                Ok((
                    read_version(transaction, site).await?,
                    read_counter(transaction).await?,
                ))
            })
            .await?;
        self.counter.set(self.counter.get().max(counter));
        if there != version {
            self.load(site).await?;
        }
        Ok(())
    }
}
