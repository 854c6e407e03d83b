//! Permission: permits, approvals, what is buried, agreements and certificates, each with its last day.

mod agreed;
mod certificates;
pub(super) mod digging;
mod permit;
#[cfg(test)]
mod tests;
mod utilities;

use setdown_types::party::Party;

use crate::frame::context::Context;
use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

/// Hold points that name what must be held before ground is broken or the unit comes.
const WORKS: &[HoldPoint] = &[HoldPoint::Dig, HoldPoint::Deliver];

const fn permission(key: &'static str, evaluate: fn(&Context<'_>)) -> Check {
    Check::new(key, Area::Permission, evaluate).stopper()
}

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    permission("permission.building", permit::building).holds(WORKS),
    permission("permission.electrical", permit::electrical)
        .holds(&[HoldPoint::Dig, HoldPoint::CloseIn])
        .owner(Party::Electrician),
    permission("permission.association", agreed::association)
        .holds(WORKS)
        .owner(Party::Homeowner),
    permission("permission.utilities", utilities::utilities)
        .holds(&[HoldPoint::Dig])
        .owner(Party::Groundworks),
    permission("permission.street", permit::street).holds(&[HoldPoint::Deliver]),
    permission("permission.hours", agreed::hours).holds(&[HoldPoint::Deliver]),
    permission("permission.neighbour", agreed::neighbour)
        .holds(&[HoldPoint::Deliver])
        .owner(Party::Homeowner),
    permission("permission.insurance", certificates::insurance).holds(&[HoldPoint::Deliver]),
];
