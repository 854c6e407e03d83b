//! `lift.stand`: the ground carries the outriggers, level, with nothing hollow or open near them.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::super::load::{about, hoisted};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::{STANDARD_GRAVITY, bearing, crane as crane_maths};
use crate::tables::ibc_1806::{self, SoilClass};
use crate::tables::{crane, osha_1926};

/// Bearing of the ground less the pressure under the worst outrigger's pad; level; nothing buried, no cut and no wall
/// within the zone the load spreads into.
pub fn stand(context: &Context<'_>) {
    context.cite(osha_1926::CRANE_GROUND);
    context.caution("caution.lifting");
    context.caution("caution.crane_ground");
    pressure(context);
    fact(
        context,
        "lift.stand_level",
        true,
        ["lift.stand.level", "lift.stand.not_level"],
    );
    fact(
        context,
        "lift.buried_near",
        false,
        ["lift.stand.nothing_buried", "lift.stand.buried"],
    );
    fact(
        context,
        "lift.cut_near",
        false,
        ["lift.stand.no_cut", "lift.stand.cut"],
    );
}

/// A fact that must be as `wanted`; the reasons for either case.
fn fact(context: &Context<'_>, question: &str, wanted: bool, [good, bad]: [&'static str; 2]) {
    let item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, question) {
        None => item.wait(),
        Some(answer) if answer == wanted => item.holds(true, good),
        Some(_) => item.holds(false, bad),
    }
}

fn pressure(context: &Context<'_>) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "lift.stand.of_ground");
    let reaction = context.optionally(|| context.measure(Subject::SITE, "lift.maker_reaction"));
    let force = match reaction {
        Some(reaction) => Some(reaction),
        None => share_of_all(context, &mut item),
    };
    let pad = context.measure(Subject::SITE, "lift.pad_area");
    let bearing_pressure = ground_bearing(context);
    let (Some(force), Some(pad)) = (force, pad) else {
        return item.wait();
    };
    let Some(pressure) = bearing::pressure(force.value(), pad.value()) else {
        return item.open("frame.not_computable");
    };
    let [by_force, by_area] = pressure.gradient;
    let pressure = Num::combine(pressure.value, &[(&force, by_force), (&pad, by_area)]);
    let shown = context.arg(&pressure, Dimension::Pressure);
    item.line(
        Line::new("lift.stand.pressure")
            .with("force", context.arg(&force, Dimension::Force))
            .with("area", context.arg(&pad, Dimension::Area))
            .with("pressure", shown.clone()),
    );
    match bearing_pressure {
        Ground::Missing => item.wait(),
        Ground::NeedsReport => item.open("lift.stand.needs_report"),
        Ground::Carries(allowed) => {
            let mut margins = Vec::new();
            for allowed in &allowed {
                let margin = allowed - &pressure;
                item.line(
                    Line::new("lift.stand.formula")
                        .with("allowed", context.arg(allowed, Dimension::Pressure))
                        .with("pressure", shown.clone())
                        .with("margin", context.arg(&margin, Dimension::Pressure)),
                );
                margins.push(margin);
            }
            item.margins(&margins, Dimension::Pressure);
        }
    }
}

/// Until the maker's figure is given: a remembered share of crane, rigging and load on one outrigger.
fn share_of_all(context: &Context<'_>, item: &mut Draft<'_, '_>) -> Option<Num> {
    let machine = context.measure(Subject::SITE, "lift.crane_weight");
    let hoisted = hoisted(context, item);
    let share = context.limit("outrigger_share");
    context.cite(crane::OUTRIGGER_SHARE_QUEENSLAND.source);
    let (machine, hoisted) = (machine?, hoisted?);
    let newtons = |mass: &Num| mass.value() * STANDARD_GRAVITY;
    let worst = crane_maths::outrigger_load(
        newtons(&machine),
        newtons(&hoisted.rigging),
        newtons(&hoisted.load),
        share,
    )?;
    let [by_crane, by_rigging, by_load, _] = worst.gradient.map(|part| part * STANDARD_GRAVITY);
    let force = Num::combine(
        worst.value,
        &[
            (&machine, by_crane),
            (&hoisted.rigging, by_rigging),
            (&hoisted.load, by_load),
        ],
    );
    let beside = if share > 0.0 {
        worst.value / share * crane::OUTRIGGER_SHARE_QUEENSLAND.value
    } else {
        0.0
    };
    item.line(
        Line::new("lift.stand.share")
            .with("share", quantity(Dimension::Slope, share))
            .with("crane", context.arg(&machine, Dimension::Mass))
            .with("force", context.arg(&force, Dimension::Force))
            .with(
                "other_share",
                quantity(Dimension::Slope, crane::OUTRIGGER_SHARE_QUEENSLAND.value),
            )
            .with("beside", quantity(Dimension::Force, beside)),
    );
    Some(force)
}

/// What the ground may be counted on for.
enum Ground {
    /// Not answered.
    Missing,
    /// The code gives nothing for it, and there is no report.
    NeedsReport,
    /// Bearing pressures, of which the worst counts.
    Carries(Vec<Num>),
}

/// A report goes before the code's table, with the name of whoever answers for it; without one it can only make things
/// worse. Mud, peat and fill have no bearing without a report.
fn ground_bearing(context: &Context<'_>) -> Ground {
    let report = context.optionally(|| context.measure(Subject::SITE, "lift.reported_bearing"));
    let word = context.optionally(|| context.attestation(Subject::SITE, "attest.lift_stand"));
    if let (Some(report), Some(_)) = (&report, word) {
        return Ground::Carries(vec![report.clone()]);
    }
    let Some(soil) = context.choice(Subject::SITE, "lift.soil") else {
        return Ground::Missing;
    };
    match soil_class(&soil).and_then(ibc_1806::presumptive_bearing) {
        Some(allowed) => {
            context.lean_on(ibc_1806::BEARING_PSF.source);
            let allowed = Some(Num::exact(allowed));
            Ground::Carries([allowed, report].into_iter().flatten().collect())
        }
        None => {
            context.cite(ibc_1806::NO_BEARING);
            // Now the report is what is missing.
            context.measure(Subject::SITE, "lift.reported_bearing");
            Ground::NeedsReport
        }
    }
}

fn soil_class(key: &str) -> Option<SoilClass> {
    Some(match key {
        "crystalline_bedrock" => SoilClass::CrystallineBedrock,
        "sedimentary_rock" => SoilClass::SedimentaryRock,
        "gravel" => SoilClass::Gravel,
        "sand" => SoilClass::Sand,
        "clay" => SoilClass::Clay,
        "organic" => SoilClass::Organic,
        "unprepared_fill" => SoilClass::UnpreparedFill,
        _ => return None,
    })
}
