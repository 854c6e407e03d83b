//! The certified way in: can a rigid rectangle get from one pose to another among obstacles, and with how much room?
//!
//! [`Solver`] answers with proved bounds on the best achievable smallest clearance, a line of poses that keeps the
//! lower bound everywhere, and the places where it is narrowest; or with a proof that there is no way. It works on
//! cells of poses (position × heading) whose clearance is bounded from both sides (`bounds`), and splits only cells on
//! the most promising chain (`search`) until the question is settled (`solver`).
//!
//! | file | what |
//! |---|---|
//! | `file`, `scene`, `ring` | the route file; a scene that cannot be wrong |
//! | `yard`, `segment` | the scene turned to its walls; exact signed distance at one pose |
//! | `bounds` | certified bounds over a set of poses: what every proof rests on |
//! | `polygon`, `cells` | sets of poses, which of them touch, how one is split |
//! | `search`, `widest`, `solver` | questions, chains of cells, what follows from them |
//! | `path`, `certify`, `retrace` | from cells to a line of poses, made short and straight |
//! | `stops`, `hubs`, `crew`, `retell`, `rounding` | from a line of poses to few moves in round figures |
//! | `pinch`, `moves`, `answer`, `largest` | what people want to know |
//! | `certified` | an answer with the digest of its question, kept and handed to the checks |
//!
//! What "proved" means: for the outlines as given, taken as exact, and the unit as a rigid rectangle that may move in
//! every direction. The spread of the measurements is not in it. Lengths are inches, headings degrees.
//!
//! ```
//! use setdown_rules::motion::{Answer, Options, Solver, answer::Verdict, file};
//! let yard = r#"{"units": "in", "angle_units": "deg", "bounds": [0, 0, 100, 600], "unit": {"L": 190, "W": 94},
//!     "start": [50, 110, 90], "goal": [50, 480, 90], "goal_symmetric": true, "obstacles": []}"#;
//! let scene = file::read(yard)?;
//! let mut solver = Solver::new(&scene, Options::default());
//! solver.solve();
//! let answer = Answer::of(&scene, &solver);
//! assert_eq!(answer.verdict, Verdict::Route);
//! assert!(answer.lower.is_some_and(|lower| lower > 2.8) && answer.upper < 3.1);
//! # Ok::<(), setdown_rules::motion::scene::Fault>(())
//! ```

pub mod answer;
mod bounds;
mod cells;
pub mod certified;
mod certify;
mod crew;
pub mod file;
mod hubs;
pub mod largest;
pub mod moves;
mod path;
mod pinch;
mod polygon;
mod retell;
mod retrace;
mod ring;
mod rounding;
pub mod scene;
mod search;
mod segment;
pub mod solver;
mod stops;
mod widest;
mod yard;

pub use answer::Answer;
pub use certified::{
    Certified, RESOLUTION, Ways, canonical_text, certify_scene, scene_digest, solver_for,
};
pub use scene::Scene;
pub use solver::{Options, Progress, Solver};
