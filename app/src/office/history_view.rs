//! The whole ledger, newest first.

use leptos::prelude::*;
use setdown_types::ids::EntryId;

use super::entry_line::EntryLine;
use super::loaded::on_site;
use super::marks::grouped;
use crate::parts::working::capital;
use crate::words::{filled, question_title, subject_name, word};

/// Entries shown before more are asked for.
const FIRST: usize = 100;

/// Every entry, by when it was written.
#[component]
pub fn HistoryView() -> impl IntoView {
    let on = on_site();
    let shown = RwSignal::new(FIRST);
    let all = on.part(|loaded| {
        let mut ids: Vec<(i64, EntryId)> = loaded
            .records
            .values()
            .map(|record| (loaded.written_at(record), record.entry.id))
            .collect();
        ids.sort_unstable_by(|one, other| other.cmp(one));
        ids.into_iter().map(|(_, id)| id).collect::<Vec<_>>()
    });
    let some = Memo::new(move |_| {
        all.with(|all| all.iter().take(shown.get()).copied().collect::<Vec<_>>())
    });
    let more = move || all.with(Vec::len) > shown.get();
    let count = move || {
        filled(
            "office.history_count",
            &[("count", &grouped(all.with(Vec::len) as u64))],
        )
    };
    view! {
        <section class="stack" aria-labelledby="history-title">
            <h2 id="history-title" class="seen-by-readers-only">{word("office.view.history")}</h2>
            <p class="quiet">{count} " " {word("office.history_what")}</p>
            <ol class="plain history card">
                <For each=move || some.get() key=|entry| *entry let(entry)>
                    <Told entry/>
                </For>
            </ol>
            <button type="button" class="button" hidden=move || !more() on:click=move |_| shown.update(|shown| *shown += FIRST)>{word("office.show_more")}</button>
        </section>
    }
}

/// An entry with what it is about.
#[component]
fn Told(entry: EntryId) -> impl IntoView {
    let on = on_site();
    let about = on.part(move |loaded| match loaded.records.get(&entry) {
        Some(record) => format!(
            "{}: {}",
            capital(&subject_name(&loaded.site, record.entry.subject)),
            question_title(&record.entry.question)
        ),
        None => String::new(),
    });
    view! { <EntryLine entry about=Signal::derive(move || about.get())/> }
}
