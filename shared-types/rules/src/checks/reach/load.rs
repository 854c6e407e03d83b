//! The load as it travels: its attitude, size and weight, on wheels and on the hook.

use setdown_types::quantity::Dimension;
use setdown_types::spa::Attitude;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;

/// The unit as it rolls: metres, wrap and skid counted, carriage not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rolling {
    /// Along the way.
    pub length: f64,
    /// Across the way.
    pub width: f64,
    /// Upwards, without the carriage.
    pub height: f64,
    /// Whether it travels on its long side.
    pub on_edge: bool,
}

/// Size and attitude. Flat, unless the maker allows travelling on edge, it is chosen, and the carrier agrees; then
/// height and width change places.
pub(crate) fn rolling(context: &Context<'_>) -> Rolling {
    let size = context.spa().shipping;
    let on_edge = on_edge(context);
    let (width, height) = (size.width.metres(), size.height.metres());
    let (width, height) = if on_edge {
        (height, width)
    } else {
        (width, height)
    };
    Rolling {
        length: size.length.metres(),
        width,
        height,
        on_edge,
    }
}

fn on_edge(context: &Context<'_>) -> bool {
    if !context.spa().attitudes.contains(&Attitude::OnEdge) {
        return false;
    }
    let chosen = context.optionally(|| context.choice(Subject::SITE, "way.attitude"));
    chosen.as_deref() == Some("on_edge")
        && context.yes(Subject::SITE, "way.carrier_allows_edge") == Some(true)
}

/// Mass in kilograms of the skid or lifting frame: the spa sheet's, else the practice sheet's.
fn skid(context: &Context<'_>) -> f64 {
    let stated = context.spa().lifting.as_ref();
    match stated.and_then(|lifting| lifting.skid_weight) {
        Some(weight) => weight.si(),
        None => context.limit("skid_weight"),
    }
}

/// Mass in kilograms on the wheels: dry unit, water left in it, skid, carriage. The sum is shown.
pub(super) fn rolled_mass(context: &Context<'_>, item: &mut Draft<'_, '_>) -> f64 {
    let dry = context.spa().dry_weight.si();
    let (water, skid) = (context.limit("water_left"), skid(context));
    let carriage = context.limit("carriage_weight");
    let sum = dry + water + skid + carriage;
    item.line(
        Line::new("reach.rolled_weight")
            .with("dry", quantity(Dimension::Mass, dry))
            .with("water", quantity(Dimension::Mass, water))
            .with("skid", quantity(Dimension::Mass, skid))
            .with("carriage", quantity(Dimension::Mass, carriage))
            .with("weight", quantity(Dimension::Mass, sum)),
    );
    sum
}

/// What hangs on the boom, in kilograms.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hoisted {
    /// Unit, water left in it, skid, what else goes up, and the allowance for wind and jerk on these.
    pub load: Num,
    /// Block, spreader and slings.
    pub rigging: Num,
}

impl Hoisted {
    /// Everything that hangs.
    pub fn total(&self) -> Num {
        &self.load + &self.rigging
    }
}

/// Everything that hangs on the boom; `None` while a weight is missing. The sum is shown.
pub(super) fn hoisted(context: &Context<'_>, item: &mut Draft<'_, '_>) -> Option<Hoisted> {
    let site = Subject::SITE;
    let block = context.measure(site, "lift.block_weight");
    let spreader = context.measure(site, "lift.spreader_weight");
    let slings = context.measure(site, "lift.slings_weight");
    let extra = context.measure(site, "lift.extra_weight");
    let dry = context.spa().dry_weight.si();
    let (water, skid) = (context.limit("water_left"), skid(context));
    let share = context.limit("lift_load_allowance");
    let (block, spreader, slings, extra) = (block?, spreader?, slings?, extra?);
    let load = (&extra + (dry + water + skid)) * (1.0 + share);
    let rigging = &block + &spreader + &slings;
    let hoisted = Hoisted { load, rigging };
    let total = hoisted.total();
    let mass = |number: &Num| context.arg(number, Dimension::Mass);
    item.line(
        Line::new("reach.hoisted_load")
            .with("dry", quantity(Dimension::Mass, dry))
            .with("water", quantity(Dimension::Mass, water))
            .with("skid", quantity(Dimension::Mass, skid))
            .with("extra", mass(&extra))
            .with("allowance", quantity(Dimension::Slope, share))
            .with("load", mass(&hoisted.load)),
    );
    item.line(
        Line::new("reach.hoisted_total")
            .with("load", mass(&hoisted.load))
            .with("block", mass(&block))
            .with("spreader", mass(&spreader))
            .with("slings", mass(&slings))
            .with("total", mass(&total)),
    );
    Some(hoisted)
}

/// Names in the reason what a finding is about, where a check looks at several things of one subject.
pub(super) fn about(item: &mut Draft<'_, '_>, what: &'static str) {
    item.about("what", word(what));
}
