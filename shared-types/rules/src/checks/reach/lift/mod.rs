//! The way in by crane, boom truck or telehandler. Planning only: the licensed operator decides, and the operator's
//! chart, the utility and the maker's lifting sheet go before anything here.

mod chart;
mod clear;
mod lines;
mod load;
mod people;
mod rigging;
mod stand;
mod wind;

#[cfg(test)]
mod tests;

#[cfg(test)]
pub(super) use tests::lifted as settled_lift;

use setdown_types::party::Party;

use super::REACH;
use crate::frame::context::Context;
use crate::frame::spec::{Area, Check, WayPart};

/// A check of the lift: a stopper that the operator or another licensed person may attest.
const fn lifted(key: &'static str, evaluate: fn(&Context<'_>)) -> Check {
    Check::new(key, Area::Reach, evaluate)
        .way(WayPart::Lifted)
        .stopper()
        .licensed()
        .holds(REACH)
        .owner(Party::CraneOperator)
}

pub(super) const LOAD: Check = lifted("lift.load", load::load);
pub(super) const CHART: Check = lifted("lift.chart", chart::chart);
pub(super) const CLEAR: Check = lifted("lift.clear", clear::clear);
pub(super) const LINES: Check = lifted("lift.lines", lines::lines);
pub(super) const STAND: Check = lifted("lift.stand", stand::stand);
pub(super) const RIGGING: Check = lifted("lift.rigging", rigging::rigging);
pub(super) const WIND: Check = lifted("lift.wind", wind::wind);
pub(super) const PEOPLE: Check = lifted("lift.people", people::people);
