//! The one open store of the page: what it holds in memory, and the signals that screens read.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_types::ids::{DeviceId, EntryId, SiteId};
use setdown_types::ledger::Record;
use setdown_types::wire::{Document, Session};
use wasm_bindgen_futures::spawn_local;
use web_sys::BroadcastChannel;

use super::database::{
    BY_SITE, DOCUMENTS, Database, ENTRIES, META, SITES, StoreError, Transaction,
};
use super::logic::queue::Queued;
use super::logic::replica::Replica;
use super::rows::{PhotoRow, SiteRow, brought_back_key, from_text, record, to_text, version_key};
use super::showing::{empty_view, pins};
use super::types::*;
use super::{marker, sync};

/// Name in the meta store of the count of entries written on this device.
pub const COUNTER: &str = "counter";
/// Name in the meta store of the session as last heard from the server.
pub const SESSION: &str = "session";

/// The open store.
pub struct Inner {
    /// This browser profile.
    pub device: DeviceId,
    /// Where everything lies.
    pub database: Database,
    /// Who is signed in.
    pub session: ArcRwSignal<Option<Session>>,
    /// The list of sites.
    pub sites: ArcRwSignal<Vec<SiteOnPhone>>,
    /// How far photos have come.
    pub photos: ArcRwSignal<BTreeMap<String, PhotoState>>,
    /// What is sent and what is not.
    pub status: ArcRwSignal<SyncStatus>,
    /// The device's count of entries, as this tab knows it.
    pub counter: Cell<u64>,
    /// Sites whose records are in memory.
    pub slots: RefCell<BTreeMap<SiteId, Slot>>,
    /// Every known site.
    pub rows: RefCell<BTreeMap<SiteId, SiteRow>>,
    /// Every photo on this phone.
    pub photo_rows: RefCell<BTreeMap<String, PhotoRow>>,
    /// Documents read so far, by digest.
    pub documents: RefCell<BTreeMap<String, Arc<Document>>>,
    /// What is only on this phone, of every site.
    pub unsent: RefCell<Vec<Waiting>>,
    /// Addresses of photos made for this page, by hash.
    pub photo_addresses: RefCell<BTreeMap<String, String>>,
    /// Where other tabs are told.
    pub channel: Option<BroadcastChannel>,
    /// The state of the sync client.
    pub syncing: sync::Syncing,
}

/// One site in memory.
pub struct Slot {
    /// Its records and cursor.
    pub replica: Replica,
    /// The version of the store that this is.
    pub version: u64,
    /// Whether the store has been read.
    pub loaded: bool,
    /// What screens read.
    pub view: ArcRwSignal<SiteView>,
}

/// One unsent entry with where it belongs.
#[derive(Debug, Clone)]
pub struct Waiting {
    /// Its site.
    pub site: SiteId,
    /// When it was written, milliseconds since 1970 by this phone.
    pub wall: i64,
    /// The entry as the queue sees it.
    pub queued: Queued,
}

thread_local! {
    static INNER: RefCell<Option<Rc<Inner>>> = const { RefCell::new(None) };
}

/// Puts the open store in its place.
pub fn place(inner: Rc<Inner>) {
    INNER.set(Some(inner));
}

/// The open store.
#[expect(
    clippy::expect_used,
    reason = "a Device is given out by `start` alone, after the store is in place"
)]
pub fn get() -> Rc<Inner> {
    INNER
        .with_borrow(Option::clone)
        .expect("a Device exists only while the store is open")
}

/// The count of entries written on this device.
pub async fn read_counter(transaction: &Transaction) -> Result<u64, StoreError> {
    let count = transaction
        .get(META, COUNTER)
        .await?
        .as_f64()
        .unwrap_or_default();
    Ok(count as u64)
}

impl Inner {
    /// The signed-in person, if there is one.
    pub fn session(&self) -> Option<Session> {
        self.session.get_untracked()
    }

    /// The row of a site.
    pub fn row(&self, site: SiteId) -> Option<SiteRow> {
        self.rows.borrow().get(&site).cloned()
    }

    /// Sites that were taken along.
    pub fn taken(&self) -> Vec<SiteId> {
        let rows = self.rows.borrow();
        rows.values()
            .filter(|row| row.taken)
            .map(|row| row.card.site)
            .collect()
    }

    /// Sites that are kept up to date in the present session.
    pub fn pulled(&self) -> Vec<SiteId> {
        let Some(session) = self.session() else {
            return Vec::new();
        };
        let rows = self.rows.borrow();
        rows.values()
            .filter(|row| row.is_pulled(&session))
            .map(|row| row.card.site)
            .collect()
    }

    /// Changes a site's row as it lies in the store, so that nothing written meanwhile is overwritten.
    pub async fn change_row(
        &self,
        site: SiteId,
        change: impl Fn(&mut SiteRow),
    ) -> Result<(), StoreError> {
        let row = self
            .database
            .write(&[SITES], async |transaction| {
                let mut row = stored_row(transaction, site).await?;
                change(&mut row);
                transaction.put_text(SITES, &site.to_string(), &to_text(&row)?)?;
                Ok(row)
            })
            .await?;
        self.rows.borrow_mut().insert(site, row);
        Ok(())
    }

    /// Leaves a trace outside the store, by which its emptying is noticed.
    pub fn remember(&self) {
        marker::write(&marker::Marker {
            device: self.device,
            sites: self.taken(),
            unsent: self.unsent.borrow().len()
                + self.photos_unsent()
                + self.status.with_untracked(|status| status.refused),
        });
    }

    /// How many photos the server has not verified yet.
    pub fn photos_unsent(&self) -> usize {
        let rows = self.photo_rows.borrow();
        rows.values().filter(|row| row.waits()).count()
    }

    /// Says something to the person, in passing.
    pub fn note(&self, text: &str) {
        self.status
            .update(|status| status.note = Some(text.to_owned()));
    }

    /// Says so where the browser had closed the store.
    pub fn note_reopened(&self) {
        if self.database.take_reopened() {
            self.note(
                "The browser had closed the store. It was opened again and nothing was lost.",
            );
        }
    }

    /// The signal of a site; makes the slot where there is none.
    fn view(&self, site: SiteId) -> (ArcRwSignal<SiteView>, bool) {
        let mut slots = self.slots.borrow_mut();
        let slot = slots.entry(site).or_insert_with(|| Slot {
            replica: Replica::default(),
            version: 0,
            loaded: false,
            view: ArcRwSignal::new(empty_view(site)),
        });
        (slot.view.clone(), slot.loaded)
    }

    /// The site's records and the version they are of, read from the store where they are not in memory.
    pub async fn replica(&self, site: SiteId) -> Result<(Replica, u64), StoreError> {
        if !self.view(site).1 {
            self.load(site).await?;
        }
        let slots = self.slots.borrow();
        Ok(slots.get(&site).map_or_else(Default::default, |slot| {
            (slot.replica.clone(), slot.version)
        }))
    }

    /// Reads a site from the store.
    pub async fn load(&self, site: SiteId) -> Result<(), StoreError> {
        let key = site.to_string();
        let stores = [META, SITES, ENTRIES, DOCUMENTS];
        let (version, row, rows, brought_back) = self
            .database
            .read(&stores, async |transaction| {
                let version = read_version(transaction, site).await?;
                let row: Option<SiteRow> = from_text(&transaction.get(SITES, &key).await?);
                let rows = transaction.all_by(ENTRIES, BY_SITE, &key).await?;
                let brought_back = read_brought_back(transaction, site).await?;
                Ok((version, row, rows, brought_back))
            })
            .await?;
        let records: Vec<Record> = rows.iter().filter_map(|row| record(&row)).collect();
        let cursor = row.as_ref().map_or(0, |row| row.cursor);
        if let Some(row) = row {
            self.rows.borrow_mut().insert(site, row);
        }
        self.view(site);
        if let Some(slot) = self.slots.borrow_mut().get_mut(&site) {
            // A write may have come in between; what it left in memory is newer.
            if !slot.loaded || slot.version <= version {
                slot.replica = Replica::new(records, cursor).with_brought_back(brought_back);
                slot.version = version;
                slot.loaded = true;
            }
        }
        self.load_documents(site).await?;
        self.show(site);
        Ok(())
    }

    /// Reads pinned documents of a site that are not in memory yet.
    pub async fn load_documents(&self, site: SiteId) -> Result<(), StoreError> {
        let wanted: Vec<String> = {
            let documents = self.documents.borrow();
            let pins = self
                .slots
                .borrow()
                .get(&site)
                .map(|slot| pins(&slot.replica.fold()))
                .unwrap_or_default();
            pins.into_iter()
                .filter(|digest| !documents.contains_key(digest))
                .collect()
        };
        for digest in wanted {
            let found: Option<Document> = self
                .database
                .read(&[DOCUMENTS], async |transaction| {
                    Ok(from_text(&transaction.get(DOCUMENTS, &digest).await?))
                })
                .await?;
            if let Some(document) = found {
                self.documents
                    .borrow_mut()
                    .insert(digest, Arc::new(document));
            }
        }
        Ok(())
    }
}

/// The row of a site in the store; of a site that is not there yet, an unnamed one.
pub async fn stored_row(transaction: &Transaction, site: SiteId) -> Result<SiteRow, StoreError> {
    let row = from_text(&transaction.get(SITES, &site.to_string()).await?);
    Ok(row.unwrap_or_else(|| SiteRow::unnamed(site)))
}

/// The version of a site in the store.
pub async fn read_version(transaction: &Transaction, site: SiteId) -> Result<u64, StoreError> {
    let version = transaction
        .get(META, &version_key(site))
        .await?
        .as_f64()
        .unwrap_or_default();
    Ok(version as u64)
}

/// What undo brought back on a site.
pub async fn read_brought_back(
    transaction: &Transaction,
    site: SiteId,
) -> Result<BTreeSet<EntryId>, StoreError> {
    let stored = transaction.get(META, &brought_back_key(site)).await?;
    Ok(from_text(&stored).unwrap_or_default())
}

/// The signal of a site; reads it where that has not been done.
pub fn site(site: SiteId) -> Signal<SiteView> {
    let inner = get();
    let (view, loaded) = inner.view(site);
    if !loaded {
        spawn_local(async move {
            if let Err(error) = inner.load(site).await {
                inner.status.update(|status| {
                    status.state = SyncState::Error(DeviceError::from(error).to_string());
                });
            }
        });
    }
    view.into()
}

/// Raises an event on the window.
pub fn announce(name: &str) {
    if let (Some(window), Ok(event)) = (web_sys::window(), web_sys::Event::new(name)) {
        let _ = window.dispatch_event(&event);
    }
}

impl From<StoreError> for DeviceError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Blocked => Self::Blocked,
            StoreError::Newer => Self::Newer,
            StoreError::Missing(reason) => Self::NoStore(reason),
            StoreError::Full => Self::Full,
            other => Self::Store(other.to_string()),
        }
    }
}

impl From<StoreError> for RequestError {
    fn from(error: StoreError) -> Self {
        Self::Device(error.into())
    }
}
