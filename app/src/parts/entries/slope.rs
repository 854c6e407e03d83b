//! Entering a slope: as an instrument shows it, or as the gap under a level.

use leptos::prelude::*;
use setdown_types::quantity::{Dimension, UnitSystem};

use super::{NumberEntry, own_text};
use crate::parts::preferences;
use crate::parts::slope_text::{SlopeText, turned};
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
                on:click=move |_| {
                    // What was typed one way says nothing the other way.
                    if by_gap.get_untracked() != gap && !own.with_untracked(String::is_empty) {
                        text.set(String::new());
                    }
                    by_gap.set(gap);
                }
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

#[component]
fn GapUnderLevel(text: RwSignal<String>, own: Memo<String>) -> impl IntoView {
    let form = Memo::new(move |_| own.with(|own| SlopeText::read(own)));
    let usual_level = move || {
        if preferences::system() == UnitSystem::Us {
            "48"
        } else {
            "120"
        }
    };
    let unit = move || {
        if preferences::system() == UnitSystem::Us {
            "in"
        } else {
            "cm"
        }
    };
    view! {
        <label class="field">
            <span>{move || format!("{} ({})", word("slope.gap"), unit())}</span>
            <input
                type="text"
                inputmode="decimal"
                prop:value=move || form.get().gap
                on:input=move |event| {
                    let usual = untrack(usual_level);
                    text.set(form.get_untracked().with_gap(&event_target_value(&event), usual));
                }
            />
        </label>
        <label class="field">
            <span>{move || format!("{} ({})", word("slope.level"), unit())}</span>
            <input
                type="text"
                inputmode="decimal"
                prop:value=move || form.get().level_shown(usual_level())
                on:input=move |event| {
                    let usual = untrack(usual_level);
                    text.set(form.get_untracked().with_level(&event_target_value(&event), usual));
                }
            />
        </label>
    }
}
