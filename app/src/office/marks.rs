//! Small marks of the desk: a hold point's state by shape and word, ages, whether the page is live, errors.

use leptos::prelude::*;
use setdown_rules::frame::result::HoldState;
use setdown_types::party::Party;

use super::messages::OfficeError;
use crate::parts::tape::state_key;
use crate::words::{check_title, filled, word};

/// The state in a word.
pub fn state_word(state: HoldState) -> String {
    word(&format!("state.{}", state_key(state)))
}

/// The key of a party, for words and addresses.
pub const fn party_key(party: Party) -> &'static str {
    match party {
        Party::Coordinator => "coordinator",
        Party::Homeowner => "homeowner",
        Party::Office => "office",
        Party::Electrician => "electrician",
        Party::Groundworks => "groundworks",
        Party::CraneOperator => "crane_operator",
        Party::DeliveryCrew => "delivery_crew",
    }
}

/// What a party is called.
pub fn party_name(party: Party) -> String {
    word(&format!("party.{}", party_key(party)))
}

/// The shape of a state, kin to the gap mark: posts and a block; a seal once signed; a bar below once stopped.
const fn shape(state: HoldState) -> (&'static str, &'static str) {
    match state {
        HoldState::Signed => (
            "clear",
            "M3 3h3v22h-3z M22 3h3v22h-3z M9 10h10v10h-10z M11 3h6v4h-6z",
        ),
        HoldState::ReadyToSign => ("clear", "M3 3h3v22h-3z M22 3h3v22h-3z M9 10h10v10h-10z"),
        HoldState::Unmeasured => ("open", "M3 3h3v22h-3z M22 3h3v22h-3z"),
        HoldState::Unsure => ("tight", "M3 3h3v22h-3z M22 3h3v22h-3z M6 10h16v10h-16z"),
        HoldState::ToPutRight => ("short", "M3 3h3v22h-3z M22 3h3v22h-3z M0 10h28v10h-28z"),
        HoldState::Stopped => (
            "short",
            "M3 0h3v19h-3z M22 0h3v19h-3z M0 5h28v10h-28z M0 23h28v4h-28z",
        ),
    }
}

/// A state by shape and word; a stopped one is followed by its reason.
#[component]
pub fn StateMark(
    /// The state.
    state: HoldState,
    /// Key of the worst check, shown behind where the state is stopped or to be put right.
    #[prop(optional_no_strip)]
    worst: Option<String>,
) -> impl IntoView {
    let (outcome, path) = shape(state);
    let reason = worst
        .filter(|_| matches!(state, HoldState::Stopped | HoldState::ToPutRight))
        .map(|worst| view! { <span class="reason">{format!(": {}", check_title(&worst))}</span> });
    view! {
        <span class="gap-mark state-mark" data-outcome=outcome>
            <svg viewBox="0 0 28 28" aria-hidden="true" focusable="false"><path d=path/></svg>
            <span class="word">{state_word(state)}{reason}</span>
        </span>
    }
}

/// How long ago, in the largest unit that fits: "just now", "12 minutes ago", "3 days ago".
pub fn age_text(then: i64, now: i64) -> String {
    let minutes = now.saturating_sub(then).max(0) / 60_000;
    let (key, count) = match minutes {
        0 => return word("office.age.now"),
        1 => ("minute", 1),
        2..=59 => ("minutes", minutes),
        60..=119 => ("hour", 1),
        120..=1439 => ("hours", minutes / 60),
        1440..=2879 => ("day", 1),
        _ => ("days", minutes / 1440),
    };
    filled(
        &format!("office.age.{key}"),
        &[("count", &count.to_string())],
    )
}

/// A whole number with commas between thousands.
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() + 4);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// What went wrong and what to do; a way to sign in where that is what helps.
#[component]
pub fn Trouble(
    /// The error, if there is one.
    #[prop(into)]
    error: Signal<Option<OfficeError>>,
) -> impl IntoView {
    let body = move || {
        error.get().map(|error| {
            let signed_out = error.is_signed_out();
            let checks = error.checks.iter().map(|key| view! { <li>{check_title(key)}</li> }).collect_view();
            let has_checks = !error.checks.is_empty();
            view! {
                <div class="notice error">
                    <p>{error.problem.detail.clone()}</p>
                    {has_checks.then(|| view! { <ul>{checks}</ul> })}
                    {signed_out.then(|| view! { <a class="button" href=sign_in_address()>{word("office.sign_in_again")}</a> })}
                </div>
            }
        })
    };
    view! { <div role="alert">{body}</div> }
}

/// The sign-in screen, leading back here.
fn sign_in_address() -> String {
    let location = window().location();
    let here = location.pathname().unwrap_or_default() + &location.search().unwrap_or_default();
    format!(
        "/sign-in?to={}",
        String::from(js_sys::encode_uri_component(&here))
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_grouped() {
        assert_eq!(
            [0, 999, 2000, 1_234_567].map(grouped),
            ["0", "999", "2,000", "1,234,567"]
        );
    }
}
