//! The screens of Setdown and the constant page that carries them.
//!
//! The server renders one HTML document ([`shell`]), the same bytes for every route, and the browser mounts the whole
//! app into it ([`mount`]). So a phone needs exactly one cached document to open any screen with no server in reach.
//!
//! Exactly one of two features is on: `ssr` inside the server, `client` inside the browser. Modules without a feature
//! gate compile under both. The content policy forbids `style="..."` attributes: write `style:width=...`, which goes
//! through the style object and is allowed.

pub mod device;
pub mod parts;
pub mod routes;
#[cfg(feature = "ssr")]
pub mod shell;
pub mod words;

#[cfg(feature = "client")]
mod app;
#[cfg(feature = "client")]
pub mod field;
#[cfg(feature = "client")]
pub mod homeowner;
pub mod office;
#[cfg(feature = "client")]
pub mod sign_in;
#[cfg(feature = "client")]
mod update;

#[cfg(feature = "client")]
pub use app::{App, mount, use_route_parameters};
