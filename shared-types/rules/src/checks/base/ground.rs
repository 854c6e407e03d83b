//! `base.ground`: the ground carries the pressure.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::load::{CONCRETE, contact_area, filled, show_parts};
use super::placing::{Kind, kind_of};
use crate::frame::context::Context;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::{STANDARD_GRAVITY, bearing};
use crate::tables::ibc_1806::{self, SoilClass};
use crate::tables::{Source, Status};

/// The pressure under the base is at most the presumptive bearing of the soil's class. Fill, peat and mud have none: a
/// report by somebody licensed says. Under a slab the load is spread over the slab and its own weight is added; rock and
/// pads are given no spreading, so the unit's bearing pattern counts. Source: IBC Table 1806.2.
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
    let mut item = context.item(Subject::SITE);
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
    show_parts(context, &mut item, &total);
    let pressure = match slab {
        Some(None) => return item.wait(),
        Some(Some(slab)) => under_slab(&total, &slab),
        None => under_unit(context, &total),
    };
    let Some(pressure) = pressure else {
        return item.open("base.load.bearing_not_on_sheet");
    };
    item.shows("base.ground.pressure", &pressure, Dimension::Pressure);
    let limit = match (reported, soil) {
        (Some(reported), _) => {
            context.cite(Source::published("soil report", "", "", Status::Read));
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
    let margin = &limit - &pressure;
    item.line(
        Line::new("base.ground.formula")
            .with("limit", context.arg(&limit, Dimension::Pressure))
            .with("pressure", context.arg(&pressure, Dimension::Pressure))
            .with("margin", context.arg(&margin, Dimension::Pressure)),
    );
    item.margin(&margin, Dimension::Pressure);
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

fn under_slab(total: &Num, slab: &Slab) -> Option<Num> {
    let graded = bearing::pressure_under_slab(
        total.value(),
        slab.area.value(),
        slab.thickness.value(),
        CONCRETE,
    )?;
    let [by_load, by_area, by_thickness, _] = graded.gradient;
    Some(Num::combine(
        graded.value,
        &[
            (total, by_load),
            (&slab.area, by_area),
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
