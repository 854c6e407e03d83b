//! The margin bar: the limit as a line, the reading as a dot with its spread as a whisker.

use leptos::prelude::*;
use setdown_rules::frame::result::Margin;
use setdown_types::quantity::UnitSystem;

use crate::words::{Wording, filled, word};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 44.0;
const LINE: f64 = 18.0;

/// Where limit, reading and whisker lie across the bar, in its own units.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Places {
    limit: f64,
    reading: f64,
    from: f64,
    to: f64,
}

/// Limit, reading and whisker share one scale and always fit in: the bar shows how close and how sure.
fn places(margin: Margin) -> Places {
    let spread = margin.spread.max(0.0);
    let reach = (margin.si.abs() + spread).max(f64::MIN_POSITIVE);
    // The limit stands at a third where there is room to spare, so that more of the bar tells how much.
    let limit = if margin.si >= 0.0 {
        WIDTH * 0.3
    } else {
        WIDTH * 0.7
    };
    let room = WIDTH * 0.64;
    let at = |si: f64| (limit + si / reach * room).clamp(6.0, WIDTH - 6.0);
    Places {
        limit,
        reading: at(margin.si),
        from: at(margin.si - spread),
        to: at(margin.si + spread),
    }
}

/// The bar with the margin in words below.
#[component]
pub fn MarginBar(
    /// The margin; nothing is drawn where it is not a number.
    margin: Margin,
    /// Units to write it in.
    system: UnitSystem,
) -> impl IntoView {
    let wording = Wording { system, site: None };
    let amount = wording.quantity(margin.dimension, margin.si.abs());
    let spread = wording.quantity(margin.dimension, margin.spread);
    let key = if margin.si < 0.0 {
        "margin.missing"
    } else {
        "margin.to_spare"
    };
    let text = if margin.spread > 0.0 {
        filled(key, &[("amount", &format!("{amount} ± {spread}"))])
    } else {
        filled(key, &[("amount", &amount)])
    };
    let places = places(margin);
    view! {
        <figure class="margin-figure">
            <svg class="margin-bar" viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="img" aria-label=text.clone()>
                <rect class="beyond" x="0" y=LINE - 9.0 width=places.limit height="18"/>
                <line class="ground" x1="0" x2=WIDTH y1=LINE y2=LINE/>
                <line class="limit" x1=places.limit x2=places.limit y1="2" y2=LINE + 14.0/>
                <line class="whisker" x1=places.from x2=places.to y1=LINE y2=LINE/>
                <line class="whisker" x1=places.from x2=places.from y1=LINE - 7.0 y2=LINE + 7.0/>
                <line class="whisker" x1=places.to x2=places.to y1=LINE - 7.0 y2=LINE + 7.0/>
                <circle class="reading" cx=places.reading cy=LINE r="6.5"/>
                <text x=places.limit y=HEIGHT - 1.0 text-anchor="middle">{word("margin.limit")}</text>
            </svg>
            <figcaption class="number">{text.clone()}</figcaption>
        </figure>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use setdown_types::quantity::Dimension;

    fn of(si: f64, spread: f64) -> Places {
        places(Margin {
            dimension: Dimension::Length,
            si,
            spread,
        })
    }

    #[test]
    fn the_whisker_crosses_the_limit_only_where_the_outcome_is_tight() {
        let clear = of(0.05, 0.01);
        assert!(clear.from > clear.limit && clear.to > clear.reading);
        let short = of(-0.05, 0.01);
        assert!(short.to < short.limit);
        let tight = of(0.005, 0.01);
        assert!(tight.from < tight.limit && tight.limit < tight.to);
    }

    #[test]
    fn everything_stays_on_the_bar_whatever_the_numbers() {
        for (si, spread) in [(0.0, 0.0), (1e9, 1e-9), (-1e9, 1e9), (1e-300, 1e300)] {
            let places = of(si, spread);
            for place in [places.limit, places.reading, places.from, places.to] {
                assert!(
                    (0.0..=WIDTH).contains(&place),
                    "{si} ± {spread}: {places:?}"
                );
            }
        }
    }
}
