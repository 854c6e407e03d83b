//! The motion solver against answers from outside it.

mod corners;
mod laws;
mod moves;
mod random;
mod reader;
mod scenes;
mod turning;
