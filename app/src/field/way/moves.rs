//! The narrow places and the moves, as a crew reads them.

use super::page::Shown;
use crate::field::address;
use crate::parts::moves_text::{distance, ground_lines, ground_list, length, move_text};
use crate::parts::plan_drawing::{Track, against};
use crate::parts::preferences;
use crate::words::{Wording, filled, word};
use leptos::prelude::*;
use setdown_rules::plan::ledger::GROUND_CHECK;

/// The narrow places, narrowest first.
#[component]
pub fn Pinches(
    /// What is shown.
    shown: Shown,
) -> impl IntoView {
    move || {
        let certified = shown.certified.get()?;
        let pinches = &certified.answer.pinches;
        if pinches.is_empty() {
            return None;
        }
        let rows = pinches
            .iter()
            .enumerate()
            .map(|(index, pinch)| {
                let text = filled(
                    "way.pinch",
                    &[
                        ("number", &(index + 1).to_string()),
                        ("against", &against(&pinch.against)),
                        ("gap", &length(pinch.gap)),
                    ],
                );
                view! { <li class="number">{text}</li> }
            })
            .collect_view();
        Some(view! {
            <section>
                <h2>{word("way.pinches")}</h2>
                <ul class="plain">{rows}</ul>
                <a class="quiet-link" href=address::plan(shown.on_site)>{word("way.measure_again")}</a>
            </section>
        })
    }
}

/// The moves in order; the one being played is marked, and each can be played to.
#[component]
pub fn Moves(
    /// What is shown.
    shown: Shown,
    /// The way as it is played.
    track: Memo<Track>,
    /// Where the unit is on it.
    share: RwSignal<f64>,
) -> impl IntoView {
    let now =
        Memo::new(move |_| track.with(|track| track.at(share.get()).map(|sample| sample.step)));
    move || {
        let certified = shown.certified.get().filter(|_| shown.has_way())?;
        let moves = &certified.answer.moves;
        if moves.is_empty() {
            return None;
        }
        let rows = moves
            .iter()
            .enumerate()
            .map(|(index, one)| {
                let go = move |_| share.set(track.with_untracked(|track| track.end_of(index)));
                view! {
                    <li>
                        <button type="button" class="line-link move" aria-current=move || (now.get() == Some(index)).then_some("step")
                            on:click=go>{move_text(one)}</button>
                    </li>
                }
            })
            .collect_view();
        let whole: f64 = moves.iter().map(distance).sum();
        let ground = shown.on_site.assessed().map(|now| {
            let wording = Wording::new(preferences::system(), &now.site);
            let check = now.check(GROUND_CHECK);
            ground_list(
                check
                    .map(|check| ground_lines(check, &wording))
                    .unwrap_or_default(),
            )
        });
        Some(view! {
            <section>
                <h2>{word("way.moves")}</h2>
                <p class="quiet">{filled("way.moves.whole", &[("count", &moves.len().to_string()), ("distance", &length(whole))])}</p>
                <ol class="moves">{rows}</ol>
                <p class="quiet">{word("way.moves.front")}</p>
                <h2>{word("way.ground")}</h2>
                {ground}
            </section>
        })
    }
}
