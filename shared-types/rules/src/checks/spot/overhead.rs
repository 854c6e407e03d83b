//! `spot.overhead`: wires over and near the water are far enough from it.

use setdown_types::entry::Method;
use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::tables::{Row, nec};

/// A kind of wire: what it is called, what is asked about it, and the distance it needs.
struct Kind {
    key: &'static str,
    height: &'static str,
    across: &'static str,
    limit: Row<f64>,
}

const KINDS: [Kind; 4] = [
    Kind {
        key: "grounded_messenger",
        height: "spot.overhead_height_grounded_messenger",
        across: "spot.overhead_across_grounded_messenger",
        limit: nec::OVERHEAD_BUNDLED,
    },
    Kind {
        key: "communications",
        height: "spot.overhead_height_communications",
        across: "spot.overhead_across_communications",
        limit: nec::OVERHEAD_COMMUNICATIONS,
    },
    Kind {
        key: "other",
        height: "spot.overhead_height_other",
        across: "spot.overhead_across_other",
        limit: nec::OVERHEAD_OTHER,
    },
    Kind {
        key: "over_15_kilovolt",
        height: "spot.overhead_height_over_15_kilovolt",
        across: "spot.overhead_across_over_15_kilovolt",
        limit: nec::OVERHEAD_OVER_15_KILOVOLT,
    },
];

/// For each kind of wire there is, a finding of its own: a telephone wire hanging lower says nothing of the power wire
/// above it. The height of the lowest and the distance sideways of the nearest of its kind, taken together, are no better
/// than any one wire of it. Source: NEC 680.9; other kinds by Table 680.9(A), from memory.
pub fn overhead(context: &Context<'_>) {
    context.caution("caution.spot_wires");
    context.cite(nec::OVERHEAD_ZONE.source);
    let item = context.item(Subject::SITE);
    let Some(present) = context.yes(Subject::SITE, "spot.overhead_lines") else {
        return item.wait();
    };
    if !present {
        return item.holds(true, "spot.overhead.none");
    }
    let Some(there) = context.choices(Subject::SITE, "spot.overhead_kinds") else {
        return item.wait();
    };
    let known = |kind: &&Kind| there.iter().any(|key| key == kind.key);
    if KINDS.iter().filter(known).count() != there.len() || there.is_empty() {
        return item.open("spot.overhead.say_which");
    }
    item.holds(true, "spot.overhead.kinds_said");
    for kind in KINDS.iter().filter(known) {
        of_kind(context, kind);
    }
}

/// The distance from the water, in any direction, less what the kind needs; or the distance sideways, less the zone's
/// 10 ft: one of both must hold. For communications wires the height counts. The rim is taken as the water's edge,
/// which is the nearer.
fn of_kind(context: &Context<'_>, kind: &Kind) {
    let mut item = context.item(Subject::SITE);
    item.about(
        "kind",
        word(format!("choice.spot.overhead_kinds.{}", kind.key)),
    );
    let height = context.measure(Subject::SITE, kind.height);
    let across = context.measure(Subject::SITE, kind.across);
    let (Some(height), Some(across)) = (height, across) else {
        return item.wait();
    };
    context.lean_on(kind.limit.source);
    let rise = &height - context.spa().rim_height.metres();
    let distance = if kind.key == "communications" {
        rise.clone()
    } else {
        (&rise * &rise + &across * &across).sqrt()
    };
    let outside = &across - nec::OVERHEAD_ZONE.value;
    let enough = &distance - kind.limit.value;
    show(context, &mut item, kind, (&rise, &across, &distance));
    let holds = |margin: &Num| margin.value() >= context.spread(margin);
    if holds(&outside) {
        item.margin(&outside, Dimension::Length);
    } else if holds(&enough) && guessed(context, kind.height) {
        item.tight(Line::new("spot.overhead.height_guessed"));
    } else if holds(&enough) {
        item.margin(&enough, Dimension::Length);
    } else {
        item.margin(&enough.max(outside), Dimension::Length);
    }
}

/// Nobody tells the height of a wire by eye or by hearsay: the utility or an instrument on the ground says.
fn guessed(context: &Context<'_>, question: &str) -> bool {
    !matches!(
        context.method(Subject::SITE, question),
        Some(Method::Laser | Method::Instrument | Method::Level | Method::Document)
    )
}

fn show(
    context: &Context<'_>,
    item: &mut Draft<'_, '_>,
    kind: &Kind,
    (rise, across, distance): (&Num, &Num, &Num),
) {
    let outside = across - nec::OVERHEAD_ZONE.value;
    item.line(
        Line::new("spot.overhead.formula")
            .with("rise", context.arg(rise, Dimension::Length))
            .with("across", context.arg(across, Dimension::Length))
            .with("distance", context.arg(distance, Dimension::Length))
            .with("needed", quantity(Dimension::Length, kind.limit.value)),
    );
    item.line(
        Line::new("spot.overhead.zone")
            .with("across", context.arg(across, Dimension::Length))
            .with(
                "zone",
                quantity(Dimension::Length, nec::OVERHEAD_ZONE.value),
            )
            .with("margin", context.arg(&outside, Dimension::Length)),
    );
}
