//! `power.receptacle`: one protected receptacle stands at the right distance from the water.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::checks::base::placing::{Placing, of};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::Line;
use crate::tables::nec;

/// At least 6 ft and at most 20 ft (10 ft indoors) from the inside wall, with ground-fault protection. Source: NEC
/// 680.22(A), 680.43(A).
pub fn receptacle(context: &Context<'_>) {
    super::cautions(context);
    let placing = of(context);
    let farthest = if placing == Some(Placing::Indoors) {
        nec::RECEPTACLE_FARTHEST_INDOORS
    } else {
        nec::RECEPTACLE_FARTHEST
    };
    context.lean_on(nec::RECEPTACLE_NEAREST.source);
    context.lean_on(farthest.source);
    context.cite(nec::RECEPTACLE_PROTECTED_WITHIN.source);
    let distance = context.measure(Subject::SITE, "receptacle.from_water");
    let near = distance
        .as_ref()
        .map(|distance| distance - nec::RECEPTACLE_NEAREST.value);
    let far = distance.as_ref().map(|distance| farthest.value - distance);
    for (key, limit, margin) in [
        (
            "power.receptacle.nearest",
            nec::RECEPTACLE_NEAREST.value,
            near,
        ),
        ("power.receptacle.farthest", farthest.value, far),
    ] {
        let mut item = context.item(Subject::SITE);
        let (Some(distance), Some(margin)) = (&distance, margin) else {
            item.wait();
            continue;
        };
        item.about("what", word(format!("{key}.what")));
        item.line(
            Line::new(key)
                .with("distance", context.arg(distance, Dimension::Length))
                .with("limit", quantity(Dimension::Length, limit))
                .with("margin", context.arg(&margin, Dimension::Length)),
        );
        item.margin(&margin, Dimension::Length);
    }
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "receptacle.ground_fault") {
        Some(true) => item.holds(true, "power.receptacle.protected"),
        Some(false) => item.holds(false, "power.receptacle.not_protected"),
        None => item.wait(),
    }
}
