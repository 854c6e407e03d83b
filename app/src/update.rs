//! Says that a newer build waits on this device, and switches to it only when asked.
//!
//! The other side of the four window events is public/boot.js.

use leptos::prelude::*;
use wasm_bindgen::JsValue;

/// What is known about builds other than the running one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Newer {
    /// Nothing, or the person said "later".
    None,
    /// A newer build is on the device, whole, and waits for consent.
    Waiting,
    /// Another tab switched; this one still runs the older build.
    SwitchedElsewhere,
}

/// A notice above the screen while a newer build waits; nothing otherwise.
#[component]
pub fn UpdateNotice() -> impl IntoView {
    // The event may have come before the app was mounted; boot.js leaves a mark for that.
    let marked = js_sys::Reflect::get(&window(), &JsValue::from_str("setdownUpdateWaiting"))
        .is_ok_and(|mark| mark.is_truthy());
    let newer = RwSignal::new(if marked { Newer::Waiting } else { Newer::None });
    let listen = |name: &'static str, state: Newer| {
        let handle = window_event_listener_untyped(name, move |_| newer.set(state));
        on_cleanup(move || handle.remove());
    };
    listen("setdown-update-waiting", Newer::Waiting);
    listen("setdown-build-changed", Newer::SwitchedElsewhere);
    view! { <div aria-live="polite">{move || notice(newer)}</div> }
}

fn notice(newer: RwSignal<Newer>) -> Option<AnyView> {
    let later = move |_| newer.set(Newer::None);
    match newer.get() {
        Newer::None => None,
        Newer::Waiting => Some(
            view! {
                <section class="notice stack" aria-label="Update">
                    <p>"A newer Setdown is on this device. Switching loads this page again; everything saved stays."</p>
                    <div class="row">
                        <button class="button" on:click=|_| use_new_build()>"Switch now"</button>
                        <button class="button" on:click=later>"Later"</button>
                    </div>
                </section>
            }
            .into_any(),
        ),
        Newer::SwitchedElsewhere => Some(
            view! {
                <section class="notice stack" aria-label="Update">
                    <p>"Another tab switched to a newer Setdown. Finish what you are typing, then load this page again."</p>
                    <div class="row">
                        <button class="button" on:click=|_| load_again()>"Load again"</button>
                        <button class="button" on:click=later>"Later"</button>
                    </div>
                </section>
            }
            .into_any(),
        ),
    }
}

/// Gives consent; boot.js switches the worker and loads the page again.
fn use_new_build() {
    if let Ok(event) = web_sys::Event::new("setdown-use-new-build") {
        let _ = window().dispatch_event(&event);
    }
}

fn load_again() {
    let _ = window().location().reload();
}
