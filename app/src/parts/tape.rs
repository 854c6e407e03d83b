//! The readiness tape: one per hold point, run out as far as its checks are settled.

use leptos::prelude::*;
use setdown_rules::frame::result::{Assessment, HoldPointResult, HoldState, Outcome};

use super::GapMark;
use crate::words::{check_title, filled, word};

/// The key of a state, for words.
pub const fn state_key(state: HoldState) -> &'static str {
    match state {
        HoldState::Signed => "signed",
        HoldState::ReadyToSign => "ready_to_sign",
        HoldState::Unmeasured => "unmeasured",
        HoldState::Unsure => "unsure",
        HoldState::ToPutRight => "to_put_right",
        HoldState::Stopped => "stopped",
    }
}

/// "31 of 38 settled, 6 to measure, 1 stopped"; parts that are zero are left out.
pub fn count_text(point: &HoldPointResult) -> String {
    let number =
        |key: &str, count: u32| (count > 0).then(|| filled(key, &[("count", &count.to_string())]));
    let settled = filled(
        "tape.settled",
        &[
            ("settled", &point.settled.to_string()),
            ("named", &point.named.to_string()),
        ],
    );
    [
        Some(settled),
        number("tape.to_measure", point.to_measure),
        number("tape.tight", point.tight),
        number("tape.stopped", point.stopped),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(", ")
}

/// What stands across the tape: for a stopped hold point the word and the reason, else the state.
fn across(point: &HoldPointResult) -> String {
    let state = word(&format!("state.{}", state_key(point.state)));
    match (&point.worst, point.state) {
        (Some(worst), HoldState::Stopped | HoldState::ToPutRight) => {
            format!("{state}: {}", check_title(worst))
        }
        _ => state,
    }
}

/// Name of a hold point.
pub fn hold_point_name(point: &HoldPointResult) -> String {
    word(&format!("hold_point.{}", point.hold_point.key()))
}

/// One tape; tapping it lays every item along it open.
#[component]
pub fn ReadinessTape(
    /// The hold point.
    point: HoldPointResult,
    /// The assessment it belongs to, for the items.
    assessment: std::sync::Arc<Assessment>,
    /// Address of a check's page by its key; `None`: items are no links.
    #[prop(optional)]
    address: Option<Callback<String, String>>,
    /// Whether the items are shown, for a tape that is built anew while it stands open.
    #[prop(optional_no_strip)]
    open: Option<RwSignal<bool>>,
) -> impl IntoView {
    let stopped = point.state == HoldState::Stopped;
    let open = open.unwrap_or_else(|| RwSignal::new(false));
    let name = hold_point_name(&point);
    let counts = count_text(&point);
    let run = format!("{}%", point.score.min(100));
    let score = point.score.to_string();
    let label = format!("{name}: {}. {counts}", across(&point));
    let checks = point.checks.clone();
    let items = move || {
        checks
            .iter()
            .filter_map(|key| assessment.check(key))
            .map(|check| item(&check.key, check.outcome, address))
            .collect_view()
    };
    view! {
        <section class="tape-block" class:stopped=stopped>
            <button
                type="button"
                class="tape-button"
                aria-expanded=move || open.get().to_string()
                aria-label=label
                on:click=move |_| open.update(|open| *open = !*open)
            >
                <span class="tape-head">
                    <span class="tape-name">{name}</span>
                    <span class="tape-score number" class:small=stopped>{score}<span class="of">" / 100"</span></span>
                </span>
                <span class="tape">
                    <span class="run" style:width=run></span>
                    <span class="word">{across(&point)}</span>
                </span>
                <span class="tape-count number">{counts}</span>
            </button>
            <Show when=move || open.get()>
                <ul class="tape-items">{items.clone()}</ul>
            </Show>
        </section>
    }
}

fn item(key: &str, outcome: Outcome, address: Option<Callback<String, String>>) -> AnyView {
    let inside = view! {
        <GapMark outcome/>
        <span class="tape-item-title">{check_title(key)}</span>
    };
    match address {
        Some(address) => {
            let href = address.run(key.to_owned());
            view! { <li><a class="tape-item" href=href>{inside}</a></li> }.into_any()
        }
        None => view! { <li><span class="tape-item">{inside}</span></li> }.into_any(),
    }
}
