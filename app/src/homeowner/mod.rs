//! The homeowner's phone: opened by an invitation link, then a guided checklist that works offline.
//!
//! The questions themselves are the field's question screen, which asks a homeowner in plain words.

#[cfg(feature = "client")]
mod checklist;
#[cfg(feature = "client")]
mod opening;

#[cfg(feature = "client")]
pub use opening::Start;

/// The homeowner's start page; it exists in browsers only.
#[cfg(not(feature = "client"))]
#[leptos::component]
pub fn Start() -> impl leptos::IntoView {}
