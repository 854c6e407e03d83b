//! The Setdown server: store, sync, people and photos, the web door before them, and the command line.

pub mod api;
pub mod archive;
pub mod cli;
pub mod clock;
pub mod demo;
pub mod error;
pub mod events;
pub mod follow_up;
pub mod office;
pub mod photo_location;
pub mod photo_store;
pub mod photo_traces;
pub mod secrets;
pub mod settings;
pub mod state;
pub mod store;
pub mod summary;
pub mod survey;
pub mod tidying;
pub mod ways;
pub mod web;
