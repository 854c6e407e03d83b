//! Removing a site from this phone: first what would go with it, in words, then the going.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_navigate;

use super::address;
use super::frame::say;
use super::on_site::OnSite;
use crate::device::Leaving;
use crate::words::{filled, word};

/// A fold that counts what is only on this phone when it is opened.
#[component]
pub fn LeaveBehind(
    /// The site.
    on_site: OnSite,
) -> impl IntoView {
    let counted = RwSignal::new(None::<Leaving>);
    let (sure, problem) = (RwSignal::new(false), RwSignal::new(String::new()));
    let count = move || {
        sure.set(false);
        spawn_local(async move {
            match on_site.device.leaving(on_site.id).await {
                Ok(leaving) => {
                    let _ = counted.try_set(Some(leaving));
                }
                Err(error) => {
                    let _ = problem.try_set(error.to_string());
                }
            }
        });
    };
    let navigate = StoredValue::new_local(use_navigate());
    let go = move |told: Leaving| {
        spawn_local(async move {
            match on_site.device.leave_behind(on_site.id, told).await {
                Ok(()) => {
                    say(word("leaving.gone"));
                    let _ =
                        navigate.try_with_value(|navigate| navigate("/field", Default::default()));
                }
                Err(error) => {
                    let _ = problem.try_set(error.to_string());
                    count();
                }
            }
        });
    };
    view! {
        <details class="fold leaving" on:toggle:target=move |event| if event.target().open() { count() }>
            <summary>{word("leaving.title")}</summary>
            <div class="stack">
                <p>{word("leaving.what")}</p>
                {move || counted.get().map(|leaving| told(on_site, leaving, sure, go))}
                <p role="alert" class="unclear">{move || problem.get()}</p>
            </div>
        </details>
    }
}

/// What would go, and the button where it may.
fn told(
    on_site: OnSite,
    leaving: Leaving,
    sure: RwSignal<bool>,
    go: impl Fn(Leaving) + Copy + Send + Sync + 'static,
) -> AnyView {
    let line = |key: &str, count: usize| {
        (count > 0).then(|| {
            view! { <p class="notice">{filled(key, &[("count", &count.to_string())])}</p> }
        })
    };
    let must_wait = leaving.to_send() > 0;
    let ways = (leaving.refused > 0).then(|| {
        view! {
            <div class="row">
                <a class="button" href=address::history(on_site)>{word("field.history")}</a>
                <a class="button" href="/field/settings">{word("settings.export")}</a>
            </div>
        }
    });
    let asked = (!must_wait && leaving.asks()).then(|| {
        view! {
            <label class="check-line">
                <input type="checkbox" prop:checked=move || sure.get()
                    on:change:target=move |event| sure.set(event.target().checked())/>
                <span>{word("leaving.sure")}</span>
            </label>
        }
    });
    let asks = leaving.asks();
    let button = (!must_wait).then(|| {
        view! {
            <button type="button" class="button danger" prop:disabled=move || asks && !sure.get()
                on:click=move |_| go(leaving)>
                {word("leaving.go")}
            </button>
        }
    });
    view! {
        {line("leaving.send_first", leaving.to_send())}
        {line("leaving.refused", leaving.refused)}
        {line("leaving.drafts", leaving.drafts)}
        {ways}
        {asked}
        {button}
    }
    .into_any()
}
