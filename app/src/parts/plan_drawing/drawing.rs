//! The drawing on screen: panned and zoomed by fingers, keys and buttons, with its words for those who hear it.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::svg::Svg;
use setdown_rules::motion::scene::Pose;
use setdown_types::ids::SubjectId;

use super::clutter::Clutter;
use super::describe::described;
use super::extent::Extent;
use super::frame::{Frame, Turn};
use super::labels::{Word, with_room, words};
use super::layers::{
    dots, ellipses, moving, north, north_place, pinches, scale_bar, still, turned, written,
};
use super::sketch::Sketch;
use super::touch::{CLOSER, Touch};
use super::track::Track;
use crate::parts::preferences;
use crate::words::{filled, word};

/// How high the drawing is for its width; the style gives it the same.
const SHAPE: f64 = 1.0;
/// How near a tap must come to a point, nominal pixels.
const NEAR: f64 = 26.0;
/// How large the largest ellipse is drawn, nominal pixels, at least about.
const ELLIPSE: f64 = 8.0;

/// The yard to scale.
#[component]
pub fn PlanDrawing(
    /// What is drawn.
    #[prop(into)]
    sketch: Signal<Arc<Sketch>>,
    /// Where the unit is while the way is played.
    #[prop(optional, into)]
    moment: Option<Signal<Option<Pose>>>,
    /// Points that are marked.
    #[prop(optional, into)]
    chosen: Option<Signal<Vec<SubjectId>>>,
    /// What a tap on a point does.
    #[prop(optional, into)]
    on_pick: Option<Callback<SubjectId>>,
) -> impl IntoView {
    let shown = Shown::new(sketch);
    let node = NodeRef::<Svg>::new();
    let touch = Touch::new(node, shown.frame);
    let up = move |event: web_sys::PointerEvent| {
        if let (Some(at), Some(pick)) = (touch.up(&event), on_pick)
            && let Some(point) = shown.point_near(at)
        {
            pick.run(point);
        }
    };
    let keys = move |event: web_sys::KeyboardEvent| {
        if touch.key(&event.key(), shown.whole.get_untracked()) {
            event.prevent_default();
        }
    };
    // Two fingers on a touch pad; a plain wheel goes on scrolling the page.
    let wheel = move |event: web_sys::WheelEvent| {
        if !event.ctrl_key() {
            return;
        }
        event.prevent_default();
        let factor = if event.delta_y() < 0.0 {
            1.2
        } else {
            1.0 / 1.2
        };
        shown
            .frame
            .update(|frame| *frame = frame.zoomed(factor, [0.5, 0.5]));
    };
    view! {
        <figure class="plan-figure">
            <svg class="plan" node_ref=node viewBox=move || shown.frame.get().view_box() tabindex="0" role="img"
                aria-label=word("drawing.plan") aria-describedby="plan-in-words"
                on:pointerdown=move |event| touch.down(&event)
                on:pointermove=move |event| touch.moved(&event)
                on:pointerup=up
                on:pointercancel=move |event| touch.lost(&event)
                on:keydown=keys
                on:wheel=wheel
            >
                <g inner_html=move || sketch.with(|sketch| shown.track.with(|track| still(sketch, track, shown.turn.get())))></g>
                <g class="moving" inner_html=move || shown.moving(moment)></g>
                <g inner_html=move || shown.spreads()></g>
                <g inner_html=move || sketch.with(|sketch| pinches(sketch, shown.turn.get(), shown.scale.get()))></g>
                <g inner_html=move || shown.dots(chosen)></g>
                <g inner_html=move || shown.words.with(|words| written(words, shown.scale.get()))></g>
                <g inner_html=move || scale_bar(shown.frame.get(), preferences::system())></g>
                <g inner_html=move || shown.north()></g>
            </svg>
            <Tools shown sketch/>
            <details class="fold drawing-words">
                <summary>{word("drawing.plan.in_words")}</summary>
                <ul class="plain" id="plan-in-words">
                    {move || sketch.with(|sketch| described(sketch, preferences::system()))
                        .into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}
                </ul>
            </details>
        </figure>
    }
}

/// What of a sketch is on screen, as a token for closures.
#[derive(Clone, Copy)]
struct Shown {
    sketch: Signal<Arc<Sketch>>,
    turn: RwSignal<Turn>,
    frame: RwSignal<Frame>,
    whole: Memo<Frame>,
    scale: Memo<f64>,
    track: Memo<Track>,
    words: Memo<Vec<Word>>,
    spread: RwSignal<bool>,
}

impl Shown {
    fn new(sketch: Signal<Arc<Sketch>>) -> Self {
        let extent = Memo::new(move |_| sketch.with(|sketch| Extent::of(sketch)));
        let turn = RwSignal::new(Turn::fitting(extent.get_untracked(), SHAPE));
        let whole = Memo::new(move |_| Frame::whole(turned(extent.get(), turn.get()), SHAPE));
        let frame = RwSignal::new(whole.get_untracked());
        // A yard that grew is shown whole again.
        Effect::new(move |_| frame.set(whole.get()));
        let scale = Memo::new(move |_| frame.get().scale());
        let track = Memo::new(move |_| sketch.with(|sketch| Track::of_sketch(sketch)));
        let all = Memo::new(move |_| {
            sketch.with(|sketch| words(sketch, turn.get(), preferences::system()))
        });
        let clutter = Memo::new(move |_| {
            sketch.with(|sketch| Clutter::of(sketch, turn.get()).within(whole.get()))
        });
        let arrow = Memo::new(move |_| {
            let is_drawn = sketch.with(|sketch| sketch.north.is_some());
            is_drawn.then(|| north_place(frame.get()))
        });
        let words = Memo::new(move |_| {
            let (scale, arrow) = (scale.get(), arrow.get());
            all.with(|all| clutter.with(|clutter| with_room(all, clutter, scale, arrow)))
        });
        Self {
            sketch,
            turn,
            frame,
            whole,
            scale,
            track,
            words,
            spread: RwSignal::new(false),
        }
    }

    /// The unit where it is while the way is played.
    fn moving(self, moment: Option<Signal<Option<Pose>>>) -> String {
        let pose = moment.and_then(|moment| moment.get());
        let turn = self.turn.get();
        let drawn = |pose| self.sketch.with(|sketch| moving(sketch, pose, turn));
        pose.map(drawn).unwrap_or_default()
    }

    fn spreads(self) -> String {
        if !self.spread.get() {
            return String::new();
        }
        let (turn, whole) = (self.turn.get(), self.whole.get());
        self.sketch
            .with(|sketch| ellipses(sketch, turn, enlarged(sketch, whole)))
    }

    fn dots(self, chosen: Option<Signal<Vec<SubjectId>>>) -> String {
        let chosen = chosen.map(|chosen| chosen.get()).unwrap_or_default();
        let (turn, scale) = (self.turn.get(), self.scale.get());
        self.sketch
            .with(|sketch| dots(sketch, turn, scale, &chosen))
    }

    /// An arrow to the north, where it is known.
    fn north(self) -> String {
        let known = self.sketch.with(|sketch| sketch.north);
        let (frame, turn) = (self.frame.get(), self.turn.get());
        let drawn = |direction| north(frame, turn, direction, &word("drawing.plan.north"));
        known.map(drawn).unwrap_or_default()
    }

    /// The point that a tap means (drawing coordinates).
    fn point_near(self, at: [f64; 2]) -> Option<SubjectId> {
        let turn = self.turn.get_untracked();
        let reach = NEAR * self.scale.get_untracked();
        self.sketch.with_untracked(|sketch| {
            let far = |place: [f64; 2]| {
                let [x, y] = turn.place(place);
                (x - at[0]).hypot(y - at[1])
            };
            sketch
                .points
                .iter()
                .filter(|point| point.id.is_some())
                .map(|point| (far(point.at), point))
                .filter(|(far, _)| *far <= reach)
                .min_by(|one, other| one.0.total_cmp(&other.0))
                .and_then(|(_, point)| point.id)
        })
    }
}

/// By how much the ellipses are drawn larger: a round number that makes the largest visible.
fn enlarged(sketch: &Sketch, whole: Frame) -> f64 {
    let largest = sketch
        .ellipses
        .iter()
        .map(|ellipse| ellipse.major)
        .fold(0.0, f64::max);
    if largest <= 0.0 {
        return 1.0;
    }
    let wanted = ELLIPSE * whole.scale() / largest;
    [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0]
        .into_iter()
        .find(|times| *times >= wanted)
        .unwrap_or(100.0)
}

/// Closer, farther, all, turned; and the ellipses.
#[component]
fn Tools(shown: Shown, sketch: Signal<Arc<Sketch>>) -> impl IntoView {
    let zoom = move |factor: f64| {
        shown
            .frame
            .update(|frame| *frame = frame.zoomed(factor, [0.5, 0.5]))
    };
    let has_spreads =
        move || sketch.with(|sketch| sketch.ellipses.iter().any(|ellipse| ellipse.major > 0.0));
    let times = move || {
        let times = sketch.with(|sketch| enlarged(sketch, shown.whole.get()));
        filled(
            "drawing.plan.enlarged",
            &[("times", &format!("{times:.0}"))],
        )
    };
    view! {
        <div class="row plan-tools" role="group" aria-label=word("drawing.plan.tools")>
            <button type="button" class="button" aria-label=word("drawing.plan.closer") on:click=move |_| zoom(CLOSER)>"+"</button>
            <button type="button" class="button" aria-label=word("drawing.plan.farther") on:click=move |_| zoom(1.0 / CLOSER)>"\u{2212}"</button>
            <button type="button" class="button" on:click=move |_| shown.frame.set(shown.whole.get_untracked())>{word("drawing.plan.whole")}</button>
            <button type="button" class="button" on:click=move |_| shown.turn.update(|turn| *turn = turn.next())>{word("drawing.plan.turn")}</button>
            <Show when=has_spreads>
                <button type="button" class="chip" aria-pressed=move || shown.spread.get().to_string()
                    on:click=move |_| shown.spread.update(|on| *on = !*on)>{word("drawing.plan.spread")}</button>
            </Show>
        </div>
        <Show when=move || has_spreads() && shown.spread.get()>
            <p class="quiet">{times}</p>
        </Show>
    }
}
