//! The motion solver against answers from outside it.

mod corners;
mod laws;
mod random;
mod scenes;
mod turning;
