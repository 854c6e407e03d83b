//! A plan derived from its document, and the last few of them kept: one key press asks several checks for the same one.

use std::sync::{Arc, Mutex};

use super::Wanted;
use crate::document::Complaint;
use crate::frame::result::Line;
use crate::motion::file;
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
    /// What the solver does not take: the name of a thing, or nothing where it is the scene as a whole.
    pub refused: Option<String>,
}

/// What is wrong with a scene for the solver, if anything is.
fn refused(text: &str, scene: &Scene) -> Option<String> {
    let fault = file::read(text).err()?;
    let place = fault.key.strip_prefix("obstacles[");
    let place = place.and_then(|rest| rest.split(']').next()?.parse::<usize>().ok());
    let thing = place.and_then(|place| scene.obstacles.get(place));
    Some(thing.map(|thing| thing.id.clone()).unwrap_or_default())
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
        let settled = derived.as_ref().is_ok_and(|derived| {
            let network = derived.network.as_ref();
            derived.settled && network.is_none_or(|network| network.mistaped.is_empty())
        });
        let ready = scene.as_ref().and_then(|scene| scene.as_ref().ok());
        let wanted = ready.filter(|_| settled).map(Wanted::of);
        let refused = wanted
            .as_ref()
            .zip(ready)
            .and_then(|(wanted, scene)| refused(&wanted.scene_text, scene));
        Self {
            wanted: wanted.filter(|_| refused.is_none()),
            refused,
            derived,
            scene,
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

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::{Planned, refused};
    use crate::motion::certified::canonical_text;

    /// What the solver does not take is told by the name of the thing, so that nobody waits for an answer that never
    /// comes.
    #[test]
    fn thing_that_the_solver_does_not_take_is_named() {
        let text = include_str!("../../../../../tests/examples/route/side-yard-legs.json");
        let planned = Planned::of(text);
        assert!(planned.wanted.is_some() && planned.refused.is_none());
        let scene = planned.scene.as_ref().expect("a scene");
        let scene = scene.as_ref().expect("nothing lacks");
        let mut file = scene.file.clone();
        file["obstacles"][2]["poly"] = json!([[0, 0], [9, 9], [9, 0], [0, 9]]);
        let named = refused(&canonical_text(&file), scene);
        assert_eq!(named.as_ref(), Some(&scene.obstacles[2].id));
        file["unit"]["W"] = json!(0.0);
        assert_eq!(refused(&canonical_text(&file), scene).as_deref(), Some(""));
    }
}
