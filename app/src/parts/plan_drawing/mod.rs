//! The yard drawn to scale: walls, things, tapes, the unit and its way in. Draws what the rules derived, computes none of
//! it: the pure modules turn a plan into strokes, `drawing` puts them on screen and moves the view.

pub mod clutter;
pub mod contact;
pub mod describe;
#[cfg(feature = "client")]
pub mod drawn;
pub mod extent;
pub mod frame;
pub mod labels;
pub mod layers;
pub mod marks;
pub mod sketch;
pub mod track;

#[cfg(feature = "client")]
mod drawing;
#[cfg(feature = "client")]
mod playback;
#[cfg(feature = "client")]
mod touch;

pub use contact::contacts;
pub use describe::{against, described, short_length};
#[cfg(feature = "client")]
pub use drawn::{length_text, sketch, tie_of};
pub use extent::Extent;
pub use frame::{Frame, Turn};
pub use sketch::{Ellipse, Sketch, SketchPoint, Tape, UnitMarks};
pub use track::{Sample, Track};

#[cfg(feature = "client")]
pub use drawing::PlanDrawing;
#[cfg(feature = "client")]
pub use playback::{Playback, Played};

#[cfg(test)]
mod tests;
