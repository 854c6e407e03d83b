//! Entering a slope: as an instrument shows it, or as the gap under a level.

use leptos::prelude::*;
use setdown_types::quantity::{Dimension, UnitSystem};

use super::{NumberEntry, own_text};
use crate::parts::preferences;
use crate::words::word;

/// A slope; the draft is `2.1 %`, or `1.5:48` for a gap under a level.
#[component]
pub fn SlopeEntry(
    /// The draft.
    text: RwSignal<String>,
) -> impl IntoView {
    let own = own_text(text);
    let by_gap = RwSignal::new(own.get_untracked().contains(':'));
    // A draft comes back when the screen is there already.
    Effect::new(move |_| {
        if own.with(|own| own.contains(':')) {
            by_gap.set(true);
        }
    });
    let way = move |gap: bool, key: &'static str| {
        view! {
            <button
                type="button"
                class="chip"
                aria-pressed=move || (by_gap.get() == gap).to_string()
                on:click=move |_| by_gap.set(gap)
            >
                {word(key)}
            </button>
        }
    };
    view! {
        <div class="slope-entry">
            <div class="row" role="group" aria-label=word("slope.how")>
                {way(false, "slope.instrument")}
                {way(true, "slope.level_and_tape")}
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || own.get().starts_with('-').to_string()
                    on:click=move |_| text.set(turned(&own.get_untracked()))
                >
                    {word("slope.minus")}
                </button>
            </div>
            {move || if by_gap.get() {
                view! { <GapUnderLevel text own/> }.into_any()
            } else {
                view! { <NumberEntry text dimension=Dimension::Slope/> }.into_any()
            }}
        </div>
    }
}

/// The same slope the other way: with a minus in front, or without.
fn turned(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.contains(|letter: char| letter.is_ascii_digit()) => rest.to_owned(),
        Some(_) => String::new(),
        None => format!("-{text}"),
    }
}

#[component]
fn GapUnderLevel(text: RwSignal<String>, own: Memo<String>) -> impl IntoView {
    let part = move |index: usize| {
        own.get()
            .split(':')
            .nth(index)
            .map(|part| part.trim().to_owned())
            .unwrap_or_default()
    };
    let whole = move || {
        if own.get().contains(':') {
            (part(0), part(1))
        } else {
            (String::new(), String::new())
        }
    };
    let usual_level = move || {
        if preferences::system() == UnitSystem::Us {
            "48"
        } else {
            "120"
        }
    };
    let write = move |gap: String, level: String| {
        let (gap, level) = (gap.trim(), level.trim());
        // Either may be typed first; a usual length alone has not been typed.
        let nothing = gap.is_empty() && (level.is_empty() || level == usual_level());
        text.set(if nothing {
            String::new()
        } else {
            format!("{gap}:{level}")
        });
    };
    let unit = move || {
        if preferences::system() == UnitSystem::Us {
            "in"
        } else {
            "cm"
        }
    };
    let level_now = move || {
        let level = whole().1;
        if level.is_empty() {
            usual_level().to_owned()
        } else {
            level
        }
    };
    view! {
        <label class="field">
            <span>{move || format!("{} ({})", word("slope.gap"), unit())}</span>
            <input
                type="text"
                inputmode="decimal"
                prop:value=move || whole().0
                on:input=move |event| write(event_target_value(&event), untrack(level_now))
            />
        </label>
        <label class="field">
            <span>{move || format!("{} ({})", word("slope.level"), unit())}</span>
            <input
                type="text"
                inputmode="decimal"
                prop:value=level_now
                on:input=move |event| write(untrack(whole).0, event_target_value(&event))
            />
        </label>
    }
}
