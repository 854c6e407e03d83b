//! Entering a yes or no, one choice, or several.

use leptos::prelude::*;

use super::own_text;
use crate::parts::answer::{NONE, none_of, toggled};
use crate::words::word;

/// Two large buttons.
#[component]
pub fn YesNoEntry(
    /// The draft: `yes` or `no`.
    text: RwSignal<String>,
) -> impl IntoView {
    let own = own_text(text);
    let button = move |key: &'static str, label: &'static str| {
        view! {
            <button
                type="button"
                class="chip large"
                aria-pressed=move || (own.get() == key).to_string()
                on:click=move |_| text.set(key.to_owned())
            >
                {word(label)}
            </button>
        }
    };
    view! {
        <div class="two" role="group" aria-label=word("entry.answer")>
            {button("yes", "entry.yes")}
            {button("no", "entry.no")}
        </div>
    }
}

/// One of several, each a full line.
#[component]
pub fn ChoiceEntry(
    /// The draft: the key chosen.
    text: RwSignal<String>,
    /// The question, for the words.
    question: &'static str,
    /// The keys.
    choices: &'static [&'static str],
) -> impl IntoView {
    let own = own_text(text);
    let buttons = choices
        .iter()
        .map(|key| {
            let key = *key;
            view! {
                <button
                    type="button"
                    class="chip line"
                    aria-pressed=move || (own.get() == key).to_string()
                    on:click=move |_| text.set(key.to_owned())
                >
                    {word(&format!("choice.{question}.{key}"))}
                </button>
            }
        })
        .collect_view();
    view! { <div class="lines" role="group" aria-label=word("entry.choose_one")>{buttons}</div> }
}

/// Any number of several, with "none of these" as an answer of its own.
#[component]
pub fn ChoicesEntry(
    /// The draft: keys with commas between; `-` for none.
    text: RwSignal<String>,
    /// The question, for the words.
    question: &'static str,
    /// The keys.
    choices: &'static [&'static str],
) -> impl IntoView {
    let own = own_text(text);
    let has = move |key: &str| own.get().split(',').any(|chosen| chosen == key);
    let toggle = move |key: &str| text.set(toggled(&own.get_untracked(), key));
    let buttons = choices
        .iter()
        .map(|key| {
            let key = *key;
            view! {
                <button
                    type="button"
                    class="chip line"
                    aria-pressed=move || has(key).to_string()
                    on:click=move |_| toggle(key)
                >
                    {word(&format!("choice.{question}.{key}"))}
                </button>
            }
        })
        .collect_view();
    view! {
        <div class="lines" role="group" aria-label=word("entry.choose_some")>
            {buttons}
            // A question that has its own word for none of them needs no second one.
            {(none_of(choices) == NONE).then(|| view! {
                <button
                    type="button"
                    class="chip line"
                    aria-pressed=move || (own.get() == NONE).to_string()
                    on:click=move |_| text.set(NONE.to_owned())
                >
                    {word("entry.none_of_these")}
                </button>
            })}
        </div>
    }
}
