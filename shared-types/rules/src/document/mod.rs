//! Hand-written JSON documents, read key by key so that whatever is wrong is named by its place in the file.
//!
//! What a tape network or a plan may hold is in `network::read` and `plan::read`; here is only how they are read:
//! unknown and repeated keys are errors, every number has its bounds, and size is limited before anything is built.

mod complaint;
mod node;
mod place;

pub use complaint::{Complaint, Problem};
pub use node::{MOST_BYTES, Node, parse};
pub use place::{Object, Place};

#[cfg(test)]
mod tests;
