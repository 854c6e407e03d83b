//! Data that keeps itself current: loaded once, loaded again whenever the server says that something changed.
//!
//! The server's pokes carry no content. What is on screen stays there until the new data is here.

use std::future::Future;
use std::sync::Arc;

use leptos::ev;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::EventSource;

use super::messages::OfficeError;

/// Where the pokes come from.
const EVENTS: &str = "/api/events";
/// How long to wait before the pokes are asked for again, where the browser has given up.
const AGAIN: std::time::Duration = std::time::Duration::from_secs(10);
/// How often data is loaded again while no pokes come.
const WITHOUT_POKES: std::time::Duration = std::time::Duration::from_secs(30);

/// Data of the server on screen.
pub struct Live<T: Send + Sync + 'static> {
    /// The data, as last heard.
    pub value: RwSignal<Option<Arc<T>>>,
    /// Why the last request failed, if it did.
    pub error: RwSignal<Option<OfficeError>>,
    /// Whether pokes come in.
    pub connected: RwSignal<bool>,
    asked: RwSignal<u64>,
}

impl<T: Send + Sync + 'static> Clone for Live<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T: Send + Sync + 'static> Copy for Live<T> {}

impl<T: Send + Sync + 'static> Live<T> {
    /// Loads again, now.
    pub fn again(self) {
        self.asked.try_update(|asked| *asked += 1);
    }
}

/// Loads by a key, again whenever the key changes or the server pokes. One request at a time; what comes in between
/// leads to one more at its end.
pub fn live<K, T, F, Answer>(key: Memo<K>, load: F) -> Live<T>
where
    K: Clone + PartialEq + Send + Sync + 'static,
    T: Send + Sync + 'static,
    F: Fn(K) -> Answer + Clone + 'static,
    Answer: Future<Output = Result<T, OfficeError>>,
{
    let live = Live {
        value: RwSignal::new(None),
        error: RwSignal::new(None),
        connected: RwSignal::new(false),
        asked: RwSignal::new(0),
    };
    let busy = StoredValue::new(false);
    let missed = StoredValue::new(false);
    listen(live.asked, live.connected);
    Effect::new(move |_| {
        live.asked.track();
        key.track();
        if busy.get_value() {
            missed.set_value(true);
            return;
        }
        busy.set_value(true);
        let load = load.clone();
        spawn_local(async move {
            while let Some(wanted) = key.try_get_untracked() {
                let answer = load(wanted.clone()).await;
                if key.try_get_untracked().as_ref() == Some(&wanted) {
                    take(live, answer);
                }
                if missed.try_get_value() != Some(true) {
                    break;
                }
                missed.set_value(false);
            }
            busy.try_update_value(|busy| *busy = false);
        });
    });
    live
}

fn take<T: Send + Sync + 'static>(live: Live<T>, answer: Result<T, OfficeError>) {
    match answer {
        Ok(value) => {
            live.value.try_set(Some(Arc::new(value)));
            live.error.try_set(None);
        }
        Err(error) => {
            live.error.try_set(Some(error));
        }
    }
}

/// Listens for pokes until the screen goes.
fn listen(asked: RwSignal<u64>, connected: RwSignal<bool>) {
    let source = StoredValue::new_local(None::<EventSource>);
    let poked = StoredValue::new_local(Closure::<dyn FnMut()>::new(move || {
        connected.try_set(true);
        asked.try_update(|asked| *asked += 1);
    }));
    let lost = StoredValue::new_local(Closure::<dyn FnMut()>::new(move || {
        connected.try_set(false);
    }));
    let open = move || {
        let Ok(opened) = EventSource::new(EVENTS) else {
            return;
        };
        poked.with_value(|poked| {
            let function = poked.as_ref().unchecked_ref();
            opened.set_onopen(Some(function));
            opened.set_onmessage(Some(function));
            let _ = opened.add_event_listener_with_callback("poke", function);
        });
        lost.with_value(|lost| opened.set_onerror(Some(lost.as_ref().unchecked_ref())));
        source.set_value(Some(opened));
    };
    open();
    // A browser gives up after an answer such as 401 or 503; then this asks again.
    let retry = set_interval_with_handle(
        move || {
            let closed = source.try_with_value(|source| {
                source
                    .as_ref()
                    .is_none_or(|source| source.ready_state() == EventSource::CLOSED)
            });
            if closed == Some(true) {
                open();
            }
        },
        AGAIN,
    );
    let poll = set_interval_with_handle(
        move || {
            if connected.try_get_untracked() == Some(false) {
                asked.try_update(|asked| *asked += 1);
            }
        },
        WITHOUT_POKES,
    );
    let focus = window_event_listener(ev::focus, move |_| {
        if connected.try_get_untracked() == Some(false) {
            asked.try_update(|asked| *asked += 1);
        }
    });
    on_cleanup(move || {
        for handle in [retry, poll].into_iter().flatten() {
            handle.clear();
        }
        focus.remove();
        source.try_with_value(|source| {
            if let Some(source) = source {
                source.set_onopen(None);
                source.set_onmessage(None);
                source.set_onerror(None);
                source.close();
            }
        });
    });
}
