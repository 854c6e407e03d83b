//! The yard plan out of the ledger: reads points, tapes, legs, lines and things through the tracing reader and writes the
//! plan file of `tests/examples/route/README.md`, with a map from every name in it back to the question it came from.

use std::collections::BTreeMap;

use setdown_types::site::StreamKey;

use super::{Derived, read};
use crate::document::Complaint;
use crate::frame::assess::Input;
use crate::frame::context::Context;

/// The plan as it can be drawn from what is recorded.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawn {
    /// The plan file. While something is missing it holds what is there, as far as that can be drawn.
    pub document: String,
    /// Whether nothing is missing: only then does a check derive anything from it.
    pub complete: bool,
    /// What every name in the file and every source of error came from: points, readings, features.
    pub origins: BTreeMap<String, StreamKey>,
}

impl Drawn {
    /// The plan derived from the file.
    ///
    /// # Errors
    /// [`Complaint`] names what in the file does not go together.
    pub fn derive(&self) -> Result<Derived, Complaint> {
        read(&self.document)
    }

    /// What a name in the file, in the scene or in a finding came from; pieces of one wall and posts of one gate lead
    /// to the wall and the gate.
    pub fn origin(&self, name: &str) -> Option<&StreamKey> {
        let piece_of = |whole: &&String| {
            name.strip_prefix(whole.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
        };
        self.origins.get(name).or_else(|| {
            let longest = self
                .origins
                .keys()
                .filter(piece_of)
                .max_by_key(|whole| whole.len())?;
            self.origins.get(longest)
        })
    }
}

/// What the solver must work out for the check of the way in.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The name of the question: see [`crate::motion::scene_digest`].
    pub digest: String,
    /// The route file.
    pub scene_text: String,
    /// The largest difference between the bounds, inches.
    pub resolution: f64,
}

/// The plan of a site as a check reads it. `None`: no plan is begun.
pub fn drawn(_context: &Context<'_>) -> Option<Drawn> {
    None
}

/// The same without a check being run: for screens, files and the command line.
pub fn document(input: &Input<'_>) -> Option<Drawn> {
    drawn(&Context::new(input, CHECK))
}

/// What the solver must work out; `None` while the plan is incomplete, loose, mirrored or mistaped.
pub fn wanted(input: &Input<'_>) -> Option<Wanted> {
    document(input).and(None)
}

/// The check that reads the plan.
const CHECK: &str = "roll.way";
