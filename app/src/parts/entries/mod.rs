//! Entry components: one per kind of answer, each editing the text of a draft.
//!
//! Coordinator and homeowner share them; `home` leaves out what a homeowner is never asked for.

mod attestation;
mod choices;
mod length;
mod level;
mod number;
mod photo;
mod points;
mod ruler;
mod simple;
mod slope;
mod slot;

pub use attestation::AttestationEntry;
pub use choices::{ChoiceEntry, ChoicesEntry, YesNoEntry};
pub use length::LengthEntry;
pub use level::{LevelEntry, LevelPlan, PlacedPoint};
pub use number::NumberEntry;
pub use photo::{PhotoEntry, PhotoImage};
pub use points::{PointsEntry, TieEntry, YardPicks};
pub use ruler::Ruler;
pub use simple::{CountEntry, DateEntry, TextEntry};
pub use slope::SlopeEntry;
pub use slot::SlotEntry;

use leptos::prelude::*;
use setdown_types::ids::SiteId;
use setdown_types::quantity::Dimension;
use setdown_types::question::{AnswerKind, Question};
use setdown_types::subject::Subject;

use super::answer::{CANNOT, DONT_KNOW, Typed, understand};
use super::preferences;
use crate::device::Device;
use crate::words::word;

/// The entry for any question: the component of its kind, what it was understood as, questions back, and the ways of
/// having no answer.
#[component]
pub fn AnswerEntry(
    /// The question.
    question: &'static Question,
    /// The draft.
    text: RwSignal<String>,
    /// The store, for photos.
    device: Device,
    /// The site, for photos.
    site: SiteId,
    /// What is asked about.
    subject: Subject,
    /// For a homeowner.
    #[prop(default = false)]
    home: bool,
    /// What levels are drawn on.
    #[prop(optional_no_strip)]
    plan: Option<LevelPlan>,
    /// What points are chosen from.
    #[prop(optional_no_strip)]
    yard: Option<YardPicks>,
    /// The panel position that a new slot is about.
    #[prop(default = 1)]
    position: u16,
) -> impl IntoView {
    // `!reason`, `?`: the component of the kind sees an empty text and the chip below shows which it is.
    let entry = match question.kind {
        AnswerKind::Measure(Dimension::Length) => view! { <LengthEntry text home/> }.into_any(),
        AnswerKind::Measure(Dimension::Slope) => view! { <SlopeEntry text/> }.into_any(),
        AnswerKind::Measure(dimension) => {
            let signed = question.plausible.is_some_and(|(low, _)| low < 0.0);
            view! { <NumberEntry text dimension signed/> }.into_any()
        }
        AnswerKind::Count => view! { <CountEntry text/> }.into_any(),
        AnswerKind::YesNo => view! { <YesNoEntry text/> }.into_any(),
        AnswerKind::Choice(choices) => {
            view! { <ChoiceEntry text question=question.key choices/> }.into_any()
        }
        AnswerKind::Choices(choices) => {
            view! { <ChoicesEntry text question=question.key choices/> }.into_any()
        }
        AnswerKind::Text | AnswerKind::Pin => view! { <TextEntry text/> }.into_any(),
        AnswerKind::Date => view! { <DateEntry text/> }.into_any(),
        AnswerKind::Photo => {
            view! { <PhotoEntry text device site subject question=question.key/> }.into_any()
        }
        AnswerKind::Attestation => view! { <AttestationEntry text/> }.into_any(),
        AnswerKind::Slot => view! { <SlotEntry text position/> }.into_any(),
        AnswerKind::Level => view! { <LevelEntry text plan/> }.into_any(),
        AnswerKind::Points { most, .. } => {
            view! { {yard.map(|picks| view! { <PointsEntry text picks most/> })} }.into_any()
        }
        AnswerKind::Tie => {
            view! { {yard.map(|picks| view! { <TieEntry text picks/> })} }.into_any()
        }
        AnswerKind::Signature => {
            view! { <p class="quiet">{word("entry.sign_elsewhere")}</p> }.into_any()
        }
    };
    view! {
        <div class="entry">
            {entry}
            <Understanding question text/>
            <NoAnswer question text home/>
        </div>
    }
}

/// What the draft was understood as, or what to do about it.
#[component]
fn Understanding(question: &'static Question, text: RwSignal<String>) -> impl IntoView {
    let typed = Memo::new(move |_| understand(question, &text.get(), preferences::system()));
    let by_keys = matches!(question.kind, AnswerKind::Measure(_) | AnswerKind::Count);
    view! {
        <div class="understanding" aria-live="polite">
            {move || match typed.get() {
                Typed::Nothing => ().into_any(),
                Typed::Answer(answer) => answer
                    .doubt
                    .map(|doubt| view! { <p class="notice doubt">{doubt}</p> })
                    .into_any(),
                Typed::Ambiguous(readings) => view! { <Readings readings text/> }.into_any(),
                // Half-typed forms of other kinds say by themselves what is missing.
                Typed::Unclear(message) if by_keys => view! { <p class="unclear">{message}</p> }.into_any(),
                Typed::Unclear(message) => view! { <p class="quiet">{message}</p> }.into_any(),
            }}
        </div>
    }
}

/// Asks which of several readings is meant; choosing one writes it in a form that has one reading.
#[component]
fn Readings(
    readings: Vec<setdown_types::quantity::text::Reading>,
    text: RwSignal<String>,
) -> impl IntoView {
    let buttons = readings
        .into_iter()
        .map(|reading| {
            let words = reading.words.clone();
            view! {
                <button type="button" class="button" on:click=move |_| text.set(words.clone())>
                    {reading.words.clone()}
                </button>
            }
        })
        .collect_view();
    view! {
        <fieldset class="notice doubt">
            <legend>{word("entry.which_is_meant")}</legend>
            <div class="row">{buttons}</div>
        </fieldset>
    }
}

/// The ways of having no answer: different answers, each its own chip.
#[component]
fn NoAnswer(question: &'static Question, text: RwSignal<String>, home: bool) -> impl IntoView {
    // For a homeowner "no", "don't know" and "can't reach" are three answers to any question.
    let measured = home || matches!(question.kind, AnswerKind::Measure(_) | AnswerKind::Photo);
    // What puts a thing on the site is either said or the thing is taken off; a signature is given or not.
    let puts_there = question.subject.present_question() == Some(question.key);
    if puts_there || matches!(question.kind, AnswerKind::Signature | AnswerKind::Pin) {
        return ().into_any();
    }
    let cannot = if home {
        "entry.cannot_reach"
    } else {
        "entry.cannot_measure"
    };
    let is_cannot = Memo::new(move |_| text.get().starts_with(CANNOT));
    let is_unknown = Memo::new(move |_| text.get() == DONT_KNOW);
    let toggle = move |mark: &'static str, on: bool| {
        text.set(if on { String::new() } else { mark.to_owned() })
    };
    view! {
        <div class="row no-answer">
            {measured.then(|| view! {
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || is_cannot.get().to_string()
                    on:click=move |_| toggle(CANNOT, is_cannot.get_untracked())
                >
                    {word(cannot)}
                </button>
            })}
            <button
                type="button"
                class="chip"
                aria-pressed=move || is_unknown.get().to_string()
                on:click=move |_| toggle(DONT_KNOW, is_unknown.get_untracked())
            >
                {word("entry.dont_know")}
            </button>
        </div>
        <Show when=move || is_cannot.get()>
            <label class="field">
                <span>{word("entry.why_not")}</span>
                <input
                    type="text"
                    prop:value=move || text.get().trim_start_matches(CANNOT).trim_start().to_owned()
                    on:input=move |event| text.set(format!("{CANNOT}{}", event_target_value(&event)))
                />
            </label>
        </Show>
    }
    .into_any()
}

/// The draft as the component of the kind shows it: empty while it stands for having no answer.
fn own_text(text: RwSignal<String>) -> Memo<String> {
    Memo::new(move |_| {
        let text = text.get();
        let none = text.starts_with(CANNOT) || text == DONT_KNOW || text == super::answer::ABSENT;
        if none { String::new() } else { text }
    })
}
