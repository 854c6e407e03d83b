//! `power.supply`: what the unit asks for is stated, and a run that is there already serves it.

use setdown_types::quantity::Dimension;
use setdown_types::spa::{SupplyCircuit, SupplySetting};
use setdown_types::subject::Subject;

use super::{Chosen, setting};
use crate::checks::spot;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// States circuits, volts, conductors and breakers at the chosen setting. A run that is to be used again must have as
/// many conductors as the circuit asks, and be good for its current: an old 3-wire run does not serve a 4-wire unit, nor
/// one of 30 A a circuit of 50 A. Source: spec sheet; common
/// practice, no source, for one circuit of 50 to 60 A, or two and 90 to 110 A in all for a two-zone unit.
pub fn supply(context: &Context<'_>) {
    context.cite(spot::spec_sheet("supply"));
    context.cite(Source::common_practice());
    super::cautions(context);
    let mut item = context.item(Subject::SITE);
    let setting = match setting(context) {
        Chosen::Setting(setting) => setting,
        Chosen::NotYet => return item.wait(),
        Chosen::NotOnSheet => return item.open("power.supply.not_on_sheet"),
    };
    if setting.circuits.is_empty() {
        return item.open("power.supply.not_on_sheet");
    }
    item.line(
        Line::new("power.supply.setting")
            .with("setting", Arg::Text(setting.name.clone()))
            .with(
                "demand",
                quantity(Dimension::Power, setting.maximum_demand.si()),
            ),
    );
    for circuit in &setting.circuits {
        item.line(
            Line::new("power.supply.circuit")
                .with("volts", quantity(Dimension::Voltage, circuit.voltage.si()))
                .with(
                    "breaker",
                    quantity(Dimension::Current, circuit.breaker.si()),
                )
                .with("conductors", Arg::Count(i64::from(circuit.conductors))),
        );
    }
    item.holds(true, "power.supply.stated");
    existing_run(context, setting);
}

fn existing_run(context: &Context<'_>, setting: &SupplySetting) {
    let mut item = context.item(Subject::SITE);
    match context.yes(Subject::SITE, "power.existing_run") {
        None => return item.wait(),
        Some(false) => return item.not_needed("power.supply.new_run"),
        Some(true) => {}
    }
    let circuits = setting.circuits.iter();
    let needed = circuits
        .map(|circuit| circuit.conductors)
        .max()
        .unwrap_or(0);
    let Some(there) = context.count(Subject::SITE, "power.existing_conductors") else {
        return item.wait();
    };
    item.line(
        Line::new("power.supply.conductors")
            .with("there", Arg::Count(i64::from(there)))
            .with("needed", Arg::Count(i64::from(needed))),
    );
    if setting.circuits.len() > 1 {
        return item.holds(false, "power.supply.one_run_for_several");
    }
    let reason = if there >= needed {
        "power.supply.run_serves"
    } else {
        "power.supply.run_lacks_conductors"
    };
    item.holds(there >= needed, reason);
    for circuit in &setting.circuits {
        run_rating(context, circuit);
    }
}

/// What the run's wires and breaker are good for, as the electrician says, against the breaker the unit asks for.
fn run_rating(context: &Context<'_>, circuit: &SupplyCircuit) {
    let mut item = context.item(Subject::SITE);
    let Some(rating) = context.measure(Subject::SITE, "power.existing_rating") else {
        return item.wait();
    };
    let asked = circuit.breaker.si();
    let margin = &rating - asked;
    item.line(
        Line::new("power.supply.rating")
            .with("rating", context.arg(&rating, Dimension::Current))
            .with("asked", quantity(Dimension::Current, asked))
            .with("margin", context.arg(&margin, Dimension::Current)),
    );
    item.margin(&margin, Dimension::Current);
}
