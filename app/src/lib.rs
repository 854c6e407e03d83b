//! The screens of Setdown and the constant page that carries them.
//!
//! The server renders one HTML document ([`shell`]), the same bytes for every route, and the browser mounts the whole
//! app into it ([`mount`]). So a phone needs exactly one cached document to open any screen with no server in reach.
//!
//! Features: `ssr` inside the server; inside the browser `field` (phones: the coordinator and the homeowner, everything
//! works offline) or `desk` (the office), each a bundle of its own on what `client` gates. Modules without a feature
//! gate compile under all. The content policy forbids `style="..."` attributes: write `style:width=...`, which goes
//! through the style object and is allowed.

pub mod device;
pub mod parts;
pub mod routes;
#[cfg(feature = "ssr")]
pub mod shell;
pub mod words;

#[cfg(feature = "client")]
mod app;
#[cfg(feature = "field")]
pub mod field;
#[cfg(feature = "field")]
pub mod homeowner;
pub mod office;
#[cfg(feature = "client")]
pub mod sign_in;
#[cfg(feature = "client")]
mod update;

#[cfg(feature = "client")]
pub use app::{App, mount, use_route_parameters};
