//! The walk: every question in the order the feet go, and the things found on the way.

use leptos::prelude::*;
use setdown_rules::frame::result::NeedState;
use setdown_rules::frame::walk::Stop;
use setdown_types::question::{self, Station};
use setdown_types::subject::{Subject, SubjectKind};

use super::address;
use super::frame::{FieldFrame, with_site};
use super::on_site::{Assessed, OnSite};
use super::plan::{came_from_plan, is_drawn_kind};
use super::things::AddThing;
use crate::parts::working::capital;
use crate::parts::{Folds, answer, preferences};
use crate::words::{filled, find, question_title, subject_name, word};

/// The key of a station, for words.
pub const fn station_key(station: Station) -> &'static str {
    match station {
        Station::Start => "start",
        Station::Street => "street",
        Station::Way => "way",
        Station::Lift => "lift",
        Station::Spot => "spot",
        Station::Base => "base",
        Station::Power => "power",
        Station::Water => "water",
        Station::Entry => "entry",
        Station::Papers => "papers",
        Station::Day => "day",
    }
}

/// What a station is called; a homeowner has everyday words for it.
pub fn station_name(station: Station, home: bool) -> String {
    let key = format!("station.{}", station_key(station));
    let own = home.then(|| find(&format!("home.{key}"))).flatten();
    own.map_or_else(|| word(&key), str::to_owned)
}

/// The whole walk.
#[component]
pub fn Walk() -> impl IntoView {
    with_site(|on_site| view! { <Stations on_site/> }.into_any())
}

#[component]
fn Stations(on_site: OnSite) -> impl IntoView {
    came_from_plan(false);
    let folds = Folds::default();
    let blocks = move || {
        let now = on_site.assessed()?;
        let first_open = now.first_wanted().map(|stop| stop.station);
        let stations = Station::ALL
            .into_iter()
            .filter_map(|station| block(on_site, &now, station, first_open, folds))
            .collect_view();
        Some(view! { {stations} {on_the_day(on_site, &now, folds)} })
    };
    let counts = move || {
        let now = on_site.assessed()?;
        let today = || now.stops.iter().filter(|stop| !now.is_on_the_day(stop));
        let asked = today().filter(|stop| !stop.optional).count();
        let left = today().filter(|stop| stop.wanted()).count();
        Some(filled(
            "walk.counts",
            &[
                ("answered", &(asked - left).to_string()),
                ("asked", &asked.to_string()),
            ],
        ))
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("walk.title")}</h1>
            <p class="quiet number">{counts}</p>
            {blocks}
        </FieldFrame>
    }
}

/// Kinds of thing that are added at a station.
fn kinds_of(station: Station) -> Vec<SubjectKind> {
    SubjectKind::ADDED
        .into_iter()
        .filter(|kind| !is_drawn_kind(*kind))
        .filter(|kind| {
            kind.present_question()
                .and_then(question::find)
                .is_some_and(|row| row.station == station)
        })
        .collect()
}

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
        .filter(|stop| stop.station == station && !now.is_on_the_day(stop))
        .collect();
    let kinds: Vec<SubjectKind> = if stops.is_empty() {
        Vec::new()
    } else {
        kinds_of(station)
    };
    if stops.is_empty() && kinds.is_empty() {
        return None;
    }
    let left = stops.iter().filter(|stop| stop.wanted()).count();
    let state = left_text(left);
    let site_rows = stops
        .iter()
        .filter(|stop| stop.stream.subject == Subject::SITE)
        .map(|stop| row(on_site, now, stop))
        .collect_view();
    let things = kinds
        .into_iter()
        .map(|kind| things(on_site, now, kind, &stops))
        .collect_view();
    Some(
        view! {
            <details class="fold station" open=folds.is_open(key, first_open == Some(station))
                on:toggle:target=move |event| folds.put(key, event.target().open())>
                <summary>
                    <h2>{station_name(station, false)}</h2>
                    <span class="badge number">{state}</span>
                </summary>
                <ul class="plain">{site_rows}</ul>
                {things}
                {(station == Station::Way).then(|| view! {
                    <a class="button" href=address::plan(on_site)>{word("plan.title")}</a>
                })}
            </details>
        }
        .into_any(),
    )
}

/// What waits for the delivery day, folded until somebody opens it.
fn on_the_day(on_site: OnSite, now: &Assessed, folds: Folds) -> Option<AnyView> {
    const KEY: &str = "on_the_day";
    let later = || now.stops.iter().filter(|stop| now.is_on_the_day(stop));
    later().next()?;
    let left = later().filter(|stop| stop.wanted()).count();
    let rows = later()
        .map(|stop| row_about(on_site, now, stop))
        .collect_view();
    Some(
        view! {
            <details class="fold station" open=folds.is_open(KEY, false)
                on:toggle:target=move |event| folds.put(KEY, event.target().open())>
                <summary>
                    <h2>{word("walk.on_the_day")}</h2>
                    <span class="badge number">{left_text(left)}</span>
                </summary>
                <p class="quiet">{word("walk.on_the_day_help")}</p>
                <ul class="plain">{rows}</ul>
            </details>
        }
        .into_any(),
    )
}

fn left_text(left: usize) -> String {
    match left {
        0 => word("walk.station_done"),
        _ => filled("walk.station_left", &[("count", &left.to_string())]),
    }
}

/// A row that says itself what it is about.
fn row_about(on_site: OnSite, now: &Assessed, stop: &Stop) -> AnyView {
    let subject = stop.stream.subject;
    let question = question_title(&stop.stream.question);
    let title = if subject == Subject::SITE {
        question
    } else {
        format!("{}: {question}", capital(&subject_name(&now.site, subject)))
    };
    titled_row(on_site, now, stop, title)
}

/// The things of one kind with their questions, and a button to add one.
fn things(on_site: OnSite, now: &Assessed, kind: SubjectKind, stops: &[&Stop]) -> AnyView {
    let blocks = now
        .site
        .subjects(kind)
        .iter()
        .map(|subject| {
            let rows = stops
                .iter()
                .filter(|stop| stop.stream.subject == *subject)
                .map(|stop| row(on_site, now, stop))
                .collect_view();
            let name = capital(&subject_name(&now.site, *subject));
            let rename = kind.present_question().map(|question| {
                let stream = setdown_types::site::StreamKey::new(*subject, question);
                view! { <a class="quiet-link" href=address::ask(on_site, &stream)>{word("walk.rename")}</a> }
            });
            view! {
                <section class="thing">
                    <h3 class="thing-head"><span>{name}</span> {rename}</h3>
                    <ul class="plain">{rows}</ul>
                </section>
            }
        })
        .collect_view();
    view! {
        <div class="things">
            {blocks}
            <AddThing on_site kind/>
        </div>
    }
    .into_any()
}

fn row(on_site: OnSite, now: &Assessed, stop: &Stop) -> AnyView {
    titled_row(on_site, now, stop, question_title(&stop.stream.question))
}

fn titled_row(on_site: OnSite, now: &Assessed, stop: &Stop, title: String) -> AnyView {
    let key = &stop.stream.question;
    let value = now
        .site
        .stream(stop.stream.subject, key)
        .and_then(|stream| stream.leading())
        .and_then(|head| head.value.as_ref())
        .map(|value| answer::shown(key, value, preferences::system()));
    let text = match (stop.state, value) {
        (NeedState::Answered, Some(value)) => value,
        (NeedState::Disputed, Some(value)) => format!("{value} ({})", word("need.disputed")),
        (NeedState::Missing, _) if stop.optional => word("walk.if_you_can"),
        (state, _) => word(&format!("need.{}", super::check::need_key(state))),
    };
    view! {
        <li>
            <a class="line-link" class:wanted=stop.wanted() href=address::ask(on_site, &stop.stream)>
                <span class="line-title">{title}</span>
                <span class="number answer">{text}</span>
            </a>
        </li>
    }
    .into_any()
}
