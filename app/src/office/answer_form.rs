//! Answering one question from the office: the entry, how it was got, and why where an answer stands already.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Intent, Method};
use setdown_types::question;
use setdown_types::site::StreamKey;

use super::calls::append_answer;
use super::desk_entry::DeskEntry;
use super::frame::system;
use super::loaded::on_site;
use super::marks::Trouble;
use super::messages::{OfficeAnswer, OfficeError};
use crate::parts::answer::{
    CANNOT, DONT_KNOW, Typed, method_key, offered_methods, understand, usual_method,
};
use crate::words::word;

/// A form for one question about one thing.
#[component]
pub fn AnswerForm<Done>(
    /// Which question about what.
    stream: StreamKey,
    /// Called once the answer stands.
    done: Done,
) -> impl IntoView
where
    Done: Fn() + Clone + 'static,
{
    let Some(question) = question::find(&stream.question) else {
        return view! { <p>{word("office.newer_question")}</p> }.into_any();
    };
    let on = on_site();
    let id = format!(
        "answer-{}-{}",
        stream.subject.id,
        stream.question.replace('.', "-")
    );
    let text = RwSignal::new(String::new());
    let method = RwSignal::new(office_method(question.kind));
    let standing = on.part({
        let stream = stream.clone();
        move |loaded| {
            loaded
                .site
                .streams()
                .get(&stream)
                .is_some_and(|stream| !stream.standing().is_empty())
        }
    });
    let intent = RwSignal::new(Intent::Correct);
    let (busy, error, problem) = (
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
        RwSignal::new(None::<String>),
    );
    let system = system();
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let typed = understand(question, &text.get_untracked(), system.get_untracked());
        let Typed::Answer(answer) = typed else {
            problem.set(Some(unfinished(&typed)));
            return;
        };
        problem.set(None);
        let heads = on.loaded.with_untracked(|loaded| {
            loaded
                .site
                .streams()
                .get(&stream)
                .map(|stream| stream.heads.clone())
                .unwrap_or_default()
        });
        let intent = match (standing.get_untracked(), intent.get_untracked()) {
            (false, _) => Intent::First,
            (true, intent) => intent,
        };
        let message = OfficeAnswer {
            site: on.id,
            stream: stream.clone(),
            intent,
            replaces: if intent == Intent::Repeat {
                Vec::new()
            } else {
                heads
            },
            value: answer.value,
            spread: answer.spread,
            method: method.get_untracked(),
        };
        let done = done.clone();
        busy.set(true);
        spawn_local(async move {
            match append_answer(message).await {
                Ok(_) => {
                    on.live.again();
                    error.try_set(None);
                    done();
                }
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    let why = {
        let id = id.clone();
        move || standing.get().then(|| intent_choice(&id, intent))
    };
    view! {
        <form class="card stack" novalidate on:submit=submit>
            <DeskEntry question text id=id.clone()/>
            {method_choice(&id, question.kind, method)}
            {why}
            <p class="error" role="alert">{move || problem.get()}</p>
            <Trouble error/>
            <div class="row">
                <button type="submit" class="button primary" disabled=move || busy.get()>{word("office.keep_answer")}</button>
                <button type="button" class="button" on:click=move |_| text.set(DONT_KNOW.to_owned())>{word("entry.dont_know")}</button>
                <button type="button" class="button" on:click=move |_| text.set(CANNOT.to_owned())>{word("entry.cannot_measure")}</button>
            </div>
        </form>
    }
    .into_any()
}

/// What to say about a draft that is no answer yet.
pub fn unfinished(typed: &Typed) -> String {
    match typed {
        Typed::Unclear(reason) => reason.clone(),
        Typed::Ambiguous(_) => word("office.which_reading"),
        Typed::Nothing | Typed::Answer(_) => word("office.nothing_entered"),
    }
}

/// At a desk nobody holds a tape: what comes in is told or stands in a document.
const fn office_method(kind: question::AnswerKind) -> Method {
    match kind {
        question::AnswerKind::Measure(_)
        | question::AnswerKind::Count
        | question::AnswerKind::YesNo => Method::Told,
        question::AnswerKind::Choice(_) | question::AnswerKind::Choices(_) => Method::Told,
        other => usual_method(other),
    }
}

/// How it was got, where that says something.
pub fn method_choice(id: &str, kind: question::AnswerKind, method: RwSignal<Method>) -> AnyView {
    let offered = offered_methods(kind);
    if offered.is_empty() {
        return ().into_any();
    }
    let id = format!("{id}-method");
    let options = offered
        .iter()
        .map(|offer| {
            let offer = *offer;
            let key = method_key(offer);
            view! { <option value=key selected=move || method.get() == offer>{word(&format!("method.{key}"))}</option> }
        })
        .collect_view();
    let choose = move |text: String| {
        if let Some(chosen) = offered.iter().find(|offer| method_key(**offer) == text) {
            method.set(*chosen);
        }
    };
    view! {
        <div class="field">
            <label for=id.clone()>{word("office.method")}</label>
            <select id=id on:change:target=move |event| choose(event.target().value())>{options}</select>
        </div>
    }
    .into_any()
}

/// Why there is a new answer where one stands already.
fn intent_choice(id: &str, intent: RwSignal<Intent>) -> AnyView {
    let name = format!("{id}-intent");
    let choices = [
        (Intent::Correct, "office.intent.correct"),
        (Intent::Changed, "office.intent.changed"),
        (Intent::Repeat, "office.intent.repeat"),
    ]
    .into_iter()
    .map(|(choice, key)| {
        view! {
            <label class="choice">
                <input type="radio" name=name.clone() prop:checked=move || intent.get() == choice on:change=move |_| intent.set(choice)/>
                <span>{word(key)}</span>
            </label>
        }
    })
    .collect_view();
    view! {
        <fieldset class="field">
            <legend>{word("office.why_again")}</legend>
            {choices}
        </fieldset>
    }
    .into_any()
}
