//! The motion solver against answers from outside it.

mod scenes;
mod turning;
