//! The sites taken along on this phone, and those that can be.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::ids::SiteId;

use super::address;
use super::frame::{FieldFrame, age_text, with_device};
use crate::device::{Device, SiteOnPhone};
use crate::words::{filled, word};

/// The list of sites.
#[component]
pub fn Sites() -> impl IntoView {
    with_device(|device| view! { <SiteList device/> }.into_any())
}

#[component]
fn SiteList(device: Device) -> impl IntoView {
    let sites = device.sites();
    let session = device.session();
    let problem = RwSignal::new(String::new());
    let refresh = move || {
        spawn_local(async move {
            let text = device
                .refresh_sites()
                .await
                .err()
                .map(|error| error.to_string())
                .unwrap_or_default();
            let _ = problem.try_set(text);
        });
    };
    if session.get_untracked().is_some() {
        refresh();
    }
    let taken = Memo::new(move |_| {
        sites
            .get()
            .into_iter()
            .filter(|site| site.taken)
            .collect::<Vec<_>>()
    });
    let others = Memo::new(move |_| {
        sites
            .get()
            .into_iter()
            .filter(|site| !site.taken)
            .collect::<Vec<_>>()
    });
    let bottom = move || {
        view! {
            <a class="button" href="/field/settings">{word("field.settings")}</a>
            <button type="button" class="button" on:click=move |_| refresh()>{word("sites.refresh")}</button>
        }
        .into_any()
    };
    view! {
        <FieldFrame device back="/".to_owned() title=word("sites.title") bottom=bottom says_who=true>
            <h1>{word("sites.heading")}</h1>
            {move || match session.get() {
                None => view! {
                    <div class="notice">
                        <p>{word("sites.not_signed_in")}</p>
                        <a class="button primary" href="/sign-in">{word("field.sign_in")}</a>
                    </div>
                }.into_any(),
                Some(session) => view! { <p class="quiet">{filled("sites.signed_in_as", &[("name", &session.name)])}</p> }.into_any(),
            }}
            <ul class="plain stack">
                <For each=move || taken.get() key=|site| (site.card.site, site.unsent, site.last_pull, site.no_longer_yours) let:site>
                    <li><TakenSite device site/></li>
                </For>
            </ul>
            {move || taken.with(Vec::is_empty).then(|| view! { <p>{word("sites.none_taken")}</p> })}
            {move || (!others.with(Vec::is_empty)).then(|| view! { <h2>{word("sites.others")}</h2> })}
            <ul class="plain stack">
                <For each=move || others.get() key=|site| site.card.site let:site>
                    <li><OtherSite device site/></li>
                </For>
            </ul>
            <p class="quiet" role="status">{move || problem.get()}</p>
        </FieldFrame>
    }
}

fn pulled_text(device: Device, site: &SiteOnPhone) -> String {
    match site.last_pull {
        None => word("sites.never_pulled"),
        Some(at) => {
            let minutes = u64::try_from((device.now() - at) / 60_000).unwrap_or(0);
            filled("sites.pulled", &[("age", &age_text(minutes))])
        }
    }
}

#[component]
fn TakenSite(device: Device, site: SiteOnPhone) -> impl IntoView {
    let unsent =
        (site.unsent > 0).then(|| filled("sites.unsent", &[("count", &site.unsent.to_string())]));
    let closed = site.no_longer_yours.then(|| {
        view! {
            <span class="badge">{word("sites.no_longer_yours")}</span>
            <span class="quiet">{word("sites.no_longer_yours_help")}</span>
        }
    });
    view! {
        <a class="card site-card" href=address::of(site.card.site)>
            <strong>{site.card.name.clone()}</strong>
            <span class="quiet number">{pulled_text(device, &site)}</span>
            {unsent.map(|text| view! { <span class="badge">{text}</span> })}
            {closed}
        </a>
    }
}

#[component]
fn OtherSite(device: Device, site: SiteOnPhone) -> impl IntoView {
    let under_way = RwSignal::new(false);
    let problem = RwSignal::new(String::new());
    let take = move |id: SiteId| {
        under_way.set(true);
        spawn_local(async move {
            if let Err(error) = device.take_along(id).await {
                let _ = problem.try_set(error.to_string());
            }
            let _ = under_way.try_set(false);
        });
    };
    let id = site.card.site;
    view! {
        <div class="card site-card">
            <strong>{site.card.name.clone()}</strong>
            <button type="button" class="button" prop:disabled=move || under_way.get() on:click=move |_| take(id)>
                {move || word(if under_way.get() { "sites.taking" } else { "sites.take" })}
            </button>
            <p class="unclear" role="status">{move || problem.get()}</p>
        </div>
    }
}
