//! The yard in plan view: walls, openings, things in the way, zones and heights, every coordinate tied to the readings
//! that it came from.
//!
//! A plan is derived, never drawn into being: from *legs* (the way in, walked with a tape: widths left and right of a
//! line, lengths, turns) or from a *tape network* ([`crate::network`]). Both give the same [`Plan`]. Lengths are
//! inches, headings degrees counter-clockwise from +x, heights inches above the ground that the unit rolls on, as in
//! the files; arguments of messages are SI. Nothing here searches a way: [`scene`] writes the file that the route
//! solver reads.

mod answer;
mod contact;
mod corridor;
mod derive;
mod features;
mod ground;
pub mod ledger;
mod legs;
mod model;
mod on_leg;
mod read;
mod ring;
mod scene;
mod strip;
mod traced;

pub use answer::{Answer, AnsweredOpening, answer};
pub use contact::{Margin, Pose, margin, margin_at, margin_at_stand};
pub use derive::{Derived, read};
pub use ground::{Grade, Ground, Stretch, Walked};
pub use model::{
    Barrier, BarrierKind, Eave, Heights, Level, Mark, Named, Obstacle, Opening, OverheadLine, Plan,
    Removal, Shape, Stand, Sweep, Unit, Zone, ZoneKind,
};
pub use ring::{RingFault, check_ring, lies_in};
pub use scene::{Scene, SceneObstacle, scene};
pub use traced::{Place, Source, Traced, distance};

/// The farthest a coordinate may lie from the origin, inches.
pub const FARTHEST: f64 = 63_360.0;
/// The most legs.
pub const MOST_LEGS: usize = 40;
/// The most features of one kind.
pub const MOST_FEATURES: usize = 300;
/// The most corners of one ring or line.
pub const MOST_CORNERS: usize = 200;
/// The most corners of a whole plan.
pub const MOST_CORNERS_IN_ALL: usize = 2_000;
/// How far up things go that have no top stated, inches: higher than anything that is rolled.
pub const SKY: f64 = 100_000.0;

#[cfg(test)]
mod tests;
