//! The longest and the widest unit that would pass, on certified answers.

use serde::{Deserialize, Serialize};

use super::scene::{Fault, GREATEST_LENGTH, Parts, Pose, SMALLEST_SIDE, Scene};
use super::solver::{Options, Progress, Solver};
use super::yard::Yard;

/// How near the limit is found, in inches.
pub const EXTENT_RESOLUTION: f64 = 1.0 / 16.0;
/// Resolution of each trial in inches; the solver goes to a tenth of it before the sign counts as undecided.
const SIGN_RESOLUTION: f64 = 0.04;
/// Most cells of one trial: a size that takes more is as good as undecided, and its neighbours are tried.
const MOST_TRIAL_CELLS: usize = 20_000;
/// Sizes below this share of the scene's are of no interest.
const LEAST_SHARE: f64 = 0.5;
/// Most sizes that are tried.
const MOST_TRIALS: usize = 40;

/// Which side of the unit is varied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// The side along the heading.
    Length,
    /// The side across it.
    Width,
}

/// Which end of the unit stays where it is while other lengths are tried; neither: its middle does.
///
/// A way walked as legs begins where the truck lets the tail down and ends before a wall, whatever is carried: a longer
/// unit reaches further in. On a taped plan the middles of stand and spot were drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ends {
    /// The tail stays at the start.
    pub tail_at_start: bool,
    /// The head stays at the goal.
    pub head_at_goal: bool,
}

impl Ends {
    /// Whether start or goal depend on the length.
    const fn move_with_length(self) -> bool {
        self.tail_at_start || self.head_at_goal
    }
}

/// The parts of the same scene for a unit of another length, in inches.
pub fn of_length(parts: &Parts, length: f64, ends: Ends) -> Parts {
    let half = 0.5 * (length - parts.length);
    let ahead = |pose: Pose, by: f64| {
        let (sine, cosine) = libm::sincos(pose.heading.to_radians());
        Pose {
            x: pose.x + by * cosine,
            y: pose.y + by * sine,
            ..pose
        }
    };
    let mut parts = parts.clone();
    parts.length = length;
    if ends.tail_at_start {
        parts.start = ahead(parts.start, half);
    }
    if ends.head_at_goal {
        parts.goal = ahead(parts.goal, -half);
    }
    parts
}

/// Which limit is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sought {
    /// The side.
    pub side: Measured,
    /// Where the unit starts and ends.
    pub ends: Ends,
    /// The clearance in inches that is kept everywhere; 0: nothing to spare.
    pub keeps: f64,
}

impl Sought {
    /// A name of it, for keeping its answer beside the name of the scene.
    pub fn name(&self) -> String {
        let Self { side, ends, keeps } = *self;
        let side = match side {
            Measured::Length => "longest",
            Measured::Width => "widest",
        };
        let tail = if ends.tail_at_start { ".tail" } else { "" };
        let head = if ends.head_at_goal { ".head" } else { "" };
        format!("{side}{tail}{head}.{keeps}")
    }
}

/// The limit of one side, the other staying as it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Extent {
    /// The largest size that is proved to pass, in inches; `None`: none is, not even half the scene's.
    pub passes: Option<f64>,
    /// The smallest size that is proved not to, in inches; `None`: none is, up to [`GREATEST_LENGTH`].
    pub fails: Option<f64>,
}

/// Searches the limit of one side to its end; see [`Search`].
///
/// # Errors
/// As [`Search::new`].
pub fn largest_unit(scene: &Scene, sought: Sought, most_cells: usize) -> Result<Extent, Fault> {
    let mut search = Search::new(scene, sought, most_cells)?;
    while search.step()? {}
    Ok(search.extent())
}

/// A search for the limit of one side, trial by trial, starting from the size in the scene.
///
/// What passes at size s with clearance c passes at s + 2(c - k) with clearance k, since the longer unit stays within
/// c - k of the shorter one; so a proved clearance moves the limit without another trial, unless the longer unit would
/// start or end elsewhere.
#[derive(Clone, Debug)]
pub struct Search {
    parts: Parts,
    sought: Sought,
    most_cells: usize,
    /// No smaller size is tried.
    least: f64,
    passes: Option<f64>,
    fails: Option<f64>,
    trials: usize,
    over: bool,
}

fn size(parts: &Parts, side: Measured) -> f64 {
    match side {
        Measured::Length => parts.length,
        Measured::Width => parts.width,
    }
}

fn sized(parts: &Parts, sought: Sought, size: f64) -> Parts {
    match sought.side {
        Measured::Length => of_length(parts, size, sought.ends),
        Measured::Width => {
            let mut parts = parts.clone();
            parts.width = size;
            parts
        }
    }
}

impl Search {
    /// Makes ready to search; `most_cells` bounds each trial.
    ///
    /// # Errors
    /// What is wrong with the scene at another size.
    pub fn new(scene: &Scene, sought: Sought, most_cells: usize) -> Result<Self, Fault> {
        let parts = Parts {
            // Each trial's own bound on the clearance of interest is lower.
            enough: None,
            ..scene.parts().clone()
        };
        let mut search = Self {
            least: (LEAST_SHARE * size(&parts, sought.side)).max(SMALLEST_SIDE),
            parts,
            sought,
            most_cells,
            passes: None,
            fails: None,
            trials: 0,
            over: false,
        };
        let ends = search.limit_of_ends()?;
        search.note_fail(ends);
        Ok(search)
    }

    /// One trial more; `false`: the search is over.
    ///
    /// # Errors
    /// As [`Search::new`].
    pub fn step(&mut self) -> Result<bool, Fault> {
        if self.over {
            return Ok(false);
        }
        self.trials += 1;
        let first = size(&self.parts, self.sought.side);
        match (self.trials, self.passes) {
            (1, _) => self.try_size(first).map(drop)?,
            (2, None) => self.try_size(self.least).map(drop)?,
            _ => self.over = !self.narrow()?,
        }
        self.over |= self.trials >= MOST_TRIALS;
        Ok(!self.over)
    }

    /// What is proved by now.
    pub fn extent(&self) -> Extent {
        Extent {
            passes: self.passes,
            fails: self.fails.filter(|fails| *fails < GREATEST_LENGTH),
        }
    }

    /// Tries what lies between; `false`: nothing is left to be told apart.
    fn narrow(&mut self) -> Result<bool, Fault> {
        match self.next_size() {
            Some(next) => Ok(self.try_size(next)? || self.try_around(next)?),
            None => Ok(false),
        }
    }

    fn note_pass(&mut self, size: f64) {
        self.passes = Some(self.passes.map_or(size, |known| known.max(size)));
    }

    fn note_fail(&mut self, size: f64) {
        self.fails = Some(self.fails.map_or(size, |known| known.min(size)));
    }

    fn scene(&self, size: f64) -> Result<Scene, Fault> {
        Scene::new(sized(&self.parts, self.sought, size))
    }

    /// The size from which the unit no longer fits where it starts or ends, found by halving.
    fn limit_of_ends(&self) -> Result<f64, Fault> {
        let fits = |size: f64| -> Result<bool, Fault> {
            let yard = Yard::new(&self.scene(size)?);
            let mut ends = [yard.start, yard.goal].into_iter();
            Ok(ends.all(|end| yard.clearance(end) >= self.sought.keeps))
        };
        let (mut low, mut high) = (SMALLEST_SIDE, GREATEST_LENGTH);
        if fits(high)? {
            return Ok(high);
        }
        while high - low > 0.01 {
            let middle = 0.5 * (low + high);
            if fits(middle)? {
                low = middle
            } else {
                high = middle
            }
        }
        Ok(high)
    }

    /// The next size to try: between what passes and what fails, not much more than doubling what passes.
    fn next_size(&self) -> Option<f64> {
        let low = self.passes.unwrap_or(self.least);
        let high = self.fails.unwrap_or(GREATEST_LENGTH);
        let next = (0.5 * (low + high)).min(1.5 * low + 10.0);
        (high - low > EXTENT_RESOLUTION).then_some(next)
    }

    /// Settles one size; `false`: it is too near the limit to say.
    fn try_size(&mut self, size: f64) -> Result<bool, Fault> {
        let Progress { lower, upper, .. } = self.decided(size)?;
        match lower {
            Some(lower) if lower >= self.sought.keeps => {
                self.note_pass(size + self.to_spare(lower - self.sought.keeps));
            }
            _ if upper < self.sought.keeps => self.note_fail(size),
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// By how much more a size passes where one passes with this much to spare.
    fn to_spare(&self, spare: f64) -> f64 {
        if self.sought.side == Measured::Length && self.sought.ends.move_with_length() {
            0.0
        } else {
            2.0 * spare
        }
    }

    /// Settles a little less and a little more than a size that is too near the limit.
    fn try_around(&mut self, size: f64) -> Result<bool, Fault> {
        let low = self.passes.unwrap_or(self.least);
        let high = self.fails.unwrap_or(GREATEST_LENGTH);
        let quarter = 0.25 * (high - low);
        let less = self.try_size(size - quarter)?;
        Ok(self.try_size(size + quarter)? || less)
    }

    fn decided(&self, size: f64) -> Result<Progress, Fault> {
        let options = Options {
            resolution: SIGN_RESOLUTION,
            cap: Some(self.sought.keeps + 1.0),
            decide_at: Some(self.sought.keeps),
            most_cells: self.most_cells.min(MOST_TRIAL_CELLS),
        };
        Ok(Solver::new(&self.scene(size)?, options).solve())
    }
}
