//! The gap mark: one glyph for every outcome, two posts and a block, always with its word.

use leptos::prelude::*;
use setdown_rules::frame::result::Outcome;

use crate::words::word;

/// The outcome as used in words (`outcome.<key>`) and in `data-outcome`.
pub const fn outcome_key(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::NotNeeded => "not-needed",
        Outcome::Clear => "clear",
        Outcome::ClearAttested => "clear-attested",
        Outcome::Open => "open",
        Outcome::Tight => "tight",
        Outcome::Short => "short",
    }
}

/// The word of an outcome.
pub fn outcome_word(outcome: Outcome) -> String {
    word(&format!("outcome.{}", outcome_key(outcome)))
}

/// Style class of an outcome: attested is clear with a seal.
const fn style_of(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::ClearAttested => "clear",
        other => outcome_key(other),
    }
}

/// The glyph with its word beside it.
#[component]
pub fn GapMark(
    /// Which outcome.
    #[prop(into)]
    outcome: Signal<Outcome>,
    /// Leaves the word to screen readers, where the same word stands right beside already.
    #[prop(default = false)]
    glyph_only: bool,
) -> impl IntoView {
    view! {
        <span class="gap-mark" data-outcome=move || style_of(outcome.get())>
            {move || glyph(outcome.get())}
            <span class=if glyph_only { "seen-by-readers-only" } else { "word" }>
                {move || outcome_word(outcome.get())}
            </span>
        </span>
    }
}

/// The glyph alone.
fn glyph(outcome: Outcome) -> AnyView {
    let posts = "M3 3h3v22h-3z M22 3h3v22h-3z";
    let path = match outcome {
        Outcome::NotNeeded => "M8 12.5h12v3h-12z".to_owned(),
        Outcome::Open => posts.to_owned(),
        Outcome::Clear => format!("{posts} M9 10h10v10h-10z"),
        Outcome::ClearAttested => format!("{posts} M9 10h10v10h-10z M11 3h6v4h-6z"),
        Outcome::Tight => format!("{posts} M6 10h16v10h-16z"),
        Outcome::Short => format!("{posts} M0 10h28v10h-28z"),
    };
    view! {
        <svg viewBox="0 0 28 28" aria-hidden="true" focusable="false">
            <path d=path/>
        </svg>
    }
    .into_any()
}
