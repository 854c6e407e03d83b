//! The Setdown server: the web door, and (as they arrive) the store, sync, people and photos behind it.

pub mod survey;
pub mod web;
