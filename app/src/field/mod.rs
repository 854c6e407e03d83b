//! The coordinator's screens: a phone in a yard, often with no signal.
//!
//! [`on_site`] reads a site and keeps its assessment; [`frame`] is what stands around every screen (where I am, what is
//! only on this phone, undo); the rest is one file per screen.

pub(crate) mod address;
mod ask;
mod ask_bar;
mod ask_context;
mod ask_live;
mod check;
mod disagreements;
mod frame;
mod history;
mod leaving;
mod notes;
mod on_site;
mod overview;
mod plan;
mod settings;
mod sites;
mod slots;
mod tasks;
mod things;
mod unfinished;
mod walk;
mod way;

pub use ask::Ask;
pub use check::{CheckPage, Checks};
pub use disagreements::Disagreements;
pub(crate) use frame::{FieldFrame, with_device};
pub use history::History;
pub use notes::Notes;
pub(crate) use on_site::{Assessed, OnSite, SiteState};
pub use overview::Overview;
pub use plan::PlanPage;
pub use settings::Settings;
pub use sites::Sites;
pub use tasks::Tasks;
pub(crate) use unfinished::Unfinished;
pub use walk::Walk;
pub(crate) use walk::{station_key, station_name};
pub use way::WayPage;
