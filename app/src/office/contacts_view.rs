//! Contacts of a site: outside the ledger, so that they can be erased.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::party::Party;
use uuid::Uuid;

use super::calls::{erase_contact, save_contact};
use super::loaded::on_site;
use super::marks::{Trouble, party_key, party_name};
use super::messages::{ContactInput, ContactView, OfficeError};
use crate::words::{filled, word};

/// A contact with nothing in it yet.
pub fn empty_contact() -> ContactInput {
    ContactInput {
        party: Party::Homeowner,
        name: String::new(),
        phone: String::new(),
        email: String::new(),
        address: String::new(),
        access_code: String::new(),
    }
}

/// The list, each with its form, and a form for a new one.
#[component]
pub fn ContactsView() -> impl IntoView {
    let on = on_site();
    let all = on.part(|loaded| loaded.view.contacts.clone());
    let adding = RwSignal::new(false);
    view! {
        <section class="stack" aria-labelledby="contacts-title">
            <h2 id="contacts-title" class="seen-by-readers-only">{word("office.view.contacts")}</h2>
            <p class="quiet">{word("office.contacts_what")}</p>
            <p hidden=move || !all.with(Vec::is_empty)>{word("office.no_contacts")}</p>
            <ul class="plain contacts">
                <For each=move || all.get() key=|contact| serde_json::to_string(contact).unwrap_or_default() let(contact)>
                    <One contact/>
                </For>
            </ul>
            <Show
                when=move || adding.get()
                fallback=move || view! { <div><button type="button" class="button" on:click=move |_| adding.set(true)>{word("office.add_contact")}</button></div> }
            >
                <Editor id=None contact=empty_contact() done=move || adding.set(false)/>
            </Show>
        </section>
    }
}

#[component]
fn One(contact: ContactView) -> impl IntoView {
    let on = on_site();
    let (editing, asking) = (RwSignal::new(false), RwSignal::new(false));
    let (busy, error) = (RwSignal::new(false), RwSignal::new(None::<OfficeError>));
    let id = contact.id;
    let erase = move |_| {
        busy.set(true);
        spawn_local(async move {
            match erase_contact(on.id, id).await {
                Ok(()) => on.live.again(),
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    let shown = contact.contact.clone();
    let input = contact.contact;
    let erase_label = filled("office.erase_contact", &[("name", &shown.name)]);
    view! {
        <li class="card stack-tight">
            <Show when=move || editing.get() fallback=move || details(&shown)>
                <Editor id=Some(id) contact=input.clone() done=move || editing.set(false)/>
            </Show>
            <div class="row" hidden=move || editing.get()>
                <button type="button" class="button small" on:click=move |_| editing.set(true)>{word("office.change")}</button>
                <button type="button" class="button small danger" aria-label=erase_label hidden=move || asking.get() on:click=move |_| asking.set(true)>{word("office.erase")}</button>
                <span class="row" hidden=move || !asking.get()>
                    <span>{word("office.erase_sure")}</span>
                    <button type="button" class="button small danger" disabled=move || busy.get() on:click=erase>{word("office.erase")}</button>
                    <button type="button" class="button small" on:click=move |_| asking.set(false)>{word("office.strike_no")}</button>
                </span>
            </div>
            <Trouble error/>
        </li>
    }
}

fn details(contact: &ContactInput) -> impl IntoView + use<> {
    let rows = [
        ("office.contact.phone", &contact.phone),
        ("office.contact.email", &contact.email),
        ("office.contact.address", &contact.address),
        ("office.contact.access_code", &contact.access_code),
    ]
    .into_iter()
    .filter(|(_, text)| !text.is_empty())
    .map(|(key, text)| view! { <div><dt>{word(key)}</dt><dd>{text.clone()}</dd></div> })
    .collect_view();
    view! {
        <p><strong>{contact.name.clone()}</strong> " " <span class="quiet">{party_name(contact.party)}</span></p>
        <dl class="facts">{rows}</dl>
    }
}

/// The form of one contact.
#[component]
fn Editor<Done>(id: Option<Uuid>, contact: ContactInput, done: Done) -> impl IntoView
where
    Done: Fn() + Clone + 'static,
{
    let on = on_site();
    let contact = RwSignal::new(contact);
    let (busy, error, problem) = (
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
        RwSignal::new(None::<String>),
    );
    let cancel = done.clone();
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let input = contact.get_untracked();
        if input.name.trim().is_empty() {
            problem.set(Some(word("office.contact.name_missing")));
            return;
        }
        let done = done.clone();
        busy.set(true);
        spawn_local(async move {
            match save_contact(on.id, id, input).await {
                Ok(_) => {
                    on.live.again();
                    done();
                }
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    let prefix = id.map_or_else(|| "contact-new".to_owned(), |id| format!("contact-{id}"));
    view! {
        <form class="stack" novalidate on:submit=submit>
            <ContactFields prefix contact/>
            <p class="error" role="alert">{move || problem.get()}</p>
            <Trouble error/>
            <div class="row">
                <button type="submit" class="button primary" disabled=move || busy.get()>{word("office.save")}</button>
                <button type="button" class="button" on:click=move |_| cancel()>{word("office.leave_as_is")}</button>
            </div>
        </form>
    }
}

/// The inputs of one contact.
#[component]
pub fn ContactFields(
    /// Begins the ids of its inputs; unique on the page.
    prefix: String,
    /// What is written.
    contact: RwSignal<ContactInput>,
) -> impl IntoView {
    type Part = fn(&mut ContactInput) -> &mut String;
    // No greatest length: a longer paste would be cut without a word, and the server says what is too long.
    let parts: [(&str, &str, Part); 5] = [
        ("name", "text", |contact| &mut contact.name),
        ("phone", "tel", |contact| &mut contact.phone),
        ("email", "email", |contact| &mut contact.email),
        ("address", "text", |contact| &mut contact.address),
        ("access_code", "text", |contact| &mut contact.access_code),
    ];
    let fields = parts
        .into_iter()
        .map(|(name, kind, part)| {
            let id = format!("{prefix}-{name}");
            let before = part(&mut contact.get_untracked()).clone();
            let write = move |text: String| contact.update(|contact| *part(contact) = text);
            view! {
                <div class="field">
                    <label for=id.clone()>{word(&format!("office.contact.{name}"))}</label>
                    <input id=id type=kind autocomplete="off" prop:value=before on:input:target=move |event| write(event.target().value())/>
                </div>
            }
        })
        .collect_view();
    let party_id = format!("{prefix}-party");
    let options = Party::ALL
        .into_iter()
        .map(|party| {
            let chosen = contact.with_untracked(|contact| contact.party == party);
            view! { <option value=party_key(party) selected=chosen>{party_name(party)}</option> }
        })
        .collect_view();
    let choose = move |text: String| {
        if let Some(party) = Party::ALL
            .into_iter()
            .find(|party| party_key(*party) == text)
        {
            contact.update(|contact| contact.party = party);
        }
    };
    view! {
        <div class="form-grid">
            <div class="field">
                <label for=party_id.clone()>{word("office.contact.party")}</label>
                <select id=party_id on:change:target=move |event| choose(event.target().value())>{options}</select>
            </div>
            {fields}
        </div>
    }
}
