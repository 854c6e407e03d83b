//! One question a screen: where it is in the walk, how to measure, the entry, and what the check says now.

use leptos::prelude::*;
use leptos_router::hooks::use_navigate;
use setdown_types::party::Role;
use setdown_types::question::{self, Question};
use setdown_types::site::StreamKey;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;

use super::address;
use super::ask_bar::{AskBar, HowChips, IntentChips, Standing};
use super::ask_context::Asked;
use super::ask_live::{
    LiveCautions, LiveFinding, LiveLine, LiveWorking, live_checks, position_text,
};
use super::frame::{FieldFrame, with_site};
use super::history::EntryList;
use super::on_site::OnSite;
use super::plan::{leads_to_plan, yard_picks};
use super::slots::{SlotGrid, next_position};
use super::things::{ThingList, kind_listed};
use super::walk::station_name;
use crate::parts::entries::{LevelPlan, PlacedPoint};
use crate::parts::{AnswerEntry, DrawingOf};
use crate::words::{find, question_title, subject_name, word};

/// The question that the address names.
#[component]
pub fn Ask() -> impl IntoView {
    let parameters = crate::use_route_parameters().get_untracked();
    let subject = parameters
        .get("subject")
        .and_then(|text| address::subject_from(text));
    let question = parameters
        .get("question")
        .and_then(|key| question::find(key))
        .filter(|question| subject.is_some_and(|subject| subject.kind == question.subject));
    with_site(move |on_site| match (subject, question) {
        (Some(_), Some(question))
            if on_site.home_now() && !question.may_answer(Role::Homeowner) =>
        {
            view! { <NotTheirs on_site/> }.into_any()
        }
        (Some(subject), Some(question)) => view! { <AskOne on_site subject question/> }.into_any(),
        _ => view! {
            <main class="screen stack">
                <h1>{word("ask.unknown")}</h1>
                <a class="button primary" href=address::walk(on_site)>{word("field.walk")}</a>
            </main>
        }
        .into_any(),
    })
}

/// What stands in for a question that a homeowner is never asked.
#[component]
fn NotTheirs(on_site: OnSite) -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>{word("home.not_yours")}</h1>
            <p>{word("home.not_yours_help")}</p>
            <a class="button primary" href=address::walk(on_site)>{word("home.list")}</a>
        </main>
    }
}

#[component]
fn AskOne(on_site: OnSite, subject: Subject, question: &'static Question) -> impl IntoView {
    let stream = StreamKey::new(subject, question.key);
    let asked = Asked::new(on_site, stream, question);
    let checks = live_checks(asked);
    let home = on_site.home_now();
    let place = move || {
        let station = station_name(question.station, home);
        let name = on_site
            .assessed()
            .filter(|_| subject != Subject::SITE)
            .map(|now| subject_name(&now.site, subject));
        name.map_or_else(|| station.clone(), |name| format!("{station}, {name}"))
    };
    let back = if leads_to_plan(&asked.stream.get_value()) {
        address::plan(on_site)
    } else {
        address::walk(on_site)
    };
    let how_to = if home { "home" } else { "howto" };
    let chips = (!home).then(|| view! { <IntentChips asked/> <HowChips asked/> });
    // Why nothing was saved stands at the thumb that pressed Keep, not somewhere on the scrolled page.
    let bottom = move || {
        view! {
            <p role="alert" class="unclear not-saved">{move || asked.problem.get()}</p>
            <AskBar asked/>
        }
        .into_any()
    };
    let strong = question.key.rsplit('_').next().unwrap_or_default();
    let drawing = question
        .drawing
        .map(|drawing| view! { <DrawingOf drawing strong/> });
    view! {
        <FieldFrame
            device=on_site.device
            on_site=Some(on_site)
            back=back
            title=Signal::derive(place)
            position=Signal::derive(move || position_text(asked))
            now=move || view! { <LiveLine asked checks/> }.into_any()
            bottom=bottom
        >
            <h1 class="question">{question_title(question.key)}</h1>
            <div class="how-to">
                {find(&format!("{how_to}.{}", question.key)).map(|text| view! { <p>{text}</p> })}
                {drawing}
            </div>
            <Standing asked/>
            {beside_entry(on_site, question)}
            <AnswerEntry
                question
                text=asked.text
                device=on_site.device
                site=on_site.id
                subject
                home
                plan=level_plan(on_site, subject)
                yard=yard_picks(on_site, question)
                position=next_position(on_site)
            />
            <LiveFinding asked checks/>
            <LiveCautions checks/>
            {chips}
            <LiveWorking asked checks/>
            <TakeOff asked/>
            <details class="fold">
                <summary>{word("ask.history")}</summary>
                <EntryList on_site only=Some(asked.stream.get_value())/>
            </details>
        </FieldFrame>
    }
}

/// What stands beside the entry of some questions: the things to be listed, or the panel so far.
fn beside_entry(on_site: OnSite, question: &Question) -> Option<AnyView> {
    if question.subject == SubjectKind::Slot {
        return Some(view! { <SlotGrid on_site/> }.into_any());
    }
    let kind = kind_listed(question.key)?;
    Some(if kind == SubjectKind::Slot {
        view! { <SlotGrid on_site/> }.into_any()
    } else {
        view! { <ThingList on_site kind/> }.into_any()
    })
}

/// The footprint with the level points so far, without the one on screen.
fn level_plan(on_site: OnSite, subject: Subject) -> Option<LevelPlan> {
    if subject.kind != SubjectKind::LevelPoint {
        return None;
    }
    let now = on_site.assessed_now()?;
    let question = SubjectKind::LevelPoint.present_question()?;
    let points = now
        .site
        .subjects(SubjectKind::LevelPoint)
        .iter()
        .enumerate()
        .filter(|(_, other)| **other != subject)
        .filter_map(|(index, other)| {
            let head = now.site.stream(*other, question)?.leading()?;
            match head.value.as_ref()? {
                Value::Level(point) => Some(PlacedPoint {
                    name: (index + 1).to_string(),
                    point: point.clone(),
                }),
                _ => None,
            }
        })
        .collect();
    Some(LevelPlan {
        length: now.spa.bare.length,
        width: now.spa.bare.width,
        points,
    })
}

/// Takes a thing off the site; only where the question is what put it there.
#[component]
fn TakeOff(asked: Asked) -> impl IntoView {
    let subject = asked.stream.with_value(|key| key.subject);
    let puts_there = asked
        .stream
        .with_value(|key| key.subject.kind.present_question() == Some(key.question.as_str()));
    let navigate = StoredValue::new_local(use_navigate());
    let go = move |href: String| {
        navigate.with_value(|navigate| navigate(&href, leptos_router::NavigateOptions::default()))
    };
    let is_there = move || {
        asked
            .on_site
            .assessed()
            .is_some_and(|now| now.site.subjects(subject.kind).contains(&subject))
    };
    view! {
        <Show when=move || puts_there && is_there()>
            <button type="button" class="button danger" on:click=move |_| asked.take_off(go)>
                {word("ask.take_off")}
            </button>
        </Show>
    }
}
