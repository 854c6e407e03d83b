//! The rules over many generated sites: questions all reachable and listed once; homeowner texts plain.

mod questions;
mod reading;
