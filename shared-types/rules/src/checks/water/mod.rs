//! Water: how long it takes to fill the unit, and where the water goes when it is emptied.

mod empty;
mod fill;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("water.fill", Area::Water, fill::fill)
        .holds(&[HoldPoint::Fill])
        .owner(Party::Homeowner),
    Check::new("water.empty", Area::Water, empty::empty)
        .holds(&[HoldPoint::Dig, HoldPoint::Fill])
        .owner(Party::Homeowner),
];
