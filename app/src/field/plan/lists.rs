//! What the plan is made of, kind by kind: each thing a link to its questions, and a button for one more.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::Method;
use setdown_types::question::{self, AnswerKind, Question};
use setdown_types::site::{Site, StreamKey};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Tie, TieKind, Value};

use crate::device::NewAnswer;
use crate::field::address;
use crate::field::frame::say;
use crate::field::on_site::{Assessed, OnSite};
use crate::field::things::AddThing;
use crate::parts::plan_drawing::{length_text, tie_of};
use crate::parts::working::capital;
use crate::parts::{Folds, answer, preferences};
use crate::words::{filled, question_title, subject_name, word};

/// The names that new points are offered: A to Z, then A1 and on.
fn next_letter(site: &Site) -> String {
    let taken: Vec<&str> = site
        .subjects(SubjectKind::PlanPoint)
        .iter()
        .filter_map(|point| site.name(*point))
        .collect();
    let letters = || ('A'..='Z').map(|letter| letter.to_string());
    let later = (1..100).flat_map(|round| letters().map(move |letter| format!("{letter}{round}")));
    letters()
        .chain(later)
        .find(|name| !taken.contains(&name.as_str()))
        .unwrap_or_default()
}

/// A button that adds the next point under its letter.
#[component]
pub fn AddPoint(
    /// The site.
    on_site: OnSite,
) -> impl IntoView {
    let name = Memo::new(move |_| {
        on_site
            .assessed()
            .map(|now| next_letter(&now.site))
            .unwrap_or_default()
    });
    let busy = RwSignal::new(false);
    let add = move |_| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        let name = name.get_untracked();
        let subject = on_site.device.new_subject(SubjectKind::PlanPoint);
        let said = filled("plan.point_added", &[("name", &name)]);
        let new = NewAnswer::new(
            on_site.id,
            subject,
            "plan_point.present",
            Value::Text(name),
            Method::Seen,
        );
        spawn_local(async move {
            match on_site.device.append(new).await {
                Ok(_) => say(said),
                Err(error) => say(error.to_string()),
            }
            let _ = busy.try_set(false);
        });
    };
    view! {
        <button type="button" class="button add" prop:disabled=move || busy.get() on:click=add>
            {move || filled("plan.add_point", &[("name", &name.get())])}
        </button>
    }
}

/// Everything on the plan, in folds.
#[component]
pub fn Lists(
    /// The site.
    on_site: OnSite,
    /// Which folds stand open.
    folds: Folds,
) -> impl IntoView {
    move || {
        on_site.assessed().map(|now| {
            let legs = basis(&now.site).as_deref() == Some("legs");
            // Lines belong to tapes: a plan of legs lists those that are left over, to be taken off.
            let left_over = !now.site.subjects(SubjectKind::PlanLine).is_empty();
            let kinds = if legs {
                let lines = left_over.then_some(SubjectKind::PlanLine);
                [
                    SubjectKind::Leg,
                    SubjectKind::Opening,
                    SubjectKind::PlanThing,
                ]
                .into_iter()
                .chain(lines)
                .collect()
            } else {
                vec![
                    SubjectKind::PlanPoint,
                    SubjectKind::Tie,
                    SubjectKind::PlanLine,
                    SubjectKind::PlanThing,
                    SubjectKind::Opening,
                ]
            };
            let ends = ends(on_site, &now, legs, folds);
            let kinds = kinds
                .into_iter()
                .map(|kind| block(on_site, &now, kind, folds))
                .collect_view();
            view! { {kinds} {ends} }
        })
    }
}

/// What the plan is made from: `legs` or `tapes`.
pub fn basis(site: &Site) -> Option<String> {
    match site
        .stream(Subject::SITE, "plan.basis")?
        .leading()?
        .value
        .as_ref()?
    {
        Value::Choice(choice) => Some(choice.clone()),
        _ => None,
    }
}

fn block(on_site: OnSite, now: &Arc<Assessed>, kind: SubjectKind, folds: Folds) -> AnyView {
    let key = kind.key();
    let things = now.site.subjects(kind);
    let rows = things
        .iter()
        .map(|thing| thing_row(on_site, now, *thing))
        .collect_view();
    let count = things.len().to_string();
    let add = match kind {
        SubjectKind::PlanPoint => view! { <AddPoint on_site/> }.into_any(),
        _ => view! { <AddThing on_site kind/> }.into_any(),
    };
    view! {
        <details class="fold" open=folds.is_open(key, false)
            on:toggle:target=move |event| folds.put(key, event.target().open())>
            <summary><h2>{word(&format!("plan.list.{key}"))}</h2> <span class="badge number">{count}</span></summary>
            <ul class="plain">{rows}</ul>
            {add}
        </details>
    }
    .into_any()
}

/// One thing: a tie by what it says, anything else by its name; and what is still to be said about it.
fn thing_row(on_site: OnSite, now: &Arc<Assessed>, thing: Subject) -> AnyView {
    let Some(present) = thing.kind.present_question() else {
        return ().into_any();
    };
    let title = match tie_of(&now.site, thing) {
        Some(tie) => tie_text(&now.site, &tie),
        None => capital(&subject_name(&now.site, thing)),
    };
    let missing = now
        .stops
        .iter()
        .filter(|stop| stop.stream.subject == thing && stop.wanted())
        .count();
    let measured = tie_of(&now.site, thing).is_some_and(|tie| tie.kind().is_measured());
    let state = match (length_text(&now.site, thing), measured) {
        (Some(length), _) => length,
        (None, true) => word("plan.not_taped"),
        (None, false) if missing > 0 => {
            filled("walk.station_left", &[("count", &missing.to_string())])
        }
        (None, false) => String::new(),
    };
    let first = StreamKey::new(thing, present);
    let untaped = measured && length_text(&now.site, thing).is_none();
    let title_row = view! {
        <a class="line-link" class:wanted=untaped href=address::ask(on_site, &first)>
            <span class="line-title">{title}</span>
            <span class="number answer">{state}</span>
        </a>
    };
    let more = details(on_site, now, thing, present);
    view! { <li>{title_row}{more}</li> }.into_any()
}

/// The other questions about a thing, with their answers.
fn details(on_site: OnSite, now: &Arc<Assessed>, thing: Subject, present: &str) -> AnyView {
    let measured = tie_of(&now.site, thing).is_none_or(|tie| tie.kind().is_measured());
    let rows: Vec<AnyView> = question::all()
        .filter(|row| row.subject == thing.kind && row.key != present)
        .filter(|row| on_plan(row.key) && (thing.kind != SubjectKind::Tie || measured))
        .filter_map(|row| {
            let key = StreamKey::new(thing, row.key);
            let asked = now.stop(&key).is_some();
            let value = now
                .site
                .stream(thing, row.key)
                .and_then(|stream| stream.leading()?.value.clone());
            if value.is_none() && !asked {
                return None;
            }
            let text = value.map(|value| points_or_plain(&now.site, row, &value));
            let wanted = text.is_none() && now.stop(&key).is_some_and(|(_, stop)| stop.wanted());
            Some(
                view! {
                    <li>
                        <a class="line-link" class:wanted=wanted href=address::ask(on_site, &key)>
                            <span class="line-title quiet">{question_title(row.key)}</span>
                            <span class="number answer">{text}</span>
                        </a>
                    </li>
                }
                .into_any(),
            )
        })
        .collect();
    if rows.is_empty() {
        return ().into_any();
    }
    view! { <ul class="plain details">{rows}</ul> }.into_any()
}

/// Whether a question of a kind that is not only the plan's belongs to it.
fn on_plan(key: &str) -> bool {
    let of_others = key.starts_with("opening.") || key.starts_with("leg.");
    !of_others
        || matches!(
            key,
            "opening.between"
                | "opening.on_leg"
                | "opening.along"
                | "opening.left"
                | "opening.width_ankle"
                | "opening.width_hip"
                | "opening.width_head"
                | "leg.length"
                | "leg.width_left"
                | "leg.width_right"
                | "leg.turn"
        )
}

/// A tie in words.
pub fn tie_text(site: &Site, tie: &Tie) -> String {
    let name = |place: usize| {
        let id = tie.points().get(place);
        id.map(|id| subject_name(site, Subject::new(SubjectKind::PlanPoint, *id)))
            .unwrap_or_default()
    };
    let all = tie.points().iter();
    let all: Vec<String> = all
        .map(|id| subject_name(site, Subject::new(SubjectKind::PlanPoint, *id)))
        .collect();
    if tie.kind() == TieKind::Distance {
        return filled(
            "tie.short.distance",
            &[("first", &name(0)), ("second", &name(1))],
        );
    }
    filled(
        &format!("tie.says.{}", tie.kind().key()),
        &[
            ("first", &name(0)),
            ("second", &name(1)),
            ("third", &name(2)),
            ("all", &all.join(", ")),
        ],
    )
}

/// Where the way begins and ends, and whether all is drawn.
fn ends(on_site: OnSite, now: &Arc<Assessed>, legs: bool, folds: Folds) -> AnyView {
    let keys: &[&str] = if legs {
        &[
            "plan.spot_along",
            "plan.spot_left",
            "plan.spot_side",
            "plan.either_end",
            "plan.complete",
            "plan.bearing",
        ]
    } else {
        &[
            "plan.stand",
            "plan.spot",
            "plan.either_end",
            "plan.complete",
            "plan.bearing_line",
            "plan.bearing",
        ]
    };
    let rows = keys
        .iter()
        .chain(&["plan.basis"])
        .filter_map(|key| question::find(key))
        .filter_map(|question| {
            let key = question.key;
            let stream = StreamKey::new(Subject::SITE, key);
            let value = now
                .site
                .stream(Subject::SITE, key)
                .and_then(|stream| stream.leading()?.value.clone());
            let text = value
                .as_ref()
                .map(|value| points_or_plain(&now.site, question, value));
            let stop = now.stop(&stream);
            // A side is only asked about where the spot lies off the line.
            if key == "plan.spot_side" && stop.is_none() && text.is_none() {
                return None;
            }
            let wanted = stop.is_some_and(|(_, stop)| stop.wanted());
            Some(view! {
                <li>
                    <a class="line-link" class:wanted=wanted href=address::ask(on_site, &stream)>
                        <span class="line-title">{question_title(key)}</span>
                        <span class="number answer">{text}</span>
                    </a>
                </li>
            })
        })
        .collect_view();
    view! {
        <details class="fold" open=folds.is_open("ends", false)
            on:toggle:target=move |event| folds.put("ends", event.target().open())>
            <summary><h2>{word("plan.list.ends")}</h2></summary>
            <ul class="plain">{rows}</ul>
        </details>
    }
    .into_any()
}

/// An answer as the plan lists it: points and legs by their names, anything else as everywhere.
fn points_or_plain(site: &Site, question: &Question, value: &Value) -> String {
    match (value, question.kind) {
        (Value::Points(points), AnswerKind::Points { of, .. }) => {
            let names = points.ids().iter();
            let names = names.map(|id| subject_name(site, Subject::new(of, *id)));
            names.collect::<Vec<_>>().join(", ")
        }
        (value, _) => answer::shown(question.key, value, preferences::system()),
    }
}
