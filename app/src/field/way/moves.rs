//! The narrow places and the moves, as a crew reads them.

use leptos::prelude::*;
use setdown_rules::motion::moves::{About, Action, Move};

use super::page::Shown;
use super::verdict::length;
use crate::field::address;
use crate::parts::plan_drawing::{Track, against};
use crate::words::{filled, word};

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
        Some(view! {
            <section>
                <h2>{word("way.moves")}</h2>
                <p class="quiet">{filled("way.moves.whole", &[("count", &moves.len().to_string()), ("distance", &length(whole))])}</p>
                <ol class="moves">{rows}</ol>
                <p class="quiet">{word("way.moves.front")}</p>
            </section>
        })
    }
}

/// How far the middle of the unit goes.
fn distance(one: &Move) -> f64 {
    (one.to.x - one.from.x).hypot(one.to.y - one.from.y)
}

/// Below this many inches a part of a move is not worth a word.
const WORTH: f64 = 0.125;

/// A move as a sentence.
fn move_text(one: &Move) -> String {
    match one.action {
        Action::Straight { forward, left } => {
            filled("way.move.straight", &[("go", &going(forward, left))])
        }
        Action::Turn { degrees, about } => filled(
            "way.move.turn",
            &[("turn", &turning(degrees)), ("about", &turned_about(about))],
        ),
        Action::Together {
            forward,
            left,
            degrees,
        } => filled(
            "way.move.together",
            &[("go", &going(forward, left)), ("turn", &turning(degrees))],
        ),
    }
}

fn going(forward: f64, left: f64) -> String {
    let part = |inches: f64, positive: &str, negative: &str| {
        let key = if inches > 0.0 { positive } else { negative };
        (inches.abs() >= WORTH).then(|| filled(key, &[("distance", &length(inches.abs()))]))
    };
    let parts: Vec<String> = [
        part(forward, "way.go.forward", "way.go.back"),
        part(left, "way.go.left", "way.go.right"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match parts.as_slice() {
        [] => word("way.go.hardly"),
        parts => parts.join(&word("way.go.and")),
    }
}

fn turning(degrees: f64) -> String {
    let key = if degrees > 0.0 {
        "way.turn.left"
    } else {
        "way.turn.right"
    };
    filled(key, &[("angle", &format!("{:.1}", degrees.abs()))])
}

fn turned_about(about: About) -> String {
    match about {
        About::Centre => word("way.about.centre"),
        About::Corner { front, left } => word(match (front, left) {
            (true, true) => "way.about.front_left",
            (true, false) => "way.about.front_right",
            (false, true) => "way.about.rear_left",
            (false, false) => "way.about.rear_right",
        }),
        About::Point { forward, left } => {
            filled("way.about.point", &[("where", &going(forward, left))])
        }
    }
}
