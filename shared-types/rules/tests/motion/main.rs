//! The motion solver against answers from outside it.

mod corners;
mod laws;
mod moves;
mod random;
mod scenes;
mod turning;
