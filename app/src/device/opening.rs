//! The opening of the store: once per page, with everything that is read before the first screen.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

use gloo_timers::future::TimeoutFuture;
use leptos::prelude::*;
use setdown_types::ids::{DeviceId, SiteId};
use setdown_types::wire::Session;
use wasm_bindgen_futures::spawn_local;
use web_sys::BroadcastChannel;

use super::database::{Database, META, PHOTOS, SITES, StoreError, Transaction, get as property};
use super::inner::{self, Inner, SESSION, read_counter};
use super::rows::{PhotoRow, SiteRow, from_text};
use super::types::*;
use super::{Device, clock, marker, sync, wake};

/// Name in the meta store of this device's id.
const DEVICE: &str = "device";
/// Name in the meta store of how much an emptying of the store has cost, until the person has read it.
const WIPED: &str = "wiped";

thread_local! {
    static OPENING: RefCell<Option<ArcRwSignal<Opening>>> = const { RefCell::new(None) };
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
    wiped: Option<usize>,
    counter: u64,
    session: Option<Session>,
    rows: Vec<SiteRow>,
    photos: Vec<PhotoRow>,
}

async fn start() -> Result<Device, DeviceError> {
    let database = Database::open().await?;
    let start = database.read(&[META, SITES, PHOTOS], read_start).await?;
    let before = marker::read();
    let before = before.filter(|_| start.device.is_none());
    let lost = before.as_ref().map(|before| before.unsent);
    let wiped = lost.or(start.wiped);
    let device = match start.device {
        Some(device) => device,
        None => name_device(&database, lost).await?,
    };
    let inner = Rc::new(assembled(device, database, start, wiped));
    if let Some(before) = before {
        restore_rows(&inner, &before.sites).await?;
    }
    inner::place(Rc::clone(&inner));
    inner.refresh_counts().await?;
    inner.show_photos();
    wake::listen(&inner);
    Ok(Device::new())
}

async fn read_start(transaction: &Transaction) -> Result<Start, StoreError> {
    Ok(Start {
        device: transaction
            .text(META, DEVICE)
            .await?
            .and_then(|text| DeviceId::parse(&text)),
        wiped: transaction
            .text(META, WIPED)
            .await?
            .and_then(|text| text.parse().ok()),
        counter: read_counter(transaction).await?,
        session: from_text(&transaction.get(META, SESSION).await?),
        rows: transaction
            .all(SITES)
            .await?
            .iter()
            .filter_map(|row| from_text(&row))
            .collect(),
        photos: transaction
            .all(PHOTOS)
            .await?
            .iter()
            .filter_map(|row| from_text(&row))
            .collect(),
    })
}

/// Gives the device an id. An emptied store gets a new one: its count of entries starts over as well.
async fn name_device(database: &Database, lost: Option<usize>) -> Result<DeviceId, StoreError> {
    let fresh = DeviceId(clock::new_id());
    database
        .write(&[META], async |transaction| {
            // Another tab may have been first.
            if let Some(there) = transaction
                .text(META, DEVICE)
                .await?
                .and_then(|text| DeviceId::parse(&text))
            {
                return Ok(there);
            }
            transaction.put_text(META, DEVICE, &fresh.to_string())?;
            if let Some(lost) = lost {
                transaction.put_text(META, WIPED, &lost.to_string())?;
            }
            Ok(fresh)
        })
        .await
}

/// The person has read what an emptying of the store has cost.
pub fn loss_read() {
    let inner = inner::get();
    spawn_local(async move {
        let forgotten = inner
            .database
            .write(&[META], async |transaction| transaction.delete(META, WIPED))
            .await;
        if let Err(error) = forgotten {
            leptos::logging::warn!("what was read is told once more: {error}");
        }
    });
}

async fn restore_rows(inner: &Inner, sites: &[SiteId]) -> Result<(), StoreError> {
    for site in sites {
        inner.change_row(*site, |row| row.take(None)).await?;
    }
    Ok(())
}

fn assembled(device: DeviceId, database: Database, start: Start, wiped: Option<usize>) -> Inner {
    let rows = start
        .rows
        .into_iter()
        .map(|row| (row.card.site, row))
        .collect();
    let photos = start
        .photos
        .into_iter()
        .map(|row| (row.sha256.clone(), row))
        .collect();
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

fn first_status(wiped: Option<usize>) -> SyncStatus {
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
        note: None,
    }
}
