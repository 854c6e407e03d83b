//! One answer entered at a desk: plain inputs over the same draft texts as on the phone.

use leptos::prelude::*;
use setdown_types::quantity::UnitSystem;
use setdown_types::question::{AnswerKind, Question};

use super::frame::system;
use crate::parts::answer::{NONE, Typed, none_of, toggled, understand};
use crate::parts::attestation_text::AttestationText;
use crate::words::{filled, question_title, word};

/// Whether the office can enter an answer of this kind. Pictures, panel positions, level points and the plan come from
/// the yard; signatures and pins have their own places.
pub const fn can_be_entered(kind: AnswerKind) -> bool {
    !matches!(
        kind,
        AnswerKind::Photo
            | AnswerKind::Slot
            | AnswerKind::Level
            | AnswerKind::Points { .. }
            | AnswerKind::Tie
            | AnswerKind::Signature
            | AnswerKind::Pin
    )
}

/// The inputs for one question; `text` is the draft that [`understand`] reads.
#[component]
pub fn DeskEntry(
    /// The question.
    question: &'static Question,
    /// The draft.
    text: RwSignal<String>,
    /// Begins the ids of its inputs; unique on the page.
    id: String,
) -> impl IntoView {
    let label = question_title(question.key);
    let system = system();
    let typed = Memo::new(move |_| shown_state(&understand(question, &text.get(), system.get())));
    let hint_id = format!("{id}-hint");
    let input = match question.kind {
        AnswerKind::YesNo => one_of(
            &id,
            label,
            text,
            &[("yes", word("entry.yes")), ("no", word("entry.no"))],
        ),
        AnswerKind::Choice(keys) => {
            let choices: Vec<_> = keys
                .iter()
                .map(|key| (*key, choice_word(question, key)))
                .collect();
            one_of(&id, label, text, &choices)
        }
        AnswerKind::Choices(keys) => some_of(question, label, text, keys),
        AnswerKind::Attestation => attestation(&id, label, text),
        AnswerKind::Date => line(&id, label, text, "date", hint_id.clone()),
        _ => line(&id, label, text, "text", hint_id.clone()),
    };
    let readings = move || ways_to_read(question, text, system.get());
    view! {
        <div class="desk-entry stack">
            {input}
            <div id=hint_id role="status" class="hint">
                {move || typed.get()}
                {readings}
            </div>
        </div>
    }
}

fn choice_word(question: &Question, key: &str) -> String {
    word(&format!("choice.{}.{key}", question.key))
}

/// What stands below the input: how it is understood, what is doubted, what to do.
fn shown_state(typed: &Typed) -> String {
    match typed {
        Typed::Nothing => String::new(),
        Typed::Unclear(reason) => reason.clone(),
        Typed::Ambiguous(_) => word("office.which_reading"),
        Typed::Answer(answer) => [
            answer
                .shown
                .as_ref()
                .map(|shown| filled("office.understood", &[("value", shown)])),
            answer.doubt.clone(),
        ]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" "),
    }
}

/// A form that trades read differently is asked about: one button a reading.
fn ways_to_read(
    question: &'static Question,
    text: RwSignal<String>,
    system: UnitSystem,
) -> Option<AnyView> {
    let Typed::Ambiguous(readings) = understand(question, &text.get(), system) else {
        return None;
    };
    let buttons = readings
        .into_iter()
        .map(|reading| {
            let meaning = setdown_types::quantity::text::format_length(reading.length, system);
            let written = meaning.clone();
            view! { <button type="button" class="chip" on:click=move |_| text.set(written.clone())>{meaning}</button> }
        })
        .collect_view();
    Some(view! { <div class="row">{buttons}</div> }.into_any())
}

fn line(
    id: &str,
    label: String,
    text: RwSignal<String>,
    kind: &'static str,
    hint: String,
) -> AnyView {
    let id = id.to_owned();
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <input
                id=id
                type=kind
                autocomplete="off"
                aria-describedby=hint
                prop:value=move || text.get()
                on:input:target=move |event| text.set(event.target().value())
            />
        </div>
    }
    .into_any()
}

fn one_of(
    id: &str,
    label: String,
    text: RwSignal<String>,
    choices: &[(&'static str, String)],
) -> AnyView {
    let id = id.to_owned();
    let options = choices
        .iter()
        .map(|(key, name)| {
            let key = *key;
            view! { <option value=key selected=move || text.get() == key>{name.clone()}</option> }
        })
        .collect_view();
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <select id=id on:change:target=move |event| text.set(event.target().value())>
                <option value="" selected=move || text.with(String::is_empty)>{word("office.choose")}</option>
                {options}
            </select>
        </div>
    }
    .into_any()
}

fn some_of(
    question: &'static Question,
    label: String,
    text: RwSignal<String>,
    keys: &'static [&'static str],
) -> AnyView {
    let boxes = keys
        .iter()
        .map(|key| {
            let key = *key;
            view! {
                <label class="choice">
                    <input
                        type="checkbox"
                        prop:checked=move || text.with(|text| text.split(',').any(|chosen| chosen.trim() == key))
                        on:change=move |_| text.update(|text| *text = toggled(text, key))
                    />
                    <span>{choice_word(question, key)}</span>
                </label>
            }
        })
        .collect_view();
    view! {
        <fieldset class="field">
            <legend>{label}</legend>
            {boxes}
            {(none_of(keys) == NONE).then(|| view! {
                <label class="choice">
                    <input
                        type="checkbox"
                        prop:checked=move || text.with(|text| text == NONE)
                        on:change=move |_| text.update(|text| *text = toggled(text, NONE))
                    />
                    <span>{word("entry.none_of_these")}</span>
                </label>
            })}
        </fieldset>
    }
    .into_any()
}

/// The four fields of a licensed person's word.
fn attestation(id: &str, label: String, text: RwSignal<String>) -> AnyView {
    type Part = fn(&mut AttestationText) -> &mut String;
    let parts: [(&str, &str, Part); 4] = [
        ("person", "text", |form| &mut form.person),
        ("licence", "text", |form| &mut form.licence),
        ("document", "text", |form| &mut form.document),
        ("date", "date", |form| &mut form.date),
    ];
    let fields = parts
        .into_iter()
        .map(|(name, kind, part)| {
            let id = format!("{id}-{name}");
            let value = move || text.with(|text| part(&mut AttestationText::read(text)).clone());
            let write = move |value: String| {
                text.update(|text| {
                    let mut form = AttestationText::read(text);
                    *part(&mut form) = value;
                    *text = form.write();
                });
            };
            view! {
                <div class="field">
                    <label for=id.clone()>{word(&format!("entry.attestation.{name}"))}</label>
                    <input id=id type=kind autocomplete="off" prop:value=value on:input:target=move |event| write(event.target().value())/>
                </div>
            }
        })
        .collect_view();
    view! {
        <fieldset class="form-grid">
            <legend>{label}</legend>
            {fields}
        </fieldset>
    }
    .into_any()
}
