//! From the link to the checklist: redeems the token in the address once, then needs no network.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_navigate;
use setdown_types::party::Role;

use super::checklist::Checklist;
use crate::device::Device;
use crate::field::{OnSite, SiteState, with_device};
use crate::words::{filled, word};

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
    let asking = RwSignal::new(None::<String>);
    let redeem = move |token: String| {
        asking.set(None);
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
    // Nobody is put out of their place, and nothing unsent is left behind, without a word.
    let come = move |token: String| {
        busy.set(true);
        spawn_local(async move {
            let asks = device.asks_before_opening(&token).await;
            if busy.try_set(false).is_some() {
                return;
            }
            match asks {
                Ok(true) => asking.set(Some(token)),
                Ok(false) => redeem(token),
                Err(error) => problem.set(Some(error.to_string())),
            }
        });
    };
    if let Some(token) = token() {
        come(token);
    }
    // A link that is opened while this screen is open only changes what stands behind `#`: no page is loaded.
    let listening = window_event_listener(leptos::ev::hashchange, move |_| {
        if let Some(token) = token() {
            come(token);
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
        match (asking.get(), busy.get(), site.get()) {
        (Some(token), ..) => view! {
            <AskFirst device
                open=Callback::new(move |()| redeem(token.clone()))
                stay=Callback::new(move |()| { forget_token(); asking.set(None); })/>
        }
        .into_any(),
        (None, true, _) => {
            view! { <p class="starting" role="status">{word("home.opening")}</p> }.into_any()
        }
        (None, false, Some(id)) => {
            let on_site = OnSite::new(device, id);
            view! {
                <DidNotOpen problem again=Callback::new(redeem)/>
                <AtHome on_site/>
            }
            .into_any()
        }
        (None, false, None) => view! {
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

/// A further link that did not open, above the list of the one before.
#[component]
fn DidNotOpen(problem: RwSignal<Option<String>>, again: Callback<String>) -> impl IntoView {
    let leave = move |_| {
        forget_token();
        problem.set(None);
    };
    move || {
        let text = problem.get()?;
        Some(view! {
            <div class="notice error" role="alert">
                <p>{text}</p>
                <div class="row">
                    {token().map(|token| view! {
                        <button type="button" class="button primary" on:click=move |_| again.run(token.clone())>
                            {word("home.try_again")}
                        </button>
                    })}
                    <button type="button" class="button" on:click=leave>{word("opening.stay")}</button>
                </div>
            </div>
        })
    }
}

/// Who is here and what is only on this phone, before a link is opened over it.
#[component]
fn AskFirst(device: Device, open: Callback<()>, stay: Callback<()>) -> impl IntoView {
    let session = device.session().get_untracked();
    let in_use = session
        .as_ref()
        .map(|session| filled("opening.in_use", &[("name", &session.name)]));
    let at_work = session.is_some_and(|session| session.role != Role::Homeowner);
    let status = device.status();
    let only_here = move || {
        let count = status.with(|status| status.unsent + status.photos_unsent);
        (count > 0).then(|| filled("opening.only_here", &[("count", &count.to_string())]))
    };
    let navigate = use_navigate();
    let leave = move |_| {
        stay.run(());
        if at_work {
            navigate("/field", Default::default());
        }
    };
    view! {
        <main class="screen stack">
            <h1>{word("home.title")}</h1>
            {in_use.map(|text| view! { <p class="notice">{text}</p> })}
            {move || only_here().map(|text| view! { <p class="notice">{text}</p> })}
            <button type="button" class="button primary" on:click=leave>{word("opening.stay")}</button>
            <button type="button" class="button" on:click=move |_| open.run(())>{word("opening.go")}</button>
        </main>
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
