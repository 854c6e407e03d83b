//! A plan derived from its document, and the last few of them kept: one key press asks several checks for the same one.

use std::sync::{Arc, Mutex};

use super::Wanted;
use crate::document::Complaint;
use crate::frame::result::Line;
use crate::plan::{Derived, Scene, read, scene};

/// How many plans are kept.
const KEPT: usize = 4;

/// Everything that follows from a document.
#[derive(Debug)]
pub(crate) struct Planned {
    /// The plan, or what is wrong with the document.
    pub derived: Result<Derived, Complaint>,
    /// The scene for the solver, or what it lacks; nothing where there is no plan.
    pub scene: Option<Result<Scene, Vec<Line>>>,
    /// What the solver must work out; nothing where the plan cannot be relied on.
    pub wanted: Option<Wanted>,
}

impl Planned {
    /// Derives the plan.
    pub fn of(document: &str) -> Self {
        let derived = read(document);
        let plan = derived
            .as_ref()
            .ok()
            .and_then(|derived| derived.plan.as_ref());
        let scene = plan.map(scene);
        let settled = derived.as_ref().is_ok_and(|derived| derived.settled);
        let ready = scene.as_ref().and_then(|scene| scene.as_ref().ok());
        let wanted = ready.filter(|_| settled).map(Wanted::of);
        Self {
            derived,
            scene,
            wanted,
        }
    }
}

/// The plans derived last, newest last.
#[derive(Debug, Default)]
pub(crate) struct Recent(Mutex<Vec<(String, Arc<Planned>)>>);

impl Recent {
    /// None yet.
    pub const fn none() -> Self {
        Self(Mutex::new(Vec::new()))
    }

    /// The plan of this document, if it is one of the last few.
    pub fn get(&self, document: &str) -> Option<Arc<Planned>> {
        let kept = self.0.lock().ok()?;
        let (_, planned) = kept.iter().find(|(known, _)| known == document)?;
        Some(Arc::clone(planned))
    }

    /// Keeps a plan and lets go of the oldest.
    pub fn keep(&self, document: &str, planned: &Arc<Planned>) {
        let Ok(mut kept) = self.0.lock() else { return };
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((document.to_owned(), Arc::clone(planned)));
    }
}
