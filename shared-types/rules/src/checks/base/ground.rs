//! `base.ground`: the ground carries the pressure.

use setdown_types::quantity::Dimension;
use setdown_types::spa::Bearing;
use setdown_types::subject::Subject;

use super::load::{CONCRETE, contact_area, filled, show_parts};
use super::placing::{Kind, kind_of};
use crate::frame::context::Context;
use crate::frame::item::{Draft, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::{STANDARD_GRAVITY, bearing};
use crate::tables::ibc_1806::{self, SoilClass};
use crate::tables::{Source, Status};

/// The pressure under the base is at most the presumptive bearing of the soil's class. Fill, peat and mud have none: a
/// report by somebody licensed says. Under a slab the load is spread at 45° through its thickness, from the bearing pattern,
/// no further than round the unit nor than the slab, and the slab's own weight is added; a slab that must spread it
/// further does so by a licensed person's word. Rock and pads are given no spreading. Source: IBC Table 1806.2; 45° is
/// common practice, no source.
pub fn ground(context: &Context<'_>) {
    context.caution("caution.base_ground");
    context.cite(ibc_1806::BEARING_PSF.source);
    let Some(kind) = kind_of(context) else {
        return context.item(Subject::SITE).wait();
    };
    if kind == Kind::Deck {
        return context
            .item(Subject::SITE)
            .not_needed("base.ground.carried_by_structure");
    }
    let item = context.item(Subject::SITE);
    let soil = context.choice(Subject::SITE, "base.soil");
    let reported = context.optionally(|| {
        // A figure counts as reported only with the name of whoever reported it.
        let figure = context.measure(Subject::SITE, "base.reported_bearing");
        context
            .attestation(Subject::SITE, "attest.base_ground")
            .and(figure)
    });
    let total = filled(context);
    let slab = kind.is_slab().then(|| slab(context));
    let Some(total) = total else {
        return item.wait();
    };
    let limit = match (reported, soil) {
        (Some(reported), _) => {
            context.cite(Source::published("soil report", "", "", Status::AsReported));
            reported
        }
        (None, None) => return item.wait(),
        (None, Some(soil)) => match presumptive(&soil) {
            Some(limit) => Num::exact(limit),
            None => {
                context.cite(ibc_1806::NO_BEARING);
                return item.open("base.ground.no_bearing");
            }
        },
    };
    match slab {
        Some(None) => item.wait(),
        Some(Some(slab)) => on_slab(context, item, &total, &slab, &limit),
        None => match under_unit(context, &total) {
            Some(pressure) => judge(
                context,
                item,
                "base.ground.unit",
                (&total, &pressure, &limit),
            ),
            None => item.open("base.load.bearing_not_on_sheet"),
        },
    }
}

/// The whole slab is what the ground has at most: less than its pressure cannot be had, and short there is short. Within
/// the spread through its thickness the slab carries by itself; between the two somebody licensed decides.
fn on_slab(context: &Context<'_>, item: Draft<'_, '_>, total: &Num, slab: &Slab, limit: &Num) {
    context.cite(Source::published(
        "common practice, no source",
        "concrete 150 lb/ft³; load spread at 45° through the slab",
        "",
        Status::CommonPractice,
    ));
    match under_slab(total, &slab.area, slab) {
        Some(pressure) => judge(context, item, "base.ground.slab", (total, &pressure, limit)),
        None => item.open("frame.not_computable"),
    }
    let areas = [
        (
            "base.ground.pattern",
            pattern_area(context, &slab.thickness),
        ),
        (
            "base.ground.round_unit",
            Some(grown_unit(context, &slab.thickness)),
        ),
    ];
    for (what, area) in areas {
        let Some(area) = area else { continue };
        let item = context.item(Subject::SITE);
        match under_slab(total, &area, slab) {
            Some(pressure) if holds(context, &(limit - &pressure)) => {
                judge(context, item, what, (total, &pressure, limit));
            }
            Some(_) => item.open("base.ground.slab_must_spread"),
            None => item.open("base.load.bearing_not_on_sheet"),
        }
    }
}

fn holds(context: &Context<'_>, margin: &Num) -> bool {
    margin.value() >= context.spread(margin)
}

fn judge(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    what: &'static str,
    (total, pressure, limit): (&Num, &Num, &Num),
) {
    show_parts(context, &mut item, total);
    item.about("what", word(what));
    item.line(
        Line::new("base.ground.pressure")
            .with("what", word(what))
            .with("value", context.arg(pressure, Dimension::Pressure)),
    );
    let margin = limit - pressure;
    item.line(
        Line::new("base.ground.formula")
            .with("limit", context.arg(limit, Dimension::Pressure))
            .with("pressure", context.arg(pressure, Dimension::Pressure))
            .with("margin", context.arg(&margin, Dimension::Pressure)),
    );
    item.margin(&margin, Dimension::Pressure);
}

/// The area on the ground under the bearing pattern, each part grown by the slab's thickness on every side; `None` where
/// the pattern is the whole underside, which is judged anyway.
fn pattern_area(context: &Context<'_>, thickness: &Num) -> Option<Num> {
    let size = context.spa().bare;
    let grown = |side: f64| thickness * 2.0 + side;
    match &context.spa().bearing {
        Bearing::Full => None,
        Bearing::Skids { count, width } => {
            Some(grown(width.metres()) * grown(size.length.metres()) * f64::from(*count))
        }
        Bearing::Feet { count, area } => {
            let side = grown(libm::sqrt(area.si().max(0.0)));
            Some(&side * &side * f64::from(*count))
        }
    }
}

/// The area on the ground under the whole unit, grown by the slab's thickness on every side.
fn grown_unit(context: &Context<'_>, thickness: &Num) -> Num {
    let size = context.spa().bare;
    let grown = |side: f64| thickness * 2.0 + side;
    grown(size.length.metres()) * grown(size.width.metres())
}

/// The presumptive bearing in pascals of the soil class with this key.
fn presumptive(soil: &str) -> Option<f64> {
    let class = match soil {
        "crystalline_bedrock" => SoilClass::CrystallineBedrock,
        "sedimentary_rock" => SoilClass::SedimentaryRock,
        "gravel" => SoilClass::Gravel,
        "sand" => SoilClass::Sand,
        "clay" => SoilClass::Clay,
        "organic" => SoilClass::Organic,
        _ => SoilClass::UnpreparedFill,
    };
    ibc_1806::presumptive_bearing(class)
}

struct Slab {
    area: Num,
    thickness: Num,
}

/// The slab's measures, each asked for.
fn slab(context: &Context<'_>) -> Option<Slab> {
    let length = context.measure(Subject::SITE, "base.length");
    let width = context.measure(Subject::SITE, "base.width");
    let thickness = context.measure(Subject::SITE, "base.thickness");
    Some(Slab {
        area: length? * width?,
        thickness: thickness?,
    })
}

fn under_slab(total: &Num, area: &Num, slab: &Slab) -> Option<Num> {
    let graded = bearing::pressure_under_slab(
        total.value(),
        area.value(),
        slab.thickness.value(),
        CONCRETE,
    )?;
    let [by_load, by_area, by_thickness, _] = graded.gradient;
    Some(Num::combine(
        graded.value,
        &[
            (total, by_load),
            (area, by_area),
            (&slab.thickness, by_thickness),
        ],
    ))
}

fn under_unit(context: &Context<'_>, total: &Num) -> Option<Num> {
    let force = total * STANDARD_GRAVITY;
    let graded = bearing::pressure(force.value(), contact_area(context))?;
    let [by_force, _] = graded.gradient;
    Some(Num::combine(graded.value, &[(&force, by_force)]))
}

/// Shared with the tests: the number the page prints for a class, for comparison.
#[cfg(test)]
pub(super) fn presumptive_psf(soil: &str) -> Option<f64> {
    presumptive(soil).map(|pascals| pascals / crate::tables::units::POUND_PER_SQUARE_FOOT)
}
