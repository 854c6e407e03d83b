//! Base: what the unit stands on, whether the ground carries it, and whether it is level.

mod built;
mod design;
mod garage;
mod ground;
mod kind;
mod level;
mod load;
pub(super) mod placing;
mod size;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// Hold points that name what must be feasible before ordering.
const FEASIBLE: &[HoldPoint] = &[HoldPoint::Order, HoldPoint::Dig];
/// Hold points that name what must have been designed.
const DESIGNED: &[HoldPoint] = &[HoldPoint::Dig];
/// Hold points that name what must have been built.
const BUILT: &[HoldPoint] = &[HoldPoint::Deliver];
/// Hold points that name the finished surface.
const SURFACE: &[HoldPoint] = &[HoldPoint::Deliver, HoldPoint::Fill];

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("base.kind", Area::Base, kind::kind)
        .stopper()
        .holds(FEASIBLE)
        .owner(Party::Coordinator),
    Check::new("base.load", Area::Base, load::load)
        .holds(FEASIBLE)
        .owner(Party::Groundworks),
    Check::new("base.ground", Area::Base, ground::ground)
        .stopper()
        .licensed()
        .holds(FEASIBLE)
        .owner(Party::Groundworks),
    Check::new("base.size", Area::Base, size::size)
        .geometry()
        .holds(FEASIBLE)
        .owner(Party::Groundworks),
    Check::new("base.garage", Area::Base, garage::garage)
        .geometry()
        .holds(FEASIBLE)
        .owner(Party::Coordinator),
    Check::new("base.design", Area::Base, design::design)
        .stopper()
        .licensed()
        .holds(DESIGNED)
        .owner(Party::Groundworks),
    Check::new("base.cured", Area::Base, built::built)
        .stopper()
        .holds(BUILT)
        .owner(Party::Groundworks),
    Check::new("base.level", Area::Base, level::level)
        .stopper()
        .geometry()
        .holds(SURFACE)
        .owner(Party::Groundworks),
];
