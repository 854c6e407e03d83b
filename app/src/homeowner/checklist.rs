//! The guided checklist: what a homeowner can do safely, their own tasks, and the same score as everybody's.

use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::frame::walk::Stop;
use setdown_types::party::Party;
use setdown_types::question::Station;

use crate::field::{Assessed, FieldFrame, OnSite, Unfinished, address, station_key, station_name};
use crate::parts::tape::ReadinessTape;
use crate::parts::{Folds, answer, preferences};
use crate::words::{Wording, filled, question_title, subject_name, word};

/// The whole list.
#[component]
pub fn Checklist(on_site: OnSite) -> impl IntoView {
    let (folds, open) = (Folds::default(), RwSignal::new(false));
    let body = move || {
        on_site
            .assessed()
            .map(|now| content(on_site, &now, folds, open))
    };
    let bottom = move || {
        let next = on_site.assessed().and_then(|now| {
            now.stops
                .iter()
                .find(|stop| stop.wanted())
                .map(|stop| stop.stream.clone())
        });
        match next {
            Some(stream) => view! {
                <a class="button primary" href=address::ask(on_site, &stream)>{word("home.go_on")}</a>
            }
            .into_any(),
            None => view! { <p>{word("home.all_done")}</p> }.into_any(),
        }
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) title=Signal::derive(move || on_site.name()) bottom=bottom>
            <h1>{word("home.title")}</h1>
            <Unfinished on_site/>
            <p>{word("home.what")}</p>
            <p class="caution" role="note">{word("home.caution")}</p>
            {body}
        </FieldFrame>
    }
}

fn content(on_site: OnSite, now: &Arc<Assessed>, folds: Folds, open: RwSignal<bool>) -> AnyView {
    let asked = now.stops.iter().filter(|stop| !stop.optional).count();
    let left = now.stops.iter().filter(|stop| stop.wanted()).count();
    let counts = filled(
        "walk.counts",
        &[
            ("answered", &(asked - left).to_string()),
            ("asked", &asked.to_string()),
        ],
    );
    let first_open = now
        .stops
        .iter()
        .find(|stop| stop.wanted())
        .map(|stop| stop.station);
    let blocks = Station::ALL
        .into_iter()
        .filter_map(|station| block(on_site, now, station, first_open, folds))
        .collect_view();
    let assessment = now.assessment();
    let to_check = Callback::new(move |key: String| address::check(on_site, &key));
    let tape = assessment
        .current()
        .cloned()
        .map(|point| view! { <ReadinessTape point assessment=Arc::clone(&assessment) open=Some(open) address=to_check/> });
    view! {
        {tape}
        <h2>{word("home.list")}</h2>
        <p class="quiet number">{counts}</p>
        {blocks}
        {tasks(now)}
        <nav class="links" aria-label=word("home.more")>
            <a class="button" href=address::notes(on_site)>{word("field.notes")}</a>
            <a class="button" href=address::history(on_site)>{word("home.history")}</a>
        </nav>
    }
    .into_any()
}

/// Questions of one place, with what was answered.
fn block(
    on_site: OnSite,
    now: &Assessed,
    station: Station,
    first_open: Option<Station>,
    folds: Folds,
) -> Option<AnyView> {
    let key = station_key(station);
    let stops: Vec<&Stop> = now
        .stops
        .iter()
        .filter(|stop| stop.station == station)
        .collect();
    if stops.is_empty() {
        return None;
    }
    let left = stops.iter().filter(|stop| stop.wanted()).count();
    let state = if left == 0 {
        word("walk.station_done")
    } else {
        filled("walk.station_left", &[("count", &left.to_string())])
    };
    let rows = stops
        .iter()
        .map(|stop| row(on_site, now, stop))
        .collect_view();
    Some(
        view! {
            <details class="fold station" open=folds.is_open(key, first_open == Some(station))
                on:toggle:target=move |event| folds.put(key, event.target().open())>
                <summary>
                    <span>{station_name(station, true)}</span>
                    <span class="badge number">{state}</span>
                </summary>
                <ul class="plain">{rows}</ul>
            </details>
        }
        .into_any(),
    )
}

fn row(on_site: OnSite, now: &Assessed, stop: &Stop) -> AnyView {
    let key = &stop.stream.question;
    let subject = stop.stream.subject;
    let value = now
        .site
        .stream(subject, key)
        .and_then(|stream| stream.leading())
        .and_then(|head| head.value.as_ref())
        .map(|value| answer::shown(key, value, preferences::system()))
        .unwrap_or_else(|| {
            word(if stop.optional {
                "walk.if_you_can"
            } else {
                "need.missing"
            })
        });
    let title = if subject == setdown_types::subject::Subject::SITE {
        question_title(key)
    } else {
        format!(
            "{}: {}",
            subject_name(&now.site, subject),
            question_title(key)
        )
    };
    view! {
        <li>
            <a class="line-link" class:wanted=stop.wanted() href=address::ask(on_site, &stop.stream)>
                <span class="line-title">{title}</span>
                <span class="number answer">{value}</span>
            </a>
        </li>
    }
    .into_any()
}

/// What is theirs to arrange, beyond answering.
fn tasks(now: &Assessed) -> Option<AnyView> {
    let assessment = now.assessment();
    let wording = Wording::new(preferences::system(), &now.site);
    let rows = assessment
        .tasks
        .iter()
        .filter(|task| task.party == Party::Homeowner && task.streams.is_empty())
        .map(|task| view! { <li class="line-link">{wording.line(&task.line)}</li> })
        .collect::<Vec<_>>();
    (!rows.is_empty()).then(|| {
        view! {
            <h2>{word("home.tasks")}</h2>
            <ul class="plain">{rows}</ul>
        }
        .into_any()
    })
}
