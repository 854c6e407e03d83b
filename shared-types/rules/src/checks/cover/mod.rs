//! Cover: how it is handled day by day, and what keeps a child from the water.

mod barrier;
mod kind;
mod safety;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("cover.kind", Area::Cover, kind::kind)
        .holds(&[HoldPoint::Order, HoldPoint::Dig])
        .owner(Party::Coordinator),
    Check::new("cover.safety", Area::Cover, safety::safety)
        .stopper()
        .licensed()
        .holds(&[HoldPoint::Dig, HoldPoint::Fill, HoldPoint::FirstUse])
        .owner(Party::Office),
];
