//! Entering a number with a unit: own keys and the units as chips; typed text is taken as well.

use leptos::prelude::*;
use setdown_types::quantity::{Dimension, Unit};

use super::own_text;
use crate::parts::{answer::offered_units, preferences};
use crate::words::word;

/// A number and its unit; the draft is `4850 lb`.
#[component]
pub fn NumberEntry(
    /// The draft.
    text: RwSignal<String>,
    /// What is asked for.
    dimension: Dimension,
    /// Whether it may be below zero: then it is to the left or, with a minus, to the right.
    #[prop(default = false)]
    signed: bool,
) -> impl IntoView {
    let own = own_text(text);
    let units = offered_units(dimension, preferences::system());
    let usual = units.first().copied();
    let number = Memo::new(move |_| split(&own.get()).0);
    let unit = Memo::new(move |_| {
        let written = split(&own.get()).1;
        if written.is_empty() {
            usual
                .map(|unit| unit.symbol().to_owned())
                .unwrap_or_default()
        } else {
            written
        }
    });
    let write = move |number: String, unit: String| {
        text.set(if number.is_empty() {
            String::new()
        } else {
            format!("{number} {unit}").trim().to_owned()
        });
    };
    let press = move |key: char| {
        let mut digits = number.get_untracked();
        match key {
            '<' => {
                digits.pop();
            }
            '.' if digits.contains('.') => {}
            '.' if digits.is_empty() => digits.push_str("0."),
            '-' => {
                digits = match digits.strip_prefix('-') {
                    Some(plain) => plain.to_owned(),
                    None => format!("-{digits}"),
                }
            }
            other if digits.len() < 9 => digits.push(other),
            _ => {}
        }
        write(digits, unit.get_untracked());
    };
    view! {
        <div class="number-entry">
            <output class="length-shown number" aria-live="polite" class:nothing=move || number.get().is_empty()>
                <span class="large">
                    {move || if number.get().is_empty() { word("length.nothing_yet") } else { own.get() }}
                </span>
            </output>
            {signed.then(|| view! { <Sides number press=Callback::new(press)/> })}
            <UnitChips units unit choose=Callback::new(move |symbol: String| write(number.get_untracked(), symbol))/>
            <NumberKeys press=Callback::new(press)/>
        </div>
    }
}

/// To the left or to the right: a turn has no minus that anybody would type.
#[component]
fn Sides(number: Memo<String>, press: Callback<char>) -> impl IntoView {
    let right = Memo::new(move |_| number.with(|number| number.starts_with('-')));
    let side = move |is_right: bool, key: &'static str| {
        let choose = move |_| {
            if right.get_untracked() != is_right {
                press.run('-');
            }
        };
        view! {
            <button type="button" class="chip" aria-pressed=move || (right.get() == is_right).to_string() on:click=choose>
                {word(key)}
            </button>
        }
    };
    view! {
        <div class="row" role="group" aria-label=word("number.side")>
            {side(false, "number.left")} {side(true, "number.right")}
        </div>
    }
}

/// Number in front, unit behind.
fn split(text: &str) -> (String, String) {
    let end = text
        .find(|letter: char| {
            !(letter.is_ascii_digit() || matches!(letter, '.' | ',' | '-' | ':' | '/'))
        })
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    (number.trim().to_owned(), unit.trim().to_owned())
}

#[component]
fn UnitChips(units: Vec<Unit>, unit: Memo<String>, choose: Callback<String>) -> impl IntoView {
    let one = units.len() < 2;
    let chips = units
        .into_iter()
        .map(|offered| {
            let symbol = offered.symbol();
            view! {
                <button
                    type="button"
                    class="chip"
                    aria-pressed=move || (unit.get() == symbol).to_string()
                    on:click=move |_| choose.run(symbol.to_owned())
                >
                    {symbol}
                </button>
            }
        })
        .collect_view();
    (!one).then(
        || view! { <div class="row" role="group" aria-label=word("number.unit")>{chips}</div> },
    )
}

/// Twelve keys: digits, point, back (`<`).
#[component]
pub(super) fn NumberKeys(
    /// Called with a digit, `.` or `<`.
    press: Callback<char>,
) -> impl IntoView {
    let key = move |digit: char| {
        view! { <button type="button" on:click=move |_| press.run(digit)>{digit.to_string()}</button> }
    };
    let by_keyboard = move |event: web_sys::KeyboardEvent| {
        let name = event.key();
        let pressed = match name.as_str() {
            "Backspace" => '<',
            "." | "," => '.',
            _ => match name.chars().next() {
                Some(digit) if name.len() == 1 && digit.is_ascii_digit() => digit,
                _ => return,
            },
        };
        event.prevent_default();
        press.run(pressed);
    };
    view! {
        <div class="keypad four" role="group" aria-label=word("number.keys") on:keydown=by_keyboard>
            {key('1')} {key('2')} {key('3')}
            <button type="button" class="key-side" aria-label=word("length.back") on:click=move |_| press.run('<')>
                <svg viewBox="0 0 28 20" class="key-glyph" aria-hidden="true"><path d="M9 2H26V18H9L2 10Z M13 6l8 8 M21 6l-8 8"/></svg>
            </button>
            {key('4')} {key('5')} {key('6')} {key('.')}
            {key('7')} {key('8')} {key('9')} {key('0')}
        </div>
    }
}
