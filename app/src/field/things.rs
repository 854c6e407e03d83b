//! Things found on the way: adding one, and listing those of a kind.

use leptos::prelude::*;
use leptos_router::hooks::use_navigate;
use setdown_types::site::StreamKey;
use setdown_types::subject::SubjectKind;

use super::address;
use super::on_site::OnSite;
use crate::parts::working::capital;
use crate::words::{filled, subject_name, word};

/// The kind that a question such as `way.openings_listed` asks to be complete.
pub fn kind_listed(question: &str) -> Option<SubjectKind> {
    let listed = question.rsplit('.').next()?.strip_suffix("_listed")?;
    SubjectKind::ADDED
        .into_iter()
        .find(|kind| format!("{}s", kind.key()) == listed)
}

/// A button that adds a thing of a kind and goes to its first question.
#[component]
pub fn AddThing(
    /// The site.
    on_site: OnSite,
    /// What to add.
    kind: SubjectKind,
) -> impl IntoView {
    let navigate = use_navigate();
    let add = move |_| {
        if let Some(question) = kind.present_question() {
            let stream = StreamKey::new(on_site.device.new_subject(kind), question);
            navigate(
                &address::ask(on_site, &stream),
                leptos_router::NavigateOptions::default(),
            );
        }
    };
    view! {
        <button type="button" class="button add" on:click=add>
            {filled("things.add", &[("kind", &word(&format!("kind.one.{}", kind.key())))])}
        </button>
    }
}

/// The things of a kind that are on the site, each a link to its first question, and a button to add one.
#[component]
pub fn ThingList(
    /// The site.
    on_site: OnSite,
    /// Which kind.
    kind: SubjectKind,
) -> impl IntoView {
    let rows = move || {
        let now = on_site.assessed()?;
        let question = kind.present_question()?;
        let rows = now
            .site
            .subjects(kind)
            .iter()
            .map(|subject| {
                let stream = StreamKey::new(*subject, question);
                view! {
                    <li>
                        <a class="line-link" href=address::ask(on_site, &stream)>
                            <span class="line-title">{capital(&subject_name(&now.site, *subject))}</span>
                        </a>
                    </li>
                }
            })
            .collect_view();
        Some(rows)
    };
    view! {
        <div class="things">
            <ul class="plain">{rows}</ul>
            <AddThing on_site kind/>
        </div>
    }
}
