//! Playing the way in: a slider and a button; where motion is not wanted, a step at a time.

use std::sync::Arc;

use gloo_timers::callback::Interval;
use leptos::prelude::*;
use setdown_rules::motion::scene::Pose;

use super::sketch::Sketch;
use super::track::Track;
use crate::words::{filled, word};

/// Between two pictures, milliseconds.
const PICTURE: u32 = 50;
/// How long the whole way takes to play, milliseconds.
const WHOLE: f64 = 14_000.0;
/// Positions of the slider.
const POSITIONS: f64 = 1000.0;

/// Whether this person wants no motion.
pub fn still_wanted() -> bool {
    let query = window().match_media("(prefers-reduced-motion: reduce)");
    query.ok().flatten().is_some_and(|query| query.matches())
}

/// The way of a sketch as it is played.
#[derive(Clone, Copy)]
pub struct Played {
    /// The way; without samples where none is worked out.
    pub track: Memo<Track>,
    /// Where the unit is on it, 0 to 1.
    pub share: RwSignal<f64>,
    /// How it stands there.
    pub moment: Signal<Option<Pose>>,
}

impl Played {
    /// From its beginning.
    pub fn of(sketch: Signal<Arc<Sketch>>) -> Self {
        let track = Memo::new(move |_| sketch.with(|sketch| Track::of_sketch(sketch)));
        let share = RwSignal::new(0.0);
        let moment = Signal::derive(move || {
            track.with(|track| track.at(share.get()).map(|sample| sample.pose))
        });
        Self {
            track,
            share,
            moment,
        }
    }
}

/// Moves `share` (0 to 1) along the way.
#[component]
pub fn Playback(
    /// The way.
    track: Signal<Track>,
    /// Where the unit is on it.
    share: RwSignal<f64>,
) -> impl IntoView {
    let timer = StoredValue::new_local(None::<Interval>);
    let playing = RwSignal::new(false);
    let stop = move || {
        timer.set_value(None);
        playing.set(false);
    };
    let tick = move || {
        let next = share.get_untracked() + f64::from(PICTURE) / WHOLE;
        share.set(next.min(1.0));
        if next >= 1.0 {
            stop();
        }
    };
    let toggle = move |_| {
        if playing.get_untracked() {
            stop();
            return;
        }
        if share.get_untracked() >= 1.0 {
            share.set(0.0);
        }
        playing.set(true);
        timer.set_value(Some(Interval::new(PICTURE, tick)));
    };
    let step_now =
        move || track.with(|track| track.at(share.get()).map_or(0, |sample| sample.step));
    let go_back = move |_| {
        stop();
        let before = untrack(step_now).checked_sub(1);
        share.set(before.map_or(0.0, |step| track.with_untracked(|track| track.end_of(step))));
    };
    // A move that is under way, the first one at the beginning, is gone to its end before the next one begins.
    let go_on = move |_| {
        stop();
        let now = untrack(step_now);
        share.set(track.with_untracked(|track| {
            let end = track.end_of(now);
            if share.get_untracked() < end {
                end
            } else {
                track.end_of(now + 1)
            }
        }));
    };
    let slide = move |event: web_sys::Event| {
        stop();
        share.set(event_target_value(&event).parse::<f64>().unwrap_or(0.0) / POSITIONS);
    };
    let said = move || {
        let steps = track.with(|track| track.steps).to_string();
        filled(
            "way.play.step",
            &[("step", &(step_now() + 1).to_string()), ("steps", &steps)],
        )
    };
    let play = (!still_wanted()).then(|| {
        view! {
            <button type="button" class="button play" on:click=toggle>
                {move || word(if playing.get() { "way.play.stop" } else { "way.play.start" })}
            </button>
        }
    });
    view! {
        <div class="playback" role="group" aria-label=word("way.play.title")>
            <div class="row">
                <button type="button" class="button" on:click=go_back>{word("way.play.back")}</button>
                {play}
                <button type="button" class="button" on:click=go_on>{word("way.play.next")}</button>
            </div>
            <input type="range" class="slider" min="0" max="1000" step="1" aria-label=word("way.play.title")
                prop:value=move || (POSITIONS * share.get()).round().to_string() aria-valuetext=said on:input=slide/>
            <p class="quiet number">{said}</p>
        </div>
    }
}
