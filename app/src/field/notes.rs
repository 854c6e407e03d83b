//! Notes and photos of the site as a whole, and those that stay with the dealer.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Intent, Method};
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::{PhotoRef, Value};

use super::address;
use super::frame::{FieldFrame, NoSite, anew_for_each_person, say, site_here, with_device};
use super::history::EntryList;
use super::on_site::OnSite;
use crate::device::NewAnswer;
use crate::parts::entries::{PhotoEntry, TextEntry};
use crate::words::word;

const NOTE: &str = "site.note";
const PHOTO: &str = "site.photo";
const STAFF_NOTE: &str = "site.staff_note";
const STAFF_PHOTO: &str = "site.staff_photo";

/// Notes and photos; they need no sheet, so they can be taken whatever else is missing.
#[component]
pub fn Notes() -> impl IntoView {
    with_device(|device| {
        let page = move || match site_here(device) {
            Some(id) => view! { <NotePage on_site=OnSite::new(device, id)/> }.into_any(),
            None => NoSite().into_any(),
        };
        anew_for_each_person(device, Arc::new(page))
    })
}

#[component]
fn NotePage(on_site: OnSite) -> impl IntoView {
    let keeping = Keeping {
        under_way: RwSignal::new(false),
        problem: RwSignal::new(String::new()),
    };
    let staff = (!on_site.home_now()).then(|| {
        let (note, photo) = (
            draft_of(on_site, STAFF_NOTE),
            draft_of(on_site, STAFF_PHOTO),
        );
        // What was begun there is not to be looked for.
        let begun = Memo::new(move |was: Option<&bool>| {
            was == Some(&true)
                || note.with(|text| !text.is_empty())
                || photo.with(|text| !text.is_empty())
        });
        view! {
            <details class="fold staff-only" open=begun>
                <summary><h2>{word("notes.staff")}</h2></summary>
                <div class="stack">
                    <p class="quiet">{word("notes.staff_help")}</p>
                    <NewNote on_site question=STAFF_NOTE note keeping/>
                    <NewPhoto on_site question=STAFF_PHOTO photo keeping/>
                    <SoFar on_site note=STAFF_NOTE photo=STAFF_PHOTO/>
                </div>
            </details>
        }
    });
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("field.notes")}</h1>
            <NewNote on_site question=NOTE note=draft_of(on_site, NOTE) keeping/>
            <NewPhoto on_site question=PHOTO photo=draft_of(on_site, PHOTO) keeping/>
            <p role="alert" class="unclear">{move || keeping.problem.get()}</p>
            {staff}
            <SoFar on_site note=NOTE photo=PHOTO/>
        </FieldFrame>
    }
}

/// What becomes of what is kept on this page.
#[derive(Clone, Copy)]
struct Keeping {
    /// A save is under way.
    under_way: RwSignal<bool>,
    /// Why the last one did not happen.
    problem: RwSignal<String>,
}

/// Keeps a further note or photo: it stands beside the first and replaces nothing.
fn keep(
    on_site: OnSite,
    question: &'static str,
    (value, method): (Value, Method),
    text: RwSignal<String>,
    keeping: Keeping,
) {
    // A second tap keeps nothing twice.
    if keeping.under_way.get_untracked() {
        return;
    }
    keeping.under_way.set(true);
    let typed = text.get_untracked();
    spawn_local(async move {
        let new = NewAnswer::new(on_site.id, Subject::SITE, question, value, method)
            .intent(Intent::Repeat);
        match on_site.device.append(new).await {
            Ok(_) => {
                match text.try_get_untracked() {
                    Some(now) if now == typed => text.set(String::new()),
                    // What was typed on while it was being saved stays.
                    Some(now) => keep_draft(on_site, question, &now).await,
                    None => {}
                }
                let _ = keeping.problem.try_set(String::new());
                say(word("notes.saved"));
            }
            Err(error) => {
                let _ = keeping.problem.try_set(error.to_string());
            }
        }
        let _ = keeping.under_way.try_set(false);
    });
}

#[component]
fn NewNote(
    on_site: OnSite,
    question: &'static str,
    note: RwSignal<String>,
    keeping: Keeping,
) -> impl IntoView {
    let keep_note = move |_| {
        let text = note.get_untracked();
        if !text.trim().is_empty() {
            let value = Value::Text(text.trim().to_owned());
            keep(on_site, question, (value, Method::Seen), note, keeping);
        }
    };
    view! {
        <section class="card">
            <h2>{word("notes.note")}</h2>
            <TextEntry text=note plain=true/>
            <button type="button" class="button primary" on:click=keep_note
                prop:disabled=move || keeping.under_way.get() || note.with(|text| text.trim().is_empty())>
                {word("notes.keep")}
            </button>
        </section>
    }
}

#[component]
fn NewPhoto(
    on_site: OnSite,
    question: &'static str,
    photo: RwSignal<String>,
    keeping: Keeping,
) -> impl IntoView {
    let keep_photo = move |_| {
        if let Ok(kept) = serde_json::from_str::<PhotoRef>(&photo.get_untracked()) {
            keep(
                on_site,
                question,
                (Value::Photo(kept), Method::Photo),
                photo,
                keeping,
            );
        }
    };
    view! {
        <section class="card">
            <h2>{word("notes.photo")}</h2>
            <PhotoEntry text=photo device=on_site.device site=on_site.id subject=Subject::SITE question=question/>
            {move || (!photo.with(String::is_empty)).then(|| view! {
                <button type="button" class="button primary" on:click=keep_photo
                    prop:disabled=move || keeping.under_way.get()>{word("notes.keep_photo")}</button>
            })}
        </section>
    }
}

/// Everything noted and photographed so far.
#[component]
fn SoFar(on_site: OnSite, note: &'static str, photo: &'static str) -> impl IntoView {
    view! {
        <h2>{word("notes.notes")}</h2>
        <EntryList on_site only=Some(StreamKey::new(Subject::SITE, note))/>
        <h2>{word("notes.photos")}</h2>
        <EntryList on_site only=Some(StreamKey::new(Subject::SITE, photo))/>
    }
}

/// A draft that comes back and is kept at every input.
fn draft_of(on_site: OnSite, question: &'static str) -> RwSignal<String> {
    let text = RwSignal::new(String::new());
    spawn_local(async move {
        let draft = on_site
            .device
            .draft(on_site.id, Subject::SITE, question)
            .await;
        if let (Some(draft), Some(now)) = (draft, text.try_get_untracked())
            && now.is_empty()
        {
            text.set(draft.text);
        }
    });
    Effect::new(move |before: Option<String>| {
        let now = text.get();
        if before.is_some_and(|before| before != now) {
            let typed = now.clone();
            spawn_local(async move { keep_draft(on_site, question, &typed).await });
        }
        now
    });
    text
}

async fn keep_draft(on_site: OnSite, question: &str, text: &str) {
    on_site
        .device
        .keep_draft(on_site.id, Subject::SITE, question, text, None)
        .await;
}
