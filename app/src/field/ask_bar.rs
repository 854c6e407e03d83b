//! How an answer was got, why it is written again, and the bar at the thumb: back, on, keep.

use leptos::prelude::*;
use leptos_router::hooks::use_navigate;
use setdown_types::entry::Intent;
use setdown_types::quantity::text::format_quantity;
use setdown_types::quantity::{Dimension, Length, Quantity, UnitSystem};
use setdown_types::question::AnswerKind;
use setdown_types::site::Head;

use super::ask_context::Asked;
use super::on_site::offset_minutes;
use crate::parts::answer::{method_key, offered_methods, shown, text_of};
use crate::parts::preferences;
use crate::words::{Wording, filled, instant_text, word};

/// What stands for this question, and, where several do, a way to take one of them.
#[component]
pub fn Standing(
    /// The question.
    asked: Asked,
) -> impl IntoView {
    move || {
        let heads = asked.standing();
        if heads.is_empty() {
            return ().into_any();
        }
        let several = heads.len() > 1;
        let rows = heads
            .into_iter()
            .map(|head| standing_row(asked, head, several))
            .collect_view();
        view! {
            <section class="standing" aria-label=word("ask.stands")>
                {several.then(|| view! {
                    <p class="notice">{word(if asked.in_conflict() { "ask.conflict" } else { "ask.repeats" })}</p>
                })}
                <ul class="plain">{rows}</ul>
            </section>
        }
        .into_any()
    }
}

fn standing_row(asked: Asked, head: Head, several: bool) -> AnyView {
    let system = preferences::system();
    let value = head.value.clone();
    let said = value.as_ref().map_or_else(
        || word("ask.not_understood"),
        |value| shown(asked.question.key, value, system),
    );
    let spread = match (asked.question.kind, head.spread) {
        (AnswerKind::Measure(dimension), Some(base)) => {
            let spread = Quantity::new(dimension, base);
            format!(
                " ± {}",
                Wording { system, site: None }.quantity(dimension, spread.si())
            )
        }
        _ => String::new(),
    };
    let method = word(&format!("method.{}", method_key(head.method)));
    let when = instant_text(head.wall, offset_minutes());
    let take = move |_| {
        if let Some(value) = &value {
            asked.text.set(text_of(value));
            asked.method.set(head.method);
            asked.spread.set(head.spread);
            asked.intent.set(Some(Intent::Settle));
        }
    };
    view! {
        <li class="standing-row">
            <span>
                <strong class="number">{said}{spread}</strong>
                <span class="quiet">" " {method} ", " {when}</span>
            </span>
            {several.then(|| view! {
                <button type="button" class="button" on:click=take>{word("ask.take_this")}</button>
            })}
        </li>
    }
    .into_any()
}

/// Why an answer is written although one stands: three different things.
#[component]
pub fn IntentChips(
    /// The question.
    asked: Asked,
) -> impl IntoView {
    let shown = Memo::new(move |_| {
        let measured = matches!(
            asked.question.kind,
            AnswerKind::Measure(_) | AnswerKind::Level
        );
        measured && !asked.standing().is_empty() && asked.typed().answer().is_some()
    });
    let chip = move |intent: Intent, key: &'static str| {
        let pressed = move || {
            let chosen = asked.intent.get().unwrap_or(Intent::Correct);
            (chosen == intent).to_string()
        };
        view! {
            <button type="button" class="chip" aria-pressed=pressed on:click=move |_| asked.intent.set(Some(intent))>
                {word(key)}
            </button>
        }
    };
    view! {
        <Show when=move || shown.get()>
            <fieldset class="intents">
                <legend>{word("intent.why")}</legend>
                <div class="row">
                    {chip(Intent::Correct, "intent.chip.correct")}
                    {chip(Intent::Repeat, "intent.chip.repeat")}
                    {chip(Intent::Changed, "intent.chip.changed")}
                    {asked.in_conflict().then(|| chip(Intent::Settle, "intent.chip.settle"))}
                </div>
            </fieldset>
        </Show>
    }
}

/// Method and spread: one line that opens into chips.
#[component]
pub fn HowChips(
    /// The question.
    asked: Asked,
) -> impl IntoView {
    let methods = offered_methods(asked.question.kind);
    if methods.is_empty() {
        return ().into_any();
    }
    let summary = move || {
        let method = word(&format!("method.{}", method_key(asked.method.get())));
        let stated = asked
            .typed()
            .answer()
            .and_then(|answer| asked.stated_spread(answer));
        let spread = match (asked.question.kind, stated) {
            (AnswerKind::Measure(dimension), Some(base)) => Some(Quantity::new(dimension, base)),
            _ => asked.usual_spread(),
        };
        match spread.filter(|spread| spread.base > 0) {
            Some(spread) => format!(
                "{method} ± {}",
                format_quantity(spread, preferences::system())
            ),
            None => method,
        }
    };
    let chips = methods
        .iter()
        .map(|method| {
            let method = *method;
            view! {
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || (asked.method.get() == method).to_string()
                    on:click=move |_| asked.method.set(method)
                >
                    {word(&format!("method.{}", method_key(method)))}
                </button>
            }
        })
        .collect_view();
    let is_length = asked.question.kind == AnswerKind::Measure(Dimension::Length);
    view! {
        <details class="fold how">
            <summary>
                <span>{word("method.label")}</span>
                <span class="number">{summary}</span>
            </summary>
            <div class="stack">
                <div class="row" role="group" aria-label=word("method.label")>{chips}</div>
                {is_length.then(|| view! { <SpreadChips asked/> })}
            </div>
        </details>
    }
    .into_any()
}

/// Spreads offered for a length, nanometres.
const fn spreads(system: UnitSystem) -> [i64; 5] {
    match system {
        UnitSystem::Us => {
            let sixteenth = Length::NANOMETRES_PER_INCH / 16;
            [
                sixteenth,
                2 * sixteenth,
                4 * sixteenth,
                8 * sixteenth,
                16 * sixteenth,
            ]
        }
        UnitSystem::Metric => [1_000_000, 2_000_000, 5_000_000, 10_000_000, 25_000_000],
    }
}

#[component]
fn SpreadChips(asked: Asked) -> impl IntoView {
    let chip = move |spread: Option<i64>, label: String| {
        view! {
            <button
                type="button"
                class="chip number"
                aria-pressed=move || (asked.spread.get() == spread).to_string()
                on:click=move |_| asked.spread.set(spread)
            >
                {label}
            </button>
        }
    };
    view! {
        <div class="row" role="group" aria-label=word("spread.label")>
            {chip(None, word("spread.usual"))}
            {move || {
                let system = preferences::system();
                spreads(system)
                    .into_iter()
                    .map(|base| {
                        let spread = format_quantity(Quantity::new(Dimension::Length, base), system);
                        chip(Some(base), filled("spread.plus_minus", &[("spread", &spread)]))
                    })
                    .collect_view()
            }}
        </div>
    }
}

/// The bar at the thumb.
#[component]
pub fn AskBar(
    /// The question.
    asked: Asked,
) -> impl IntoView {
    let navigate = StoredValue::new_local(use_navigate());
    let go = move |href: String| {
        navigate.with_value(|navigate| navigate(&href, leptos_router::NavigateOptions::default()))
    };
    let label = move || {
        let typed = asked.typed();
        match typed.answer() {
            Some(answer) if asked.is_news() => match &answer.shown {
                Some(shown) => filled("ask.keep_value", &[("value", shown)]),
                None => word("ask.keep"),
            },
            _ => word("ask.keep"),
        }
    };
    let ready = Memo::new(move |_| asked.is_news() && !asked.saving.get());
    let beside = move |step: isize, label: &'static str, path: &'static str| {
        let href = move || asked.neighbour(step);
        view! {
            <a
                class="button step"
                aria-label=word(label)
                href=move || href().unwrap_or_else(|| super::address::walk(asked.on_site))
            >
                <svg viewBox="0 0 20 20" aria-hidden="true" class="glyph"><path d=path/></svg>
            </a>
        }
    };
    view! {
        {beside(-1, "ask.previous", "M10 17V3 M4 9L10 3L16 9")}
        {beside(1, "ask.next", "M10 3V17 M4 11L10 17L16 11")}
        <button
            type="button"
            class="button primary grow number"
            aria-disabled=move || (!ready.get() && asked.typed().answer().is_none()).to_string()
            on:click=move |_| {
                if ready.get_untracked() {
                    asked.keep(go);
                } else if asked.saving.get_untracked() {
                } else if untrack(move || asked.typed()).answer().is_some() {
                    go(asked.next_address());
                } else {
                    asked.problem.set(word("ask.nothing_to_keep"));
                }
            }
        >
            {move || if asked.saving.get() {
                word("ask.saving")
            } else if ready.get() {
                label()
            } else if asked.typed().answer().is_some() {
                word("ask.go_on")
            } else {
                word("ask.keep")
            }}
        </button>
    }
}
