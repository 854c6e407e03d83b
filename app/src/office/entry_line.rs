//! One entry of the ledger in words: what it says, why, who wrote it and when; struck ones stay legible.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Entry, EntryKind, Intent, Method, Payload};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Record, Standing};
use setdown_types::quantity::UnitSystem;
use setdown_types::site::StreamKey;
use setdown_types::value::Value;

use super::calls::strike_entry;
use super::frame::system;
use super::loaded::{Loaded, on_site};
use super::marks::{Trouble, party_key};
use super::messages::{OfficeError, OfficeStrike};
use crate::parts::answer::method_key;
use crate::words::{filled, refusal_reason, word};

/// A method in words.
pub fn method_name(method: Method) -> String {
    word(&format!("method.{}", method_key(method)))
}

/// What an entry says: as understood with its spread, and as typed where that reads differently.
pub fn said(loaded: &Loaded, entry: &Entry, system: UnitSystem) -> AnyView {
    if let Some(Value::Photo(photo)) = entry.value() {
        let address = format!("/api/photos/{}", photo.sha256);
        return view! { <a href=address target="_blank" rel="noopener">{word("entry.photo")}</a> }
            .into_any();
    }
    let Some(text) = loaded.said(entry, system) else {
        let key = if entry.payload == Payload::Unknown {
            "office.says.newer"
        } else {
            "office.says.nothing"
        };
        return view! { <span class="quiet">{word(key)}</span> }.into_any();
    };
    let typed = match entry.value() {
        Some(Value::Measure(measure))
            if !text.starts_with(measure.typed.trim()) && !measure.typed.trim().is_empty() =>
        {
            Some(filled("office.typed", &[("text", measure.typed.trim())]))
        }
        _ => None,
    };
    view! { <span class="number">{text}</span> {typed.map(|typed| view! { <span class="quiet typed">{typed}</span> })} }.into_any()
}

/// Why it was written.
fn intent_key(entry: &Entry) -> &'static str {
    match (entry.intent, entry.kind()) {
        (Intent::Strike, _) => "office.did.strike",
        (Intent::Redact, _) => "office.did.redact",
        (Intent::Settle, _) => "office.did.settle",
        (Intent::Repeat, _) => "office.did.repeat",
        (Intent::Correct, _) => "office.did.correct",
        (Intent::Changed, EntryKind::Signature) | (Intent::First, EntryKind::Signature) => {
            "office.did.sign"
        }
        (Intent::Changed, _) => "office.did.changed",
        (Intent::First, _) => "office.did.first",
        (Intent::Unknown, _) => "office.did.unknown",
    }
}

/// Where it stands, where that is not simply accepted.
fn standing_text(standing: &Standing) -> Option<String> {
    match standing {
        Standing::Accepted(_) => None,
        Standing::Held | Standing::Unsent => Some(word("office.standing.held")),
        Standing::Refused(refusal) => {
            let reason = refusal_reason(refusal);
            Some(filled("office.standing.refused", &[("reason", &reason)]))
        }
    }
}

/// One entry; a standing one can be struck.
#[component]
pub fn EntryLine(
    /// Which entry.
    entry: EntryId,
    /// Shown before it, where it is not clear what it is about.
    #[prop(optional, into)]
    about: Option<Signal<String>>,
) -> impl IntoView {
    let on = on_site();
    let record = on.part(move |loaded| loaded.records.get(&entry).cloned());
    let fate = on.part(move |loaded| Fate::of(loaded, entry));
    let system = system();
    let body = move || {
        let record = record.get()?;
        let loaded = on.loaded.get_untracked();
        Some(line(&loaded, &record, fate.get(), system.get()))
    };
    let strikable = move || {
        fate.get() == Fate::Stands
            && record.with(|record| record.as_ref().is_some_and(can_be_struck))
    };
    view! {
        <li class="entry-line">
            {about.map(|about| view! { <span class="about">{move || about.get()}</span> })}
            {body}
            <Show when=strikable>
                <Strike entry/>
            </Show>
        </li>
    }
}

const fn can_be_struck(record: &Record) -> bool {
    matches!(record.standing, Standing::Accepted(_))
        && !matches!(record.entry.intent, Intent::Strike | Intent::Redact)
}

/// What became of an entry.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fate {
    Stands,
    Replaced,
    Struck,
    Redacted,
}

impl Fate {
    fn of(loaded: &Loaded, entry: EntryId) -> Self {
        let Some(record) = loaded.records.get(&entry) else {
            return Self::Replaced;
        };
        let key = StreamKey {
            subject: record.entry.subject,
            question: record.entry.question.clone(),
        };
        match loaded.site.streams().get(&key) {
            Some(stream) if stream.redacted.contains(&entry) => Self::Redacted,
            Some(stream) if stream.struck.contains(&entry) => Self::Struck,
            Some(stream) if stream.heads.contains(&entry) => Self::Stands,
            _ => Self::Replaced,
        }
    }

    const fn key(self) -> Option<&'static str> {
        match self {
            Self::Stands => None,
            Self::Replaced => Some("office.fate.replaced"),
            Self::Struck => Some("office.fate.struck"),
            Self::Redacted => Some("office.fate.redacted"),
        }
    }
}

fn line(loaded: &Loaded, record: &Record, fate: Fate, system: UnitSystem) -> impl IntoView + use<> {
    let entry = &record.entry;
    let struck = matches!(fate, Fate::Struck | Fate::Redacted);
    let says = (!matches!(entry.intent, Intent::Strike | Intent::Redact))
        .then(|| said(loaded, entry, system));
    let who = filled(
        "office.written_by",
        &[
            ("person", &loaded.person(entry.author)),
            (
                "role",
                &word(&format!("party.{}", party_key(role_party(entry.role)))),
            ),
            ("when", &loaded.moment(loaded.written_at(record))),
            ("method", &method_name(entry.method)),
        ],
    );
    let badges = [fate.key().map(word), standing_text(&record.standing)]
        .into_iter()
        .flatten()
        .map(|text| view! { <span class="badge">{text}</span> })
        .collect_view();
    view! {
        <span class="did">{word(intent_key(entry))}</span>
        <span class:struck=struck>{says}</span>
        <span class="quiet">{who}</span>
        {badges}
    }
}

/// The party that a role acts as.
const fn role_party(role: setdown_types::party::Role) -> setdown_types::party::Party {
    use setdown_types::party::{Party, Role};
    match role {
        Role::Coordinator => Party::Coordinator,
        Role::Homeowner => Party::Homeowner,
        Role::Office => Party::Office,
    }
}

/// Striking, with one question back: the entry stays legible, its question is open again.
#[component]
fn Strike(entry: EntryId) -> impl IntoView {
    let on = on_site();
    let (asking, busy, error) = (
        RwSignal::new(false),
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
    );
    let strike = move |_| {
        let loaded = on.loaded.get_untracked();
        let Some(record) = loaded.records.get(&entry) else {
            return;
        };
        let stream = StreamKey {
            subject: record.entry.subject,
            question: record.entry.question.clone(),
        };
        busy.set(true);
        spawn_local(async move {
            match strike_entry(OfficeStrike {
                site: on.id,
                stream,
                entry,
            })
            .await
            {
                Ok(_) => on.live.again(),
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
            asking.try_set(false);
        });
    };
    view! {
        <Show
            when=move || asking.get()
            fallback=move || view! { <button type="button" class="button small danger" on:click=move |_| asking.set(true)>{word("office.strike")}</button> }
        >
            <span class="row">
                <span>{word("office.strike_sure")}</span>
                <button type="button" class="button small danger" disabled=move || busy.get() on:click=strike>{word("office.strike_yes")}</button>
                <button type="button" class="button small" on:click=move |_| asking.set(false)>{word("office.strike_no")}</button>
            </span>
        </Show>
        <Trouble error/>
    }
}
