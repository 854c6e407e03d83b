//! `lift.rigging`: the unit hangs as its maker says, and nothing in the rigging carries more than it may.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::spa::{LiftMethod, Lifting};
use setdown_types::subject::Subject;

use super::super::load::{about, hoisted};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::sling::{self, Steepness};
use crate::maths::{Graded, STANDARD_GRAVITY};
use crate::tables::{Source, osha_1926, slings};

/// Facts that must be so, each with the reasons for yes and for no.
const FACTS: &[(&str, &str, &str)] = &[
    (
        "lift.at_makers_points",
        "lift.rigging.at_points",
        "lift.rigging.not_at_points",
    ),
    (
        "lift.edge_protection",
        "lift.rigging.edges",
        "lift.rigging.no_edges",
    ),
    (
        "lift.straps_come_out",
        "lift.rigging.straps_out",
        "lift.rigging.straps_stuck",
    ),
    (
        "lift.spreader_marked",
        "lift.rigging.spreader_marked",
        "lift.rigging.spreader_not_marked",
    ),
];

/// Straps under the frame at the maker's points, or the maker's eyes; hung plumb from a spreader wider than the unit;
/// shares by moments; the bridle above at 45° or steeper, below 30° refused.
pub fn rigging(context: &Context<'_>) {
    context.cite(Source::derived(
        "T = V/sinα, squeeze V/tanα, shares by moments",
    ));
    context.cite(slings::FOUR_LEGS_COUNT_AS.source);
    context.cite(osha_1926::CUSTOM_ACCESSORY_PROOF.source);
    context.caution("caution.lifting");
    for &(question, good, bad) in FACTS {
        let item = context.item(Subject::SITE);
        match context.yes(Subject::SITE, question) {
            None => item.wait(),
            Some(true) => item.holds(true, good),
            Some(false) => item.holds(false, bad),
        }
    }
    method(context);
    let load = load(context);
    let load = load.as_ref();
    let hung = context.choice(Subject::SITE, "lift.hung");
    match hung.as_deref() {
        None => context.item(Subject::SITE).wait(),
        Some("plumb") => spreader(context),
        Some(_) => {
            steep_enough(context, "lift.strap_angle", "lift.rigging.of_strap_angle");
            squeeze(context, load);
        }
    }
    straps(context, load, hung.as_deref() == Some("sloping"));
    steep_enough(context, "lift.bridle_angle", "lift.rigging.of_angle");
    bridle(context, load);
}

/// What hangs below the spreader, kilograms.
fn load(context: &Context<'_>) -> Option<Num> {
    let mut item = context.item(Subject::SITE);
    let load = hoisted(context, &mut item).map(|hoisted| hoisted.load);
    if load.is_some() {
        item.holds(true, "lift.load.known");
    } else {
        item.wait();
    }
    load
}

fn method(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let uses = context.choice(Subject::SITE, "lift.uses");
    let Some(uses) = uses else {
        return item.wait();
    };
    let Some(lifting) = &context.spa().lifting else {
        return no_sheet(context, item);
    };
    match (uses.as_str(), lifting.method) {
        ("makers_eyes", LiftMethod::MakersEyes)
        | ("straps_under_frame", LiftMethod::StrapsUnderFrame) => {
            item.holds(true, "lift.rigging.as_maker_says");
        }
        ("makers_eyes", _) => item.holds(false, "lift.rigging.eyes_not_for_lifting"),
        _ => item.holds(false, "lift.rigging.not_as_maker_says"),
    }
}

/// The spa sheet says nothing about lifting: ask the maker.
fn no_sheet(context: &Context<'_>, item: Draft<'_, '_>) {
    context.action(Party::Office, Line::new("lift.rigging.ask_maker"), 20.0);
    item.open("lift.rigging.no_lifting_sheet");
}

/// Straps hang plumb only from a spreader at least as wide as the unit.
fn spreader(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.rigging.of_spreader");
    let spreader = context.measure(Subject::SITE, "lift.spreader_width");
    let width = context.spa().shipping.width.metres();
    let Some(spreader) = spreader else {
        return item.wait();
    };
    let margin = &spreader - width;
    item.line(
        Line::new("lift.rigging.spreader_formula")
            .with("spreader", context.arg(&spreader, Dimension::Length))
            .with("width", quantity(Dimension::Length, width)),
    );
    item.margin(&margin, Dimension::Length);
}

/// How the load hangs on its points.
struct Shares {
    /// Weight of the load below the hook rigging, kilograms.
    load: Num,
    /// The greater of the two ends, as a part of the load.
    worse_end: f64,
    /// Where the centre of gravity lies along the points and across the unit, 0 to 1.
    along: f64,
    across: f64,
}

/// By moments, or why not: the key of a reason.
fn shares(context: &Context<'_>, load: Option<&Num>) -> Result<Shares, &'static str> {
    let lifting = context.spa().lifting.as_ref();
    let lifting = lifting.ok_or("lift.rigging.no_lifting_sheet")?;
    let (along, span) = along(context, lifting)?;
    let ends = sling::two_point_shares(1.0, span, along * span);
    let [first, second] = ends.ok_or("lift.rigging.outside_points")?;
    let centre = context.spa().centre_of_gravity;
    let width = context.spa().bare.width.metres();
    let off = centre.map_or(0.0, |centre| centre.off_centre.metres());
    let across = if width > 0.0 { 0.5 + off / width } else { 0.5 };
    if !(0.0..=1.0).contains(&across) {
        return Err("lift.rigging.outside_points");
    }
    Ok(Shares {
        load: load.cloned().ok_or("frame.missing")?,
        worse_end: first.value.max(second.value),
        along,
        across,
    })
}

/// Where the centre of gravity lies between the outermost lift points, as a part of their span, and the span.
fn along(context: &Context<'_>, lifting: &Lifting) -> Result<(f64, f64), &'static str> {
    let points = lifting.points.iter().map(|point| point.metres());
    let first = points.clone().reduce(f64::min);
    let last = points.reduce(f64::max);
    let (Some(first), Some(last)) = (first, last) else {
        return Err("lift.rigging.no_lift_points");
    };
    let centre = context.spa().centre_of_gravity;
    let centre = centre.ok_or("lift.rigging.no_centre_of_gravity")?;
    let span = last - first;
    let from_first = centre.from_service_end.metres() - first;
    if span <= 0.0 {
        return Err("lift.rigging.no_lift_points");
    }
    if !(0.0..=span).contains(&from_first) {
        return Err("lift.rigging.outside_points");
    }
    Ok((from_first / span, span))
}

/// Ends a finding for want of shares: a centre of gravity outside the points is short, the rest is open.
fn without_shares(context: &Context<'_>, item: Draft<'_, '_>, reason: &'static str) {
    match reason {
        "lift.rigging.outside_points" => item.holds(false, reason),
        "frame.missing" => item.wait(),
        _ => {
            context.action(Party::Office, Line::new("lift.rigging.ask_maker"), 20.0);
            item.open(reason);
        }
    }
}

/// A force worked out from the mass: `force` gives it in newtons per newton of load.
fn newtons(load: &Num, per_weight: f64) -> Num {
    load.chain(
        load.value() * STANDARD_GRAVITY * per_weight,
        STANDARD_GRAVITY * per_weight,
    )
}

/// Squeeze on the rim where the straps are not plumb, against the maker's limit.
fn squeeze(context: &Context<'_>, load: Option<&Num>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.rigging.of_squeeze");
    let angle = context.measure(Subject::SITE, "lift.strap_angle");
    let shares = match shares(context, load) {
        Ok(shares) => shares,
        Err(reason) => return without_shares(context, item, reason),
    };
    let Some(angle) = angle else {
        return item.wait();
    };
    // One strap at each end, two rims: of the worse end the heavier side carries its part by moments, at least half.
    let heavier = shares.across.max(1.0 - shares.across);
    let side = newtons(&shares.load, heavier * shares.worse_end);
    let Some(squeeze) = sling::rim_squeeze(side.value(), angle.value()) else {
        return item.holds(false, "lift.rigging.refused_angle");
    };
    let squeeze = graded(&squeeze, &side, &angle);
    item.line(
        Line::new("lift.rigging.squeeze_formula")
            .with("share", context.arg(&side, Dimension::Force))
            .with("angle", context.arg(&angle, Dimension::Angle))
            .with("squeeze", context.arg(&squeeze, Dimension::Force)),
    );
    let limit = context
        .spa()
        .lifting
        .as_ref()
        .and_then(|lifting| lifting.rim_squeeze_limit);
    match limit {
        Some(limit) => item.margin(&(limit.si() - squeeze), Dimension::Force),
        None => {
            context.action(Party::Office, Line::new("lift.rigging.ask_maker"), 20.0);
            item.open("lift.rigging.no_squeeze_limit");
        }
    }
}

fn graded(result: &Graded<2>, share: &Num, angle: &Num) -> Num {
    let [by_share, by_angle] = result.gradient;
    Num::combine(result.value, &[(share, by_share), (angle, by_angle)])
}

/// Each strap against its rating, as the maker of the strap rates it for this hitch. Sloping straps carry V/sinα.
fn straps(context: &Context<'_>, load: Option<&Num>, sloping: bool) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.rigging.of_straps");
    let rated = context.measure(Subject::SITE, "lift.strap_rated");
    let angle = if sloping {
        context.measure(Subject::SITE, "lift.strap_angle")
    } else {
        Some(Num::exact(90.0))
    };
    let shares = match shares(context, load) {
        Ok(shares) => shares,
        Err(reason) => return without_shares(context, item, reason),
    };
    let (Some(rated), Some(angle)) = (rated, angle) else {
        return item.wait();
    };
    let share = newtons(&shares.load, shares.worse_end);
    let Some(tension) = sling::tension_for_share(share.value(), angle.value()) else {
        return item.holds(false, "lift.rigging.refused_angle");
    };
    let tension = graded(&tension, &share, &angle);
    rated_against(
        context,
        item,
        "lift.rigging.strap_formula",
        &rated,
        &share,
        &angle,
        &tension,
    );
}

/// The angle of a bridle or of sloping straps from the horizontal.
fn steep_enough(context: &Context<'_>, question: &str, what: &'static str) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, what);
    context.cite(slings::PREFERRED_ANGLE.source);
    let Some(angle) = context.measure(Subject::SITE, question) else {
        return item.wait();
    };
    let spread = context.spread(&angle);
    item.line(
        Line::new("lift.rigging.angle")
            .with("angle", context.arg(&angle, Dimension::Angle))
            .with(
                "preferred",
                quantity(Dimension::Angle, slings::PREFERRED_ANGLE.value),
            )
            .with(
                "least",
                quantity(Dimension::Angle, slings::LEAST_ANGLE.value),
            ),
    );
    match sling::steepness(angle.value() - spread) {
        Steepness::Good => item.holds(true, "lift.rigging.steep_enough"),
        _ if sling::steepness(angle.value()) == Steepness::Refused => {
            item.holds(false, "lift.rigging.refused_angle");
        }
        _ => item.tight(Line::new("lift.rigging.flat")),
    }
}

/// Tension in the worst bridle leg against its rating.
fn bridle(context: &Context<'_>, load: Option<&Num>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.rigging.of_bridle");
    let legs = context.count(Subject::SITE, "lift.bridle_legs");
    let angle = context.measure(Subject::SITE, "lift.bridle_angle");
    let rated = context.measure(Subject::SITE, "lift.bridle_leg_rated");
    let spreader = context.measure(Subject::SITE, "lift.spreader_weight");
    let shares = match shares(context, load) {
        Ok(shares) => shares,
        Err(reason) => return without_shares(context, item, reason),
    };
    let (Some(legs), Some(angle), Some(rated), Some(spreader)) = (legs, angle, rated, spreader)
    else {
        return item.wait();
    };
    let Some(part) = leg_part(legs, &shares) else {
        return item.open("lift.rigging.no_legs");
    };
    // The bridle carries the spreader too.
    let share = newtons(&(&shares.load + &spreader), part);
    let Some(tension) = sling::tension_for_share(share.value(), angle.value()) else {
        return item.holds(false, "lift.rigging.refused_angle");
    };
    let tension = graded(&tension, &share, &angle);
    item.line(
        Line::new("lift.rigging.legs_counted")
            .with("legs", Arg::Count(i64::from(legs)))
            .with("counted", Arg::Count(i64::from(sling::legs_counted(legs)))),
    );
    rated_against(
        context,
        item,
        "lift.rigging.bridle_formula",
        &rated,
        &share,
        &angle,
        &tension,
    );
}

/// The greatest part of the load that one of so many legs can come to carry. Two legs: by moments along the unit.
/// Three and four on a rigid load: two of them may take nearly all.
fn leg_part(legs: u32, shares: &Shares) -> Option<f64> {
    match legs {
        0 => None,
        1 => Some(1.0),
        2 => Some(shares.worse_end),
        _ => {
            let worst = sling::worst_of_four_shares(1.0, shares.along, shares.across)?;
            Some(worst.max(1.0 / f64::from(sling::legs_counted(legs))))
        }
    }
}

/// Ends with the margin of a rating (a mass, as ratings are marked) over a tension.
fn rated_against(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    formula: &'static str,
    rated: &Num,
    share: &Num,
    angle: &Num,
    tension: &Num,
) {
    let rating = newtons(rated, 1.0);
    let margin = &rating - tension;
    item.line(
        Line::new(formula)
            .with("share", context.arg(share, Dimension::Force))
            .with("angle", context.arg(angle, Dimension::Angle))
            .with("tension", context.arg(tension, Dimension::Force))
            .with("rated", context.arg(&rating, Dimension::Force))
            .with("margin", context.arg(&margin, Dimension::Force)),
    );
    item.margin(&margin, Dimension::Force);
}
