//! What a phone's worker loads: the route solver alone, in steps, so that bounds can be shown while they tighten.
//!
//! `public/solver-worker.js` drives it. Texts go in and out: JSON is read once on either side, and the numbers keep
//! every bit.

use serde_json::json;
use setdown_rules::motion::largest::{Ends, Measured, Sought, largest_unit};
use setdown_rules::motion::{Certified, Options, Scene, Solver, solver_for};
use wasm_bindgen::prelude::wasm_bindgen;

/// A question being worked on. The worker holds one and frees it when the page asks another.
#[wasm_bindgen]
pub struct Work {
    text: String,
    scene: Scene,
    solver: Solver,
}

#[wasm_bindgen]
impl Work {
    /// Reads a route file and makes ready to solve it to `resolution` inches.
    ///
    /// # Errors
    /// A text that names the key that is wrong.
    pub fn begin(scene_text: &str, resolution: f64) -> Result<Work, String> {
        let (scene, solver) =
            solver_for(scene_text, resolution).map_err(|fault| fault.to_string())?;
        let text = scene_text.to_owned();
        Ok(Work {
            text,
            scene,
            solver,
        })
    }

    /// Works until about `splits` more cells were split; what is proved by then: `{lower, upper, done}` in inches,
    /// null where nothing is proved.
    pub fn step(&mut self, splits: usize) -> String {
        let progress = self.solver.step(splits);
        json!({
            "lower": progress.lower,
            "upper": progress.upper.is_finite().then_some(progress.upper),
            "done": progress.finished,
        })
        .to_string()
    }

    /// The answer as it is kept, handed to the checks and compared with the server's.
    ///
    /// # Errors
    /// A text, where the answer cannot be written as JSON.
    pub fn finish(&self) -> Result<String, String> {
        let certified = Certified::of(&self.text, &self.scene, &self.solver);
        serde_json::to_string(&certified).map_err(|fault| fault.to_string())
    }

    /// The longest unit that would pass and keep this clearance in inches, or the widest: `{passes, fails}` in inches.
    /// Takes seconds. A longer unit's tail may stay where it starts, and its head where it ends; else its middle does.
    ///
    /// # Errors
    /// As [`Work::begin`].
    pub fn largest(
        &self,
        longest: bool,
        tail_at_start: bool,
        head_at_goal: bool,
        keeps: f64,
    ) -> Result<String, String> {
        let sought = Sought {
            side: if longest {
                Measured::Length
            } else {
                Measured::Width
            },
            ends: Ends {
                tail_at_start,
                head_at_goal,
            },
            keeps,
        };
        let most_cells = Options::default().most_cells;
        let extent =
            largest_unit(&self.scene, sought, most_cells).map_err(|fault| fault.to_string())?;
        serde_json::to_string(&extent).map_err(|fault| fault.to_string())
    }
}
