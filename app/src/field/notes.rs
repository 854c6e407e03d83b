//! Notes and photos of the site as a whole.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Intent, Method};
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::{PhotoRef, Value};

use super::address;
use super::frame::{FieldFrame, NoSite, say, site_here, with_device};
use super::history::EntryList;
use super::on_site::OnSite;
use crate::device::NewAnswer;
use crate::parts::entries::{PhotoEntry, TextEntry};
use crate::words::word;

const NOTE: &str = "site.note";
const PHOTO: &str = "site.photo";

/// Notes and photos; they need no sheet, so they can be taken whatever else is missing.
#[component]
pub fn Notes() -> impl IntoView {
    with_device(|device| match site_here(device) {
        Some(id) => view! { <NotePage on_site=OnSite::new(device, id)/> }.into_any(),
        None => NoSite().into_any(),
    })
}

#[component]
fn NotePage(on_site: OnSite) -> impl IntoView {
    let note = draft_of(on_site, NOTE);
    let photo = draft_of(on_site, PHOTO);
    let problem = RwSignal::new(String::new());
    // Further notes stand beside the first: they replace nothing.
    let keep =
        move |question: &'static str, value: Value, method: Method, text: RwSignal<String>| {
            spawn_local(async move {
                let new = NewAnswer::new(on_site.id, Subject::SITE, question, value, method)
                    .intent(Intent::Repeat);
                match on_site.device.append(new).await {
                    Ok(_) => {
                        let _ = text.try_set(String::new());
                        let _ = problem.try_set(String::new());
                        say(word("notes.saved"));
                    }
                    Err(error) => {
                        let _ = problem.try_set(error.to_string());
                    }
                }
            });
        };
    let keep_note = move |_| {
        let text = note.get_untracked();
        if !text.trim().is_empty() {
            keep(
                NOTE,
                Value::Text(text.trim().to_owned()),
                Method::Seen,
                note,
            );
        }
    };
    let keep_photo = move |_| {
        if let Ok(kept) = serde_json::from_str::<PhotoRef>(&photo.get_untracked()) {
            keep(PHOTO, Value::Photo(kept), Method::Photo, photo);
        }
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("field.notes")}</h1>
            <section class="card">
                <h2>{word("notes.note")}</h2>
                <TextEntry text=note/>
                <button type="button" class="button primary" on:click=keep_note
                    prop:disabled=move || note.with(|text| text.trim().is_empty())>
                    {word("notes.keep")}
                </button>
            </section>
            <section class="card">
                <h2>{word("notes.photo")}</h2>
                <PhotoEntry text=photo device=on_site.device site=on_site.id subject=Subject::SITE question=PHOTO/>
                {move || (!photo.with(String::is_empty)).then(|| view! {
                    <button type="button" class="button primary" on:click=keep_photo>{word("notes.keep_photo")}</button>
                })}
            </section>
            <p role="alert" class="unclear">{move || problem.get()}</p>
            <h2>{word("notes.notes")}</h2>
            <EntryList on_site only=Some(StreamKey::new(Subject::SITE, NOTE))/>
            <h2>{word("notes.photos")}</h2>
            <EntryList on_site only=Some(StreamKey::new(Subject::SITE, PHOTO))/>
        </FieldFrame>
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
            spawn_local(async move {
                on_site
                    .device
                    .keep_draft(on_site.id, Subject::SITE, question, &typed, None)
                    .await
            });
        }
        now
    });
    text
}
