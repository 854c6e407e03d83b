//! Photos of a site: what they show, who took them, and which have not arrived yet.

use leptos::prelude::*;
use setdown_types::ids::EntryId;
use setdown_types::value::Value;

use super::loaded::{Loaded, on_site};
use crate::parts::working::capital;
use crate::words::{filled, question_title, subject_name, word};

/// One photo.
#[derive(Clone, PartialEq)]
struct Picture {
    entry: EntryId,
    sha256: String,
    about: String,
    by: String,
    here: bool,
}

fn pictures(loaded: &Loaded) -> Vec<Picture> {
    let streams = loaded.site.streams().iter();
    let heads =
        streams.flat_map(|(key, stream)| stream.standing().iter().map(move |head| (key, head)));
    heads
        .filter_map(|(key, head)| {
            let Some(Value::Photo(photo)) = &head.value else {
                return None;
            };
            let when = loaded
                .records
                .get(&head.entry)
                .map_or(head.wall, |record| loaded.written_at(record));
            Some(Picture {
                entry: head.entry,
                sha256: photo.sha256.clone(),
                about: format!(
                    "{}: {}",
                    capital(&subject_name(&loaded.site, key.subject)),
                    question_title(&key.question)
                ),
                by: filled(
                    "office.photo_by",
                    &[
                        ("person", &loaded.person(head.author)),
                        ("when", &loaded.moment(when)),
                    ],
                ),
                here: loaded.view.photos.contains(&photo.sha256),
            })
        })
        .collect()
}

/// All photos that stand.
#[component]
pub fn PhotosView() -> impl IntoView {
    let on = on_site();
    let all = on.part(pictures);
    view! {
        <section class="stack" aria-labelledby="photos-title">
            <h2 id="photos-title" class="seen-by-readers-only">{word("office.view.photos")}</h2>
            <p hidden=move || !all.with(Vec::is_empty)>{word("office.no_photos")}</p>
            <ul class="plain photos">
                <For each=move || all.get() key=|picture| (picture.entry, picture.here) let(picture)>
                    <li class="card">{shown(picture)}</li>
                </For>
            </ul>
        </section>
    }
}

fn shown(picture: Picture) -> impl IntoView {
    let image = if picture.here {
        let address = format!("/api/photos/{}", picture.sha256);
        view! {
            <a href=address.clone() target="_blank" rel="noopener">
                <img src=format!("{address}/thumb") alt=picture.about.clone() loading="lazy"/>
            </a>
        }
        .into_any()
    } else {
        view! { <p class="notice">{word("office.photo_not_here")}</p> }.into_any()
    };
    view! {
        <figure>
            {image}
            <figcaption><strong>{picture.about}</strong> <span class="quiet">{picture.by}</span></figcaption>
        </figure>
    }
}
