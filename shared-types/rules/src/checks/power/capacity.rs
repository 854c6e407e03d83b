//! `power.capacity`: the house with the spa stays within the ratings of its service.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::loads::{self, Inventory, Part};
use super::{Chosen, setting};
use crate::frame::context::Context;
use crate::frame::item::{Draft, word};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::electric;
use crate::tables::nec;
use crate::tables::units::FOOT;

/// Volts between the legs of a split-phase service, nominal.
const LINE_VOLTS: f64 = 240.0;

/// The calculated load with the spa's nameplate maximum, in amperes at 240 V, against the main breaker and against the
/// service, each a finding of its own: a rating known badly is not hidden behind the other. By inventory (NEC 220.83(A))
/// or by recorded demand (220.87; 30 days are barred with solar or peak shaving).
pub fn capacity(context: &Context<'_>) {
    super::cautions(context);
    let mut item = context.item(Subject::SITE);
    let chosen = setting(context);
    let service = context.choice(Subject::SITE, "panel.service_kind");
    let fed = context.yes(Subject::SITE, "panel.fed_from_other");
    let main = context.measure(Subject::SITE, "panel.main_rating");
    let rated = context.measure(Subject::SITE, "panel.service_rating");
    let method = context.choice(Subject::SITE, "power.capacity_method");
    let spa = match chosen {
        Chosen::Setting(setting) => Some(setting.maximum_demand.si()),
        Chosen::NotYet => None,
        Chosen::NotOnSheet => return item.open("power.supply.not_on_sheet"),
    };
    let load = match method.as_deref() {
        Some("recorded_220_87") => recorded(context, &mut item, spa),
        Some(_) => by_inventory(context, &mut item, spa),
        None => Worked::Missing,
    };
    let load = match load {
        Worked::Load(load) => load,
        Worked::Missing => return item.wait(),
        Worked::Open(reason) => return item.open(reason),
    };
    let (Some(service), Some(fed), Some(main), Some(rated)) = (service, fed, main, rated) else {
        return item.wait();
    };
    if service != "split_phase" {
        return item.open("power.spaces.other_service");
    }
    if fed {
        return item.open("power.capacity.fed_from_other");
    }
    within(context, item, "power.capacity.main", &load, &main);
    let service = context.item(Subject::SITE);
    within(context, service, "power.capacity.service", &load, &rated);
}

/// The load against one rating.
fn within(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    what: &'static str,
    load: &Num,
    limit: &Num,
) {
    let amperes = load / LINE_VOLTS;
    let margin = limit - &amperes;
    item.about("what", word(what));
    item.line(
        Line::new("power.capacity.formula")
            .with("what", word(what))
            .with("load", context.arg(load, Dimension::Power))
            .with("amperes", context.arg(&amperes, Dimension::Current))
            .with("limit", context.arg(limit, Dimension::Current))
            .with("margin", context.arg(&margin, Dimension::Current)),
    );
    item.margin(&margin, Dimension::Current);
}

/// What a method came to.
enum Worked {
    /// VA in all.
    Load(Num),
    /// An answer is missing and on record.
    Missing,
    /// It cannot be used here.
    Open(&'static str),
}

fn by_inventory(context: &Context<'_>, item: &mut Draft<'_, '_>, spa: Option<f64>) -> Worked {
    context.cite(nec::LIGHTING_PER_SQUARE_FOOT.source);
    context.cite(nec::CIRCUIT_LOAD.source);
    context.lean_on(nec::EXISTING_IN_FULL.source);
    context.lean_on(nec::EXISTING_REDUCED.source);
    let ticked = context.choices(Subject::SITE, "power.appliances");
    let inventory = loads::inventory(context);
    let (Some(ticked), Some(inventory), Some(spa)) = (ticked, inventory, spa) else {
        return Worked::Missing;
    };
    let unlisted = loads::unlisted(&ticked, &inventory.loads);
    for kind in &unlisted {
        item.line(
            Line::new("power.capacity.unlisted")
                .with("kind", word(format!("choice.appliance.kind.{kind}"))),
        );
    }
    if !unlisted.is_empty() {
        return Worked::Open("power.capacity.not_listed");
    }
    let Ok(load) = electric::existing_same_climate(&inventory.dwelling(spa)) else {
        return Worked::Open("frame.not_computable");
    };
    loads::show_steps(item, &load.steps);
    Worked::Load(with_readings(&inventory, spa, load.total))
}

/// The total with its derivative by each reading: 1 below the part counted in full, the reduced factor above it.
fn with_readings(inventory: &Inventory, spa: f64, total: f64) -> Num {
    let per_area = nec::LIGHTING_PER_SQUARE_FOOT.value / (FOOT * FOOT);
    let heating = inventory.heating_counts();
    let counts = |kind: &str| match loads::part(kind) {
        Part::Heating => heating,
        Part::Cooling => !heating,
        _ => true,
    };
    let circuits = f64::from(inventory.small) + f64::from(inventory.laundry);
    let mut sum = inventory.area.value() * per_area + circuits * nec::CIRCUIT_LOAD.value + spa;
    let mut parts: Vec<(&Num, f64)> = vec![(&inventory.area, per_area)];
    for load in inventory.loads.iter().filter(|load| counts(&load.kind)) {
        sum += load.rating.value();
        parts.push((&load.rating, 1.0));
    }
    let factor = if sum > nec::EXISTING_IN_FULL.value {
        nec::EXISTING_REDUCED.value
    } else {
        1.0
    };
    for part in &mut parts {
        part.1 *= factor;
    }
    Num::combine(total, &parts)
}

fn recorded(context: &Context<'_>, item: &mut Draft<'_, '_>, spa: Option<f64>) -> Worked {
    context.cite(nec::RECORDING_DAYS.source);
    context.lean_on(nec::RECORDED_DEMAND_FACTOR.source);
    let period = context.choice(Subject::SITE, "power.recording_period");
    let demand = context.measure(Subject::SITE, "power.recorded_demand");
    let shaved = match period.as_deref() {
        Some("thirty_days") => context.yes(Subject::SITE, "power.solar_or_shaving"),
        _ => Some(false),
    };
    let (Some(period), Some(demand), Some(shaved), Some(spa)) = (period, demand, shaved, spa)
    else {
        return Worked::Missing;
    };
    item.line(
        Line::new("power.capacity.recording")
            .with(
                "period",
                word(format!("choice.power.recording_period.{period}")),
            )
            .with("days", Arg::Count(i64::from(nec::RECORDING_DAYS.value))),
    );
    if period == "shorter" {
        return Worked::Open("power.capacity.recording_too_short");
    }
    if shaved {
        return Worked::Open("power.capacity.recording_barred");
    }
    let Ok(load) = electric::recorded_demand(demand.value(), spa) else {
        return Worked::Open("frame.not_computable");
    };
    loads::show_steps(item, &load.steps);
    Worked::Load(Num::combine(
        load.total,
        &[(&demand, nec::RECORDED_DEMAND_FACTOR.value)],
    ))
}
