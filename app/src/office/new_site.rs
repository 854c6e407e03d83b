//! A new site from a spa, a practice revision and contacts.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_navigate;
use setdown_types::ids::SiteId;

use super::calls::{create_site, load_catalogue};
use super::contacts_view::{ContactFields, empty_contact};
use super::frame::OfficeFrame;
use super::loaded::short_digest;
use super::marks::Trouble;
use super::messages::{Catalogue, ContactInput, NewSiteInput, OfficeError, SheetCard};
use crate::device::new_id;
use crate::words::{filled, instant_text, word};

/// Zones offered by name; any other IANA name can be typed.
const ZONES: [&str; 10] = [
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
    "America/Toronto",
    "America/Vancouver",
    "America/Halifax",
];

/// The form.
#[component]
pub fn NewSite() -> impl IntoView {
    let catalogue = RwSignal::new(None::<Catalogue>);
    let error = RwSignal::new(None::<OfficeError>);
    spawn_local(async move {
        match load_catalogue().await {
            Ok(loaded) => {
                catalogue.try_set(Some(loaded));
            }
            Err(reason) => {
                error.try_set(Some(reason));
            }
        }
    });
    let body = move || {
        catalogue.get().map(|catalogue| {
            if catalogue.spas.is_empty() || catalogue.practices.is_empty() {
                view! { <p class="notice">{word("office.catalogue_empty")}</p> }.into_any()
            } else {
                view! { <Form catalogue error/> }.into_any()
            }
        })
    };
    view! {
        <OfficeFrame>
            <h1>{word("office.new_site")}</h1>
            {body}
            <Trouble error/>
        </OfficeFrame>
    }
}

#[component]
fn Form(catalogue: Catalogue, error: RwSignal<Option<OfficeError>>) -> impl IntoView {
    let first = |cards: &[SheetCard]| {
        cards
            .first()
            .map(|card| card.digest.clone())
            .unwrap_or_default()
    };
    let (name, zone) = (RwSignal::new(String::new()), RwSignal::new(browser_zone()));
    let (spa, practice) = (
        RwSignal::new(first(&catalogue.spas)),
        RwSignal::new(first(&catalogue.practices)),
    );
    let contacts = RwSignal::new(vec![(0_u32, RwSignal::new(empty_contact()))]);
    let (busy, problem) = (RwSignal::new(false), RwSignal::new(None::<String>));
    // Once for the form: who sends it again after an answer that was lost gets the site that there is by then.
    let site = SiteId(new_id());
    let navigate = use_navigate();
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        if name.with_untracked(|name| name.trim().is_empty()) {
            problem.set(Some(word("office.site_name_missing")));
            return;
        }
        problem.set(None);
        error.set(None);
        let written: Vec<ContactInput> =
            contacts.with_untracked(|all| all.iter().map(|(_, one)| one.get_untracked()).collect());
        let input = NewSiteInput {
            site,
            name: name.get_untracked().trim().to_owned(),
            time_zone: zone.get_untracked().trim().to_owned(),
            spa: spa.get_untracked(),
            practice: practice.get_untracked(),
            contacts: written
                .into_iter()
                .filter(|contact| *contact != empty_contact())
                .collect(),
        };
        let navigate = navigate.clone();
        busy.set(true);
        spawn_local(async move {
            match create_site(input).await {
                Ok(site) => navigate(&format!("/office/{site}"), Default::default()),
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    let zones = ZONES
        .into_iter()
        .map(|zone| view! { <option value=zone></option> })
        .collect_view();
    let another = move |_| {
        contacts.update(|all| {
            let next = all.last().map_or(0, |(number, _)| number + 1);
            all.push((next, RwSignal::new(empty_contact())));
        });
    };
    view! {
        <form class="stack new-site" novalidate on:submit=submit>
            <div class="form-grid">
                <div class="field">
                    <label for="site-name">{word("office.site_name")}</label>
                    <input id="site-name" type="text" autocomplete="off" aria-describedby="site-name-hint" on:input:target=move |event| name.set(event.target().value())/>
                    <p class="hint" id="site-name-hint">{word("office.site_name_hint")}</p>
                </div>
                <div class="field">
                    <label for="site-zone">{word("office.time_zone")}</label>
                    <input id="site-zone" type="text" list="zones" autocomplete="off" aria-describedby="site-zone-hint" prop:value=zone.get_untracked() on:input:target=move |event| zone.set(event.target().value())/>
                    <datalist id="zones">{zones}</datalist>
                    <p class="hint" id="site-zone-hint">{word("office.time_zone_hint")}</p>
                </div>
                {sheet_choice("site-spa", "office.spa", &catalogue.spas, spa)}
                {sheet_choice("site-practice", "office.practice", &catalogue.practices, practice)}
            </div>
            <h2>{word("office.view.contacts")}</h2>
            <p class="quiet">{word("office.contacts_what")}</p>
            <For each=move || contacts.get() key=|(number, _)| *number let((number, contact))>
                <fieldset class="card">
                    <legend class="seen-by-readers-only">{filled("office.contact_number", &[("number", &(number + 1).to_string())])}</legend>
                    <ContactFields prefix=format!("contact-{number}") contact/>
                </fieldset>
            </For>
            <div><button type="button" class="button" on:click=another>{word("office.add_contact")}</button></div>
            <p class="error" role="alert">{move || problem.get()}</p>
            <div class="row"><button type="submit" class="button primary" disabled=move || busy.get()>{word("office.make_site")}</button></div>
            <Show when=move || error.with(|error| error.as_ref().is_some_and(OfficeError::is_site_there))>
                <div><a class="button" href=format!("/office/{site}")>{word("office.open_made_site")}</a></div>
            </Show>
        </form>
    }
}

fn sheet_choice(
    id: &'static str,
    label: &str,
    cards: &[SheetCard],
    chosen: RwSignal<String>,
) -> impl IntoView + use<> {
    let options = cards
        .iter()
        .map(|card| {
            let text = format!("{}, {}, {}", card.name, instant_text(card.created_at, 0), short_digest(&card.digest));
            let digest = card.digest.clone();
            let value = digest.clone();
            view! { <option value=value selected=move || chosen.with(|chosen| *chosen == digest)>{text}</option> }
        })
        .collect_view();
    view! {
        <div class="field">
            <label for=id>{word(label)}</label>
            <select id=id on:change:target=move |event| chosen.set(event.target().value())>{options}</select>
        </div>
    }
}

/// The time zone of this browser, as a first guess.
fn browser_zone() -> String {
    let options = js_sys::Intl::DateTimeFormat::new(&js_sys::Array::new(), &js_sys::Object::new())
        .resolved_options();
    js_sys::Reflect::get(&options, &"timeZone".into())
        .ok()
        .and_then(|zone| zone.as_string())
        .unwrap_or_default()
}
