//! One check with its working, sources, cautions and the questions it needs; and the list of all checks.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::frame::result::{CheckResult, Need, NeedState, Outcome};
use setdown_rules::frame::spec::Area;
use setdown_types::party::Role;
use setdown_types::question;

use super::address;
use super::frame::{FieldFrame, with_site};
use super::on_site::{Assessed, OnSite};
use crate::parts::{CautionList, GapMark, Working, answer, preferences};
use crate::words::{Wording, check_title, filled, question_title, subject_name, word};

/// The key of an area, for words.
const fn area_key(area: Area) -> &'static str {
    match area {
        Area::Reach => "reach",
        Area::Spot => "spot",
        Area::Base => "base",
        Area::Vault => "vault",
        Area::Power => "power",
        Area::Water => "water",
        Area::Entry => "entry",
        Area::Cover => "cover",
        Area::Permission => "permission",
        Area::Stage => "stage",
    }
}

/// Every check, by area.
#[component]
pub fn Checks() -> impl IntoView {
    with_site(|on_site| view! { <CheckList on_site/> }.into_any())
}

#[component]
fn CheckList(on_site: OnSite) -> impl IntoView {
    let areas = move || {
        let now = on_site.assessed()?;
        let mut areas: BTreeMap<Area, Vec<&CheckResult>> = BTreeMap::new();
        for check in &now.checks {
            areas.entry(check.area).or_default().push(check);
        }
        Some(
            areas
                .into_iter()
                .map(|(area, checks)| area_block(on_site, area, &checks))
                .collect_view(),
        )
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("checks.title")}</h1>
            {areas}
        </FieldFrame>
    }
}

fn area_block(on_site: OnSite, area: Area, checks: &[&CheckResult]) -> AnyView {
    let worst = checks
        .iter()
        .map(|check| check.outcome)
        .max()
        .unwrap_or(Outcome::NotNeeded);
    let rows = checks
        .iter()
        .map(|check| {
            view! {
                <li>
                    <a class="tape-item" href=address::check(on_site, &check.key)>
                        <GapMark outcome=check.outcome/>
                        <span class="tape-item-title">{check_title(&check.key)}</span>
                    </a>
                </li>
            }
        })
        .collect_view();
    view! {
        <section>
            <h2 class="area-head">
                {word(&format!("area.{}", area_key(area)))}
                <GapMark outcome=worst/>
            </h2>
            <ul class="tape-items">{rows}</ul>
        </section>
    }
    .into_any()
}

/// One check.
#[component]
pub fn CheckPage() -> impl IntoView {
    let key = crate::use_route_parameters()
        .get_untracked()
        .get("check")
        .cloned()
        .unwrap_or_default();
    with_site(move |on_site| {
        let key = key.clone();
        view! { <OneCheck on_site key=key/> }.into_any()
    })
}

#[component]
fn OneCheck(on_site: OnSite, key: String) -> impl IntoView {
    let title = check_title(&key);
    let kept = StoredValue::new(key);
    let page = move || {
        let now = on_site.assessed()?;
        let check = now.check(&kept.get_value())?;
        Some(page(on_site, &now, check))
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::checks(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{title}</h1>
            {move || page().unwrap_or_else(|| view! { <p>{word("checks.unknown")}</p> }.into_any())}
        </FieldFrame>
    }
}

fn page(on_site: OnSite, now: &Arc<Assessed>, check: &CheckResult) -> AnyView {
    let system = preferences::system();
    let wording = Wording::new(system, &now.site);
    let would_be = check.would_be.map(|outcome| {
        view! { <p class="quiet">{word("checks.would_be")} " " <GapMark outcome/></p> }
    });
    let attested = check.attested.as_ref().map(|attestation| {
        let value = setdown_types::value::Value::Attestation(attestation.clone());
        view! { <p>{answer::shown("", &value, system)}</p> }
    });
    let needs = check
        .needs
        .iter()
        .map(|need| need_row(on_site, now, need))
        .collect_view();
    let points: Vec<String> = check
        .hold_points
        .iter()
        .map(|point| word(&format!("hold_point.{}", point.key())))
        .collect();
    view! {
        <p class="check-outcome"><GapMark outcome=check.outcome/></p>
        <p>{wording.line(&check.reason)}</p>
        {would_be}
        {attested}
        <CautionList keys=check.cautions.clone()/>
        <section class="card">
            <h2>{word("working.title")}</h2>
            <Working check=check.clone() site=Arc::clone(&now.site) system about=None/>
        </section>
        <section>
            <h2>{word("checks.needs")}</h2>
            <ul class="plain">{needs}</ul>
        </section>
        {(!points.is_empty()).then(|| view! {
            <p class="quiet">
                {filled("checks.named_by", &[("points", &points.join(", "))])}
                {check.stopper.then(|| format!(" {}", word("checks.stopper")))}
            </p>
        })}
    }
    .into_any()
}

fn need_row(on_site: OnSite, now: &Assessed, need: &Need) -> AnyView {
    let about = subject_name(&now.site, need.stream.subject);
    let value = now
        .site
        .stream(need.stream.subject, &need.stream.question)
        .and_then(|stream| stream.leading())
        .and_then(|head| head.value.as_ref())
        .map(|value| answer::shown(&need.stream.question, value, preferences::system()));
    let state = match (need.state, value) {
        (NeedState::Answered, Some(value)) => value,
        (NeedState::Disputed, Some(value)) => format!("{value} ({})", word("need.disputed")),
        (state, _) => word(&format!("need.{}", need_key(state))),
    };
    let optional = need
        .optional
        .then(|| format!(", {}", word("need.optional")));
    let inside = view! {
        <span class="line-title">{question_title(&need.stream.question)}</span>
        <span class="quiet number">{about} ": " {state} {optional}</span>
    };
    let theirs = |row: &question::Question| !on_site.home_now() || row.may_answer(Role::Homeowner);
    if question::find(&need.stream.question).is_some_and(theirs) {
        view! { <li><a class="line-link" href=address::ask(on_site, &need.stream)>{inside}</a></li> }.into_any()
    } else {
        view! { <li><span class="line-link">{inside}</span></li> }.into_any()
    }
}

/// The key of a need's state, for words.
pub const fn need_key(state: NeedState) -> &'static str {
    match state {
        NeedState::Answered => "answered",
        NeedState::Missing => "missing",
        NeedState::CannotMeasure => "cannot_measure",
        NeedState::DontKnow => "dont_know",
        NeedState::Disputed => "disputed",
        NeedState::NotUnderstood => "not_understood",
    }
}
