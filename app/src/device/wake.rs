//! What wakes the sync client, and what passes between tabs and from the server.

use std::cell::RefCell;
use std::rc::Rc;

use gloo_timers::callback::Interval;
use js_sys::{Function, Object, Promise};
use leptos::prelude::*;
use serde::{Deserialize, Serialize};
use setdown_types::ids::SiteId;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{EventSource, EventTarget, MessageEvent, StorageManager};

use super::database::{PHOTOS, SITES, StoreError, get, set};
use super::inner::Inner;
use super::rows::{PhotoRow, SiteRow, from_text};
use super::types::StorageEstimate;
use super::{people, sync};

/// What one tab tells the others. It carries no content: they read the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Told {
    /// A site's entries changed.
    Site(SiteId),
    /// The list of sites changed.
    Sites,
    /// Somebody signed in or out.
    Session,
    /// A photo was kept or got further.
    Photos,
    /// Something wants to be sent.
    Wake,
}

thread_local! {
    static SERVER: RefCell<Option<EventSource>> = const { RefCell::new(None) };
}

/// Tells the other tabs.
pub fn tell(inner: &Inner, told: Told) {
    if let (Some(channel), Ok(text)) = (&inner.channel, serde_json::to_string(&told)) {
        // A closed channel has nobody to tell.
        let _ = channel.post_message(&text.into());
    }
}

/// Listens, for the life of the page, to everything that calls for a sync round; and asks for the first one.
pub fn listen(inner: &Rc<Inner>) {
    if let Some(window) = web_sys::window() {
        on(&window, "online", sync::wake);
        for event in ["focus", "pageshow"] {
            let here = Rc::clone(inner);
            on(&window, event, move || come_back(&here));
        }
        let waiting = Rc::clone(inner);
        on(&window, "setdown-update-waiting", move || {
            waiting.status.update(|status| status.update_waiting = true);
        });
        if let Some(document) = window.document() {
            let shown = document.clone();
            let here = Rc::clone(inner);
            on(&document, "visibilitychange", move || {
                if is_hidden(&shown) {
                    close_server();
                } else {
                    come_back(&here);
                }
            });
        }
    }
    let minute = Rc::clone(inner);
    Interval::new(60_000, move || minute.show_counts()).forget();
    listen_to_tabs(inner);
    sync::wake();
}

/// A page that was frozen has heard nothing of who came in meanwhile.
fn come_back(inner: &Rc<Inner>) {
    let inner = Rc::clone(inner);
    spawn_local(async move {
        if let Err(error) = people::take_over(&inner).await {
            leptos::logging::warn!("who is signed in could not be read: {error}");
        }
        sync::wake();
    });
}

fn is_hidden(document: &JsValue) -> bool {
    get(document, "hidden").is_truthy()
}

fn on(target: &EventTarget, event: &str, action: impl Fn() + 'static) {
    let closure = Closure::<dyn Fn()>::new(action).into_js_value();
    // Fails only for a closure that is no function.
    let _ = target.add_event_listener_with_callback(event, closure.unchecked_ref());
}

fn listen_to_tabs(inner: &Rc<Inner>) {
    let Some(channel) = &inner.channel else {
        return;
    };
    let inner = Rc::clone(inner);
    let heard = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
        let told = event
            .data()
            .as_string()
            .and_then(|text| serde_json::from_str(&text).ok());
        if let Some(told) = told {
            let inner = Rc::clone(&inner);
            spawn_local(async move {
                if let Err(error) = hear(&inner, told).await {
                    leptos::logging::warn!("what another tab did could not be read: {error}");
                }
            });
        }
    });
    channel.set_onmessage(Some(heard.into_js_value().unchecked_ref()));
}

/// Reads again what another tab changed.
async fn hear(inner: &Rc<Inner>, told: Told) -> Result<(), StoreError> {
    match told {
        Told::Wake => sync::wake(),
        Told::Site(site) => {
            let shown = inner
                .slots
                .borrow()
                .get(&site)
                .is_some_and(|slot| slot.loaded);
            if shown {
                inner.load(site).await?;
            }
            inner.refresh_counts().await?;
        }
        Told::Sites => {
            let rows = inner
                .database
                .read(&[SITES], async |transaction| transaction.all(SITES).await)
                .await?;
            let rows = rows.iter().filter_map(|row| from_text::<SiteRow>(&row));
            inner
                .rows
                .replace(rows.map(|row| (row.card.site, row)).collect());
            inner.show_counts();
        }
        Told::Session => people::take_over(inner).await?,
        Told::Photos => {
            let rows = inner
                .database
                .read(&[PHOTOS], async |transaction| transaction.all(PHOTOS).await)
                .await?;
            let rows = rows.iter().filter_map(|row| from_text::<PhotoRow>(&row));
            inner
                .photo_rows
                .replace(rows.map(|row| (row.sha256.clone(), row)).collect());
            inner.show_photos();
        }
    }
    Ok(())
}

/// Listens to the server's pokes where that is not done yet. They carry nothing; pulling is the fact.
pub fn listen_to_server(inner: &Inner) {
    let open = SERVER.with_borrow(|server| {
        server
            .as_ref()
            .is_some_and(|server| server.ready_state() != EventSource::CLOSED)
    });
    let hidden = web_sys::window()
        .and_then(|window| window.document())
        .is_some_and(|document| is_hidden(&document));
    if open || hidden || inner.session().is_none() {
        return;
    }
    let Ok(server) = EventSource::new("/api/events") else {
        return;
    };
    // Once an opened connection fails, the browser tries again by itself; until then the timer does.
    for event in ["message", "poke"] {
        on(&server, event, sync::wake);
    }
    SERVER.set(Some(server));
}

fn close_server() {
    if let Some(server) = SERVER.take() {
        server.close();
    }
}

/// The answer to asking for a lock.
pub enum Lock {
    /// Ours until it is given back (or this browser has no locks, and then other tabs do not matter much: every part
    /// of a round may be done twice).
    Held(Guard),
    /// Another tab has it.
    Elsewhere,
}

/// A lock that is held; a page that dies gives it back as well.
#[derive(Default)]
pub struct Guard {
    release: Option<Function>,
    over: Option<Promise>,
}

impl Guard {
    /// Gives the lock back, and waits until the browser has taken it: asked for at once, it would seem to be taken.
    pub async fn give_back(self) {
        if let Some(release) = &self.release {
            let _ = release.call0(&JsValue::UNDEFINED);
        }
        if let Some(over) = self.over {
            let _ = JsFuture::from(over).await;
        }
    }
}

/// Takes a lock that one tab at a time may hold, without waiting for it.
pub async fn lock(name: &str) -> Lock {
    let locks = web_sys::window()
        .map(|window| get(&window.navigator(), "locks"))
        .unwrap_or(JsValue::UNDEFINED);
    let Ok(request) = get(&locks, "request").dyn_into::<Function>() else {
        return Lock::Held(Guard::default());
    };
    let mut guard = Guard::default();
    let held = Promise::new(&mut |resolve, _| guard.release = Some(resolve));
    let options = Object::new();
    set(&options, "ifAvailable", &true.into());
    let granted = Promise::new(&mut |resolve, _| {
        let held = held.clone();
        let answer = Closure::once_into_js(move |lock: JsValue| -> JsValue {
            let here = !lock.is_null();
            let _ = resolve.call1(&JsValue::UNDEFINED, &here.into());
            if here {
                held.into()
            } else {
                JsValue::UNDEFINED
            }
        });
        let over = request.call3(&locks, &name.into(), &options, &answer);
        guard.over = over.ok().and_then(|over| over.dyn_into().ok());
    });
    let Some(over) = guard.over.clone() else {
        return Lock::Held(Guard::default());
    };
    // The request itself ends first only where it failed; then every part of a round may be done twice.
    match JsFuture::from(Promise::race(&js_sys::Array::of2(&granted, &over))).await {
        Ok(here) if here.is_falsy() => Lock::Elsewhere,
        Ok(_) => Lock::Held(guard),
        Err(_) => Lock::Held(Guard::default()),
    }
}

fn storage() -> Option<StorageManager> {
    let navigator = web_sys::window()?.navigator();
    // Missing outside secure contexts.
    get(&navigator, "storage").dyn_into().ok()
}

/// Asks the browser, once per page, to keep the store. Called after an entry was saved: browsers grant it to pages
/// that are used.
pub fn ask_to_persist(inner: &Rc<Inner>) {
    if inner
        .status
        .with_untracked(|status| status.persisted.is_some())
    {
        return;
    }
    let inner = Rc::clone(inner);
    spawn_local(async move {
        let Some(promise) = storage().and_then(|storage| storage.persist().ok()) else {
            return;
        };
        if let Ok(answer) = JsFuture::from(promise).await {
            inner
                .status
                .update(|status| status.persisted = Some(answer.is_truthy()));
        }
    });
}

/// Looks up how much room there is, and whether the browser has promised to keep the store.
pub async fn look_at_storage(inner: &Inner) {
    let Some(storage) = storage() else { return };
    if let Ok(promise) = storage.estimate()
        && let Ok(estimate) = JsFuture::from(promise).await
    {
        let usage = get(&estimate, "usage").as_f64();
        let quota = get(&estimate, "quota").as_f64();
        if let (Some(usage), Some(quota)) = (usage, quota) {
            inner
                .status
                .update(|status| status.storage = Some(StorageEstimate { usage, quota }));
        }
    }
    if let Ok(promise) = storage.persisted()
        && let Ok(kept) = JsFuture::from(promise).await
        && kept.is_truthy()
    {
        inner.status.update(|status| status.persisted = Some(true));
    }
}
