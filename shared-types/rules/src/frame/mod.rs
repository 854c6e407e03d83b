//! The frame that every check runs in: dual numbers, the tracing reader, results, the assessment.

mod answer;
pub mod assess;
pub mod chance;
pub mod context;
pub mod exchange;
pub mod item;
pub mod next;
pub mod number;
pub mod result;
pub mod score;
pub mod spec;
pub mod spread;
pub mod tasks;
#[cfg(test)]
pub mod testing;
#[cfg(test)]
mod tests;
pub mod walk;

pub use context::Context;
pub use item::Draft;
pub use number::Num;
pub use result::{Arg, CheckResult, HoldPoint, Key, Line, Outcome};
pub use spec::{Area, Check, WayPart};
