//! From the link to the checklist: redeems the token in the address once, then needs no network.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::party::Role;

use super::checklist::Checklist;
use crate::device::Device;
use crate::field::{OnSite, SiteState, with_device};
use crate::words::word;

/// Where the link leads.
#[component]
pub fn Start() -> impl IntoView {
    with_device(|device| view! { <Opened device/> }.into_any())
}

/// The token behind `#` in the address, if there is one.
fn token() -> Option<String> {
    let hash = window().location().hash().ok()?;
    let token = hash.strip_prefix('#')?;
    (!token.is_empty()).then(|| token.to_owned())
}

/// Takes the token out of the address, so that it is neither shared by accident nor used twice.
fn forget_token() {
    if let Ok(history) = window().history() {
        let _ = history.replace_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some("/home"));
    }
}

#[component]
fn Opened(device: Device) -> impl IntoView {
    let problem = RwSignal::new(None::<String>);
    let busy = RwSignal::new(false);
    let redeem = move |token: String| {
        busy.set(true);
        problem.set(None);
        spawn_local(async move {
            match device.open_invitation(&token).await {
                Ok(_) => forget_token(),
                Err(error) => {
                    let _ = problem.try_set(Some(error.to_string()));
                }
            }
            let _ = busy.try_set(false);
        });
    };
    if let Some(token) = token() {
        redeem(token);
    }
    // A link that is opened while this screen is open only changes what stands behind `#`: no page is loaded.
    let listening = window_event_listener(leptos::ev::hashchange, move |_| {
        if let Some(token) = token() {
            redeem(token);
        }
    });
    on_cleanup(move || listening.remove());
    let session = device.session();
    let site = Memo::new(move |_| {
        session
            .get()
            .filter(|session| session.role == Role::Homeowner)
            .and_then(|session| session.site)
    });
    move || {
        match (busy.get(), site.get()) {
        (true, _) => {
            view! { <p class="starting" role="status">{word("home.opening")}</p> }.into_any()
        }
        (false, Some(id)) => {
            let on_site = OnSite::new(device, id);
            view! { <AtHome on_site/> }.into_any()
        }
        (false, None) => view! {
            <main class="screen stack">
                <h1>{word("home.title")}</h1>
                {move || problem.get().map(|text| view! { <p class="notice error" role="alert">{text}</p> })}
                <p>{word("home.need_link")}</p>
                {token().map(|token| view! {
                    <button type="button" class="button primary" on:click=move |_| redeem(token.clone())>
                        {word("home.try_again")}
                    </button>
                })}
            </main>
        }
        .into_any(),
    }
    }
}

/// The checklist once the site is on this phone.
#[component]
fn AtHome(on_site: OnSite) -> impl IntoView {
    let kind = Memo::new(move |_| matches!(on_site.state.get(), SiteState::Ready(_)));
    move || {
        if kind.get() {
            view! { <Checklist on_site/> }.into_any()
        } else {
            view! {
                <main class="screen stack">
                    <h1>{word("home.title")}</h1>
                    <p role="status">{word("home.fetching")}</p>
                </main>
            }
            .into_any()
        }
    }
}
