//! The office: its screens at a desk, and the server functions that they call.
//!
//! `messages` and `calls` compile on both sides, `backend` on the server, the screens in the browser.

#[cfg(feature = "ssr")]
pub mod backend;
pub mod calls;
pub mod messages;

#[cfg(feature = "client")]
mod sites;
#[cfg(feature = "client")]
pub use sites::Sites;
