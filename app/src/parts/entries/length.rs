//! Entering a length: own keys for feet and whole inches, the ruler for the rest; typed text is taken as well.

use leptos::prelude::*;
use setdown_types::quantity::text::{Understood, format_length, parse_length};
use setdown_types::quantity::{Length, UnitSystem};

use super::{Ruler, own_text};
use crate::parts::length_keys::{KeyedLength, Press, ticks_per_unit};
use crate::parts::{answer::usual_unit, preferences};
use crate::words::word;

/// The length keypad.
#[component]
pub fn LengthEntry(
    /// The draft.
    text: RwSignal<String>,
    /// For a homeowner: the same keys.
    #[prop(default = false)]
    home: bool,
) -> impl IntoView {
    let own = own_text(text);
    // Text the keys could not have written is edited as text; so is whatever the person prefers to type.
    let typing =
        RwSignal::new(KeyedLength::read(&own.get_untracked(), preferences::system()).is_none());
    Effect::new(move |_| {
        if KeyedLength::read(&own.get(), preferences::system()).is_none() {
            typing.set(true);
        }
    });
    view! {
        <div class="length-entry" class:home=home>
            <div class="length-head">
                <Shown own/>
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || typing.get().to_string()
                    on:click=move |_| {
                        let back_to_keys = typing.get_untracked();
                        if back_to_keys && KeyedLength::read(&own.get_untracked(), preferences::system()).is_none() {
                            to_keys(text);
                        }
                        typing.set(!back_to_keys);
                    }
                >
                    {word("length.type")}
                </button>
            </div>
            {move || {
                if typing.get() {
                    view! { <TypedLength text own/> }.into_any()
                } else {
                    view! { <Keys text own system=preferences::system()/> }.into_any()
                }
            }}
        </div>
    }
}

/// Writes the typed length as the keys would, where it is a whole number of ticks; else leaves nothing out and empties.
fn to_keys(text: RwSignal<String>) {
    let system = preferences::system();
    let parsed = parse_length(
        &text.get_untracked(),
        Some(usual_unit(
            setdown_types::quantity::Dimension::Length,
            system,
        )),
    );
    let rewritten = match parsed {
        Ok(Understood::One(length)) => keyed_text(length, system),
        _ => String::new(),
    };
    text.set(rewritten);
}

fn keyed_text(length: Length, system: UnitSystem) -> String {
    match system {
        UnitSystem::Us => format_length(length, system),
        UnitSystem::Metric => {
            let millimetres = length.nanometres() / 1_000_000;
            format!("{}.{} cm", millimetres / 10, millimetres % 10)
        }
    }
}

/// The length so far, large.
#[component]
fn Shown(own: Memo<String>) -> impl IntoView {
    let understood = move || {
        let (system, text) = (preferences::system(), own.get());
        if text.trim().is_empty() {
            return (word("length.nothing_yet"), None);
        }
        match parse_length(
            &text,
            Some(usual_unit(
                setdown_types::quantity::Dimension::Length,
                system,
            )),
        ) {
            Ok(Understood::One(length)) => {
                let written = format_length(length, system);
                let differs = written != text.trim();
                (written, differs.then_some(text))
            }
            _ => (text, None),
        }
    };
    view! {
        <output class="length-shown number" aria-live="polite" class:nothing=move || own.get().trim().is_empty()>
            <span class="large">{move || understood().0}</span>
            {move || understood().1.map(|typed| view! { <span class="as-typed quiet">{typed}</span> })}
        </output>
    }
}

#[component]
fn TypedLength(text: RwSignal<String>, own: Memo<String>) -> impl IntoView {
    view! {
        <label class="field">
            <span>{word("length.typed_label")}</span>
            <input
                type="text"
                inputmode="text"
                autocomplete="off"
                autocapitalize="off"
                spellcheck="false"
                placeholder=move || match preferences::system() {
                    UnitSystem::Us => "7 ft 10 1/2 in",
                    UnitSystem::Metric => "2.4 m",
                }
                prop:value=move || own.get()
                on:input=move |event| text.set(event_target_value(&event))
            />
        </label>
    }
}

#[component]
fn Keys(text: RwSignal<String>, own: Memo<String>, system: UnitSystem) -> impl IntoView {
    let keyed = Memo::new(move |_| KeyedLength::read(&own.get(), system).unwrap_or_default());
    let press =
        move |press: Press| text.set(keyed.get_untracked().press(press, system).write(system));
    let digit = move |digit: u8| {
        view! {
            <button type="button" on:click=move |_| press(Press::Digit(digit))>{digit.to_string()}</button>
        }
    };
    let (large_word, small_word) = match system {
        UnitSystem::Us => ("ft", "in"),
        UnitSystem::Metric => ("m", "cm"),
    };
    let chosen = Signal::derive(move || keyed.get().ticks.min(ticks_per_unit(system)));
    let whole = Signal::derive(move || {
        let small = keyed.get().small;
        let small = if small.is_empty() { "0" } else { &small };
        format!("{small} {small_word}")
    });
    view! {
        <Ruler system chosen whole choose=Callback::new(move |tick| press(Press::Tick(tick)))/>
        <div class="keypad four" role="group" aria-label=word("length.keys") on:keydown=move |event| by_keyboard(&event, press)>
            {digit(1)} {digit(2)} {digit(3)}
            <button type="button" class="key-side" aria-label=word("length.back") on:click=move |_| press(Press::Back)>
                <svg viewBox="0 0 28 20" class="key-glyph" aria-hidden="true"><path d="M9 2H26V18H9L2 10Z M13 6l8 8 M21 6l-8 8"/></svg>
            </button>
            {digit(4)} {digit(5)} {digit(6)}
            <button
                type="button"
                class="key-side"
                aria-label=word(if system == UnitSystem::Us { "length.feet" } else { "length.metres" })
                prop:disabled=move || keyed.get().large.is_some()
                on:click=move |_| press(Press::Large)
            >
                {large_word}
            </button>
            {digit(7)} {digit(8)} {digit(9)} {digit(0)}
        </div>
    }
}

/// Digits of a real keyboard do what the keys do.
fn by_keyboard(event: &web_sys::KeyboardEvent, press: impl Fn(Press)) {
    let key = event.key();
    let pressed = match key.as_str() {
        "Backspace" => Press::Back,
        "f" | "'" | "m" => Press::Large,
        other => match other.parse::<u8>() {
            Ok(digit) if other.len() == 1 => Press::Digit(digit),
            _ => return,
        },
    };
    event.prevent_default();
    press(pressed);
}
