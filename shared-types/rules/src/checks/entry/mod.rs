//! Entry: the steps up to the unit, and the guard where people stand high.

mod guard;
mod steps;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// Hold points that name the way up.
const ENTRY: &[HoldPoint] = &[HoldPoint::Dig, HoldPoint::FirstUse];

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("entry.steps", Area::Entry, steps::steps)
        .stopper()
        .holds(ENTRY)
        .owner(Party::Coordinator),
    Check::new("entry.guard", Area::Entry, guard::guard)
        .stopper()
        .holds(ENTRY)
        .owner(Party::Groundworks),
];
