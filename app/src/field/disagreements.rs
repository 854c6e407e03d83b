//! Answers that disagree, each a tap away from being settled.

use leptos::prelude::*;
use setdown_rules::frame::result::NeedState;
use setdown_types::site::{StreamKey, StreamState};

use super::address;
use super::frame::{FieldFrame, with_site};
use super::on_site::{Assessed, OnSite};
use crate::parts::answer::{method_key, shown};
use crate::parts::preferences;
use crate::words::{question_title, subject_name, word};

/// The list of disagreements.
#[component]
pub fn Disagreements() -> impl IntoView {
    with_site(|on_site| view! { <List on_site/> }.into_any())
}

#[component]
fn List(on_site: OnSite) -> impl IntoView {
    let rows = move || {
        let now = on_site.assessed()?;
        let streams = disagreeing(&now);
        let none = streams.is_empty();
        let rows = streams
            .iter()
            .map(|key| row(on_site, &now, key))
            .collect_view();
        Some(view! {
            <ul class="plain stack">{rows}</ul>
            {none.then(|| view! { <p>{word("disagreements.none")}</p> })}
        })
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("disagreements.title")}</h1>
            <p class="quiet">{word("disagreements.help")}</p>
            {rows}
        </FieldFrame>
    }
}

/// Streams answered by people who did not know of each other, or measured repeatedly beyond their spreads.
fn disagreeing(now: &Assessed) -> Vec<StreamKey> {
    now.site
        .streams()
        .iter()
        .filter(|(key, stream)| {
            matches!(stream.state, StreamState::Conflict { .. })
                || now
                    .stop(key)
                    .is_some_and(|(_, stop)| stop.state == NeedState::Disputed)
        })
        .map(|(key, _)| key.clone())
        .collect()
}

fn row(on_site: OnSite, now: &Assessed, key: &StreamKey) -> AnyView {
    let heads = now
        .site
        .stream(key.subject, &key.question)
        .map(|stream| stream.standing().to_vec())
        .unwrap_or_default();
    let values = heads
        .iter()
        .map(|head| {
            let value = head
                .value
                .as_ref()
                .map(|value| shown(&key.question, value, preferences::system()));
            let method = word(&format!("method.{}", method_key(head.method)));
            view! { <li class="number">{value} ", " {method}</li> }
        })
        .collect_view();
    view! {
        <li class="card">
            <h2>{question_title(&key.question)}</h2>
            <p class="quiet">{subject_name(&now.site, key.subject)}</p>
            <ul>{values}</ul>
            <a class="button primary" href=address::ask(on_site, key)>{word("disagreements.settle")}</a>
        </li>
    }
    .into_any()
}
