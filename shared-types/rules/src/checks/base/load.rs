//! `base.load`: what the full unit weighs with people in it, and how hard it presses: the loads the designer is given.

use setdown_types::quantity::Dimension;
use setdown_types::spa::Bearing;
use setdown_types::subject::Subject;

use super::placing::{Kind, kind_of};
use crate::checks::spot;
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::{bearing, weight_of};
use crate::tables::units::{POUND, US_GALLON};
use crate::tables::{Source, water_density};

/// Density of concrete in kg/m³: 150 lb/ft³, common practice, no source.
pub const CONCRETE: f64 = 2_402.769_6;

/// The mass of the filled unit in kilograms, with people and what stands on it; `None` while a part is missing.
///
/// Water at 8.34 lb a gallon (published table of the density of water, 50 to 60 °F, the heavier end).
pub fn filled(context: &Context<'_>) -> Option<Num> {
    context.cite(spot::spec_sheet("weights"));
    context.cite(water_density::POUNDS_PER_GALLON.source);
    let person = context.limit("person_weight");
    let extra = context.measure(Subject::SITE, "base.extra_weight")?;
    let spa = context.spa();
    let people = f64::from(spa.people) * person;
    let density = water_density::POUNDS_PER_GALLON.value * POUND / US_GALLON;
    let graded = bearing::filled_mass(
        spa.dry_weight.si(),
        spa.water.si(),
        density,
        people,
        extra.value(),
    )?;
    let [.., by_extra] = graded.gradient;
    Some(Num::combine(graded.value, &[(&extra, by_extra)]))
}

/// The area in m² by which the unit rests on its base, by the sheet's bearing pattern.
pub fn contact_area(context: &Context<'_>) -> f64 {
    let size = context.spa().bare;
    match &context.spa().bearing {
        Bearing::Full => size.length.metres() * size.width.metres(),
        Bearing::Skids { count, width } => {
            f64::from(*count) * width.metres() * size.length.metres()
        }
        Bearing::Feet { count, area } => f64::from(*count) * area.si(),
    }
}

/// Shows the sum part by part.
pub fn show_parts(context: &Context<'_>, item: &mut Draft<'_, '_>, total: &Num) {
    let spa = context.spa();
    let people = f64::from(spa.people) * context.limit("person_weight");
    let water = spa.water.si() * water_density::POUNDS_PER_GALLON.value * POUND / US_GALLON;
    let rest = total - spa.dry_weight.si() - water - people;
    item.line(
        Line::new("base.load.sum")
            .with("dry", quantity(Dimension::Mass, spa.dry_weight.si()))
            .with("water", quantity(Dimension::Mass, water))
            .with("people", quantity(Dimension::Mass, people))
            .with("extra", context.arg(&rest, Dimension::Mass))
            .with("total", context.arg(total, Dimension::Mass)),
    );
}

/// States load and pressure; where the base's design names a load, the total must not exceed it.
pub fn load(context: &Context<'_>) {
    context.cite(Source::derived("sum of weights over bearing area"));
    context.caution("caution.base_structure");
    let design = context.optionally(|| context.measure(Subject::SITE, "base.design_load"));
    let mut item = context.item(Subject::SITE);
    let Some(total) = filled(context) else {
        return item.wait();
    };
    show_parts(context, &mut item, &total);
    let area = contact_area(context);
    let Some(pressure) = bearing::pressure(weight_of(total.value()), area) else {
        return item.open("base.load.bearing_not_on_sheet");
    };
    item.line(
        Line::new("base.load.pressure")
            .with("total", context.arg(&total, Dimension::Mass))
            .with("area", quantity(Dimension::Area, area))
            .with("pressure", quantity(Dimension::Pressure, pressure.value)),
    );
    let own = slab_weight(context);
    if let Some(own) = &own {
        item.line(Line::new("base.load.slab").with("weight", context.arg(own, Dimension::Mass)));
    }
    match design {
        Some(design) => {
            let margin = &design - &total;
            item.line(
                Line::new("base.load.design")
                    .with("design", context.arg(&design, Dimension::Mass))
                    .with("margin", context.arg(&margin, Dimension::Mass)),
            );
            item.margin(&margin, Dimension::Mass);
        }
        None => item.holds(true, "base.load.stated"),
    }
}

/// The weight of the slab itself, for showing; read as nice to have.
fn slab_weight(context: &Context<'_>) -> Option<Num> {
    context.optionally(|| {
        let slab = kind_of(context).is_some_and(Kind::is_slab);
        if !slab {
            return None;
        }
        let length = context.measure(Subject::SITE, "base.length")?;
        let width = context.measure(Subject::SITE, "base.width")?;
        let thickness = context.measure(Subject::SITE, "base.thickness")?;
        Some(length * width * thickness * CONCRETE)
    })
}
