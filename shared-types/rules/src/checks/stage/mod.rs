//! Stage: the hold points' own conditions, what must have been done and seen before each may start.

mod before_dig;
mod before_order;
mod deliver;
mod fill;
mod first_use;
mod start;
#[cfg(test)]
mod tests;

use setdown_types::party::Party;

use crate::frame::context::Context;
use crate::frame::result::HoldPoint;
use crate::frame::spec::{Area, Check};

const ORDER: &[HoldPoint] = &[HoldPoint::Order];
const DIG: &[HoldPoint] = &[HoldPoint::Dig];
const CLOSE_IN: &[HoldPoint] = &[HoldPoint::CloseIn];
const DELIVER: &[HoldPoint] = &[HoldPoint::Deliver];
const FILL: &[HoldPoint] = &[HoldPoint::Fill];
const START: &[HoldPoint] = &[HoldPoint::Start];
const FIRST_USE: &[HoldPoint] = &[HoldPoint::FirstUse];

const fn stage(
    key: &'static str,
    evaluate: fn(&Context<'_>),
    hold_points: &'static [HoldPoint],
    owner: Party,
) -> Check {
    Check::new(key, Area::Stage, evaluate)
        .stopper()
        .holds(hold_points)
        .owner(owner)
}

/// The checks of this area, in the order of the hold points.
pub const CHECKS: &[Check] = &[
    stage(
        "stage.way_paid",
        before_order::way_paid,
        ORDER,
        Party::Office,
    ),
    stage(
        "stage.permissions_known",
        before_order::permissions_known,
        ORDER,
        Party::Office,
    ),
    stage(
        "stage.stub_up",
        before_dig::stub_up,
        DIG,
        Party::Electrician,
    ),
    stage("stage.seen", before_dig::seen, CLOSE_IN, Party::Electrician),
    stage(
        "stage.inspected",
        before_dig::inspected,
        CLOSE_IN,
        Party::Groundworks,
    ),
    stage("stage.booked", deliver::booked, DELIVER, Party::Office),
    stage(
        "stage.way_again",
        deliver::way_again,
        DELIVER,
        Party::Coordinator,
    ),
    stage(
        "stage.what_changed",
        deliver::what_changed,
        DELIVER,
        Party::Homeowner,
    ),
    stage(
        "stage.arrival_sheet",
        deliver::arrival_sheet,
        DELIVER,
        Party::DeliveryCrew,
    ),
    stage(
        "stage.weather_rule",
        deliver::weather_rule,
        DELIVER,
        Party::DeliveryCrew,
    ),
    stage(
        "stage.set_level",
        fill::set_level,
        FILL,
        Party::DeliveryCrew,
    )
    .geometry(),
    stage("stage.power_off", fill::power_off, FILL, Party::Electrician),
    stage(
        "stage.barrier_there",
        fill::barrier_there,
        FILL,
        Party::Homeowner,
    ),
    stage("stage.frost", fill::frost, FILL, Party::Electrician),
    stage(
        "stage.energised",
        start::energised,
        START,
        Party::Electrician,
    ),
    stage(
        "stage.ground_fault",
        start::ground_fault,
        START,
        Party::Electrician,
    ),
    stage(
        "stage.entry_built",
        first_use::entry_built,
        FIRST_USE,
        Party::Groundworks,
    ),
    stage(
        "stage.cover_locks",
        first_use::cover_locks,
        FIRST_USE,
        Party::Homeowner,
    ),
    stage(
        "stage.hand_over",
        first_use::hand_over,
        FIRST_USE,
        Party::Coordinator,
    ),
];
