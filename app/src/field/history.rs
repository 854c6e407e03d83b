//! Every entry of the site: who, when, how, and what was struck, all legible.

use setdown_types::order;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Role;
use setdown_types::quantity::{Dimension, Quantity};
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::StreamKey;
use setdown_types::value::Value;

use super::address;
use super::frame::{FieldFrame, say, with_site};
use super::on_site::{OnSite, offset_minutes};
use crate::device::{SiteView, copy_text, copyable};
use crate::parts::answer::{method_key, shown};
use crate::parts::entries::PhotoImage;
use crate::parts::preferences;
use crate::parts::working::capital;
use crate::words::{
    Wording, filled, instant_text, question_title, refusal_reason, subject_name, word,
};

/// The history of a site.
#[component]
pub fn History() -> impl IntoView {
    with_site(|on_site| {
        view! {
            <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
                title=Signal::derive(move || on_site.name())>
                <h1>{word("field.history")}</h1>
                <p class="quiet">{word("history.help")}</p>
                <EntryList on_site only=None/>
            </FieldFrame>
        }
        .into_any()
    })
}

/// Entries, newest first: all, or those of one question.
#[component]
pub fn EntryList(
    /// The site.
    on_site: OnSite,
    /// One question about one thing.
    only: Option<StreamKey>,
) -> impl IntoView {
    let limit = RwSignal::new(50usize);
    let only = StoredValue::new(only);
    let rows = move || {
        on_site.view.with(|view| {
            let mut records: Vec<Arc<Record>> = view
                .records
                .values()
                .filter(|record| on_site.shows(&record.entry.question))
                .filter(|record| {
                    only.with_value(|only| {
                        only.as_ref().is_none_or(|key| {
                            record.entry.subject == key.subject && record.entry.question == key.question
                        })
                    })
                })
                .cloned()
                .collect();
            order::sort_by_key(&mut records, |record| std::cmp::Reverse((record.entry.stamp.wall, record.entry.id)));
            let more = records.len() > limit.get();
            let none = records.is_empty();
            let shown = records.into_iter().take(limit.get()).map(|record| row(on_site, view, &record)).collect_view();
            view! {
                <ol class="plain entries">{shown}</ol>
                {none.then(|| view! { <p class="quiet">{word("history.none")}</p> })}
                {more.then(|| view! {
                    <button type="button" class="button" on:click=move |_| limit.update(|limit| *limit += 100)>
                        {word("history.more")}
                    </button>
                })}
            }
        })
    };
    view! { <div>{rows}</div> }
}

const fn role_key(role: Role) -> &'static str {
    match role {
        Role::Coordinator => "role.coordinator",
        Role::Homeowner => "role.homeowner",
        Role::Office => "role.office",
    }
}

const fn intent_key(intent: Intent) -> &'static str {
    match intent {
        Intent::First => "intent.first",
        Intent::Correct => "intent.correct",
        Intent::Changed => "intent.changed",
        Intent::Repeat => "intent.repeat",
        Intent::Settle => "intent.settle",
        Intent::Strike => "intent.strike",
        Intent::Redact => "intent.redact",
        Intent::Unknown => "intent.unknown",
    }
}

fn spread_text(entry: &Entry) -> Option<String> {
    let AnswerKind::Measure(dimension) = question::find(&entry.question)?.kind else {
        return None;
    };
    let wording = Wording {
        system: preferences::system(),
        site: None,
    };
    Some(format!(
        " ± {}",
        wording.quantity(dimension, spread_si(dimension, entry.spread?))
    ))
}

fn spread_si(dimension: Dimension, base: i64) -> f64 {
    Quantity::new(dimension, base).si()
}

/// Whether an entry is struck, still stands, or was replaced.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fate {
    Stands,
    Replaced,
    Struck,
}

fn fate(view: &SiteView, entry: &Entry) -> Fate {
    match view.site.stream(entry.subject, &entry.question) {
        Some(stream) if stream.struck.contains(&entry.id) => Fate::Struck,
        Some(stream) if stream.heads.contains(&entry.id) => Fate::Stands,
        _ => Fate::Replaced,
    }
}

fn row(on_site: OnSite, view: &SiteView, record: &Record) -> AnyView {
    let entry = &record.entry;
    let fate = fate(view, entry);
    let me = on_site.device.session().get().map(|session| session.person);
    let who = if me == Some(entry.author) {
        word("history.you")
    } else {
        word(role_key(entry.role))
    };
    let when = instant_text(entry.stamp.wall, offset_minutes());
    let said = match entry.value() {
        Some(value) => {
            shown(&entry.question, value, preferences::system())
                + &spread_text(entry).unwrap_or_default()
        }
        None => word(intent_key(entry.intent)),
    };
    let photo = match entry.value() {
        Some(Value::Photo(photo)) => {
            Some(view! { <PhotoImage device=on_site.device sha256=photo.sha256.clone()/> })
        }
        _ => None,
    };
    let standing = match &record.standing {
        Standing::Unsent => word("history.unsent"),
        Standing::Held => word("history.held"),
        Standing::Accepted(_) => word("history.sent"),
        Standing::Refused(_) => word("history.refused"),
    };
    let state = match fate {
        Fate::Struck => Some(word("history.struck")),
        Fate::Replaced if !matches!(record.standing, Standing::Refused(_)) => {
            Some(word("history.replaced"))
        }
        _ => None,
    };
    let refused = match &record.standing {
        Standing::Refused(refusal) => {
            Some(view! { <NotTaken reason=refusal_reason(refusal) text=copyable(record)/> })
        }
        _ => None,
    };
    // A homeowner takes back their own answers only.
    let theirs = !on_site.home_now() || me == Some(entry.author);
    let strikes = theirs && fate == Fate::Stands && entry.intent != Intent::Strike;
    let id = entry.id;
    let title = format!(
        "{}: {}",
        capital(&subject_name(&view.site, entry.subject)),
        question_title(&entry.question)
    );
    let method = word(&format!("method.{}", method_key(entry.method)));
    let intent = word(intent_key(entry.intent));
    view! {
        <li class="entry-row">
            <span class="line-title">{title}</span>
            <span class="number said" class:struck=fate == Fate::Struck>{said}</span>
            {photo}
            <span class="quiet">{format!("{who}, {when}, {method}, {intent}")}</span>
            <span class="row">
                <span class="badge">{standing}</span>
                {state.map(|state| view! { <span class="badge">{state}</span> })}
            </span>
            {refused}
            {strikes.then(|| view! { <Strike on_site id/> })}
        </li>
    }
    .into_any()
}

/// An entry that the server did not take: why, and its text to copy.
#[component]
fn NotTaken(reason: String, text: String) -> impl IntoView {
    let said = RwSignal::new(None::<&'static str>);
    let text = StoredValue::new(text);
    let copy = move |_| {
        spawn_local(async move {
            let copied = copy_text(&text.get_value()).await;
            let _ = said.try_set(Some(if copied {
                "history.copied"
            } else {
                "history.copy_by_hand"
            }));
        });
    };
    view! {
        <div class="notice error">
            <p>{filled("history.refused_because", &[("reason", &reason)])}</p>
            <button type="button" class="button" on:click=copy>{word("history.copy")}</button>
            {move || said.get().map(|key| view! {
                <p role="status">{word(key)}</p>
                <textarea class="copyable" readonly rows="6" aria-label=word("history.copy")>{text.get_value()}</textarea>
            })}
        </div>
    }
}

/// Strikes an entry, after asking once.
#[component]
fn Strike(on_site: OnSite, id: EntryId) -> impl IntoView {
    let asking = RwSignal::new(false);
    let strike = move |_| {
        spawn_local(async move {
            match on_site.device.strike(on_site.id, id).await {
                Ok(_) => say(word("history.struck_now")),
                Err(error) => say(error.to_string()),
            }
        });
    };
    move || {
        if asking.get() {
            view! {
                <div class="notice">
                    <p>{word("history.strike_question")}</p>
                    <div class="row">
                        <button type="button" class="button danger" on:click=strike>{word("history.strike")}</button>
                        <button type="button" class="button" on:click=move |_| asking.set(false)>{word("history.leave")}</button>
                    </div>
                </div>
            }
            .into_any()
        } else {
            view! {
                <button type="button" class="button" on:click=move |_| asking.set(true)>{word("history.strike")}</button>
            }
            .into_any()
        }
    }
}
