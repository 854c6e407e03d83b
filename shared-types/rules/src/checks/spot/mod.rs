//! Spot: does it stand right? Room round it, the way it faces, what is over it, what the ground does.

mod cover;
mod entry;
mod facing;
mod fits;
mod glazing;
mod handed;
mod overhead;
mod service;
#[cfg(test)]
mod tests;
mod water;

use setdown_types::party::Party;
use setdown_types::spa::{CoverKind, Side};

use crate::frame::context::Context;
use crate::frame::item::word;
use crate::frame::result::{Arg, HoldPoint};
use crate::frame::spec::{Area, Check};

/// Hold points that name the spot.
const SPOT: &[HoldPoint] = &[HoldPoint::Order, HoldPoint::Dig];

/// The checks of this area.
pub const CHECKS: &[Check] = &[
    Check::new("spot.fits", Area::Spot, fits::fits)
        .stopper()
        .geometry()
        .holds(SPOT)
        .owner(Party::Homeowner),
    Check::new("spot.service", Area::Spot, service::service)
        .stopper()
        .geometry()
        .holds(SPOT)
        .owner(Party::Coordinator),
    Check::new("spot.handed", Area::Spot, handed::handed)
        .stopper()
        .holds(SPOT)
        .owner(Party::Office),
    Check::new("spot.entry", Area::Spot, entry::entry)
        .geometry()
        .holds(SPOT)
        .owner(Party::Coordinator),
    Check::new("spot.cover", Area::Spot, cover::cover)
        .geometry()
        .holds(SPOT)
        .owner(Party::Coordinator),
    Check::new("spot.overhead", Area::Spot, overhead::overhead)
        .stopper()
        .licensed()
        .holds(SPOT)
        .owner(Party::Electrician),
    Check::new("spot.glazing", Area::Spot, glazing::glazing)
        .stopper()
        .licensed()
        .holds(SPOT)
        .owner(Party::Coordinator),
    Check::new("spot.water", Area::Spot, water::water)
        .holds(SPOT)
        .owner(Party::Groundworks),
];

/// The question for the clear distance before a side.
pub(super) const fn clear_question(side: Side) -> &'static str {
    match side {
        Side::Foot => "spot.clear_foot",
        Side::Head => "spot.clear_head",
        Side::Left => "spot.clear_left",
        Side::Right => "spot.clear_right",
    }
}

/// A side as an argument of a message.
pub(super) fn side_word(side: Side) -> Arg {
    word(format!("side.{}", side.key()))
}

/// The depth a side needs before it, metres: the sheet's or the practice sheet's for a side with equipment, the
/// practice sheet's side clearance for the others. The flag says whether there is equipment behind it.
pub(super) fn depth_needed(context: &Context<'_>, side: Side) -> (f64, bool) {
    let served = context
        .spa()
        .service
        .iter()
        .find(|known| known.side == side);
    match served {
        Some(known) => {
            let depth = match known.depth {
                Some(depth) => depth.metres(),
                None => context.limit("service_depth"),
            };
            (depth, true)
        }
        None => (context.limit("side_clearance"), false),
    }
}

/// What a spec sheet says, as a source.
pub(super) const fn spec_sheet(section: &'static str) -> crate::tables::Source {
    crate::tables::Source::published(
        "spec sheet of the unit",
        section,
        "",
        crate::tables::Status::Read,
    )
}

/// The key a kind of cover has in the question `cover.kind`.
pub(super) const fn cover_key(kind: CoverKind) -> &'static str {
    match kind {
        CoverKind::Sectional => "sectional",
        CoverKind::Rolled => "rolled",
        CoverKind::LiftingRoof => "lifting_roof",
    }
}
