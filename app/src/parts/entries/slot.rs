//! Entering what sits in one position of a panel, as seen from outside: door open, cover on.

use leptos::prelude::*;
use setdown_types::value::{BreakerSlot, SlotHolds};

use super::own_text;
use crate::parts::answer::slot_key;
use crate::words::word;

const HOLDS: [SlotHolds; 5] = [
    SlotHolds::Space,
    SlotHolds::OnePole,
    SlotHolds::TwoPole,
    SlotHolds::Tandem,
    SlotHolds::Blocked,
];
const RATINGS: [i64; 9] = [15, 20, 25, 30, 40, 50, 60, 100, 200];
const MICRO: i64 = 1_000_000;

/// What a new position starts as.
pub const fn empty_slot(position: u16) -> BreakerSlot {
    BreakerSlot {
        position,
        holds: SlotHolds::Space,
        rating: None,
        label: String::new(),
    }
}

/// One panel position; the draft is the slot as JSON.
#[component]
pub fn SlotEntry(
    /// The draft.
    text: RwSignal<String>,
    /// The position that a new slot is about.
    #[prop(default = 1)]
    position: u16,
) -> impl IntoView {
    let own = own_text(text);
    let slot = Memo::new(move |_| {
        serde_json::from_str(&own.get()).unwrap_or_else(|_| empty_slot(position))
    });
    let change = move |edit: &dyn Fn(&mut BreakerSlot)| {
        let mut now = slot.get_untracked();
        edit(&mut now);
        text.set(serde_json::to_string(&now).unwrap_or_default());
    };
    let holds = HOLDS
        .into_iter()
        .map(|holds| {
            view! {
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || (slot.get().holds == holds && !own.get().is_empty()).to_string()
                    on:click=move |_| change(&|slot| {
                        slot.holds = holds;
                        if matches!(holds, SlotHolds::Space | SlotHolds::Blocked) {
                            slot.rating = None;
                        }
                    })
                >
                    {word(&format!("slot.{}", slot_key(holds)))}
                </button>
            }
        })
        .collect_view();
    let ratings = move || {
        RATINGS
            .into_iter()
            .map(|amperes| {
                view! {
                    <button
                        type="button"
                        class="chip"
                        aria-pressed=move || (slot.get().rating == Some(amperes * MICRO)).to_string()
                        on:click=move |_| change(&|slot| {
                            slot.rating = if slot.rating == Some(amperes * MICRO) { None } else { Some(amperes * MICRO) };
                        })
                    >
                        {format!("{amperes} A")}
                    </button>
                }
            })
            .collect_view()
    };
    let has_breaker = move || !matches!(slot.get().holds, SlotHolds::Space | SlotHolds::Blocked);
    view! {
        <div class="slot-entry stack">
            <label class="field">
                <span>{word("slot.position")}</span>
                <input
                    type="text"
                    inputmode="numeric"
                    prop:value=move || slot.get().position.to_string()
                    on:input=move |event| {
                        if let Ok(position) = event_target_value(&event).parse::<u16>() {
                            change(&|slot| slot.position = position);
                        }
                    }
                />
            </label>
            <div class="row" role="group" aria-label=word("slot.holds")>{holds}</div>
            <Show when=has_breaker>
                <div class="row" role="group" aria-label=word("slot.rating")>{ratings()}</div>
                <label class="field">
                    <span>{word("slot.label")}</span>
                    <input
                        type="text"
                        autocomplete="off"
                        prop:value=move || slot.get().label
                        on:input=move |event| change(&|slot| slot.label = event_target_value(&event))
                    />
                </label>
            </Show>
        </div>
    }
}
