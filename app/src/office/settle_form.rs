//! Settling a disagreement: pick the answer that counts, or enter another; all of them stay in the history.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Intent, Method};
use setdown_types::ids::EntryId;
use setdown_types::question;
use setdown_types::site::{Head, StreamKey};

use super::answer_form::{method_choice, unfinished};
use super::calls::append_answer;
use super::desk_entry::{DeskEntry, can_be_entered};
use super::entry_line::{method_name, said};
use super::frame::system;
use super::loaded::on_site;
use super::marks::Trouble;
use super::messages::{OfficeAnswer, OfficeError};
use crate::parts::answer::{Typed, understand, usual_method};
use crate::parts::working::capital;
use crate::words::{filled, question_title, subject_name, word};

/// What is chosen.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Choice {
    Nothing,
    Head(EntryId),
    Another,
}

/// One disagreement with its form.
#[component]
pub fn SettleForm(
    /// Which question about what.
    stream: StreamKey,
) -> impl IntoView {
    let on = on_site();
    let id = format!(
        "settle-{}-{}",
        stream.subject.id,
        stream.question.replace('.', "-")
    );
    let row = question::find(&stream.question);
    let heads = on.part({
        let stream = stream.clone();
        move |loaded| {
            loaded
                .site
                .streams()
                .get(&stream)
                .map(|stream| stream.standing().to_vec())
                .unwrap_or_default()
        }
    });
    let choice = RwSignal::new(Choice::Nothing);
    let text = RwSignal::new(String::new());
    let method = RwSignal::new(row.map_or(Method::Told, |row| usual_method(row.kind)));
    let (busy, error, problem) = (
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
        RwSignal::new(None::<String>),
    );
    let system = system();
    let subject = stream.subject;
    let title = on.part({
        let question = stream.question.clone();
        move |loaded| {
            format!(
                "{}: {}",
                capital(&subject_name(&loaded.site, subject)),
                question_title(&question)
            )
        }
    });
    let submit = {
        let stream = stream.clone();
        move |event: leptos::ev::SubmitEvent| {
            event.prevent_default();
            let settled = match choice.get_untracked() {
                Choice::Nothing => Err(word("office.settle_choose")),
                Choice::Head(entry) => heads
                    .with_untracked(|heads| picked(heads, entry))
                    .ok_or_else(|| word("office.settle_moved")),
                Choice::Another => match row
                    .map(|row| understand(row, &text.get_untracked(), system.get_untracked()))
                {
                    Some(Typed::Answer(answer)) => {
                        Ok((answer.value, answer.spread, method.get_untracked()))
                    }
                    Some(typed) => Err(unfinished(&typed)),
                    None => Err(word("office.newer_question")),
                },
            };
            let (value, spread, method) = match settled {
                Ok(settled) => settled,
                Err(reason) => {
                    problem.set(Some(reason));
                    return;
                }
            };
            problem.set(None);
            let replaces = on.loaded.with_untracked(|loaded| {
                loaded
                    .site
                    .streams()
                    .get(&stream)
                    .map(|stream| stream.heads.clone())
                    .unwrap_or_default()
            });
            let answer = OfficeAnswer {
                site: on.id,
                stream: stream.clone(),
                intent: Intent::Settle,
                replaces,
                value,
                spread,
                method,
            };
            busy.set(true);
            spawn_local(async move {
                match append_answer(answer).await {
                    Ok(_) => on.live.again(),
                    Err(reason) => {
                        error.try_set(Some(reason));
                    }
                }
                busy.try_set(false);
            });
        }
    };
    let name = id.clone();
    let options = move || {
        let loaded = on.loaded.get_untracked();
        heads
            .get()
            .into_iter()
            .map(|head| {
                let entry = head.entry;
                let says = loaded.records.get(&entry).map(|record| said(&loaded, &record.entry, system.get()));
                let when = loaded.records.get(&entry).map_or(head.wall, |record| loaded.written_at(record));
                let who = filled(
                    "office.settle_who",
                    &[("person", &loaded.person(head.author)), ("method", &method_name(head.method)), ("when", &loaded.moment(when))],
                );
                view! {
                    <label class="choice">
                        <input type="radio" name=name.clone() prop:checked=move || choice.get() == Choice::Head(entry) on:change=move |_| choice.set(Choice::Head(entry))/>
                        <span><strong>{says}</strong> <span class="quiet">{who}</span></span>
                    </label>
                }
            })
            .collect_view()
    };
    let another = row.filter(|row| can_be_entered(row.kind)).map(|row| {
        let (name, entry_id) = (id.clone(), format!("{id}-other"));
        view! {
            <label class="choice">
                <input type="radio" name=name prop:checked=move || choice.get() == Choice::Another on:change=move |_| choice.set(Choice::Another)/>
                <span>{word("office.settle_other")}</span>
            </label>
            {move || (choice.get() == Choice::Another).then(|| view! {
                <DeskEntry question=row text id=entry_id.clone()/>
                {method_choice(&entry_id, row.kind, method)}
            })}
        }
    });
    view! {
        <form class="card stack settle" novalidate on:submit=submit>
            <fieldset class="field">
                <legend>{move || title.get()}</legend>
                {options}
                {another}
            </fieldset>
            <p class="error" role="alert">{move || problem.get()}</p>
            <Trouble error/>
            <div class="row">
                <button type="submit" class="button primary" disabled=move || busy.get()>{word("office.settle")}</button>
            </div>
        </form>
    }
}

type Settled = (setdown_types::value::Value, Option<i64>, Method);

/// What the picked head says, to be said again for good.
fn picked(heads: &[Head], entry: EntryId) -> Option<Settled> {
    let head = heads.iter().find(|head| head.entry == entry)?;
    Some((head.value.clone()?, head.spread, head.method))
}
