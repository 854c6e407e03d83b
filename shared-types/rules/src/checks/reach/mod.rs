//! Reach: can it get in? Nothing else is worth money before this.

mod chosen;
mod crossfall;
mod effort;
mod headroom;
mod lift;
mod listed;
pub(crate) mod load;
mod openings;
mod pull;
mod rig;
mod surface;
mod turns;
mod way;

#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::context::Context;
use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check, WayPart};

/// Hold points that name the way in.
const REACH: &[HoldPoint] = &[HoldPoint::Order, HoldPoint::Dig, HoldPoint::Deliver];

/// A check of the way on dollies.
const fn rolled(key: &'static str, evaluate: fn(&Context<'_>)) -> Check {
    Check::new(key, Area::Reach, evaluate)
        .way(WayPart::Rolled)
        .holds(REACH)
}

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("way.chosen", Area::Reach, chosen::chosen)
        .stopper()
        .holds(REACH),
    rolled("roll.openings", openings::openings)
        .stopper()
        .geometry(),
    rolled("roll.headroom", headroom::headroom)
        .stopper()
        .geometry(),
    rolled("roll.turns", turns::turns).stopper().geometry(),
    rolled("roll.way", way::way).stopper().geometry().solved(),
    rolled("roll.pull", pull::pull)
        .stopper()
        .owner(Party::DeliveryCrew),
    rolled("roll.crossfall", crossfall::crossfall).owner(Party::DeliveryCrew),
    rolled("roll.surface", surface::surface).stopper(),
    Check::new("roll.rig", Area::Reach, rig::rig)
        .stopper()
        .holds(REACH),
    rolled("roll.effort", effort::effort),
    lift::LOAD,
    lift::CHART,
    lift::CLEAR,
    lift::LINES,
    lift::STAND,
    lift::RIGGING,
    lift::WIND,
    lift::PEOPLE,
];
