//! Readings by thing and question: value as typed, spread, method, author, when, history; disagreements first.

use leptos::prelude::*;
use setdown_types::ids::EntryId;
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::site::{Stream, StreamKey, StreamState};
use setdown_types::subject::{Subject, SubjectKind};

use super::answer_form::AnswerForm;
use super::desk_entry::can_be_entered;
use super::entry_line::EntryLine;
use super::loaded::{Loaded, disagrees, on_site};
use super::settle_form::SettleForm;
use crate::parts::working::capital;
use crate::words::{filled, question_title, subject_name, word};

/// Kinds of thing in the order in which they are listed.
fn kinds() -> impl Iterator<Item = SubjectKind> {
    std::iter::once(SubjectKind::Site).chain(SubjectKind::ADDED)
}

/// All streams that hold something.
#[component]
pub fn ReadingsView() -> impl IntoView {
    let on = on_site();
    let search = RwSignal::new(String::new());
    let disputed = on.part(|loaded| {
        let streams = loaded.site.streams().iter();
        streams
            .filter(|(_, stream)| disagrees(stream))
            .map(|(key, _)| key.clone())
            .collect::<Vec<_>>()
    });
    let subjects = on.part(subjects_recorded);
    view! {
        <section class="stack" aria-labelledby="readings-title">
            <h2 id="readings-title" class="seen-by-readers-only">{word("office.view.readings")}</h2>
            <section class="stack" aria-labelledby="disagree-title" hidden=move || disputed.with(Vec::is_empty)>
                <h3 id="disagree-title">{word("office.disagree_title")}</h3>
                <p>{word("office.disagree_what")}</p>
                <For each=move || disputed.get() key=Clone::clone let(stream)>
                    <SettleForm stream/>
                </For>
            </section>
            <div class="field narrow">
                <label for="reading-search">{word("office.find_reading")}</label>
                <input id="reading-search" type="search" autocomplete="off" on:input:target=move |event| search.set(event.target().value())/>
            </div>
            <p hidden=move || !subjects.with(Vec::is_empty)>{word("office.no_readings")}</p>
            <For each=move || subjects.get() key=|subject| *subject let(subject)>
                <OneThing subject search/>
            </For>
        </section>
    }
}

/// Things with entries: in the order of the site, then those that were taken off.
fn subjects_recorded(loaded: &Loaded) -> Vec<Subject> {
    let mut recorded: Vec<Subject> = loaded
        .site
        .streams()
        .keys()
        .map(|key| key.subject)
        .collect();
    recorded.dedup();
    let mut ordered = Vec::new();
    for kind in kinds() {
        let here = loaded.site.subjects(kind).iter().copied();
        let gone = recorded
            .iter()
            .copied()
            .filter(|subject| subject.kind == kind);
        for subject in here.chain(gone) {
            if !ordered.contains(&subject) {
                ordered.push(subject);
            }
        }
    }
    ordered
}

/// The readings of one thing.
#[component]
fn OneThing(subject: Subject, search: RwSignal<String>) -> impl IntoView {
    let on = on_site();
    let name = on.part(move |loaded| capital(&subject_name(&loaded.site, subject)));
    let all = on.part(move |loaded| {
        let mut keys: Vec<String> = loaded
            .site
            .streams()
            .keys()
            .filter(|key| key.subject == subject)
            .map(|key| key.question.clone())
            .collect();
        keys.sort_by_key(|key| question::walking_order(key));
        keys
    });
    let questions = Memo::new(move |_| {
        let wanted = search.get().trim().to_lowercase();
        let named = name.with(|name| name.to_lowercase().contains(&wanted));
        let mut keys = all.get();
        keys.retain(|key| named || question_title(key).to_lowercase().contains(&wanted));
        keys
    });
    let title = format!("thing-{}-{}", subject.kind.key(), subject.id);
    let heading = title.clone();
    view! {
        <section class="stack-tight" hidden=move || questions.with(Vec::is_empty)>
            <h3 id=heading>{move || name.get()}</h3>
            <div class="table-frame" role="region" tabindex="0" aria-labelledby=title>
                <table class="table readings">
                    <caption class="seen-by-readers-only">{move || filled("office.readings_of", &[("thing", &name.get())])}</caption>
                    <thead>
                        <tr>
                            <th scope="col">{word("office.column.question")}</th>
                            <th scope="col">{word("office.column.answer")}</th>
                            <th scope="col">{word("office.column.method")}</th>
                            <th scope="col">{word("office.column.who")}</th>
                            <th scope="col">{word("office.column.when")}</th>
                            <th scope="col">{word("office.column.more")}</th>
                        </tr>
                    </thead>
                    <For each=move || questions.get() key=Clone::clone let(question)>
                        <OneStream stream=StreamKey::new(subject, &question)/>
                    </For>
                </table>
            </div>
        </section>
    }
}

/// What one stream shows in the table.
#[derive(Clone, PartialEq)]
struct Shown {
    stream: Stream,
    standing: Vec<EntryId>,
    all: Vec<EntryId>,
}

impl Shown {
    fn of(loaded: &Loaded, key: &StreamKey) -> Option<Self> {
        let stream = loaded.site.streams().get(key)?.clone();
        let standing = stream.standing().iter().map(|head| head.entry).collect();
        let mut all: Vec<EntryId> = stream.entries.iter().copied().collect();
        all.sort_by_key(|id| {
            loaded
                .records
                .get(id)
                .map(|record| (loaded.written_at(record), *id))
        });
        Some(Self {
            stream,
            standing,
            all,
        })
    }

    fn state(&self) -> Option<String> {
        match &self.stream.state {
            StreamState::Empty => Some(word("office.stream.open")),
            StreamState::One(_) => None,
            StreamState::Repeats(_) => Some(word("office.stream.repeats")),
            StreamState::Conflict { .. } => Some(word("office.stream.conflict")),
        }
    }
}

/// One question about one thing: what stands, side by side, and below it the history and the form.
#[component]
fn OneStream(stream: StreamKey) -> impl IntoView {
    let on = on_site();
    let (more, answering) = (RwSignal::new(false), RwSignal::new(false));
    let shown = on.part({
        let stream = stream.clone();
        move |loaded| Shown::of(loaded, &stream)
    });
    let standing = move || {
        shown.with(|shown| {
            shown
                .as_ref()
                .map(|shown| shown.standing.clone())
                .unwrap_or_default()
        })
    };
    let all = move || {
        shown.with(|shown| {
            shown
                .as_ref()
                .map(|shown| shown.all.clone())
                .unwrap_or_default()
        })
    };
    let state = move || {
        shown
            .with(|shown| shown.as_ref().and_then(Shown::state))
            .map(|text| view! { <span class="badge">{text}</span> })
    };
    let column = move |part: fn(&Loaded, EntryId) -> String| {
        move || {
            let loaded = on.loaded.get();
            standing()
                .into_iter()
                .map(|entry| view! { <div class="side">{part(&loaded, entry)}</div> })
                .collect_view()
        }
    };
    let enterable = question::find(&stream.question)
        .is_some_and(|row| row.may_answer(Role::Office) && can_be_entered(row.kind));
    let title = question_title(&stream.question);
    let key = stream.clone();
    view! {
        <tbody>
            <tr>
                <th scope="row">{title.clone()} {state}</th>
                <td data-label=word("office.column.answer")><Said standing=Signal::derive(standing)/></td>
                <td data-label=word("office.column.method")>{column(method_of)}</td>
                <td data-label=word("office.column.who")>{column(author_of)}</td>
                <td data-label=word("office.column.when")>{column(when_of)}</td>
                <td>
                    <div class="row">
                        <button type="button" class="button small" aria-expanded=move || more.get().to_string() on:click=move |_| more.update(|more| *more = !*more)>
                            {word("office.history")}<span class="seen-by-readers-only">{format!(": {title}")}</span>
                        </button>
                        {enterable.then(|| view! {
                            <button type="button" class="button small" aria-expanded=move || answering.get().to_string() on:click=move |_| answering.update(|open| *open = !*open)>
                                {word("office.answer_again")}<span class="seen-by-readers-only">{format!(": {title}")}</span>
                            </button>
                        })}
                    </div>
                </td>
            </tr>
            <Show when=move || more.get() || answering.get()>
                <tr class="below">
                    <td colspan="6">
                        {let key = key.clone(); move || answering.get().then(|| view! { <AnswerForm stream=key.clone() done=move || answering.set(false)/> })}
                        <ol class="plain history" hidden=move || !more.get()>
                            <For each=all key=|entry| *entry let(entry)>
                                <EntryLine entry/>
                            </For>
                        </ol>
                    </td>
                </tr>
            </Show>
        </tbody>
    }
}

/// What stands: as typed, and as understood with its spread where that differs.
#[component]
fn Said(standing: Signal<Vec<EntryId>>) -> impl IntoView {
    let on = on_site();
    let system = super::frame::system();
    move || {
        let loaded = on.loaded.get();
        standing
            .get()
            .into_iter()
            .filter_map(|id| loaded.records.get(&id))
            .map(|record| super::entry_line::said(&loaded, &record.entry, system.get()))
            .map(|said| view! { <div class="side">{said}</div> })
            .collect_view()
    }
}

fn method_of(loaded: &Loaded, entry: EntryId) -> String {
    loaded
        .records
        .get(&entry)
        .map_or_else(String::new, |record| {
            super::entry_line::method_name(record.entry.method)
        })
}

fn author_of(loaded: &Loaded, entry: EntryId) -> String {
    loaded
        .records
        .get(&entry)
        .map_or_else(String::new, |record| loaded.person(record.entry.author))
}

fn when_of(loaded: &Loaded, entry: EntryId) -> String {
    loaded
        .records
        .get(&entry)
        .map_or_else(String::new, |record| {
            loaded.moment(loaded.written_at(record))
        })
}
