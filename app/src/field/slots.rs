//! The panel position by position: a grid of what is recorded, each position a tap.

use std::cell::Cell;
use std::collections::BTreeMap;

use leptos::prelude::*;
use leptos_router::hooks::use_navigate;
use setdown_types::quantity::text::format_quantity;
use setdown_types::quantity::{Dimension, Quantity, UnitSystem};
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{BreakerSlot, Value};

use super::address;
use super::on_site::{Assessed, OnSite};
use crate::parts::answer::slot_key;
use crate::words::{filled, word};

thread_local! {
    /// The empty position that was tapped, for the question that opens next.
    static TAPPED: Cell<Option<u16>> = const { Cell::new(None) };
}

/// Positions shown at least.
const FEWEST: u16 = 12;

fn recorded(now: &Assessed) -> BTreeMap<u16, (Subject, BreakerSlot)> {
    let Some(question) = SubjectKind::Slot.present_question() else {
        return BTreeMap::new();
    };
    now.site
        .subjects(SubjectKind::Slot)
        .iter()
        .filter_map(|subject| {
            match now
                .site
                .stream(*subject, question)?
                .leading()?
                .value
                .as_ref()?
            {
                Value::Slot(slot) => Some((slot.position, (*subject, slot.clone()))),
                _ => None,
            }
        })
        .collect()
}

/// The position a new slot is about: the one tapped, else the first that is not recorded.
pub fn next_position(on_site: OnSite) -> u16 {
    if let Some(tapped) = TAPPED.take() {
        return tapped;
    }
    let known = on_site
        .assessed_now()
        .map(|now| recorded(&now))
        .unwrap_or_default();
    (1..=u16::MAX)
        .find(|position| !known.contains_key(position))
        .unwrap_or(1)
}

/// The panel as recorded so far, two positions a row as they sit.
#[component]
pub fn SlotGrid(
    /// The site.
    on_site: OnSite,
) -> impl IntoView {
    let navigate = StoredValue::new_local(use_navigate());
    let open = move |subject: Subject| {
        if let Some(question) = SubjectKind::Slot.present_question() {
            let href = address::ask(on_site, &StreamKey::new(subject, question));
            navigate
                .with_value(|navigate| navigate(&href, leptos_router::NavigateOptions::default()));
        }
    };
    let cells = move || {
        let known = on_site
            .assessed()
            .map(|now| recorded(&now))
            .unwrap_or_default();
        let last = known
            .keys()
            .next_back()
            .copied()
            .unwrap_or(0)
            .saturating_add(1)
            .max(FEWEST);
        let last = last.saturating_add(last % 2);
        (1..=last)
            .map(|position| {
                let held = known.get(&position).cloned();
                let text = held.as_ref().map_or_else(|| word("slots.not_recorded"), |(_, slot)| short(slot));
                let empty = held.is_none();
                let tap = move |_| match &held {
                    Some((subject, _)) => open(*subject),
                    None => {
                        TAPPED.set(Some(position));
                        open(on_site.device.new_subject(SubjectKind::Slot));
                    }
                };
                view! {
                    <button type="button" class="slot" class:empty=empty on:click=tap
                        aria-label=filled("slots.position", &[("position", &position.to_string()), ("holds", &text)])>
                        <span class="number">{position}</span>
                        <span>{text.clone()}</span>
                    </button>
                }
            })
            .collect_view()
    };
    view! {
        <details class="fold" open=true>
            <summary>{word("slots.title")}</summary>
            <div class="slot-grid">{cells}</div>
        </details>
    }
}

/// "1-pole 20 A" in few letters.
fn short(slot: &BreakerSlot) -> String {
    let holds = word(&format!("slots.short.{}", slot_key(slot.holds)));
    match slot.rating {
        Some(rating) => {
            format!(
                "{holds} {}",
                format_quantity(Quantity::new(Dimension::Current, rating), UnitSystem::Us)
            )
        }
        None => holds,
    }
}
