//! Power: has the panel room and capacity, and is everything near the water where it may be?

mod bonding;
mod capacity;
mod disconnect;
mod gfci;
mod loads;
mod receptacle;
mod spaces;
mod supply;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;
use setdown_types::spa::SupplySetting;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// Hold points that name the panel.
const PANEL: &[HoldPoint] = &[HoldPoint::Order];
/// Hold points that name what goes into the ground or stands near the water.
const PLACES: &[HoldPoint] = &[HoldPoint::Dig, HoldPoint::CloseIn];
/// Hold points that name the ground-fault protection.
const PROTECTION: &[HoldPoint] = &[HoldPoint::CloseIn, HoldPoint::Start];
/// Hold points that name the bonding decision.
const BONDING: &[HoldPoint] = &[HoldPoint::Dig, HoldPoint::CloseIn, HoldPoint::FirstUse];
/// Hold points that name the receptacle.
const RECEPTACLE: &[HoldPoint] = &[HoldPoint::Start];

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("power.supply", Area::Power, supply::supply)
        .stopper()
        .holds(PANEL)
        .owner(Party::Electrician),
    Check::new("power.spaces", Area::Power, spaces::spaces)
        .stopper()
        .holds(PANEL)
        .owner(Party::Electrician),
    Check::new("power.capacity", Area::Power, capacity::capacity)
        .stopper()
        .licensed()
        .holds(PANEL)
        .owner(Party::Electrician),
    Check::new("power.disconnect", Area::Power, disconnect::disconnect)
        .stopper()
        .licensed()
        .holds(PLACES)
        .owner(Party::Electrician),
    Check::new("power.gfci", Area::Power, gfci::gfci)
        .stopper()
        .licensed()
        .holds(PROTECTION)
        .owner(Party::Electrician),
    Check::new("power.bonding", Area::Power, bonding::bonding)
        .stopper()
        .licensed()
        .holds(BONDING)
        .owner(Party::Electrician),
    Check::new("power.receptacle", Area::Power, receptacle::receptacle)
        .holds(RECEPTACLE)
        .owner(Party::Electrician),
];

/// The cautions that stand beside every check of the supply.
fn cautions(context: &Context<'_>) {
    context.caution("caution.power_planning");
    context.caution("caution.power_inner_cover");
}

/// What the sheet says of the setting the unit will run at.
enum Chosen<'a> {
    /// The setting.
    Setting(&'a SupplySetting),
    /// Not chosen yet; the question is on record.
    NotYet,
    /// The sheet has no setting of that number, or none at all.
    NotOnSheet,
}

/// The setting by its number on the sheet, counted from 1. A sheet with a single setting needs no choice.
fn setting<'a>(context: &Context<'a>) -> Chosen<'a> {
    let settings = &context.spa().supply;
    match settings.as_slice() {
        [] => Chosen::NotOnSheet,
        [only] => Chosen::Setting(only),
        several => {
            let Some(number) = context.count(Subject::SITE, "power.setting") else {
                return Chosen::NotYet;
            };
            let index = number.checked_sub(1).and_then(|n| usize::try_from(n).ok());
            match index.and_then(|index| several.get(index)) {
                Some(setting) => Chosen::Setting(setting),
                None => Chosen::NotOnSheet,
            }
        }
    }
}
