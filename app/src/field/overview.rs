//! One site at a glance: the hold point worked towards, the worst check, what to do next.

use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::Assessment;
use setdown_rules::frame::result::{HoldPoint, HoldPointResult, HoldState};
use setdown_types::site::StreamState;

use super::address;
use super::frame::{FieldFrame, with_site};
use super::leaving::LeaveBehind;
use super::on_site::{Assessed, OnSite};
use super::unfinished::Unfinished;
use crate::parts::{CautionList, Folds, GapMark, ReadinessTape, preferences};
use crate::words::{Wording, check_title, filled, question_title, subject_name, word};

/// The site's overview.
#[component]
pub fn Overview() -> impl IntoView {
    with_site(|on_site| view! { <Glance on_site/> }.into_any())
}

#[component]
fn Glance(on_site: OnSite) -> impl IntoView {
    super::plan::came_from_plan(false);
    let (folds, tapes) = (Folds::default(), OpenTapes::new());
    let bottom = move || {
        let target = move || {
            on_site
                .assessed()
                .map_or_else(|| address::walk(on_site), |now| continue_at(on_site, &now))
        };
        view! {
            <a class="button" href=address::walk(on_site)>{word("overview.whole_walk")}</a>
            <a class="button primary grow" href=target>{word("overview.go_on")}</a>
        }
        .into_any()
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back="/field".to_owned()
            title=Signal::derive(move || on_site.name()) bottom=bottom>
            <h1>{move || on_site.name()}</h1>
            <Unfinished on_site/>
            {move || on_site.assessed().map(|now| glance(on_site, &now, folds, tapes))}
            <LeaveBehind on_site/>
        </FieldFrame>
    }
}

/// Which tapes stand open, while everything round them is built anew.
#[derive(Clone, Copy)]
struct OpenTapes([RwSignal<bool>; HoldPoint::ALL.len()]);

impl OpenTapes {
    fn new() -> Self {
        Self(HoldPoint::ALL.map(|_| RwSignal::new(false)))
    }

    fn of(self, point: HoldPoint) -> Option<RwSignal<bool>> {
        let place = HoldPoint::ALL.iter().position(|known| *known == point)?;
        self.0.get(place).copied()
    }
}

/// The first question that is still wanted, in walking order.
fn continue_at(on_site: OnSite, now: &Assessed) -> String {
    now.first_wanted().map_or_else(
        || address::walk(on_site),
        |stop| address::ask(on_site, &stop.stream),
    )
}

fn glance(on_site: OnSite, now: &Arc<Assessed>, folds: Folds, tapes: OpenTapes) -> AnyView {
    let assessment = now.assessment();
    let to_check = Callback::new(move |key: String| address::check(on_site, &key));
    let current = assessment.current().cloned();
    let others: Vec<HoldPointResult> = assessment
        .hold_points
        .iter()
        .filter(|point| {
            Some(point.hold_point) != current.as_ref().map(|current| current.hold_point)
        })
        .cloned()
        .collect();
    let disagreeing = now
        .site
        .streams()
        .values()
        .filter(|stream| matches!(stream.state, StreamState::Conflict { .. }))
        .count();
    let worst = current
        .as_ref()
        .and_then(|point| worst(on_site, now, point));
    let tape = current.map(|point| view! { <ReadinessTape open=tapes.of(point.hold_point) point assessment=Arc::clone(&assessment) address=to_check/> });
    let all = assessment.clone();
    view! {
        {tape}
        {worst}
        {next(on_site, now, &assessment)}
        <nav class="links" aria-label=word("overview.more")>
            <a class="button" href=address::plan(on_site)>{word("plan.title")}</a>
            <a class="button" href=address::way(on_site)>{word("way.title")}</a>
            <a class="button" href=address::checks(on_site)>{word("overview.checks")}</a>
            <a class="button" href=address::tasks(on_site)>{word("overview.tasks")}</a>
            <a class="button" href=address::notes(on_site)>{word("field.notes")}</a>
            <a class="button" href=address::history(on_site)>{word("field.history")}</a>
            {(disagreeing > 0).then(|| view! {
                <a class="button" href=address::disagreements(on_site)>
                    {filled(if disagreeing == 1 { "overview.disagreement" } else { "overview.disagreements" }, &[("count", &disagreeing.to_string())])}
                </a>
            })}
        </nav>
        <details class="fold" open=folds.is_open("others", false)
            on:toggle:target=move |event| folds.put("others", event.target().open())>
            <summary>{word("overview.other_hold_points")}</summary>
            <div class="stack">
                {others
                    .into_iter()
                    .map(|point| view! { <ReadinessTape open=tapes.of(point.hold_point) point assessment=Arc::clone(&all) address=to_check/> })
                    .collect_view()}
            </div>
        </details>
    }
    .into_any()
}

/// The check that holds the hold point up most, with its reason and caution.
fn worst(on_site: OnSite, now: &Assessed, point: &HoldPointResult) -> Option<AnyView> {
    let check = now.check(point.worst.as_deref()?)?;
    let wording = Wording::new(preferences::system(), &now.site);
    let stopped = point.state == HoldState::Stopped;
    let cautions = check.cautions.clone();
    Some(
        view! {
            <section class="card worst" class:stopped=stopped aria-label=word("overview.worst")>
                <h2>{word("overview.worst")}</h2>
                <a class="worst-link" href=address::check(on_site, &check.key)>
                    <GapMark outcome=check.outcome/>
                    <span>{check_title(&check.key)}</span>
                </a>
                <p>{wording.line(&check.reason)}</p>
                <CautionList keys=cautions/>
            </section>
        }
        .into_any(),
    )
}

/// The three measurements that move the outcome most, for this person.
fn next(on_site: OnSite, now: &Assessed, assessment: &Assessment) -> AnyView {
    let rows: Vec<AnyView> = assessment
        .next
        .iter()
        .filter(|next| now.stop(&next.stream).is_some())
        .take(3)
        .map(|next| {
            let about = subject_name(&now.site, next.stream.subject);
            // At least a minute: what people plan in.
            let minutes = filled(
                "overview.minutes",
                &[("count", &format!("{:.0}", next.minutes.max(1.0)))],
            );
            view! {
                <li>
                    <a class="line-link" href=address::ask(on_site, &next.stream)>
                        <span class="line-title">{question_title(&next.stream.question)}</span>
                        <span class="quiet number">{format!("{about}, {minutes}")}</span>
                    </a>
                </li>
            }
            .into_any()
        })
        .collect();
    if rows.is_empty() {
        return view! { <p>{word("overview.nothing_next")}</p> }.into_any();
    }
    view! {
        <section>
            <h2>{word("overview.next")}</h2>
            <ol class="plain">{rows}</ol>
        </section>
    }
    .into_any()
}
