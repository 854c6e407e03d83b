//! What is proved of the way by now: the check's word, the bounds while they tighten, and how to call it off.

use leptos::prelude::*;
use setdown_rules::frame::result::Outcome;
use setdown_rules::motion::Certified;
use setdown_rules::motion::answer::{Limit, Verdict as Proved};
use setdown_rules::plan::ledger::CHECK;
use setdown_types::quantity::Dimension;

use super::page::Shown;
use crate::device::Working;
use crate::field::address;
use crate::field::plan::metres;
use crate::parts::{GapMark, preferences};
use crate::words::{Wording, filled, word};

/// The verdict's card.
#[component]
pub fn Verdict(
    /// What is shown.
    shown: Shown,
) -> impl IntoView {
    let check = move || {
        let now = shown.on_site.assessed()?;
        let check = now.check(CHECK)?.clone();
        let wording = Wording::new(preferences::system(), &now.site);
        let reason = wording.line(&check.reason);
        let lines = check.items.iter().flat_map(|item| &item.working);
        let lines = lines
            .map(|line| view! { <li class="number">{wording.line(line)}</li> })
            .collect_view();
        Some(view! {
            <GapMark outcome=check.outcome/>
            <p>{reason}</p>
            <ul class="plain">{lines}</ul>
            <a class="quiet-link" href=address::check(shown.on_site, CHECK)>{word("way.check")}</a>
        })
    };
    let answered = move || {
        shown
            .certified
            .get()
            .map(|certified| view! { <Answered shown certified=(*certified).clone()/> })
    };
    let open = move || shown.wanted.with(Option::is_none);
    view! {
        <section class="card way-verdict" aria-label=word("way.verdict")>
            {check}
            {answered}
            <Show when=open>
                <p>{word("way.not_settled")}</p>
                <a class="button" href=address::plan(shown.on_site)>{word("way.to_plan")}</a>
            </Show>
            <Progress shown/>
        </section>
    }
}

/// Inches as the trade writes them.
pub fn length(inches: f64) -> String {
    let wording = Wording {
        system: preferences::system(),
        site: None,
    };
    wording.quantity(Dimension::Length, metres(inches))
}

/// A bound; nothing proved has words of its own.
fn bound(inches: Option<f64>) -> String {
    inches.map_or_else(|| word("way.bound.none"), length)
}

/// What was proved, with its bounds.
#[component]
fn Answered(shown: Shown, certified: Certified) -> impl IntoView {
    let answer = &certified.answer;
    let proved = answer.verdict;
    // The check follows the answer a moment later: its outcome is read whenever it changes.
    let said = move || {
        let now = shown.on_site.assessed();
        let outcome = now.and_then(|now| Some(now.check(CHECK)?.worked_out()));
        word(match proved {
            Proved::Route if outcome == Some(Outcome::Clear) => "way.verdict.route",
            Proved::Route => "way.verdict.route_not_enough",
            Proved::NoRoute => "way.verdict.no_route",
            Proved::Undecided => "way.verdict.undecided",
        })
    };
    // Where more room was of no interest, the upper bound is where the search stopped, not what is there.
    let capped = answer.limited_by == Limit::Cap;
    let key_of_bounds = match (capped, answer.lower) {
        (true, Some(_)) => "way.bounds_at_least",
        (true, None) => "way.bounds_unknown",
        (false, _) => "way.bounds_of",
    };
    let bounds = filled(
        key_of_bounds,
        &[
            ("lower", &bound(answer.lower)),
            (
                "upper",
                &bound(answer.upper.is_finite().then_some(answer.upper)),
            ),
        ],
    );
    let limit = match answer.limited_by {
        _ if proved == Proved::Undecided => None,
        Limit::Way => Some("way.limit.way"),
        Limit::Cap => Some("way.limit.cap"),
        Limit::Start => Some("way.limit.start"),
        Limit::Goal => Some("way.limit.goal"),
    };
    let spreads = move || {
        shown
            .plan
            .get()
            .is_some_and(|plan| !plan.sketch.ellipses.is_empty())
    };
    view! {
        <p role="status"><strong>{said}</strong></p>
        <p class="number">{bounds}</p>
        {limit.map(|limit| view! { <p>{word(limit)}</p> })}
        <Show when=spreads><p class="quiet">{word("way.spread_apart")}</p></Show>
    }
}

/// The bounds while they tighten; called off; failed.
#[component]
fn Progress(shown: Shown) -> impl IntoView {
    let way = shown.on_site.device.way();
    // A length that is only tried is at work as well, and says so where it is tried.
    let working = Memo::new(move |_| {
        let wanted = shown.wanted.get();
        wanted.map_or(Working::Idle, |wanted| way.working_at(&wanted.digest))
    });
    let again = move |_| {
        if let Some(wanted) = shown.wanted.get_untracked() {
            way.begin(wanted);
        }
    };
    let again_button = move || view! { <button type="button" class="button" on:click=again>{word("way.work.again")}</button> };
    move || match working.get() {
        Working::Idle | Working::AtLargest(_) => ().into_any(),
        Working::At { lower, upper, .. } => {
            let text = filled(
                "way.work.bounds",
                &[("lower", &bound(lower)), ("upper", &bound(upper))],
            );
            view! {
                <div class="way-progress">
                    <p><strong>{word("way.work.title")}</strong></p>
                    <p class="number">{text}</p>
                    {bar(lower, upper)}
                    <button type="button" class="button" on:click=move |_| way.call_off()>{word("way.work.call_off")}</button>
                </div>
            }
            .into_any()
        }
        Working::CalledOff(_) => {
            view! { <p>{word("way.work.called_off")}</p> {again_button()} }.into_any()
        }
        Working::Failed { why, .. } => {
            view! { <p class="notice error" role="alert">{why}</p> {again_button()} }.into_any()
        }
    }
}

/// The least and the most shown on the bar, inches.
const SHOWN: [f64; 2] = [-6.0, 18.0];

/// Where the bounds stand, with nothing to spare as a line.
fn bar(lower: Option<f64>, upper: Option<f64>) -> AnyView {
    let [least, most] = SHOWN;
    let share = |inches: f64| 100.0 * ((inches - least) / (most - least)).clamp(0.0, 1.0);
    let from = share(lower.unwrap_or(least));
    let to = share(upper.unwrap_or(most));
    view! {
        <svg class="bounds" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
            <rect class="between" x=from y="2" width=(to - from).max(0.5) height="6"/>
            <path class="zero" d=format!("M{:.1} 0V10", share(0.0))/>
        </svg>
    }
    .into_any()
}
