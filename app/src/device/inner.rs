//! The one open store of the page: what it holds in memory, and the signals that screens read.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use gloo_timers::future::TimeoutFuture;
use leptos::prelude::*;
use setdown_types::ids::{DeviceId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::site::Site;
use setdown_types::value::Value;
use setdown_types::wire::{Document, Session};
use wasm_bindgen_futures::spawn_local;
use web_sys::BroadcastChannel;

use super::database::{
    BY_SITE, BY_STATE, DOCUMENTS, DRAFTS, Database, ENTRIES, EXPECTED, META, PHOTOS, SITES, StoreError, Transaction,
    get as property,
};
use super::logic::queue::Queued;
use super::logic::replica::Replica;
use super::rows::{
    HELD, PhotoRow, REFUSED, SiteRow, UNSENT, from_text, record, to_text, version_key,
};
use super::types::*;
use super::{Device, clock, marker, sync, wake};

/// Name in the meta store of this device's id.
const DEVICE: &str = "device";
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
    static OPENING: RefCell<Option<ArcRwSignal<Opening>>> = const { RefCell::new(None) };
}

/// The open store.
#[expect(clippy::expect_used, reason = "a Device is given out by `start` alone, after the store is in place")]
pub fn get() -> Rc<Inner> {
    INNER.with_borrow(Option::clone).expect("a Device exists only while the store is open")
}

/// Starts the opening where it has not been, and tells how far it has come.
pub fn opened() -> Signal<Opening> {
    opening().into()
}

fn opening() -> ArcRwSignal<Opening> {
    if let Some(opening) = OPENING.with_borrow(Option::clone) {
        return opening;
    }
    let opening = ArcRwSignal::new(Opening::Underway);
    OPENING.set(Some(opening.clone()));
    let result = opening.clone();
    spawn_local(async move {
        let state = match start().await {
            Ok(device) => Opening::Open(device),
            Err(error) => Opening::Failed(error),
        };
        result.set(state);
    });
    opening
}

/// Waits for the opening.
pub async fn open() -> Result<Device, DeviceError> {
    let opening = opening();
    loop {
        match opening.get_untracked() {
            Opening::Open(device) => return Ok(device),
            Opening::Failed(error) => return Err(error),
            Opening::Underway => TimeoutFuture::new(20).await,
        }
    }
}

/// Everything that is read when the page opens.
struct Start {
    device: Option<DeviceId>,
    counter: u64,
    session: Option<Session>,
    rows: Vec<SiteRow>,
    photos: Vec<PhotoRow>,
}

async fn start() -> Result<Device, DeviceError> {
    let database = Database::open().await?;
    let start = database.read(&[META, SITES, PHOTOS], read_start).await?;
    let before = marker::read();
    let wiped = start.device.is_none() && before.is_some();
    let device = match start.device {
        Some(device) => device,
        None => name_device(&database).await?,
    };
    let inner = Rc::new(inner(device, database, start, wiped));
    if let Some(before) = before.filter(|_| wiped) {
        restore_rows(&inner, &before.sites).await?;
    }
    INNER.set(Some(Rc::clone(&inner)));
    inner.remember();
    inner.refresh_counts().await?;
    inner.show_photos();
    wake::listen(&inner);
    Ok(Device::new())
}

async fn read_start(transaction: &Transaction) -> Result<Start, StoreError> {
    Ok(Start {
        device: transaction.text(META, DEVICE).await?.and_then(|text| DeviceId::parse(&text)),
        counter: read_counter(transaction).await?,
        session: from_text(&transaction.get(META, SESSION).await?),
        rows: transaction.all(SITES).await?.iter().filter_map(|row| from_text(&row)).collect(),
        photos: transaction.all(PHOTOS).await?.iter().filter_map(|row| from_text(&row)).collect(),
    })
}

/// The count of entries written on this device.
pub async fn read_counter(transaction: &Transaction) -> Result<u64, StoreError> {
    let count = transaction.get(META, COUNTER).await?.as_f64().unwrap_or_default();
    Ok(count as u64)
}

/// Gives the device an id. An emptied store gets a new one: its count of entries starts over as well.
async fn name_device(database: &Database) -> Result<DeviceId, StoreError> {
    let fresh = DeviceId(clock::new_id());
    database
        .write(&[META], async |transaction| {
            // Another tab may have been first.
            if let Some(there) = transaction.text(META, DEVICE).await?.and_then(|text| DeviceId::parse(&text)) {
                return Ok(there);
            }
            transaction.put_text(META, DEVICE, &fresh.to_string())?;
            Ok(fresh)
        })
        .await
}

async fn restore_rows(inner: &Inner, sites: &[SiteId]) -> Result<(), StoreError> {
    for site in sites {
        let row = SiteRow {
            taken: true,
            ..SiteRow::unnamed(*site)
        };
        inner.save_row(row).await?;
    }
    Ok(())
}

fn inner(device: DeviceId, database: Database, start: Start, wiped: bool) -> Inner {
    let rows = start.rows.into_iter().map(|row| (row.card.site, row)).collect();
    let photos = start.photos.into_iter().map(|row| (row.sha256.clone(), row)).collect();
    Inner {
        device,
        database,
        session: ArcRwSignal::new(start.session),
        sites: ArcRwSignal::new(Vec::new()),
        photos: ArcRwSignal::new(BTreeMap::new()),
        status: ArcRwSignal::new(first_status(wiped)),
        counter: Cell::new(start.counter),
        slots: RefCell::default(),
        rows: RefCell::new(rows),
        photo_rows: RefCell::new(photos),
        documents: RefCell::default(),
        unsent: RefCell::default(),
        photo_addresses: RefCell::default(),
        channel: BroadcastChannel::new("setdown").ok(),
        syncing: sync::Syncing::default(),
    }
}

fn first_status(wiped: bool) -> SyncStatus {
    SyncStatus {
        state: SyncState::Idle,
        unsent: 0,
        oldest_unsent_minutes: None,
        held: 0,
        refused: 0,
        of_others: 0,
        photos_unsent: 0,
        last_pull: None,
        last_push: None,
        persisted: None,
        storage: None,
        update_waiting: web_sys::window()
            .is_some_and(|window| property(&window, "setdownUpdateWaiting").is_truthy()),
        wiped,
        note: wiped.then(|| {
            "The browser emptied this app's storage since your last visit. What had been sent comes back by itself."
                .to_owned()
        }),
    }
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
        rows.values().filter(|row| row.taken).map(|row| row.card.site).collect()
    }

    /// Writes a site's row, and shows it.
    pub async fn save_row(&self, row: SiteRow) -> Result<(), StoreError> {
        let (key, text) = (row.card.site.to_string(), to_text(&row)?);
        self.database
            .write(&[SITES], async |transaction| transaction.put_text(SITES, &key, &text))
            .await?;
        self.rows.borrow_mut().insert(row.card.site, row);
        Ok(())
    }

    /// Leaves a trace outside the store, by which its emptying is noticed.
    pub fn remember(&self) {
        marker::write(&marker::Marker {
            device: self.device,
            sites: self.taken(),
        });
    }

    /// Says something to the person, in passing.
    pub fn note(&self, text: &str) {
        self.status.update(|status| status.note = Some(text.to_owned()));
    }

    /// Says so where the browser had closed the store.
    pub fn note_reopened(&self) {
        if self.database.take_reopened() {
            self.note("The browser had closed the store. It was opened again and nothing was lost.");
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
        Ok(slots.get(&site).map_or_else(Default::default, |slot| (slot.replica.clone(), slot.version)))
    }

    /// Reads a site from the store.
    pub async fn load(&self, site: SiteId) -> Result<(), StoreError> {
        let key = site.to_string();
        let stores = [META, SITES, ENTRIES, DOCUMENTS];
        let (version, row, rows) = self
            .database
            .read(&stores, async |transaction| {
                let version = read_version(transaction, site).await?;
                let row: Option<SiteRow> = from_text(&transaction.get(SITES, &key).await?);
                let rows = transaction.all_by(ENTRIES, BY_SITE, &key).await?;
                Ok((version, row, rows))
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
                slot.replica = Replica::new(records, cursor);
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
            let pins = self.slots.borrow().get(&site).map(|slot| pins(&slot.replica.fold())).unwrap_or_default();
            pins.into_iter().filter(|digest| !documents.contains_key(digest)).collect()
        };
        for digest in wanted {
            let found: Option<Document> = self
                .database
                .read(&[DOCUMENTS], async |transaction| {
                    Ok(from_text(&transaction.get(DOCUMENTS, &digest).await?))
                })
                .await?;
            if let Some(document) = found {
                self.documents.borrow_mut().insert(digest, Arc::new(document));
            }
        }
        Ok(())
    }

    /// Folds a site and shows it.
    pub fn show(&self, site: SiteId) {
        let (replica, view, loaded) = {
            let slots = self.slots.borrow();
            let Some(slot) = slots.get(&site) else { return };
            (slot.replica.clone(), slot.view.clone(), slot.loaded)
        };
        let row = self.row(site);
        let folded = replica.fold();
        let pins = pins(&folded);
        let documents = self.documents.borrow();
        let card = row.as_ref().map(|row| row.card.clone()).filter(|card| !card.name.is_empty());
        let refused = replica.records.values().filter(|record| {
            record.entry.device == self.device && matches!(record.standing, Standing::Refused(_))
        });
        view.set(SiteView {
            id: site,
            loaded,
            today: card
                .as_ref()
                .and_then(|card| clock::today_in(&card.time_zone))
                .or_else(clock::today_here),
            card,
            unsent: replica.count_where(|standing| *standing == Standing::Unsent),
            held: replica.count_where(|standing| *standing == Standing::Held),
            refused: refused.map(|record| record.entry.id).collect(),
            last_pull: row.and_then(|row| row.last_pull),
            missing_documents: pins.iter().filter(|pin| !documents.contains_key(*pin)).cloned().collect(),
            documents: Arc::new(
                pins.into_iter()
                    .filter_map(|pin| Some((pin.clone(), Arc::clone(documents.get(&pin)?))))
                    .collect(),
            ),
            site: Arc::new(folded),
            records: replica.records,
        });
    }

    /// Counts what is not sent, and shows it together with the list of sites.
    pub async fn refresh_counts(&self) -> Result<(), StoreError> {
        let (unsent, held, refused) = self
            .database
            .read(&[ENTRIES], async |transaction| {
                Ok((
                    transaction.all_by(ENTRIES, BY_STATE, UNSENT).await?,
                    transaction.count_by(ENTRIES, BY_STATE, HELD).await?,
                    transaction.count_by(ENTRIES, BY_STATE, REFUSED).await?,
                ))
            })
            .await?;
        let unsent: Vec<Waiting> = unsent.iter().filter_map(|row| waiting(&row)).collect();
        self.unsent.replace(unsent);
        self.status.update(|status| {
            status.held = held;
            status.refused = refused;
        });
        self.show_counts();
        Ok(())
    }

    /// Shows the counts in memory: the status line and the list of sites.
    pub fn show_counts(&self) {
        let session = self.session();
        let unsent = self.unsent.borrow();
        let now = clock::wall();
        let oldest = unsent.iter().map(|waiting| waiting.wall).min();
        let others = unsent
            .iter()
            .filter(|waiting| session.as_ref().is_none_or(|session| !waiting.queued.belongs_to(session)))
            .count();
        let photos = self.photo_rows.borrow().values().filter(|row| !row.verified).count();
        let last_pull = self.rows.borrow().values().filter_map(|row| row.last_pull).max();
        self.status.update(|status| {
            status.unsent = unsent.len();
            status.oldest_unsent_minutes =
                oldest.map(|oldest| u64::try_from((now - oldest) / 60_000).unwrap_or_default());
            status.of_others = others;
            status.photos_unsent = photos;
            status.last_pull = last_pull;
        });
        let mut sites: Vec<SiteOnPhone> = self
            .rows
            .borrow()
            .values()
            .filter(|row| row.taken || row.offered)
            .map(|row| SiteOnPhone {
                card: row.card.clone(),
                taken: row.taken,
                last_pull: row.last_pull,
                unsent: unsent.iter().filter(|waiting| waiting.site == row.card.site).count(),
            })
            .collect();
        sites.sort_by(|a, b| (!a.taken, &a.card.name, a.card.site).cmp(&(!b.taken, &b.card.name, b.card.site)));
        if self.sites.with_untracked(|known| *known != sites) {
            self.sites.set(sites);
        }
    }

    /// Shows how far photos have come.
    pub fn show_photos(&self) {
        let states = self
            .photo_rows
            .borrow()
            .values()
            .map(|row| {
                let state = match (row.verified, row.sent) {
                    (true, _) => PhotoState::Verified,
                    (false, true) => PhotoState::Sent,
                    (false, false) => PhotoState::Kept,
                };
                (row.sha256.clone(), state)
            })
            .collect();
        self.photos.set(states);
        self.show_counts();
    }
}

fn empty_view(site: SiteId) -> SiteView {
    SiteView {
        id: site,
        loaded: false,
        card: None,
        site: Arc::default(),
        records: Arc::default(),
        documents: Arc::default(),
        missing_documents: Vec::new(),
        today: None,
        unsent: 0,
        held: 0,
        refused: Vec::new(),
        last_pull: None,
    }
}

/// Digests of all documents that standing pins of a site name.
pub fn pins(site: &Site) -> Vec<String> {
    let mut pins: Vec<String> = site
        .streams()
        .values()
        .flat_map(|stream| stream.standing())
        .filter_map(|head| match &head.value {
            Some(Value::Pin(digest)) => Some(digest.clone()),
            _ => None,
        })
        .collect();
    pins.sort();
    pins.dedup();
    pins
}

fn waiting(row: &wasm_bindgen::JsValue) -> Option<Waiting> {
    let record = record(row)?;
    Some(Waiting {
        site: record.entry.site,
        wall: record.entry.stamp.wall,
        queued: Queued {
            id: record.entry.id,
            counter: record.entry.stamp.counter,
            author: record.entry.author,
            organisation: record.entry.organisation,
            raw: record.raw,
        },
    })
}

/// The version of a site in the store.
pub async fn read_version(transaction: &Transaction, site: SiteId) -> Result<u64, StoreError> {
    let version = transaction.get(META, &version_key(site)).await?.as_f64().unwrap_or_default();
    Ok(version as u64)
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

/// Removes a site from this phone.
pub async fn leave_behind(site: SiteId) -> Result<(), DeviceError> {
    let inner = get();
    let mut row = inner.row(site).ok_or(DeviceError::UnknownSite)?;
    row.taken = false;
    row.cursor = 0;
    row.last_pull = None;
    let (key, text) = (site.to_string(), to_text(&row)?);
    let stores = [META, SITES, ENTRIES, DRAFTS, EXPECTED];
    let kept = inner
        .database
        .write(&stores, async |transaction| {
            let rows = transaction.all_by(ENTRIES, BY_SITE, &key).await?;
            let only_here = rows
                .iter()
                .filter_map(|row| record(&row))
                .filter(|record| !matches!(record.standing, Standing::Accepted(_)))
                .filter(|record| record.entry.device == inner.device)
                .count();
            if only_here > 0 {
                return Ok(only_here);
            }
            for id in transaction.keys_by(ENTRIES, BY_SITE, &key).await?.iter() {
                transaction.delete(ENTRIES, &id.as_string().unwrap_or_default())?;
            }
            transaction.put_text(SITES, &key, &text)?;
            let version = read_version(transaction, site).await? + 1;
            transaction.put(META, &version_key(site), &(version as f64).into())?;
            Ok(0)
        })
        .await?;
    if kept > 0 {
        return Err(DeviceError::Unsent(kept));
    }
    inner.rows.borrow_mut().insert(site, row);
    inner.load(site).await?;
    inner.remember();
    inner.show_counts();
    wake::tell(&inner, wake::Told::Site(site));
    Ok(())
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
            other => Self::Store(other.to_string()),
        }
    }
}

impl From<StoreError> for RequestError {
    fn from(error: StoreError) -> Self {
        Self::Device(error.into())
    }
}

