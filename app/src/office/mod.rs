//! The office: its screens at a desk, and the server functions that they call.
//!
//! `messages` and `calls` compile on both sides, `backend` on the server, the screens in the browser. No screen here
//! decides a check: what the rules say comes with the site.

#[cfg(feature = "ssr")]
pub mod backend;
pub mod calls;
pub mod messages;

#[cfg(feature = "client")]
mod answer_form;
#[cfg(feature = "client")]
mod checks_view;
#[cfg(feature = "client")]
mod contacts_view;
#[cfg(feature = "client")]
mod desk_entry;
#[cfg(feature = "client")]
mod entry_line;
#[cfg(feature = "client")]
mod frame;
#[cfg(feature = "client")]
mod history_view;
#[cfg(feature = "client")]
mod hold_points_view;
#[cfg(feature = "client")]
mod invitations_view;
#[cfg(feature = "client")]
mod live;
#[cfg(feature = "client")]
mod loaded;
#[cfg(feature = "client")]
mod marks;
#[cfg(feature = "client")]
mod new_site;
#[cfg(feature = "client")]
mod photos_view;
#[cfg(feature = "client")]
mod readings_view;
#[cfg(feature = "client")]
mod settle_form;
#[cfg(feature = "client")]
mod site_page;
#[cfg(feature = "client")]
mod sites;
#[cfg(feature = "client")]
mod tasks_view;

#[cfg(feature = "client")]
pub use new_site::NewSite;
#[cfg(feature = "client")]
pub use site_page::SitePage;
#[cfg(feature = "client")]
pub use sites::Sites;
