//! The yard plan at the desk: drawn from the same ledger as on the phone, with the answer that the server worked out.

use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::frame::result::{CheckResult, Outcome};
use setdown_rules::motion::Certified;
use setdown_rules::motion::answer::Verdict;
use setdown_rules::plan::ledger::{CHECK, GROUND_CHECK, document};
use setdown_rules::{Input, Ways};

use super::frame::system;
use super::loaded::{Loaded, on_site};
use super::other_sizes::OtherSizes;
use crate::parts::moves_text::{distance, ground_lines, ground_list, length, move_text};
use crate::parts::plan_drawing::{PlanDrawing, Playback, Played, Sketch, Track, sketch};
use crate::parts::tapes_checked::{CheckedTape, tapes_checked};
use crate::parts::{CautionList, GapMark, cautions_of};
use crate::words::{Wording, filled, word};

/// What is drawn, and why nothing is where nothing can be.
#[derive(Clone, Default, PartialEq)]
struct Yard {
    sketch: Option<Arc<Sketch>>,
    problem: Option<String>,
    /// Whether something is proved, so that other sizes can be asked about.
    settled: bool,
    /// The way, where one was proved.
    way: Option<Arc<Certified>>,
    /// The ground along it, in words.
    ground: Vec<String>,
    /// How well the tapes check each other.
    checked: Vec<CheckedTape>,
}

impl Yard {
    fn of(loaded: &Loaded) -> Self {
        let view = &loaded.view;
        let way = view.way.clone().map(Arc::new);
        let ways: Ways = way.iter().cloned().collect();
        let input = Input {
            site: &loaded.site,
            spa: &view.spa_sheet,
            practice: &view.practice_sheet,
            today: view.assessment.date,
            suppose: None,
            ways: &ways,
        };
        let Some(drawn) = document(&input) else {
            return Self::default();
        };
        // While the check is open, something on the way is not known: then nothing is told as proved.
        let check = view.assessment.check(CHECK);
        let outcome = check.map(CheckResult::worked_out);
        let outcome = outcome.filter(|outcome| *outcome != Outcome::Open);
        let judged = outcome.is_some();
        let wording = Wording::new(system().get(), &loaded.site);
        let pull = view.assessment.check(GROUND_CHECK);
        match drawn.derive() {
            Ok(derived) => Self {
                sketch: Some(Arc::new(sketch(&input, &drawn, &derived, outcome))),
                problem: None,
                settled: judged && way.is_some(),
                way: way.filter(|way| judged && way.answer.verdict == Verdict::Route),
                ground: pull
                    .map(|check| ground_lines(check, &wording))
                    .unwrap_or_default(),
                checked: (derived.network.as_ref())
                    .map(|network| tapes_checked(&drawn, network, &wording))
                    .unwrap_or_default(),
            },
            Err(complaint) => Self {
                problem: Some(wording.line(&drawn.fault(&complaint))),
                ..Self::default()
            },
        }
    }
}

/// The plan, the way in played, and its moves.
#[component]
pub fn PlanView() -> impl IntoView {
    let on = on_site();
    let yard = on.part(Yard::of);
    let drawn = Memo::new(move |_| yard.with(|yard| yard.sketch.is_some()));
    let settled = Memo::new(move |_| yard.with(|yard| yard.settled));
    let cautions = on.part(|loaded| cautions_of(|key| loaded.assessment.check(key)));
    let nothing = move || {
        yard.with(|yard| match (&yard.sketch, &yard.problem) {
            (Some(_), _) => None,
            (None, Some(problem)) => Some(problem.clone()),
            (None, None) => Some(word("office.plan.none")),
        })
    };
    view! {
        <section class="stack">
            <h2>{word("plan.title")}</h2>
            <Judged/>
            {move || nothing().map(|text| view! { <p class="notice">{text}</p> })}
            <Show when=move || drawn.get()><Drawing yard/></Show>
            <Show when=move || settled.get()><OtherSizes/></Show>
            {move || checked(yard.with(|yard| yard.checked.clone()))}
            {move || view! { <CautionList keys=cautions.get()/> }}
            <details class="fold">
                <summary><h3>{word("way.proved.title")}</h3></summary>
                <p>{word("way.proved.means")}</p>
                <p>{word("way.proved.means_not")}</p>
            </details>
        </section>
    }
}

/// How well the tapes check each other.
fn checked(tapes: Vec<CheckedTape>) -> Option<AnyView> {
    if tapes.is_empty() {
        return None;
    }
    let rows = tapes.into_iter().map(|tape| view! { <li>{tape.text}</li> });
    let rows = rows.collect_view();
    let fold = view! {
        <details class="fold">
            <summary><h3>{word("plan.checked")}</h3></summary>
            <p class="quiet">{word("plan.checked.about")}</p>
            <ul class="plain number">{rows}</ul>
        </details>
    };
    Some(fold.into_any())
}

/// The check's outcome and reason, with a link to its working.
#[component]
fn Judged() -> impl IntoView {
    let on = on_site();
    let system = system();
    let check = on.part(|loaded| loaded.assessment.check(CHECK).cloned());
    let site = on.part(|loaded| Arc::clone(&loaded.site));
    let told = move |check: CheckResult| {
        let reason = site.with(|site| Wording::new(system.get(), site).line(&check.reason));
        let address = format!("?view=checks#{}", super::checks_view::anchor(CHECK));
        view! {
            <div class="row"><GapMark outcome=check.outcome/> <p>{reason}</p></div>
            <p><a href=address data-noscroll="">{word("office.plan.check")}</a></p>
        }
    };
    move || check.get().map(told)
}

#[component]
fn Drawing(yard: Memo<Yard>) -> impl IntoView {
    let sketch = Signal::derive(move || yard.with(|yard| yard.sketch.clone().unwrap_or_default()));
    let Played {
        track,
        share,
        moment,
    } = Played::of(sketch);
    view! {
        <div class="plan-at-desk">
            <PlanDrawing sketch=sketch moment=moment/>
            <div class="stack">
                <Show when=move || track.with(|track| !track.samples.is_empty())>
                    <Playback track=Signal::from(track) share/>
                </Show>
                {move || yard.with(|yard| yard.way.as_ref().map(|way| moves(way, yard.ground.clone(), (track, share))))}
            </div>
        </div>
    }
}

/// The moves in order; each can be played to.
fn moves(
    way: &Certified,
    ground: Vec<String>,
    (track, share): (Memo<Track>, RwSignal<f64>),
) -> AnyView {
    let all = &way.answer.moves;
    let whole: f64 = all.iter().map(distance).sum();
    let count = all.len().to_string();
    let rows = all
        .iter()
        .enumerate()
        .map(|(index, one)| {
            let go = move |_| share.set(track.with_untracked(|track| track.end_of(index)));
            view! { <li><button type="button" class="line-link move" on:click=go>{move_text(one)}</button></li> }
        })
        .collect_view();
    view! {
        <h3>{word("way.moves")}</h3>
        <p class="quiet">{filled("way.moves.whole", &[("count", &count), ("distance", &length(whole))])}</p>
        <ol class="moves">{rows}</ol>
        <p class="quiet">{word("way.moves.front")}</p>
        <h3>{word("way.ground")}</h3>
        {ground_list(ground)}
    }
    .into_any()
}
