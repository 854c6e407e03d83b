//! The office: its screens at a desk, and the server functions that they call.
//!
//! `messages` and `calls` compile on both sides, `backend` on the server, the screens in the browser. No screen here
//! decides a check: what the rules say comes with the site.

#[cfg(feature = "ssr")]
pub mod backend;
pub mod calls;
pub mod messages;

#[cfg(feature = "desk")]
mod answer_form;
#[cfg(feature = "desk")]
mod checks_view;
#[cfg(feature = "desk")]
mod contacts_view;
#[cfg(feature = "desk")]
mod desk_entry;
#[cfg(feature = "desk")]
mod entry_line;
#[cfg(feature = "desk")]
mod frame;
#[cfg(feature = "desk")]
mod history_view;
#[cfg(feature = "desk")]
mod hold_points_view;
#[cfg(feature = "desk")]
mod invitations_view;
#[cfg(feature = "desk")]
mod live;
#[cfg(feature = "desk")]
mod loaded;
#[cfg(feature = "desk")]
mod marks;
#[cfg(feature = "desk")]
mod missing_sheets;
#[cfg(feature = "desk")]
mod new_site;
#[cfg(feature = "desk")]
mod other_sizes;
#[cfg(feature = "desk")]
mod photos_view;
#[cfg(feature = "desk")]
mod plan_view;
#[cfg(feature = "desk")]
mod readings_view;
#[cfg(feature = "desk")]
mod settle_form;
#[cfg(feature = "desk")]
mod site_page;
#[cfg(feature = "desk")]
mod sites;
#[cfg(feature = "desk")]
mod tasks_view;

#[cfg(feature = "desk")]
pub use new_site::NewSite;
#[cfg(feature = "desk")]
pub use site_page::SitePage;
#[cfg(feature = "desk")]
pub use sites::Sites;
