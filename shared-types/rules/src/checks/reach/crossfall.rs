//! `roll.crossfall`: the carriage stays far from tipping sideways.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::listed::legs;
use super::load;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::maths::tip;
use crate::tables::{Source, Status};

/// Where the centre of gravity is taken to be while the sheet does not say: half way up. A guess.
const ASSUMED_CENTRE: Source = Source::published(
    "centre of gravity taken half way up, because the spa sheet gives none",
    "",
    "",
    Status::Memory,
);

/// Per leg: half the crossfall at which it would tip, less the crossfall; over 2 % it warns. On edge strictly 2 %, or
/// less where it would tip sooner.
pub fn crossfall(context: &Context<'_>) {
    context.cite(Source::derived("tipping crossfall (t/2 − e)/h"));
    context.cite(Source::common_practice());
    context.caution("caution.heavy_load_slope");
    let warn = context.limit("crossfall_warn");
    let on_edge = load::rolling(context).on_edge;
    let allowed = allowed(context, on_edge);
    let allowed = if on_edge { allowed.min(warn) } else { allowed };
    for leg in legs(context) {
        leg_item(context, leg, allowed, warn);
    }
}

/// The crossfall that may be used with the safety factor.
fn allowed(context: &Context<'_>, on_edge: bool) -> f64 {
    let track = context.limit("carriage_track");
    let under = context.limit("carriage_height");
    let size = context.spa().shipping;
    let (wide, high) = (0.5 * size.width.metres(), 0.5 * size.height.metres());
    let (offset, height) = match context.spa().centre_of_gravity {
        Some(centre) if on_edge => (
            centre.height.metres() - high,
            // Whichever of its long sides is down.
            wide + centre.off_centre.metres().abs(),
        ),
        Some(centre) => (centre.off_centre.metres(), centre.height.metres()),
        None => {
            context.lean_on(ASSUMED_CENTRE);
            (0.0, if on_edge { wide } else { high })
        }
    };
    let allowed = tip::allowed_slope(track, offset, height + under, tip::TIP_SAFETY);
    // A centre of gravity outside the wheels allows nothing at all.
    allowed.map_or(0.0, |slope| slope.value)
}

fn leg_item(context: &Context<'_>, leg: Subject, allowed: f64, warn: f64) {
    let mut item = context.item(leg);
    let crossfall = context.measure(leg, "leg.crossfall").map(|fall| fall.abs());
    let Some(crossfall) = crossfall else {
        return item.wait();
    };
    let margin = allowed - &crossfall;
    item.line(
        Line::new("roll.crossfall.formula")
            .with("allowed", quantity(Dimension::Slope, allowed))
            .with("crossfall", context.arg(&crossfall, Dimension::Slope))
            .with("safety", crate::frame::result::Arg::Number(tip::TIP_SAFETY))
            .with("margin", context.arg(&margin, Dimension::Slope)),
    );
    if crossfall.value() > warn {
        item.line(Line::new("roll.crossfall.warn").with("warn", quantity(Dimension::Slope, warn)));
    }
    item.margin(&margin, Dimension::Slope);
}
