//! What was begun on a site and not saved: typed answers, and photos that the camera was opened for.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::StreamKey;

use super::address;
use super::on_site::{Assessed, OnSite};
use crate::device::logic::writing::gathers;
use crate::device::{Draft, ExpectedPhoto};
use crate::parts::answer::{Typed, shown, understand};
use crate::parts::attestation_text::AttestationText;
use crate::parts::level_text::LevelText;
use crate::parts::preferences;
use crate::parts::working::capital;
use crate::words::{question_title, subject_name, word};

/// Everything begun and not saved.
#[derive(Clone, Default)]
struct Begun {
    drafts: Vec<Draft>,
    photos: Vec<ExpectedPhoto>,
}

/// The way back to everything that was begun and not saved; nothing where there is nothing.
#[component]
pub fn Unfinished(
    /// The site.
    on_site: OnSite,
) -> impl IntoView {
    let begun = RwSignal::new(Begun::default());
    spawn_local(async move {
        let found = begun_on(on_site).await;
        let _ = begun.try_set(found);
    });
    move || {
        let now = on_site.assessed()?;
        let begun = begun.get();
        if begun.drafts.is_empty() && begun.photos.is_empty() {
            return None;
        }
        let drafts = begun
            .drafts
            .iter()
            .map(|draft| draft_row(on_site, &now, draft))
            .collect_view();
        let photos = begun
            .photos
            .iter()
            .map(|photo| photo_row(on_site, &now, photo))
            .collect_view();
        Some(view! {
            <section class="card" aria-label=word("unfinished.title")>
                <h2>{word("unfinished.title")}</h2>
                <ul class="plain">{drafts}{photos}</ul>
            </section>
        })
    }
}

async fn begun_on(on_site: OnSite) -> Begun {
    let shows = |question: &str| untrack(|| on_site.shows(question));
    let mut drafts = on_site.device.drafts(on_site.id).await;
    drafts.retain(|draft| shows(&draft.question));
    let mut photos = on_site.device.expected_photos(on_site.id).await;
    // A picture that came is the draft's business.
    photos.retain(|photo| {
        shows(&photo.question)
            && !drafts
                .iter()
                .any(|draft| draft.subject == photo.subject && draft.question == photo.question)
    });
    Begun { drafts, photos }
}

fn row(on_site: OnSite, now: &Assessed, stream: &StreamKey, said: String) -> AnyView {
    let about = capital(&subject_name(&now.site, stream.subject));
    let href = if gathers(&stream.question) {
        address::notes(on_site)
    } else {
        address::ask(on_site, stream)
    };
    view! {
        <li>
            <a class="line-link" href=href>
                <span class="line-title">{format!("{about}: {}", question_title(&stream.question))}</span>
                <span class="number">{said}</span>
            </a>
        </li>
    }
    .into_any()
}

fn draft_row(on_site: OnSite, now: &Assessed, draft: &Draft) -> AnyView {
    let stream = StreamKey::new(draft.subject, &draft.question);
    row(on_site, now, &stream, draft_text(draft))
}

/// The draft as it was understood; as typed where it says nothing yet.
fn draft_text(draft: &Draft) -> String {
    let system = preferences::system();
    let typed =
        question::find(&draft.question).map(|question| understand(question, &draft.text, system));
    match typed {
        Some(Typed::Answer(answer)) => shown(&draft.question, &answer.value, system),
        _ => half_typed(draft),
    }
}

/// What of a half-filled form can be read by a person.
fn half_typed(draft: &Draft) -> String {
    match question::find(&draft.question).map(|question| question.kind) {
        Some(AnswerKind::Attestation) => {
            let form = AttestationText::read(&draft.text);
            let parts = [form.person, form.licence, form.document, form.date];
            let typed: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
            typed.join(", ")
        }
        Some(AnswerKind::Level) => LevelText::read(&draft.text).typed,
        _ => draft.text.clone(),
    }
}

fn photo_row(on_site: OnSite, now: &Assessed, photo: &ExpectedPhoto) -> AnyView {
    let stream = StreamKey::new(photo.subject, &photo.question);
    row(on_site, now, &stream, word("unfinished.photo"))
}
