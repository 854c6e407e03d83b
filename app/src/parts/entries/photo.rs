//! Taking a photo: kept on the phone before anything else happens to it.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::ids::SiteId;
use setdown_types::subject::Subject;
use setdown_types::value::PhotoRef;

use super::own_text;
use crate::device::Device;
use crate::words::word;

/// Takes or chooses a picture; the draft keeps the reference of the kept one.
#[component]
pub fn PhotoEntry(
    /// The draft.
    text: RwSignal<String>,
    /// The store.
    device: Device,
    /// The site.
    site: SiteId,
    /// What it shows.
    subject: Subject,
    /// The question.
    #[prop(into)]
    question: String,
) -> impl IntoView {
    let own = own_text(text);
    let photo = Memo::new(move |_| serde_json::from_str::<PhotoRef>(&own.get()).ok());
    let problem = RwSignal::new(String::new());
    let working = RwSignal::new(false);
    let input = NodeRef::<leptos::html::Input>::new();
    let question = StoredValue::new(question);
    let expected = RwSignal::new(false);
    spawn_local(async move {
        let marks = device.expected_photos(site).await;
        let here = question.try_with_value(|question| {
            marks
                .iter()
                .any(|mark| mark.subject == subject && mark.question == *question)
        });
        let _ = expected.try_set(here.unwrap_or_default());
    });
    let forget = move || {
        let _ = expected.try_set(false);
        let Some(question) = question.try_get_value() else {
            return;
        };
        spawn_local(async move {
            device.forget_expected_photo(site, subject, &question).await;
        });
    };
    // The phone may unload the page under the camera: what is about to come is on record first.
    let open = move |_| {
        let question = question.get_value();
        spawn_local(async move {
            device.expect_photo(site, subject, &question).await;
            if let Some(input) = input.try_get_untracked().flatten() {
                input.click();
            }
        });
    };
    let taken = move |event: web_sys::Event| {
        let target: web_sys::HtmlInputElement = event_target(&event);
        let Some(file) = target.files().and_then(|files| files.get(0)) else {
            return;
        };
        working.set(true);
        problem.set(String::new());
        let question = question.get_value();
        let session = device.session().get_untracked();
        let author = session.map(|session| session.person);
        spawn_local(async move {
            match device.keep_photo(&file).await {
                Ok(kept) => {
                    let draft = serde_json::to_string(&kept.photo).unwrap_or_default();
                    if let Some(draft) = text.try_set(draft) {
                        // The screen is gone: the picture waits where it was asked for, for whoever took it.
                        device
                            .keep_draft_of(author, site, subject, &question, &draft)
                            .await;
                    }
                    device.forget_expected_photo(site, subject, &question).await;
                    let _ = expected.try_set(false);
                }
                Err(error) => {
                    let _ = problem.try_set(error.to_string());
                }
            }
            target.set_value("");
            let _ = working.try_set(false);
        });
    };
    view! {
        <div class="photo-entry stack">
            {move || photo.get().map(|photo| view! { <PhotoImage device sha256=photo.sha256/> })}
            <input
                type="file"
                accept="image/*"
                class="seen-by-readers-only"
                tabindex="-1"
                aria-label=word("photo.choose")
                node_ref=input
                on:change=taken
                on:cancel=move |_: web_sys::Event| forget()
            />
            <Show when=move || expected.get() && photo.with(Option::is_none)>
                <div class="notice">
                    <p>{word("unfinished.photo")}</p>
                    <button type="button" class="button" on:click=move |_| forget()>{word("unfinished.forget")}</button>
                </div>
            </Show>
            <button type="button" class="button" on:click=open prop:disabled=move || working.get()>
                {move || word(if working.get() {
                    "photo.keeping"
                } else if photo.get().is_some() {
                    "photo.again"
                } else {
                    "photo.take"
                })}
            </button>
            <p role="alert" class="unclear">{move || problem.get()}</p>
        </div>
    }
}

/// A kept photo, shown from this phone, else fetched.
#[component]
pub fn PhotoImage(
    /// The store.
    device: Device,
    /// Which one.
    #[prop(into)]
    sha256: String,
) -> impl IntoView {
    let address = RwSignal::new(None::<Result<String, String>>);
    spawn_local(async move {
        let found = device
            .photo_address(&sha256)
            .await
            .map_err(|error| error.to_string());
        // The screen may be gone by now.
        let _ = address.try_set(Some(found));
    });
    move || match address.get() {
        None => view! { <p class="quiet">{word("photo.opening")}</p> }.into_any(),
        Some(Ok(address)) => {
            view! { <img class="photo" src=address alt=word("photo.alt")/> }.into_any()
        }
        Some(Err(error)) => view! { <p class="quiet">{error}</p> }.into_any(),
    }
}
