//! The question as checked types: a rectangle, where it starts, where it must end, and what stands in its way.
//!
//! A [`Scene`] can only be made from numbers that make sense, so the solver has no bad input to meet. Lengths are
//! inches, headings degrees counter-clockwise from +x.

use serde::{Deserialize, Serialize};

use super::ring;

/// Coordinates and sizes beyond this many inches are refused: rounding margins are stated for it.
pub const GREATEST_LENGTH: f64 = 100_000.0;
/// The smallest side of a unit, in inches.
pub const SMALLEST_SIDE: f64 = 1.0;
/// Most corners that all obstacles of a scene may have together.
pub const MOST_CORNERS: usize = 20_000;
/// Headings beyond this many degrees are refused: turning them back to one turn would lose their last digits.
pub const GREATEST_HEADING: f64 = 36_000.0;

/// Where the centre of the unit stands and which way its length points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pose {
    /// Inches.
    pub x: f64,
    /// Inches.
    pub y: f64,
    /// Degrees counter-clockwise from +x.
    pub heading: f64,
}

/// Something solid that stands in the yard.
#[derive(Clone, Debug, PartialEq)]
pub struct Obstacle {
    /// What answers call it.
    pub id: String,
    /// Corners of a simple ring in inches, either winding, solid inside.
    pub ring: Vec<[f64; 2]>,
    /// Lowest and highest point in inches above the ground the unit rolls on; `None`: at every height.
    pub heights: Option<[f64; 2]>,
    /// Whether it could be taken away.
    pub removable: bool,
    /// The trouble of taking it away.
    pub cost: f64,
    /// Free text.
    pub kind: String,
}

/// What a scene is made of, before it was checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// Free text.
    pub name: String,
    /// Free text.
    pub note: String,
    /// `[x0, y0, x1, y1]` in inches: the unit stays inside; `None`: an open yard.
    pub bounds: Option<[f64; 4]>,
    /// Size along the heading, in inches.
    pub length: f64,
    /// Size across the heading, in inches.
    pub width: f64,
    /// Lowest and highest point of the carried unit in inches; `None`: it meets every height.
    pub carried: Option<[f64; 2]>,
    /// Clearance above this many inches is of no interest; `None`: the true clearance is wanted.
    pub enough: Option<f64>,
    /// Where it starts.
    pub start: Pose,
    /// Where it must end.
    pub goal: Pose,
    /// Whether either end may lead at the goal (heading modulo 180).
    pub either_end: bool,
    /// What stands in the yard.
    pub obstacles: Vec<Obstacle>,
}

/// A checked scene: every number is finite and within limits, every ring is simple.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    parts: Parts,
}

/// Which part of a scene is wrong, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The key in the route file, as in `obstacles[3].poly[0]`.
    pub key: String,
    /// What is wrong with it and what would be right.
    pub why: String,
}

impl Fault {
    pub(crate) fn new(key: impl Into<String>, why: impl Into<String>) -> Self {
        Fault {
            key: key.into(),
            why: why.into(),
        }
    }
}

impl core::fmt::Display for Fault {
    fn fmt(&self, out: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(out, "{}: {}", self.key, self.why)
    }
}

impl core::error::Error for Fault {}

impl Scene {
    /// Checks the parts. The fault names the key of the route file that is wrong.
    pub fn new(mut parts: Parts) -> Result<Self, Fault> {
        check_side(parts.length, "unit.L")?;
        check_side(parts.width, "unit.W")?;
        check_bounds(parts.bounds)?;
        check_heights(parts.carried, "carry_z")?;
        check_enough(parts.enough)?;
        check_pose(parts.start, "start")?;
        check_pose(parts.goal, "goal")?;
        let corners: usize = parts.obstacles.iter().map(|each| each.ring.len()).sum();
        if corners > MOST_CORNERS {
            return Err(Fault::new(
                "obstacles",
                format!("{corners} corners in all; at most {MOST_CORNERS} can be worked out"),
            ));
        }
        for (index, obstacle) in parts.obstacles.iter_mut().enumerate() {
            check_obstacle(obstacle, index)?;
        }
        Ok(Scene { parts })
    }

    /// What the scene is made of.
    pub fn parts(&self) -> &Parts {
        &self.parts
    }

    /// The obstacles whose heights meet the carried unit's, with their places in the list. Heights that just touch
    /// meet.
    pub fn in_the_way(&self) -> impl Iterator<Item = (usize, &Obstacle)> {
        self.parts
            .obstacles
            .iter()
            .enumerate()
            .filter(|(_, obstacle)| heights_meet(obstacle.heights, self.parts.carried))
    }
}

fn check_enough(enough: Option<f64>) -> Result<(), Fault> {
    match enough {
        Some(inches) if !(0.0..=GREATEST_LENGTH).contains(&inches) => Err(Fault::new(
            "enough",
            format!("must be between 0 and {GREATEST_LENGTH} in"),
        )),
        _ => Ok(()),
    }
}

fn heights_meet(one: Option<[f64; 2]>, other: Option<[f64; 2]>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => one[0] <= other[1] && other[0] <= one[1],
        _ => true,
    }
}

fn check_side(side: f64, key: &str) -> Result<(), Fault> {
    if (SMALLEST_SIDE..=GREATEST_LENGTH).contains(&side) {
        return Ok(());
    }
    Err(Fault::new(
        key,
        format!("must be from {SMALLEST_SIDE} to {GREATEST_LENGTH} inches, not {side}"),
    ))
}

fn check_length(number: f64, key: impl FnOnce() -> String) -> Result<(), Fault> {
    if number.abs() <= GREATEST_LENGTH {
        return Ok(());
    }
    Err(Fault::new(
        key(),
        format!("must be within {GREATEST_LENGTH} inches of the origin, not {number}"),
    ))
}

fn check_bounds(bounds: Option<[f64; 4]>) -> Result<(), Fault> {
    let Some(bounds) = bounds else { return Ok(()) };
    for number in bounds {
        check_length(number, || "bounds".to_owned())?;
    }
    if bounds[0] < bounds[2] && bounds[1] < bounds[3] {
        return Ok(());
    }
    Err(Fault::new(
        "bounds",
        "must be [x0, y0, x1, y1] with x0 below x1 and y0 below y1",
    ))
}

fn check_heights(heights: Option<[f64; 2]>, key: &str) -> Result<(), Fault> {
    let Some([low, high]) = heights else {
        return Ok(());
    };
    check_length(low, || key.to_owned())?;
    check_length(high, || key.to_owned())?;
    if low <= high {
        return Ok(());
    }
    Err(Fault::new(
        key,
        "must be [low, high] with low not above high",
    ))
}

fn check_pose(pose: Pose, key: &str) -> Result<(), Fault> {
    check_length(pose.x, || format!("{key}[0]"))?;
    check_length(pose.y, || format!("{key}[1]"))?;
    if pose.heading.abs() <= GREATEST_HEADING {
        return Ok(());
    }
    Err(Fault::new(
        format!("{key}[2]"),
        format!(
            "must be within {GREATEST_HEADING} degrees, not {}",
            pose.heading
        ),
    ))
}

fn check_obstacle(obstacle: &mut Obstacle, index: usize) -> Result<(), Fault> {
    let key = format!("obstacles[{index}]");
    for (place, corner) in obstacle.ring.iter().enumerate() {
        for number in corner {
            check_length(*number, || format!("{key}.poly[{place}]"))?;
        }
    }
    check_heights(obstacle.heights, &format!("{key}.z"))?;
    if !obstacle.cost.is_finite() || obstacle.cost < 0.0 {
        return Err(Fault::new(
            format!("{key}.cost"),
            "must be a number of at least 0",
        ));
    }
    ring::tidy(&mut obstacle.ring);
    ring::check(&obstacle.ring).map_err(|why| Fault::new(format!("{key}.poly"), why))
}
