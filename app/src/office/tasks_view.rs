//! Tasks by party, and one party's list as a page to print.

use leptos::prelude::*;
use leptos_router::hooks::use_query_map;
use setdown_rules::Assessment;
use setdown_rules::frame::result::{Task, TaskReason};
use setdown_types::party::Party;

use super::frame::system;
use super::loaded::{Loaded, on_site};
use super::marks::{party_key, party_name};
use crate::parts::working::capital;
use crate::words::{
    Wording, check_title, date_text, filled, has, question_title, subject_name, word,
};

/// Who holds up the hold point worked towards: the party of its most pressing task.
pub fn current_waits_for(assessment: &Assessment) -> Option<Party> {
    let point = assessment.current()?.hold_point;
    assessment
        .tasks
        .iter()
        .find(|task| task.unlocks.contains(&point))
        .map(|task| task.party)
}

/// All tasks by party; with `party=…` in the address only that one's, ready to print.
#[component]
pub fn TasksView() -> impl IntoView {
    let query = use_query_map();
    let chosen = Memo::new(move |_| {
        let wanted = query.with(|query| query.get("party"));
        Party::ALL
            .into_iter()
            .find(|party| wanted.as_deref() == Some(party_key(*party)))
    });
    move || match chosen.get() {
        Some(party) => view! { <Sheet party/> }.into_any(),
        None => {
            let parties = Party::ALL
                .into_iter()
                .map(|party| view! { <OneParty party/> })
                .collect_view();
            view! {
                <section class="stack" aria-labelledby="tasks-title">
                    <h2 id="tasks-title" class="seen-by-readers-only">{word("office.view.tasks")}</h2>
                    <p class="caution">{word("office.caution")}</p>
                    {parties}
                </section>
            }
            .into_any()
        }
    }
}

fn of_party(loaded: &Loaded, party: Party) -> Vec<Task> {
    loaded
        .assessment
        .tasks
        .iter()
        .filter(|task| task.party == party)
        .cloned()
        .collect()
}

#[component]
fn OneParty(party: Party) -> impl IntoView {
    let on = on_site();
    let tasks = on.part(move |loaded| of_party(loaded, party));
    let id = format!("tasks-{}", party_key(party));
    let labelled = id.clone();
    let count = move || tasks.with(Vec::len).to_string();
    view! {
        <section class="stack-tight" aria-labelledby=labelled hidden=move || tasks.with(Vec::is_empty)>
            <div class="row spread">
                <h3 id=id>{party_name(party)} " " <span class="badge">{count}</span></h3>
                <a class="button small" href=format!("?view=tasks&party={}", party_key(party))>{word("office.list_to_print")}</a>
            </div>
            <TaskList party/>
        </section>
    }
}

/// The tasks of one party in order, each with its reason and what it unlocks.
#[component]
fn TaskList(party: Party) -> impl IntoView {
    let on = on_site();
    let system = system();
    let tasks = on.part(move |loaded| of_party(loaded, party));
    let rows = move || {
        let loaded = on.loaded.get();
        tasks
            .get()
            .iter()
            .map(|task| row(&loaded, task, Wording::new(system.get(), &loaded.site)))
            .collect_view()
    };
    view! { <ol class="tasks plain">{rows}</ol> }
}

fn row(loaded: &Loaded, task: &Task, wording: Wording<'_>) -> impl IntoView + use<> {
    let unlocks = task
        .unlocks
        .first()
        .map(|point| word(&format!("hold_point.{}", point.key())));
    let unlocks = unlocks.map(|point| filled("office.unlocks", &[("hold_point", &point)]));
    let minutes = filled(
        "office.minutes",
        &[("count", &crate::words::number_text(task.minutes))],
    );
    let reason = match &task.reason {
        TaskReason::Check(key) => filled(
            "office.because",
            &[("reason", &because(loaded, key, wording))],
        ),
        TaskReason::Standing(_) => word("office.always_done"),
    };
    let questions = task
        .streams
        .iter()
        .map(|stream| {
            let text = format!(
                "{}: {}",
                capital(&subject_name(&loaded.site, stream.subject)),
                question_title(&stream.question)
            );
            view! { <li>{text}</li> }
        })
        .collect_view();
    let has_questions = !task.streams.is_empty();
    view! {
        <li class="task">
            <p class="task-line">
                {task.stopper.then(|| view! { <span class="badge">{word("office.stopper")}</span> " " })}
                {wording.line(&task.line)}
            </p>
            <p class="quiet">{reason}</p>
            {has_questions.then(|| view! { <ul>{questions}</ul> })}
            <p class="quiet">{unlocks}" "{minutes}</p>
        </li>
    }
}

/// The check and why it is not clear.
fn because(loaded: &Loaded, key: &str, wording: Wording<'_>) -> String {
    let title = check_title(key);
    match loaded.assessment.check(key) {
        Some(check) => format!("{title}. {}", wording.line(&check.reason)),
        None => title,
    }
}

/// One party's list as a page of its own.
#[component]
fn Sheet(party: Party) -> impl IntoView {
    let on = on_site();
    let head = on.part(|loaded| {
        let date = date_text(loaded.assessment.date);
        let rules = loaded.assessment.rules.to_string();
        (
            loaded.view.name.clone(),
            loaded.view.spa.name.clone(),
            date,
            rules,
        )
    });
    let cautions = on.part(move |loaded| cautions_of(loaded, party));
    let none = on.part(move |loaded| of_party(loaded, party).is_empty());
    let lines = move || {
        let keys = cautions.get();
        keys.into_iter()
            .map(|key| view! { <p>{word(&key)}</p> })
            .collect_view()
    };
    let about = move || {
        let (name, spa, date, rules) = head.get();
        filled(
            "office.sheet_about",
            &[
                ("site", &name),
                ("spa", &spa),
                ("date", &date),
                ("rules", &rules),
            ],
        )
    };
    view! {
        <article class="sheet stack">
            <div class="row spread not-printed">
                <a class="button" href="?view=tasks">{word("office.all_tasks")}</a>
                <button type="button" class="button primary" on:click=move |_| { let _ = window().print(); }>{word("office.print")}</button>
            </div>
            <h2>{filled("office.sheet_title", &[("party", &party_name(party))])}</h2>
            <p>{about}</p>
            <aside class="caution" aria-label=word("working.caution")>
                <strong>{word("working.caution")}</strong>
                <p>{word("office.caution")}</p>
                {lines}
            </aside>
            <p hidden=move || !none.get()>{word("office.nothing_to_do")}</p>
            <TaskList party/>
        </article>
    }
}

/// Cautions of the checks behind a party's tasks, each once.
fn cautions_of(loaded: &Loaded, party: Party) -> Vec<String> {
    let mut keys: Vec<String> = of_party(loaded, party)
        .iter()
        .filter_map(|task| match &task.reason {
            TaskReason::Check(key) => loaded.assessment.check(key),
            TaskReason::Standing(_) => None,
        })
        .flat_map(|check| check.cautions.iter().map(|key| key.to_string()))
        .filter(|key| has(key))
        .collect();
    keys.sort();
    keys.dedup();
    keys
}
