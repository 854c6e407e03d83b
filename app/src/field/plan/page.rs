//! The plan's own screen: how it is to be made, the drawing, what does not fit, and what it is made of.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;
use setdown_types::entry::Method;
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;

use super::findings::Findings;
use super::lists::{AddPoint, Lists, basis};
use super::missing::Missing;
use super::{came_from_plan, plan_of};
use crate::device::NewAnswer;
use crate::field::address;
use crate::field::frame::{FieldFrame, print, say, with_site};
use crate::field::on_site::OnSite;
use crate::parts::plan_drawing::PlanDrawing;
use crate::parts::tapes_checked::CheckedTape;
use crate::parts::{CautionList, Folds, cautions_of};
use crate::words::word;

/// The yard plan of a site.
#[component]
pub fn PlanPage() -> impl IntoView {
    with_site(|on_site| view! { <Plan on_site/> }.into_any())
}

#[component]
fn Plan(on_site: OnSite) -> impl IntoView {
    came_from_plan(true);
    let plan = plan_of(on_site);
    let folds = Folds::default();
    let begun = Memo::new(move |_| on_site.assessed().and_then(|now| basis(&now.site)));
    let sketch = Signal::derive(move || {
        plan.get()
            .map(|plan| Arc::clone(&plan.sketch))
            .unwrap_or_default()
    });
    let drawable = Memo::new(move |_| {
        sketch.with(|sketch| !sketch.points.is_empty() || !sketch.plan.barriers.is_empty())
    });
    let findings = move || {
        plan.get()
            .map(|plan| view! { <Findings on_site found=plan.findings.clone()/> })
    };
    let problem = move || plan.get().and_then(|plan| plan.problem.clone());
    let tapes = Memo::new(move |_| {
        plan.get()
            .map(|plan| plan.checked.clone())
            .unwrap_or_default()
    });
    let checked = move || {
        let tapes = tapes.get();
        (!tapes.is_empty()).then(|| view! { <Checked on_site tapes folds/> })
    };
    let cautions = move || {
        let keys = on_site
            .assessed()
            .map(|now| cautions_of(|key| now.check(key)));
        view! { <CautionList keys=keys.unwrap_or_default()/> }
    };
    let bottom = move || view! { <Bar on_site begun/> }.into_any();
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name()) bottom=bottom>
            <div class="row title-row">
                <h1 class="grow">{word("plan.title")}</h1>
                <a class="button" href=address::way(on_site)>{word("way.title")}</a>
            </div>
            <Show when=move || begun.get().is_none()>
                <Begin on_site/>
            </Show>
            <Show when=move || begun.get().is_some()>
                {move || problem().map(|text| view! { <p class="notice error">{text}</p> })}
                {findings}
                <Show when=move || drawable.get() fallback=move || problem().is_none().then(|| view! { <p class="quiet">{nothing_drawn(begun.get().as_deref())}</p> })>
                    <Show when=move || sketch.with(|sketch| sketch.loose)>
                        <p class="quiet">{word("plan.drawn_loose")}</p>
                    </Show>
                    <PlanDrawing sketch=sketch/>
                </Show>
                <Missing on_site/>
                <Lists on_site folds/>
                {checked}
                {cautions}
                <button type="button" class="button" on:click=move |_| print()>{word("way.print")}</button>
            </Show>
        </FieldFrame>
    }
}

/// How well the tapes check each other, each a link to its number.
#[component]
fn Checked(on_site: OnSite, tapes: Vec<CheckedTape>, folds: Folds) -> impl IntoView {
    let rows = tapes.into_iter().map(|tape| {
        view! { <li><a class="line-link" href=address::ask(on_site, &tape.stream)>{tape.text}</a></li> }
    });
    let rows = rows.collect_view();
    view! {
        <details class="fold" open=folds.is_open("checked", false)
            on:toggle:target=move |event| folds.put("checked", event.target().open())>
            <summary><h2>{word("plan.checked")}</h2></summary>
            <p class="quiet">{word("plan.checked.about")}</p>
            <ul class="plain number">{rows}</ul>
        </details>
    }
}

/// What to do first, while there is nothing to draw.
fn nothing_drawn(basis: Option<&str>) -> String {
    word(match basis {
        Some("legs") => "plan.nothing_drawn.legs",
        _ => "plan.nothing_drawn",
    })
}

/// How the plan is to be made: two ways, one decision.
#[component]
fn Begin(on_site: OnSite) -> impl IntoView {
    let choose = move |basis: &'static str| {
        let new = NewAnswer::new(
            on_site.id,
            Subject::SITE,
            "plan.basis",
            Value::Choice(basis.to_owned()),
            Method::Seen,
        );
        spawn_local(async move {
            if let Err(error) = on_site.device.append(new).await {
                say(error.to_string());
            }
        });
    };
    view! {
        <p>{word("plan.begin")}</p>
        <button type="button" class="button primary" on:click=move |_| choose("tapes")>{word("choice.plan.basis.tapes")}</button>
        <p class="quiet">{word("plan.begin.tapes")}</p>
        <button type="button" class="button primary" on:click=move |_| choose("legs")>{word("choice.plan.basis.legs")}</button>
        <p class="quiet">{word("plan.begin.legs")}</p>
    }
}

/// At the thumb: one more point, one more tape, and the way in.
#[component]
fn Bar(on_site: OnSite, begun: Memo<Option<String>>) -> impl IntoView {
    let navigate = StoredValue::new_local(use_navigate());
    let add = move |kind: SubjectKind| {
        if let Some(question) = kind.present_question() {
            let stream = StreamKey::new(on_site.device.new_subject(kind), question);
            let href = address::ask(on_site, &stream);
            navigate.with_value(|navigate| navigate(&href, NavigateOptions::default()));
        }
    };
    view! {
        {move || match begun.get().as_deref() {
            None => ().into_any(),
            Some("legs") => view! {
                <button type="button" class="button primary grow" on:click=move |_| add(SubjectKind::Leg)>{word("plan.add_leg")}</button>
            }.into_any(),
            Some(_) => view! {
                <AddPoint on_site/>
                <button type="button" class="button primary grow" on:click=move |_| add(SubjectKind::Tie)>{word("plan.add_tape")}</button>
            }.into_any(),
        }}
    }
}
