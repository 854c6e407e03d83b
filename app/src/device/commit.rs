//! One write to a site: from a plan on what this tab knows, over a strict transaction, to memory, screens and other
//! tabs.
//!
//! IndexedDB serialises writing transactions over all tabs. Each checks that the store is still at the version that
//! the plan was made on; where it is not, nothing is written, and the plan is made again on what is there.

use setdown_types::ids::{EntryId, SiteId};

use super::database::{DRAFTS, ENTRIES, EXPECTED, META, PHOTOS, SITES, StoreError, Transaction};
use super::inner::{COUNTER, Inner, read_counter, read_version};
use super::logic::replica::{Changes, Replica};
use super::rows::{SiteRow, entry_row, to_text, version_key};
use super::wake::{self, Told};

/// How often a plan is made again because another tab was faster.
const ATTEMPTS: usize = 10;

/// What one write is to do.
#[derive(Debug, Default)]
pub struct Plan {
    /// Changes of records and cursor.
    pub changes: Changes,
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
    /// The store failed.
    Store(StoreError),
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
            if self.write_plan(site, &plan, version, counter).await? {
                return Ok(());
            }
            self.catch_up(site, version).await?;
        }
        Err(StoreError::Failed("another tab keeps writing".to_owned()).into())
    }

    /// Writes the plan; `false` where the store is ahead of what it was made on.
    async fn write_plan(
        &self,
        site: SiteId,
        plan: &Plan,
        version: u64,
        counter: u64,
    ) -> Result<bool, StoreError> {
        let row = self.row_after(site, plan);
        let row_text = row.as_ref().map(to_text).transpose()?;
        let stores = [META, SITES, ENTRIES, DRAFTS, EXPECTED, PHOTOS];
        let written = self
            .database
            .write(&stores, async |transaction| {
                let there = read_version(transaction, site).await?;
                if there != version
                    || (plan.written > 0 && read_counter(transaction).await? != counter)
                {
                    return Ok(false);
                }
                transaction.put(META, &version_key(site), &((version + 1) as f64).into())?;
                if plan.written > 0 {
                    transaction.put(META, COUNTER, &((counter + plan.written) as f64).into())?;
                }
                if let Some(text) = &row_text {
                    transaction.put_text(SITES, &site.to_string(), text)?;
                }
                self.put_all(transaction, plan)?;
                Ok(true)
            })
            .await?;
        self.note_reopened();
        if written {
            self.applied(site, plan, version, counter, row).await?;
        }
        Ok(written)
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

    /// The site's row after the plan; `None` where it stays as it is.
    fn row_after(&self, site: SiteId, plan: &Plan) -> Option<SiteRow> {
        let stays =
            plan.changes.cursor.is_none() && plan.pulled_at.is_none() && plan.differs_at.is_none();
        if stays {
            return None;
        }
        let mut row = self.row(site).unwrap_or_else(|| SiteRow::unnamed(site));
        row.cursor = plan.changes.cursor.unwrap_or(row.cursor);
        row.last_pull = plan.pulled_at.or(row.last_pull);
        if let Some(differs) = plan.differs_at.clone() {
            row.differs = differs;
        }
        Some(row)
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
