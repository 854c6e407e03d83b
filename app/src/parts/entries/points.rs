//! Choosing points of the yard plan, in order: tapped on the drawing or on their names.

use std::sync::Arc;

use leptos::prelude::*;
use setdown_types::ids::SubjectId;
use setdown_types::value::{MOST_POINTS, TieKind};

use super::own_text;
use crate::parts::plan_drawing::{PlanDrawing, Sketch};
use crate::parts::points_text::PointsText;
use crate::words::{filled, word};

/// What can be chosen.
#[derive(Clone, Copy)]
pub struct YardPicks {
    /// The yard as far as it can be drawn.
    pub sketch: Signal<Arc<Sketch>>,
    /// The things that can be named, with their names.
    pub things: Signal<Vec<(SubjectId, String)>>,
}

impl YardPicks {
    fn name(self, id: SubjectId) -> String {
        self.things.with(|things| {
            let found = things.iter().find(|(known, _)| *known == id);
            found.map_or_else(|| word("points.gone"), |(_, name)| name.clone())
        })
    }

    /// Names with commas between.
    fn names(self, ids: &[SubjectId]) -> String {
        let names = ids.iter().map(|id| self.name(*id));
        names.collect::<Vec<_>>().join(", ")
    }
}

/// Points in order.
#[component]
pub fn PointsEntry(
    /// The draft.
    text: RwSignal<String>,
    /// What can be chosen.
    picks: YardPicks,
    /// The most.
    most: usize,
) -> impl IntoView {
    let own = own_text(text);
    let so_far = Memo::new(move |_| PointsText::read(&own.get()));
    let order = move || {
        let so_far = so_far.get();
        if so_far.ids.is_empty() {
            word("points.none")
        } else {
            filled("points.order", &[("names", &picks.names(&so_far.ids))])
        }
    };
    view! {
        <div class="points-entry stack">
            <Picker text picks most so_far/>
            <p class="number" aria-live="polite">{order}</p>
        </div>
    }
}

/// A tie: its kind, then its points.
#[component]
pub fn TieEntry(
    /// The draft.
    text: RwSignal<String>,
    /// What can be chosen.
    picks: YardPicks,
) -> impl IntoView {
    let own = own_text(text);
    let so_far = Memo::new(move |_| {
        let read = PointsText::read(&own.get());
        PointsText {
            kind: read.kind.or(Some(TieKind::Distance)),
            ..read
        }
    });
    let kind = Memo::new(move |_| so_far.with(|so_far| so_far.kind.unwrap_or(TieKind::Distance)));
    let choose = move |chosen: TieKind| {
        let mut now = so_far.get_untracked();
        now.kind = Some(chosen);
        now.ids.truncate(chosen.points().1);
        text.set(now.write());
    };
    let kinds = TieKind::ALL
        .into_iter()
        .map(|one| {
            view! {
                <button type="button" class="chip" aria-pressed=move || (kind.get() == one).to_string()
                    on:click=move |_| choose(one)>{word(&format!("tie.kind.{}", one.key()))}</button>
            }
        })
        .collect_view();
    let most = Signal::derive(move || kind.get().points().1);
    view! {
        <div class="points-entry stack">
            <Picker text picks most so_far/>
            <p class="number" aria-live="polite">{move || so_far.with(|so_far| explained(so_far, picks))}</p>
            <fieldset>
                <legend>{word("tie.kind")}</legend>
                <div class="row">{kinds}</div>
            </fieldset>
        </div>
    }
}

/// What a tie says so far, with `…` for points that are still to be chosen.
fn explained(so_far: &PointsText, picks: YardPicks) -> String {
    let kind = so_far.kind.unwrap_or(TieKind::Distance);
    let name = |place: usize| {
        let id = so_far.ids.get(place);
        id.map_or_else(|| "\u{2026}".to_owned(), |id| picks.name(*id))
    };
    filled(
        &format!("tie.says.{}", kind.key()),
        &[
            ("first", &name(0)),
            ("second", &name(1)),
            ("third", &name(2)),
            ("all", &picks.names(&so_far.ids)),
        ],
    )
}

/// The drawing, where something can be tapped on it, and the names.
#[component]
fn Picker(
    text: RwSignal<String>,
    picks: YardPicks,
    #[prop(into)] most: Signal<usize>,
    so_far: Memo<PointsText>,
) -> impl IntoView {
    let toggle = move |id: SubjectId| {
        let most = most.get_untracked().min(MOST_POINTS);
        text.set(so_far.get_untracked().toggled(id, most).write());
    };
    let chosen = Signal::derive(move || so_far.with(|so_far| so_far.ids.clone()));
    let tappable = Memo::new(move |_| {
        let things = picks.things.get();
        picks.sketch.with(|sketch| {
            let known = |id: &SubjectId| things.iter().any(|(thing, _)| thing == id);
            sketch
                .points
                .iter()
                .any(|point| point.id.as_ref().is_some_and(known))
        })
    });
    let chips = move || {
        picks
            .things
            .get()
            .into_iter()
            .map(|(id, name)| {
                view! {
                    <button type="button" class="chip" aria-pressed=move || chosen.with(|ids| ids.contains(&id)).to_string()
                        on:click=move |_| toggle(id)>{name}</button>
                }
            })
            .collect_view()
    };
    view! {
        <Show when=move || tappable.get()>
            <PlanDrawing sketch=picks.sketch chosen=chosen on_pick=Callback::new(toggle)/>
        </Show>
        <fieldset>
            <legend>{move || word(if most.get() == 1 { "points.choose_one" } else { "points.choose" })}</legend>
            <div class="row point-names">{chips}</div>
        </fieldset>
        <Show when=move || picks.things.with(Vec::is_empty)>
            <p class="notice">{word("points.add_first")}</p>
        </Show>
    }
}
