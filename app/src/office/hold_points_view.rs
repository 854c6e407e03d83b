//! Hold points: state, score, chance, findings; signing exactly what is shown; what reopened a signed one.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_rules::frame::result::{
    CheckResult, HoldPoint, HoldPointResult, HoldState, SignatureState,
};
use setdown_types::quantity::UnitSystem;

use super::calls::sign_hold_point;
use super::checks_view::{anchor, in_the_way};
use super::frame::system;
use super::loaded::{Loaded, on_site, short_digest};
use super::marks::{StateMark, Trouble};
use super::messages::{OfficeError, OfficeSignature};
use crate::parts::GapMark;
use crate::parts::tape::count_text;
use crate::words::{Wording, check_title, date_text, filled, number_text, word};

/// Every hold point in the order in which they open.
#[component]
pub fn HoldPointsView() -> impl IntoView {
    let points = HoldPoint::ALL
        .into_iter()
        .map(|point| view! { <OnePoint point/> })
        .collect_view();
    view! {
        <section class="stack" aria-labelledby="points-title">
            <h2 id="points-title" class="seen-by-readers-only">{word("office.points_in_full")}</h2>
            <p class="caution">{word("office.caution")}</p>
            {points}
        </section>
    }
}

#[component]
fn OnePoint(point: HoldPoint) -> impl IntoView {
    let on = on_site();
    let result = on.part(move |loaded| result_of(loaded, point));
    let checks = on.part(move |loaded| {
        result_of(loaded, point)
            .map(|result| in_the_way(&loaded.assessment, &result.checks))
            .unwrap_or_default()
    });
    let ready = Memo::new(move |_| {
        result.with(|result| {
            result
                .as_ref()
                .is_some_and(|result| result.state == HoldState::ReadyToSign)
        })
    });
    let id = format!("point-{}", point.key());
    let labelled = id.clone();
    let head = move || result.get().map(|result| point_head(&result));
    let signature = move || {
        result
            .get()
            .and_then(|result| result.signature)
            .map(|signature| signed(&signature))
    };
    let system = system();
    let waiting = move || {
        checks.with(|checks| {
            (!checks.is_empty())
                .then(|| still_open(checks, &on.loaded.get_untracked(), system.get()))
        })
    };
    view! {
        <section class="card stack-tight" aria-labelledby=labelled>
            <h3 id=id>{word(&format!("hold_point.{}", point.key()))}</h3>
            {head}
            {signature}
            {waiting}
            <Show when=move || ready.get()>
                <SignForm point/>
            </Show>
        </section>
    }
}

fn result_of(loaded: &Loaded, point: HoldPoint) -> Option<HoldPointResult> {
    loaded
        .assessment
        .hold_points
        .iter()
        .find(|result| result.hold_point == point)
        .cloned()
}

fn point_head(result: &HoldPointResult) -> impl IntoView + use<> {
    let small = result.state == HoldState::Stopped;
    let worst = result.worst.as_ref().map(|key| key.to_string());
    // Of a stopped hold point nothing is likely or unlikely: it is stopped.
    let chance = (!small).then(|| {
        let percent = number_text(floor_percent(result.chance));
        view! { <span class="quiet">{filled("office.chance", &[("percent", &percent)])}</span> }
    });
    view! {
        <div class="row">
            <StateMark state=result.state worst/>
            <span class="score" class:small=small><span class="score-number">{result.score}</span></span>
            <span class="number">{count_text(result)}</span>
            {chance}
        </div>
    }
}

/// A chance in percent, rounded down to a tenth: 100 is said only of what is certain.
fn floor_percent(chance: f64) -> f64 {
    (chance.clamp(0.0, 1.0) * 1000.0).floor() / 10.0
}

fn signed(signature: &SignatureState) -> impl IntoView + use<> {
    let who = [
        ("person", signature.name.as_str()),
        ("date", &date_text(signature.date)),
    ];
    if signature.holds {
        return view! { <p class="notice">{filled("office.signed_by", &who)}</p> }.into_any();
    }
    let changed = signature
        .changed
        .iter()
        .map(|key| check_link(key))
        .collect_view();
    let documents_only = signature.changed.is_empty();
    view! {
        <div class="notice stopped">
            <p><strong>{word("office.reopened")}</strong> " " {filled("office.reopened_since", &who)}</p>
            {documents_only.then(|| view! { <p>{word("office.reopened_documents")}</p> })}
            <ul>{changed}</ul>
        </div>
    }
    .into_any()
}

fn check_link(key: &str) -> impl IntoView + use<> {
    let (title, href) = (check_title(key), format!("?view=checks#{}", anchor(key)));
    view! { <li><a href=href>{title}</a></li> }
}

/// What stands in the way, each with why.
fn still_open(
    checks: &[CheckResult],
    loaded: &Loaded,
    system: UnitSystem,
) -> impl IntoView + use<> {
    let wording = Wording::new(system, &loaded.site);
    let rows = checks
        .iter()
        .map(|check| {
            let (outcome, reason) = (check.outcome, wording.line(&check.reason));
            let (title, href) = (check_title(&check.key), format!("?view=checks#{}", anchor(&check.key)));
            view! { <li class="row"><GapMark outcome/> <a href=href>{title}</a> <span class="quiet">{reason}</span></li> }
        })
        .collect_view();
    let count = checks.len().to_string();
    view! {
        <details>
            <summary>{filled("office.in_the_way", &[("count", &count)])}</summary>
            <ul class="plain">{rows}</ul>
        </details>
    }
}

/// Signing: first exactly what is signed, then the name.
#[component]
fn SignForm(point: HoldPoint) -> impl IntoView {
    let on = on_site();
    let name = RwSignal::new(String::new());
    let read = RwSignal::new(false);
    let (busy, error, problem) = (
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
        RwSignal::new(None::<String>),
    );
    let digest = on.part(move |loaded| {
        result_of(loaded, point)
            .map(|result| result.digest)
            .unwrap_or_default()
    });
    // Whoever reads the findings must sign those: new ones have to be read again.
    Effect::new(move |before: Option<String>| {
        let now = digest.get();
        if before.is_some_and(|before| before != now) {
            read.set(false);
        }
        now
    });
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        let signed = name.get_untracked().trim().to_owned();
        let missing = match (read.get_untracked(), signed.is_empty()) {
            (false, _) => Some("office.sign_read_first"),
            (true, true) => Some("office.sign_name_missing"),
            (true, false) => None,
        };
        problem.set(missing.map(word));
        if missing.is_some() {
            return;
        }
        let sign = OfficeSignature {
            site: on.id,
            hold_point: point,
            digest: digest.get_untracked(),
            name: signed,
        };
        busy.set(true);
        spawn_local(async move {
            match sign_hold_point(sign).await {
                Ok(_) => {
                    error.try_set(None);
                }
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            on.live.again();
            busy.try_set(false);
        });
    };
    let name_id = format!("sign-{}", point.key());
    view! {
        <form class="sign stack" novalidate on:submit=submit>
            <h4>{word("office.sign_what")}</h4>
            <SignedContent point/>
            <p class="caution">{word("office.sign_caution")}</p>
            <label class="choice">
                <input type="checkbox" prop:checked=move || read.get() on:change:target=move |event| read.set(event.target().checked())/>
                <span>{word("office.sign_read")}</span>
            </label>
            <div class="field narrow">
                <label for=name_id.clone()>{word("office.sign_name")}</label>
                <input id=name_id type="text" autocomplete="name" prop:value=move || name.get() on:input:target=move |event| name.set(event.target().value())/>
            </div>
            <p class="error" role="alert">{move || problem.get()}</p>
            <Trouble error/>
            <div class="row">
                <button type="submit" class="button primary" disabled=move || busy.get()>
                    {filled("office.sign", &[("hold_point", &word(&format!("hold_point.{}", point.key())))])}
                </button>
            </div>
        </form>
    }
}

/// Digest, versions, revisions, date, and every finding that the signature stands for.
#[component]
fn SignedContent(point: HoldPoint) -> impl IntoView {
    let on = on_site();
    let system = system();
    move || {
        let loaded = on.loaded.get();
        let Some(result) = result_of(&loaded, point) else {
            return ().into_any();
        };
        let row =
            |key: &str, value: String| view! { <div><dt>{word(key)}</dt><dd>{value}</dd></div> };
        let sheet = |name: &str, digest: &str| format!("{name} ({})", short_digest(digest));
        let wording = Wording::new(system.get(), &loaded.site);
        let findings = result
            .checks
            .iter()
            .filter_map(|key| loaded.assessment.check(key))
            .map(|check| {
                let (outcome, title, margin) = (check.outcome, check_title(&check.key), margin_text(check, wording));
                view! { <tr><th scope="row">{title}</th><td data-label=word("office.column.outcome")><GapMark outcome/></td><td class="number" data-label=word("office.column.margin")>{margin}</td></tr> }
            })
            .collect_view();
        view! {
            <dl class="facts">
                {row("office.sign_digest", result.digest.clone())}
                {row("office.sign_rules", loaded.assessment.rules.to_string())}
                {row("office.spa", sheet(&loaded.view.spa.name, &loaded.assessment.spa))}
                {row("office.practice", sheet(&loaded.view.practice.name, &loaded.assessment.practice))}
                {row("office.sign_date", date_text(loaded.assessment.date))}
            </dl>
            <details>
                <summary>{filled("office.sign_findings", &[("count", &result.checks.len().to_string())])}</summary>
                <div class="table-frame" role="region" tabindex="0" aria-label=word("office.sign_findings_caption")>
                    <table class="table">
                        <caption class="seen-by-readers-only">{word("office.sign_findings_caption")}</caption>
                        <thead>
                            <tr>
                                <th scope="col">{word("office.column.check")}</th>
                                <th scope="col">{word("office.column.outcome")}</th>
                                <th scope="col">{word("office.column.margin")}</th>
                            </tr>
                        </thead>
                        <tbody>{findings}</tbody>
                    </table>
                </div>
            </details>
        }
        .into_any()
    }
}

/// The least margin of a check with its spread; empty where it has none.
fn margin_text(check: &CheckResult, wording: Wording<'_>) -> String {
    let least = check
        .items
        .iter()
        .filter_map(|item| item.margin)
        .reduce(|least, margin| {
            if margin.si - margin.spread < least.si - least.spread {
                margin
            } else {
                least
            }
        });
    least.map_or_else(String::new, |margin| {
        wording.measured(margin.dimension, margin.si, margin.spread)
    })
}
