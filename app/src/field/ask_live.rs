//! What the checks say now, while an answer is being typed: the mark, the margin and the working.

use setdown_types::order;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::frame::result::{CheckResult, Item, Key, Outcome};
use setdown_types::subject::Subject;

use super::address;
use super::ask_context::Asked;
use crate::parts::gap_mark::outcome_word;
use crate::parts::{CautionList, GapMark, MarginBar, Working, preferences};
use crate::words::{Wording, check_title, filled, word};

/// The checks that read the question, with the answer on screen supposed, worst first; those of the way not chosen
/// are left out.
pub fn live_checks(asked: Asked) -> Memo<Vec<CheckResult>> {
    Memo::new(move |_| {
        let Some(now) = asked.on_site.assessed() else {
            return Vec::new();
        };
        let key = asked.stream.get_value();
        let Some((_, stop)) = now.stop(&key) else {
            return Vec::new();
        };
        let supposed = asked.supposed();
        let mut checks: Vec<CheckResult> = stop
            .checks
            .iter()
            .filter_map(|check| match &supposed {
                Some(head) => now.check_supposing(check, &key, head),
                None => now.check(check).cloned(),
            })
            .filter(|check| check.outcome != Outcome::NotNeeded)
            .collect();
        order::sort_by_key(&mut checks, |check| {
            std::cmp::Reverse((outcome_about(check, key.subject), check.weight))
        });
        checks
    })
}

/// The finding about the thing asked about; `None` where the check has none for it.
fn finding(check: &CheckResult, subject: Subject) -> Option<&Item> {
    check
        .items
        .iter()
        .filter(|item| item.subject == subject)
        .max_by_key(|item| item.outcome)
}

fn outcome_about(check: &CheckResult, subject: Subject) -> Outcome {
    finding(check, subject).map_or(check.outcome, |item| item.outcome)
}

/// The live finding, with the other checks that read the question below it.
#[component]
pub fn LiveFinding(
    /// The question.
    asked: Asked,
    /// What the checks say.
    checks: Memo<Vec<CheckResult>>,
) -> impl IntoView {
    let subject = asked.stream.with_value(|key| key.subject);
    // Announced only when a word changes, not at every key.
    let announced = Memo::new(move |_| {
        checks.with(|checks| {
            checks.first().map(|check| {
                format!(
                    "{}: {}",
                    check_title(&check.key),
                    outcome_word(outcome_about(check, subject))
                )
            })
        })
    });
    view! {
        <p class="seen-by-readers-only" role="status">{move || announced.get()}</p>
        {move || checks.with(|checks| {
            let now = asked.on_site.assessed()?;
            let system = preferences::system();
            let wording = Wording::new(system, &now.site);
            let (first, others) = checks.split_first()?;
            let outcome = outcome_about(first, subject);
            let item = finding(first, subject);
            let reason = wording.line(item.map_or(&first.reason, |item| &item.reason));
            let margin = item.and_then(|item| item.margin).map(|margin| view! { <MarginBar margin system/> });
            let others = others
                .iter()
                .map(|check| {
                    let href = address::check(asked.on_site, &check.key);
                    view! {
                        <li>
                            <a class="tape-item" href=href>
                                <GapMark outcome=outcome_about(check, subject)/>
                                <span class="tape-item-title">{check_title(&check.key)}</span>
                            </a>
                        </li>
                    }
                })
                .collect_view();
            Some(view! {
                <section class="live" aria-label=word("ask.now")>
                    <a class="live-head" href=address::check(asked.on_site, &first.key)>
                        <GapMark outcome/>
                        <span>{check_title(&first.key)}</span>
                    </a>
                    <p class="live-reason">{reason}</p>
                    {margin}
                    <ul class="tape-items">{others}</ul>
                </section>
            })
        })}
    }
}

/// The same in one line at the thumb, so that it is on screen whatever is scrolled away.
#[component]
pub fn LiveLine(
    /// The question.
    asked: Asked,
    /// What the checks say.
    checks: Memo<Vec<CheckResult>>,
) -> impl IntoView {
    let subject = asked.stream.with_value(|key| key.subject);
    move || {
        checks.with(|checks| {
            let first = checks.first()?;
            let wording = Wording {
                system: preferences::system(),
                site: None,
            };
            let margin = finding(first, subject)
                .and_then(|item| item.margin)
                .map(|margin| {
                    let key = if margin.si < 0.0 {
                        "margin.missing"
                    } else {
                        "margin.to_spare"
                    };
                    filled(
                        key,
                        &[(
                            "amount",
                            &wording.measured(margin.dimension, margin.si.abs(), margin.spread),
                        )],
                    )
                });
            let text = margin.unwrap_or_else(|| check_title(&first.key));
            Some(view! {
                <a class="live-line" href=address::check(asked.on_site, &first.key)>
                    <GapMark outcome=outcome_about(first, subject)/>
                    <span class="number">{text}</span>
                </a>
            })
        })
    }
}

/// The working of the first check, laid open on demand, with the answer on screen in it.
#[component]
pub fn LiveWorking(
    /// The question.
    asked: Asked,
    /// What the checks say.
    checks: Memo<Vec<CheckResult>>,
) -> impl IntoView {
    let open = RwSignal::new(false);
    let subject = asked.stream.with_value(|key| key.subject);
    let about = (subject != Subject::SITE).then_some(subject);
    view! {
        <Show when=move || checks.with(|checks| !checks.is_empty())>
            <section class="fold-button">
                <button
                    type="button"
                    class="button"
                    aria-expanded=move || open.get().to_string()
                    on:click=move |_| open.update(|open| *open = !*open)
                >
                    {word("working.title")}
                </button>
                {move || open.get().then(|| {
                    let now = asked.on_site.assessed()?;
                    let check = checks.with(|checks| checks.first().cloned())?;
                    Some(view! { <h2 class="seen-by-readers-only">{word("working.title")}</h2> <Working check site=Arc::clone(&now.site) system=preferences::system() about/> })
                })}
            </section>
        </Show>
    }
}

/// The cautions of every check that reads the question, each once.
#[component]
pub fn LiveCautions(
    /// What the checks say.
    checks: Memo<Vec<CheckResult>>,
) -> impl IntoView {
    let keys = Memo::new(move |_| {
        checks.with(|checks| {
            let mut keys: Vec<Key> = Vec::new();
            for key in checks.iter().flat_map(|check| &check.cautions) {
                if !keys.contains(key) {
                    keys.push(key.clone());
                }
            }
            keys
        })
    });
    move || view! { <CautionList keys=keys.get()/> }
}

/// "3 of 41" in the walk; nothing for a question that is not on it.
pub fn position_text(asked: Asked) -> String {
    let Some(now) = asked.on_site.assessed() else {
        return String::new();
    };
    asked.stream.with_value(|key| {
        now.stop(key)
            .map(|(place, _)| {
                filled(
                    "ask.position",
                    &[
                        ("place", &(place + 1).to_string()),
                        ("of", &now.stops.len().to_string()),
                    ],
                )
            })
            .unwrap_or_default()
    })
}
