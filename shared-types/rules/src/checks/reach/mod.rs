//! Reach: can it get in? Nothing else is worth money before this.

mod openings;

use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check, WayPart};

/// Hold points that name the way in.
const REACH: &[HoldPoint] = &[HoldPoint::Order, HoldPoint::Dig, HoldPoint::Deliver];

/// The checks of this area.
pub const CHECKS: &[Check] = &[Check::new("roll.openings", Area::Reach, openings::openings)
    .stopper()
    .way(WayPart::Rolled)
    .geometry()
    .holds(REACH)];
