//! `roll.headroom`: the unit passes under what hangs over the way, pitched up where it climbs, and its belly clears
//! the crests.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::listed::overheads;
use super::load::{self, Rolling, about};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::roll;
use crate::tables::Source;

/// Degrees in a radian.
const DEGREES_PER_RADIAN: f64 = 180.0 / core::f64::consts::PI;

/// Per thing overhead: its height, less height of the load and carriage, less what pitching adds (up to L·sinθ), less
/// the head room. Per crest: the belly's clearance, less how far the crest reaches up between the wheels.
pub fn headroom(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.cite(Source::derived("pitch L·sinθ; crest B/2·tan(φ/2)"));
    context.caution("caution.rolling");
    let load = load::rolling(context);
    let high = load.height + context.limit("carriage_height");
    let room = context.limit("head_room");
    for thing in overheads(context) {
        under(context, thing, &load, high, room);
    }
    for leg in context.subjects(SubjectKind::Leg) {
        crest(context, leg);
        curb(context, leg);
    }
    if load.on_edge {
        laying_down(context, &load, room);
    }
}

fn under(context: &Context<'_>, thing: Subject, load: &Rolling, high: f64, room: f64) {
    let mut item = context.item(thing);
    about(&mut item, "roll.headroom.of_overhead");
    let kind = context.choice(thing, "overhead.kind");
    if kind.as_deref() == Some("line") {
        context.caution("caution.power_lines");
        // A line is no branch: how near anything may come, its owner says. Without that word this is open.
        if let Some(word) = context.attestation(thing, "overhead.utility_word") {
            item.line(
                Line::new("roll.headroom.line_settled").with("person", Arg::Text(word.person)),
            );
        } else {
            let ask = Line::new("roll.headroom.ask_utility").with("line", Arg::Subject(thing));
            context.action(Party::Office, ask, 30.0);
        }
    }
    let height = context.measure(thing, "overhead.height");
    let pitch = pitch(context, thing, load.length);
    let (Some(height), Some(pitch)) = (height, pitch) else {
        return item.wait();
    };
    let margin = &height - &pitch - high - room;
    item.line(
        Line::new("roll.headroom.formula")
            .with("height", context.arg(&height, Dimension::Length))
            .with("load", quantity(Dimension::Length, high))
            .with("pitch", context.arg(&pitch, Dimension::Length))
            .with("room", quantity(Dimension::Length, room))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// What pitching over a curb or ramp near by adds to the height.
fn pitch(context: &Context<'_>, thing: Subject, length: f64) -> Option<Num> {
    if !context.yes(thing, "overhead.near_ramp")? {
        return Some(Num::exact(0.0));
    }
    let slope = context.measure(thing, "overhead.ramp_slope")?;
    let rise = roll::pitch_rise(length, slope.value())?;
    let [_, by_slope] = rise.gradient;
    Some(slope.chain(rise.value, by_slope))
}

/// A crest that somebody found on the leg.
fn crest(context: &Context<'_>, leg: Subject) {
    let mut item = context.item(leg);
    about(&mut item, "roll.headroom.of_belly");
    match context.yes(leg, "leg.crest") {
        None => return item.wait(),
        Some(false) => return item.not_needed("roll.headroom.no_crest"),
        Some(true) => {}
    }
    let change = context.measure(leg, "leg.crest_change");
    belly(context, item, change);
}

/// The ramp at a curb makes a crest at its top and a dip at its foot, whether or not anybody calls it one.
fn curb(context: &Context<'_>, leg: Subject) {
    let mut item = context.item(leg);
    about(&mut item, "roll.headroom.of_curb");
    match context.yes(leg, "leg.curb") {
        None => return item.wait(),
        Some(false) => return item.not_needed("roll.headroom.no_curb"),
        Some(true) => {}
    }
    let height = context.measure(leg, "leg.curb_height");
    let ramp = context.measure(leg, "leg.ramp_length");
    let (Some(height), Some(ramp)) = (height, ramp) else {
        return item.wait();
    };
    if ramp.value() <= 0.0 {
        return item.open("frame.not_computable");
    }
    let change = (height / ramp).atan();
    let change = change.chain(change.value() * DEGREES_PER_RADIAN, DEGREES_PER_RADIAN);
    belly(context, item, Some(change));
}

/// The belly's clearance, less how far a crest of this change of grade reaches up between the wheels.
fn belly(context: &Context<'_>, mut item: Draft<'_, '_>, change: Option<Num>) {
    let wheelbase = context.limit("carriage_wheelbase");
    let belly = context.limit("carriage_belly");
    let Some(change) = change else {
        return item.wait();
    };
    let Some(rise) = roll::crest_rise(wheelbase, change.value()) else {
        return item.open("frame.not_computable");
    };
    let [_, by_change] = rise.gradient;
    let rise = change.chain(rise.value, by_change);
    let margin = belly - &rise;
    item.line(
        Line::new("roll.headroom.crest_formula")
            .with("belly", quantity(Dimension::Length, belly))
            .with("wheelbase", quantity(Dimension::Length, wheelbase))
            .with("change", context.arg(&change, Dimension::Angle))
            .with("rise", context.arg(&rise, Dimension::Length))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

/// Laying it down from its edge sweeps the diagonal.
fn laying_down(context: &Context<'_>, load: &Rolling, room: f64) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.headroom.of_laying_down");
    match context.yes(Subject::SITE, "way.laying_down_open_sky") {
        None => return item.wait(),
        Some(true) => return item.holds(true, "roll.headroom.open_sky"),
        Some(false) => {}
    }
    let Some(height) = context.measure(Subject::SITE, "way.laying_down_height") else {
        return item.wait();
    };
    let diagonal = libm::sqrt(load.width * load.width + load.height * load.height);
    let margin = &height - diagonal - room;
    item.line(
        Line::new("roll.headroom.diagonal_formula")
            .with("height", context.arg(&height, Dimension::Length))
            .with("diagonal", quantity(Dimension::Length, diagonal))
            .with("room", quantity(Dimension::Length, room))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}
