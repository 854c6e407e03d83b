//! Entering a count, words, or a date.

use leptos::prelude::*;

use super::own_text;
use crate::words::word;

/// A whole number with large steps down and up.
#[component]
pub fn CountEntry(
    /// The draft.
    text: RwSignal<String>,
) -> impl IntoView {
    let own = own_text(text);
    let step = move |by: i64| {
        let now: i64 = own.get_untracked().parse().unwrap_or(0);
        text.set(now.saturating_add(by).clamp(0, 9_999).to_string());
    };
    view! {
        <div class="count-entry">
            <button type="button" class="button step" aria-label=word("count.less") on:click=move |_| step(-1)>"−"</button>
            <input
                type="text"
                inputmode="numeric"
                class="number"
                aria-label=word("entry.answer")
                prop:value=move || own.get()
                on:input=move |event| text.set(event_target_value(&event))
            />
            <button type="button" class="button step" aria-label=word("count.more") on:click=move |_| step(1)>"+"</button>
        </div>
    }
}

/// Free words.
#[component]
pub fn TextEntry(
    /// The draft.
    text: RwSignal<String>,
    /// Whether no draft stands for having no answer, so that a note may begin with any sign.
    #[prop(default = false)]
    plain: bool,
) -> impl IntoView {
    let own = if plain {
        Memo::new(move |_| text.get())
    } else {
        own_text(text)
    };
    view! {
        <label class="field">
            <span class="seen-by-readers-only">{word("entry.words")}</span>
            <textarea
                rows="3"
                prop:value=move || own.get()
                on:input=move |event| text.set(event_target_value(&event))
            ></textarea>
        </label>
    }
}

/// A civil date.
#[component]
pub fn DateEntry(
    /// The draft: `2026-11-25`.
    text: RwSignal<String>,
) -> impl IntoView {
    let own = own_text(text);
    view! {
        <label class="field">
            <span class="seen-by-readers-only">{word("entry.date")}</span>
            <input
                type="date"
                prop:value=move || own.get()
                on:input=move |event| text.set(event_target_value(&event))
            />
        </label>
    }
}
