//! Checks by area: outcome, margin, working, sources, cautions, and what each still waits for.

use std::sync::Arc;

use leptos::prelude::*;
use leptos_router::hooks::use_location;
use setdown_rules::frame::result::{Assessment, CheckResult, Need, NeedState, Outcome};
use setdown_rules::frame::spec::Area;
use setdown_types::party::Role;
use setdown_types::quantity::UnitSystem;
use setdown_types::question;
use setdown_types::site::Site;
use wasm_bindgen::JsCast;

use super::answer_form::AnswerForm;
use super::desk_entry::can_be_entered;
use super::frame::system;
use super::loaded::on_site;
use super::marks::party_name;
use crate::parts::working::capital;
use crate::parts::{CautionList, GapMark, Working};
use crate::words::{Wording, check_title, filled, question_title, subject_name, word};

/// Areas in the order in which they are shown.
const AREAS: [Area; 10] = [
    Area::Reach,
    Area::Spot,
    Area::Base,
    Area::Vault,
    Area::Power,
    Area::Water,
    Area::Entry,
    Area::Cover,
    Area::Permission,
    Area::Stage,
];

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

/// Where a check stands on its page.
pub fn anchor(key: &str) -> String {
    format!("check-{}", key.replace('.', "-"))
}

/// Which checks are listed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Listed {
    NotSettled,
    Applying,
    All,
}

impl Listed {
    const fn holds(self, outcome: Outcome) -> bool {
        match self {
            Self::NotSettled => !outcome.settled(),
            Self::Applying => !matches!(outcome, Outcome::NotNeeded),
            Self::All => true,
        }
    }
}

/// All checks, area by area.
#[component]
pub fn ChecksView() -> impl IntoView {
    let listed = RwSignal::new(Listed::Applying);
    let chip = move |wanted: Listed, key: &str| {
        view! {
            <button
                type="button"
                class="chip"
                aria-pressed=move || (listed.get() == wanted).to_string()
                on:click=move |_| listed.set(wanted)
            >
                {word(key)}
            </button>
        }
    };
    let on = on_site();
    let hash = use_location().hash;
    // A link to a check shows it, whatever was listed.
    Effect::new(move |_| {
        let wanted = hash.get();
        let loaded = on.loaded.get_untracked();
        let checks = &loaded.assessment.checks;
        let named = checks
            .iter()
            .find(|check| is_named(&wanted, &anchor(&check.key)));
        if named.is_some_and(|check| !listed.get_untracked().holds(check.outcome)) {
            listed.set(Listed::All);
        }
    });
    let areas = AREAS
        .into_iter()
        .map(|area| view! { <AreaSection area listed/> })
        .collect_view();
    view! {
        <section class="stack" aria-labelledby="checks-title">
            <h2 id="checks-title" class="seen-by-readers-only">{word("office.view.checks")}</h2>
            <div class="row" role="group" aria-label=word("office.listed")>
                {chip(Listed::Applying, "office.listed.applying")}
                {chip(Listed::NotSettled, "office.listed.not_settled")}
                {chip(Listed::All, "office.listed.all")}
            </div>
            <p class="caution">{word("office.caution")}</p>
            {areas}
        </section>
    }
}

/// The checks of one area that are listed; nothing where none is.
#[component]
fn AreaSection(area: Area, listed: RwSignal<Listed>) -> impl IntoView {
    let on = on_site();
    let outcomes = on.part(move |loaded| {
        let of_area = loaded
            .assessment
            .checks
            .iter()
            .filter(|check| check.area == area);
        of_area
            .map(|check| (check.key.to_string(), check.outcome))
            .collect::<Vec<_>>()
    });
    let keys = Memo::new(move |_| {
        let listed = listed.get();
        outcomes.with(|outcomes| {
            outcomes
                .iter()
                .filter(|(_, outcome)| listed.holds(*outcome))
                .map(|(key, _)| key.clone())
                .collect::<Vec<_>>()
        })
    });
    let title = format!("area-{}", area_key(area));
    let labelled = title.clone();
    view! {
        <section class="area" aria-labelledby=labelled hidden=move || keys.with(Vec::is_empty)>
            <h3 id=title>{word(&format!("area.{}", area_key(area)))}</h3>
            <For each=move || keys.get() key=Clone::clone let(key)>
                <CheckCard key/>
            </For>
        </section>
    }
}

/// One check; opened it shows everything it rests on, and stays open while that changes.
#[component]
fn CheckCard(key: String) -> impl IntoView {
    let on = on_site();
    let id = anchor(&key);
    let title = check_title(&key);
    let wanted = key.clone();
    let check = on.part(move |loaded| loaded.assessment.check(&wanted).cloned());
    let site = on.part(|loaded| Arc::clone(&loaded.site));
    let system = system();
    let hash = use_location().hash;
    let open = RwSignal::new(is_named(&hash.get_untracked(), &id));
    let own = id.clone();
    Effect::new(move |_| {
        if is_named(&hash.get(), &own) {
            open.set(true);
            show(&own);
        }
    });
    let outcome = Signal::derive(move || {
        check.with(|check| check.as_ref().map_or(Outcome::Open, |check| check.outcome))
    });
    let reason = move || {
        check.with(|check| {
            check
                .as_ref()
                .map(|check| reason_text(check, &site.get(), system.get()))
        })
    };
    let stopper = move || {
        check.with(|check| {
            check
                .as_ref()
                .is_some_and(|check| check.stopper && check.outcome == Outcome::Short)
        })
    };
    let body = move || open.get().then(|| view! { <Inside check site/> });
    view! {
        <details
            class="check card"
            id=id
            prop:open=move || open.get()
            on:toggle:target=move |event| open.set(event.target().open())
        >
            <summary>
                <GapMark outcome/>
                <span class="check-title">{title}</span>
                <span class="badge" hidden=move || !stopper()>{word("office.stopper")}</span>
                <span class="check-reason">{reason}</span>
            </summary>
            {body}
        </details>
    }
}

/// Whether the part of an address behind `#` names the card `id`.
fn is_named(hash: &str, id: &str) -> bool {
    hash.trim_start_matches('#') == id
}

/// Brings a card on screen and puts the reader there, once it is laid out.
fn show(id: &str) {
    let summary = format!("#{id} > summary");
    request_animation_frame(move || {
        let found = document().query_selector(&summary).ok().flatten();
        if let Some(found) = found.and_then(|found| found.dyn_into::<web_sys::HtmlElement>().ok()) {
            found.scroll_into_view();
            let _ = found.focus();
        }
    });
}

fn reason_text(check: &CheckResult, site: &Site, system: UnitSystem) -> String {
    let reason = Wording::new(system, site).line(&check.reason);
    match check.would_be {
        Some(would_be) => {
            let outcome = word(&format!("outcome.{}", crate::parts::outcome_key(would_be)));
            format!(
                "{reason} {}",
                filled("office.would_be", &[("outcome", &outcome)])
            )
        }
        None => reason,
    }
}

/// Cautions first, then working and sources, then what is waited for. A form opened in it stays while the rest changes.
#[component]
fn Inside(check: Memo<Option<CheckResult>>, site: Memo<Arc<Site>>) -> impl IntoView {
    let system = system();
    let needs = Memo::new(move |_| {
        check.with(|check| {
            let all = check.iter().flat_map(|check| &check.needs);
            all.filter(|need| is_wanted(need))
                .cloned()
                .collect::<Vec<_>>()
        })
    });
    let finding = move || {
        check
            .get()
            .map(|check| finding(check, site.get(), system.get()))
    };
    let standing = move || check.get().map(standing);
    view! {
        <div class="check-inside stack">
            {finding}
            <NeedList needs/>
            {standing}
        </div>
    }
}

fn finding(check: CheckResult, site: Arc<Site>, system: UnitSystem) -> impl IntoView {
    let attested = check.attested.as_ref().map(|attestation| {
        let text = filled(
            "office.attested",
            &[
                ("person", &attestation.person),
                ("licence", &attestation.licence),
                ("document", &attestation.document),
                ("date", &crate::words::date_text(attestation.date)),
            ],
        );
        view! { <p class="notice">{text}</p> }
    });
    let cautions = check.cautions.clone();
    view! {
        <CautionList keys=cautions/>
        {attested}
        <Working check site system/>
    }
}

/// Who sees to it, and which hold points name it.
fn standing(check: CheckResult) -> impl IntoView {
    let owner = filled("office.owner", &[("party", &party_name(check.owner))]);
    let points = check
        .hold_points
        .iter()
        .map(|point| word(&format!("hold_point.{}", point.key())))
        .collect::<Vec<_>>()
        .join(", ");
    view! { <p class="quiet">{owner}" "{filled("office.named_by", &[("hold_points", &points)])}</p> }
}

/// Whether the office should see to this question.
fn is_wanted(need: &Need) -> bool {
    need.state != NeedState::Answered
        && !(need.optional && need.state == NeedState::Missing && !is_attestation(need))
}

fn is_attestation(need: &Need) -> bool {
    question::find(&need.stream.question)
        .is_some_and(|row| row.kind == question::AnswerKind::Attestation)
}

const fn need_key(state: NeedState) -> &'static str {
    match state {
        NeedState::Answered => "answered",
        NeedState::Missing => "missing",
        NeedState::CannotMeasure => "cannot_measure",
        NeedState::DontKnow => "dont_know",
        NeedState::Disputed => "disputed",
        NeedState::NotUnderstood => "not_understood",
    }
}

/// Questions that a check waits for, each with a form where the office can answer it.
#[component]
fn NeedList(needs: Memo<Vec<Need>>) -> impl IntoView {
    view! {
        <div class="needs" hidden=move || needs.with(Vec::is_empty)>
            <h4>{word("office.waits_for_answers")}</h4>
            <ul class="plain">
                <For each=move || needs.get() key=|need| (need.stream.clone(), need.state) let(need)>
                    <NeedRow need/>
                </For>
            </ul>
        </div>
    }
}

#[component]
fn NeedRow(need: Need) -> impl IntoView {
    let on = on_site();
    let open = RwSignal::new(false);
    let subject = need.stream.subject;
    let title = on.part({
        let question = need.stream.question.clone();
        move |loaded| {
            format!(
                "{}: {}",
                capital(&subject_name(&loaded.site, subject)),
                question_title(&question)
            )
        }
    });
    let enterable = question::find(&need.stream.question)
        .is_some_and(|row| row.may_answer(Role::Office) && can_be_entered(row.kind));
    let state = word(&format!("office.need.{}", need_key(need.state)));
    let stream = need.stream.clone();
    view! {
        <li>
            <div class="row">
                <span>{move || title.get()}</span>
                <span class="quiet">{state}</span>
                {enterable.then(|| view! {
                    <button type="button" class="button small" aria-expanded=move || open.get().to_string() on:click=move |_| open.update(|open| *open = !*open)>
                        {word("office.answer_here")}
                    </button>
                })}
            </div>
            {move || open.get().then(|| view! { <AnswerForm stream=stream.clone() done=move || open.set(false)/> })}
        </li>
    }
}

/// Keys of the checks of an assessment that stand in the way of a hold point.
pub fn in_the_way(
    assessment: &Assessment,
    keys: &[setdown_rules::frame::result::Key],
) -> Vec<CheckResult> {
    keys.iter()
        .filter_map(|key| assessment.check(key))
        .filter(|check| !check.outcome.settled())
        .cloned()
        .collect()
}
