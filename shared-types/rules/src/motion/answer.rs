//! What the solver has to say: verdict, certified bounds, the way, where it is narrowest, and what limits it.

use super::moves::{Move, moves};
use super::path::Track;
use super::pinch::{Measure, Narrow, narrow_at, narrow_places};
use super::retrace::lead_through;
use super::scene::{GREATEST_LENGTH, Pose, Scene};
use super::solver::{Progress, Solver};
use super::yard::{BOUNDS, Place};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// Whether there is a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// A way was found and proved.
    Route,
    /// Proved: there is none.
    NoRoute,
    /// The bounds lie on both sides of 0.
    Undecided,
}

/// What caps the clearance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// The way itself.
    Way,
    /// The room where the unit starts.
    Start,
    /// The room where it must end.
    Goal,
    /// The clearance of interest that was asked for: there may be more room.
    Cap,
}

/// Where the way is narrow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pinch {
    /// The pose there.
    pub pose: Pose,
    /// Room in inches; negative: short by that much.
    #[serde(with = "super::certified::endless")]
    pub gap: f64,
    /// Names of what is that near; `bounds` for the edge of the yard.
    pub against: Vec<String>,
}

/// The whole answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Whether there is a way.
    pub verdict: Verdict,
    /// No less than this can be kept, in inches; `None`: nothing was proved.
    pub lower: Option<f64>,
    /// No more than this can be kept, in inches; infinite with nothing in the way.
    #[serde(with = "super::certified::endless")]
    pub upper: f64,
    /// Poses from start to goal, headings unwrapped; straight interpolation between neighbours keeps at least `lower`.
    /// Where `lower` is negative it runs that deep into something. Empty where nothing was proved.
    pub path: Vec<Pose>,
    /// The way retold for a crew; every move is proved to keep `lower`. Empty unless there is a route.
    pub moves: Vec<Move>,
    /// The narrowest places, narrowest first.
    pub pinches: Vec<Pinch>,
    /// What caps the clearance.
    pub limited_by: Limit,
}

impl Answer {
    /// What a solver knows by now.
    pub fn of(scene: &Scene, solver: &Solver) -> Self {
        let progress = solver.progress();
        let mut track = solver.best_track();
        let narrow = narrow(solver, progress, track.as_ref());
        let through: Vec<Place> = narrow.iter().map(|narrow| narrow.place).collect();
        if let (Some(lower), Some(plain)) = (progress.lower, track.take_if(|_| progress.finished)) {
            track = Some(lead_through(&solver.yard, plain, &through, lower));
        }
        let path = track.iter().flat_map(|track| &track.places);
        Answer {
            verdict: verdict(progress),
            lower: progress.lower,
            upper: progress.upper,
            path: path.map(|place| solver.yard.outward(*place)).collect(),
            moves: match (&track, progress.lower) {
                (Some(track), Some(lower)) if lower >= 0.0 => {
                    moves(&solver.yard, track, &through, lower)
                }
                _ => Vec::new(),
            },
            pinches: pinches(scene, solver, &narrow),
            limited_by: limit(solver, progress),
        }
    }

    /// The answer as the command line prints it.
    pub fn to_json(&self) -> Value {
        let pose = |pose: &Pose| json!([pose.x, pose.y, pose.heading]);
        let pinch = |pinch: &Pinch| {
            json!({
                "x": pinch.pose.x, "y": pinch.pose.y, "heading": pinch.pose.heading,
                "gap": pinch.gap, "against": pinch.against,
            })
        };
        json!({
            "verdict": match self.verdict {
                Verdict::Route => "route",
                Verdict::NoRoute => "no_route",
                Verdict::Undecided => "undecided",
            },
            "clearance": {"lower": self.lower, "upper": self.upper.is_finite().then_some(self.upper)},
            "path": self.path.iter().map(pose).collect::<Vec<_>>(),
            "pinches": self.pinches.iter().map(pinch).collect::<Vec<_>>(),
            "limited_by": match self.limited_by {
                Limit::Way | Limit::Cap => "way",
                Limit::Start => "start",
                Limit::Goal => "goal",
            },
        })
    }
}

fn verdict(progress: Progress) -> Verdict {
    match progress.lower {
        Some(lower) if lower >= 0.0 => Verdict::Route,
        _ if progress.upper < 0.0 => Verdict::NoRoute,
        _ => Verdict::Undecided,
    }
}

fn limit(solver: &Solver, progress: Progress) -> Limit {
    let [start, goal] = solver.ends;
    if start.min(goal) <= progress.upper {
        if start <= goal {
            Limit::Start
        } else {
            Limit::Goal
        }
    } else if solver.cap().is_some_and(|cap| cap <= progress.upper) {
        Limit::Cap
    } else {
        Limit::Way
    }
}

/// How much wider than the narrowest a place may be and still be told where there is a clearance of interest, in inches.
const WEIGHED: f64 = 6.0;

fn narrow(solver: &Solver, progress: Progress, track: Option<&Track>) -> Vec<Narrow> {
    let Some(track) = track else {
        return Vec::new();
    };
    let resolution = solver.resolution();
    // A check weighs how sure each narrow place is: a wider one may be the one that decides.
    let wider = if solver.cap().is_some() {
        WEIGHED
    } else {
        resolution
    };
    let measure = Measure {
        kept: progress.lower.unwrap_or(f64::NEG_INFINITY),
        below: progress.upper.min(GREATEST_LENGTH) + wider,
        tie: resolution,
    };
    let mut found = narrow_places(&solver.yard, track, measure);
    // Where the start or the goal is what limits, there is no moving across to more room.
    let end = match limit(solver, progress) {
        Limit::Start => track.places.first(),
        Limit::Goal => track.places.last(),
        Limit::Way | Limit::Cap => None,
    };
    if let Some(place) = end {
        found.insert(0, narrow_at(&solver.yard, *place, resolution));
    }
    found
}

fn pinches(scene: &Scene, solver: &Solver, narrow: &[Narrow]) -> Vec<Pinch> {
    let named = |owner: &u32| match scene.parts().obstacles.get(*owner as usize) {
        Some(obstacle) if *owner != BOUNDS => obstacle.id.clone(),
        _ => "bounds".to_owned(),
    };
    narrow
        .iter()
        .map(|narrow| Pinch {
            pose: solver.yard.outward(narrow.place),
            gap: narrow.gap,
            against: narrow.against.iter().map(named).collect(),
        })
        .collect()
}
