//! `roll.rig`: the truck that brings the unit reaches the unloading place and can unload there.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::load::about;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::Source;

/// Getting in and turning, height over the way, dips and crests, and the straight length to unload on.
pub fn rig(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.street");
    access(context);
    overhead(context);
    grade_break(context);
    unloading(context);
}

fn access(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    let access = context.choice(Subject::SITE, "street.rig_access");
    let gets_in = context.optionally(|| {
        for photo in ["street.photo_left", "street.photo_right"] {
            context.photo(Subject::SITE, photo);
        }
        context.yes(Subject::SITE, "street.truck_gets_in")
    });
    match gets_in {
        Some(true) => {
            item.line(Line::new("roll.rig.big_trucks_get_in"));
        }
        Some(false) => {
            item.line(Line::new("roll.rig.big_trucks_do_not"));
        }
        None => {}
    }
    match access.as_deref() {
        Some("too_tight") => item.holds(false, "roll.rig.too_tight"),
        Some(_) if gets_in == Some(false) => item.tight(Line::new("roll.rig.answers_differ")),
        Some(_) => item.holds(true, "roll.rig.reaches"),
        None => item.wait(),
    }
}

fn overhead(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.rig.of_height");
    match context.yes(Subject::SITE, "street.overhead_any") {
        None => return item.wait(),
        Some(false) => return item.holds(true, "roll.rig.nothing_overhead"),
        Some(true) => context.caution("caution.power_lines"),
    }
    let height = context.measure(Subject::SITE, "street.overhead_height");
    let needed = context.limit("rig_height");
    let Some(height) = height else {
        return item.wait();
    };
    let margin = &height - needed;
    item.line(
        Line::new("roll.rig.height_formula")
            .with("height", context.arg(&height, Dimension::Length))
            .with("rig", quantity(Dimension::Length, needed))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

fn grade_break(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    match context
        .choice(Subject::SITE, "street.grade_break")
        .as_deref()
    {
        None => item.wait(),
        Some("none") => item.holds(true, "roll.rig.no_grade_break"),
        Some("carrier_passes") => item.holds(true, "roll.rig.carrier_passes"),
        Some(_) => item.holds(false, "roll.rig.grounds"),
    }
}

/// The rig, and off a tilting trailer also the tilt, the unit and the run-out behind it. A crane or boom truck takes
/// the unit off without them.
fn unloading(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.rig.of_length");
    let place = context.measure(Subject::SITE, "street.unloading_length");
    let rig = context.limit("rig_length");
    let chain = context.chain();
    let lifted_off = chain
        .as_deref()
        .is_some_and(|chain| chain.starts_with("lifted") || chain == "carried");
    let behind = if lifted_off {
        0.0
    } else {
        context.limit("trailer_tilt")
            + context.spa().shipping.length.metres()
            + context.limit("unload_run_out")
    };
    let Some(place) = place else {
        return item.wait();
    };
    let margin = &place - rig - behind;
    item.line(
        Line::new("roll.rig.length_formula")
            .with("place", context.arg(&place, Dimension::Length))
            .with("rig", quantity(Dimension::Length, rig))
            .with("behind", quantity(Dimension::Length, behind))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
