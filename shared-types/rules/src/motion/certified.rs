//! An answer with what it is the answer to: worked out in a worker or on the server, kept, and handed to the checks.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::Value;
use setdown_types::digest::digest_hex;

use super::scene::Fault;
use super::{Answer, Options, Scene, Solver, file};
use crate::plan::ledger::{Planned, Recent};

/// The largest difference between the bounds that the checks ask for, inches.
pub const RESOLUTION: f64 = 0.1;

/// An answer of the solver, named by the scene it was worked out for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certified {
    /// Digest of the scene's text, the resolution and the version of the rules: see [`scene_digest`].
    pub scene: String,
    /// The largest difference between the bounds that was asked for, inches.
    pub resolution: f64,
    /// The answer.
    pub answer: Answer,
}

impl Certified {
    /// What a finished solver says about the scene with this text.
    pub fn of(text: &str, scene: &Scene, solver: &Solver) -> Self {
        let resolution = solver.resolution();
        Self {
            scene: scene_digest(text, resolution),
            resolution,
            answer: Answer::of(scene, solver),
        }
    }
}

/// The name of a question to the solver: its answer is the same wherever the rules have this version.
pub fn scene_digest(text: &str, resolution: f64) -> String {
    let question = format!(
        "{}\n{:016x}\n{text}",
        crate::RULES_VERSION,
        resolution.to_bits()
    );
    digest_hex(question.as_bytes())
}

/// The solver that [`certify_scene`] runs, for those who want to run it in steps: then [`Certified::of`].
///
/// # Errors
/// [`Fault`] names the key of the route file that is wrong.
pub fn solver_for(text: &str, resolution: f64) -> Result<(Scene, Solver), Fault> {
    let scene = file::read(text)?;
    let options = Options {
        resolution,
        ..Options::default()
    };
    let solver = Solver::new(&scene, options);
    Ok((scene, solver))
}

/// Works out a scene to the end.
///
/// # Errors
/// [`Fault`] names the key of the route file that is wrong.
pub fn certify_scene(text: &str, resolution: f64) -> Result<Certified, Fault> {
    let (scene, mut solver) = solver_for(text, resolution)?;
    solver.solve();
    Ok(Certified::of(text, &scene, &solver))
}

/// The one text of a value: keys in rising order, no spaces, numbers as Rust writes them shortest.
pub fn canonical_text(value: &Value) -> String {
    match value {
        Value::Object(entries) => {
            let sorted: BTreeMap<&String, &Value> = entries.iter().collect();
            let written: Vec<String> = (sorted.into_iter())
                .map(|(key, value)| {
                    format!("{}:{}", Value::from(key.as_str()), canonical_text(value))
                })
                .collect();
            format!("{{{}}}", written.join(","))
        }
        Value::Array(list) => {
            let written: Vec<String> = list.iter().map(canonical_text).collect();
            format!("[{}]", written.join(","))
        }
        plain => plain.to_string(),
    }
}

/// Answers that are there, by the digest of what they answer; beside them the plans derived last, since every check of
/// the way in derives the same one.
#[derive(Debug, Default)]
pub struct Ways {
    certified: BTreeMap<String, Arc<Certified>>,
    derived: Recent,
}

static NO_WAYS: Ways = Ways {
    certified: BTreeMap::new(),
    derived: Recent::none(),
};

impl Clone for Ways {
    fn clone(&self) -> Self {
        Self {
            certified: self.certified.clone(),
            derived: Recent::default(),
        }
    }
}

impl PartialEq for Ways {
    fn eq(&self, other: &Self) -> bool {
        self.certified == other.certified
    }
}

impl Ways {
    /// Nothing is worked out.
    pub fn none() -> &'static Self {
        &NO_WAYS
    }

    /// The answer to this digest, if it is there.
    pub fn get(&self, digest: &str) -> Option<&Arc<Certified>> {
        self.certified.get(digest)
    }

    /// The plan of a document, derived only if it is none of the last few.
    pub(crate) fn planned(&self, document: &str) -> Arc<Planned> {
        self.derived.get(document).unwrap_or_else(|| {
            let planned = Arc::new(Planned::of(document));
            self.derived.keep(document, &planned);
            planned
        })
    }

    /// Adds an answer; one of the same name is the same answer.
    pub fn insert(&mut self, certified: Arc<Certified>) {
        self.certified.insert(certified.scene.clone(), certified);
    }
}

impl FromIterator<Arc<Certified>> for Ways {
    fn from_iter<T: IntoIterator<Item = Arc<Certified>>>(all: T) -> Self {
        let mut ways = Self::default();
        for certified in all {
            ways.insert(certified);
        }
        ways
    }
}

/// Writes an upper bound without end as nothing: JSON has no number for it.
pub(super) mod endless {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
        value.is_finite().then_some(*value).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::deserialize(from)?.unwrap_or(f64::INFINITY))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const YARD: &str = r#"{"units": "in", "angle_units": "deg", "bounds": [0, 0, 100, 600],
        "unit": {"L": 190, "W": 94}, "start": [50, 110, 90], "goal": [50.125, 480, 90.0000001],
        "goal_symmetric": true, "obstacles": []}"#;

    #[test]
    fn an_answer_is_read_back_to_the_bit() {
        let certified = certify_scene(YARD, RESOLUTION).unwrap();
        assert!(certified.answer.lower.is_some_and(|lower| lower > 2.7));
        let text = serde_json::to_string(&certified).unwrap();
        let back: Certified = serde_json::from_str(&text).unwrap();
        assert_eq!(back, certified);
        let poses = |certified: &Certified| -> Vec<u64> {
            let path = certified.answer.path.iter();
            path.flat_map(|pose| [pose.x, pose.y, pose.heading].map(f64::to_bits))
                .collect()
        };
        assert_eq!(poses(&back), poses(&certified));
    }

    #[test]
    fn an_empty_yard_has_no_upper_bound_and_is_read_back() {
        let open = r#"{"unit": {"L": 190, "W": 94}, "start": [0, 0, 0], "goal": [9, 9, 9]}"#;
        let certified = certify_scene(open, RESOLUTION).unwrap();
        assert!(certified.answer.upper.is_infinite());
        let text = serde_json::to_string(&certified).unwrap();
        assert_eq!(serde_json::from_str::<Certified>(&text).unwrap(), certified);
    }

    #[test]
    fn steps_come_to_the_same_answer() {
        let (scene, mut solver) = solver_for(YARD, RESOLUTION).unwrap();
        while !solver.step(7).finished {}
        assert_eq!(
            Certified::of(YARD, &scene, &solver),
            certify_scene(YARD, RESOLUTION).unwrap()
        );
    }

    #[test]
    fn the_name_depends_on_text_and_resolution() {
        let name = scene_digest(YARD, 0.1);
        assert_ne!(name, scene_digest(YARD, 0.25));
        assert_ne!(name, scene_digest(&YARD.replace("190", "191"), 0.1));
    }

    #[test]
    fn keys_are_sorted_and_numbers_kept() {
        let value: Value =
            serde_json::from_str(r#"{"b":[1.5,-0.0,"\""],"a":{"d":null,"c":true}}"#).unwrap();
        assert_eq!(
            canonical_text(&value),
            r#"{"a":{"c":true,"d":null},"b":[1.5,-0.0,"\""]}"#
        );
    }
}
