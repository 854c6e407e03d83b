//! The inch drawn large as a ruler with sixteen ticks (metric: a centimetre with ten): tap the tick the tape shows.

use leptos::prelude::*;
use setdown_types::quantity::UnitSystem;

use crate::parts::length_keys::{fraction_text, ticks_per_unit};
use crate::words::{filled, word};

const WIDTH: f64 = 340.0;
const EDGE: f64 = 10.0;

/// One inch or centimetre; calls back with the tick tapped, from 0 to one whole.
#[component]
pub fn Ruler(
    /// Inch or centimetre.
    system: UnitSystem,
    /// The tick that stands.
    #[prop(into)]
    chosen: Signal<u8>,
    /// The whole inches (centimetres) before it, written at the left end.
    #[prop(into)]
    whole: Signal<String>,
    /// Called with the tick.
    choose: Callback<u8>,
) -> impl IntoView {
    let count = ticks_per_unit(system);
    let step = (WIDTH - 2.0 * EDGE) / f64::from(count);
    let place = move |tick: u8| EDGE + f64::from(tick) * step;
    let node = NodeRef::<leptos::svg::Svg>::new();
    let at = move |client_x: f64| -> Option<u8> {
        let rect = node.get_untracked()?.get_bounding_client_rect();
        let along = (client_x - rect.left()) / rect.width() * WIDTH;
        let tick = ((along - EDGE) / step).round().clamp(0.0, f64::from(count));
        // In 0..=16: the clamp above says so.
        Some(tick as u8)
    };
    let ticks = (0..=count)
        .map(|tick| tick_mark(tick, system, place(tick), chosen))
        .collect_view();
    let pick = move |client_x: i32| {
        if let Some(tick) = at(f64::from(client_x)) {
            choose.run(tick);
        }
    };
    let key = move |event: web_sys::KeyboardEvent| {
        let now = chosen.get_untracked();
        let next = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => now.saturating_add(1).min(count - 1),
            "ArrowLeft" | "ArrowDown" => now.saturating_sub(1),
            "Home" => 0,
            "End" => count - 1,
            _ => return,
        };
        event.prevent_default();
        choose.run(next);
    };
    view! {
        <svg
            class="ruler"
            node_ref=node
            viewBox="0 0 340 78"
            role="slider"
            tabindex="0"
            aria-label=word(if system == UnitSystem::Us { "ruler.inch" } else { "ruler.centimetre" })
            aria-valuemin="0"
            aria-valuemax=(count - 1).to_string()
            aria-valuenow=move || chosen.get().to_string()
            aria-valuetext=move || value_text(chosen.get(), system)
            on:pointerdown=move |event| pick(event.client_x())
            on:pointermove=move |event| {
                if event.buttons() & 1 == 1 {
                    pick(event.client_x());
                }
            }
            on:keydown=key
        >
            <rect class="face" x="1" y="1" width="338" height="76" rx="3"/>
            <rect class="filled" x=EDGE y="1" width=move || place(chosen.get()) - EDGE height="9"/>
            {ticks}
            <text class="whole" x="16" y="72">{move || whole.get()}</text>
        </svg>
    }
}

fn tick_mark(tick: u8, system: UnitSystem, x: f64, chosen: Signal<u8>) -> AnyView {
    let length = match (system, tick) {
        (UnitSystem::Us, 0 | 16) | (UnitSystem::Metric, 0 | 10) => 58.0,
        (UnitSystem::Us, 8) | (UnitSystem::Metric, 5) => 44.0,
        (UnitSystem::Us, 4 | 12) => 34.0,
        (UnitSystem::Us, tick) if tick % 2 == 0 => 26.0,
        _ => 18.0,
    };
    let label = match (system, tick) {
        (UnitSystem::Us, 4 | 8 | 12) => Some(fraction_text(tick)),
        (UnitSystem::Metric, 5) => Some("5".to_owned()),
        _ => None,
    };
    view! {
        <line class="tick" class:chosen=move || chosen.get() == tick x1=x x2=x y1="1" y2=1.0 + length/>
        {label.map(|label| view! { <text x=x y="62" text-anchor="middle">{label}</text> })}
    }
    .into_any()
}

fn value_text(tick: u8, system: UnitSystem) -> String {
    match (system, tick) {
        (_, 0) => word("ruler.none"),
        (UnitSystem::Us, tick) => filled("ruler.inches", &[("fraction", &fraction_text(tick))]),
        (UnitSystem::Metric, tick) => filled("ruler.millimetres", &[("count", &tick.to_string())]),
    }
}
