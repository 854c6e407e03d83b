//! The motion solver against answers from outside it.

mod random;
mod scenes;
mod turning;
