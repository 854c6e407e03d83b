//! The solver: narrows the bounds on the best clearance by settling one question after the other.
//!
//! Between the proved bounds `lower` and `upper` it asks "is there a way with at least a, or is every way below b?"
//! with a < b. Cells that are free at a or blocked at b are left as they are; only doubtful ones on the most promising
//! chain are split, so each question ends: with a chain of free cells (the answer is at least a), or with blocked
//! cells all around (it is below b). The questions go from coarse to fine and share all cells.

use super::cells::Cells;
use super::path::{Apart, Track, track};
use super::retrace::retrace;
use super::scene::Scene;
use super::search::{Question, Search, Standing};
use super::widest::widest;
use super::yard::Yard;

/// Below this many inches only an upper bound is owed.
pub const DEEPEST: f64 = -3.0;
/// While the bounds lie on both sides of what is to be decided, 0 where nothing else is said, they are narrowed to this share of the resolution before that is the answer.
const SIGN_SHARE: f64 = 0.1;
/// Taken off every proved bound, in inches, against the rounding of results.
const MARGIN: f64 = 1e-6;

/// What is asked of the solver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Largest allowed difference between the bounds, in inches.
    pub resolution: f64,
    /// Clearance above this many inches is of no interest; `None`: the true clearance is wanted.
    pub cap: Option<f64>,
    /// Stop as soon as it is known whether there is a way with at least this clearance in inches; `None`: go on.
    pub decide_at: Option<f64>,
    /// Most cells to make: bounds memory and time.
    pub most_cells: usize,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            resolution: 0.1,
            cap: None,
            decide_at: None,
            most_cells: 60_000,
        }
    }
}

/// How far the solver has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Proved lower bound on the best clearance in inches; `None`: nothing proved yet.
    pub lower: Option<f64>,
    /// Proved upper bound in inches; infinite in an empty yard.
    pub upper: f64,
    /// Cells made so far.
    pub cells: usize,
    /// Whether the answer is as narrow as asked, or the limit on cells was met.
    pub finished: bool,
}

/// A solver at work on one scene.
#[derive(Clone, Debug)]
pub struct Solver {
    pub(super) yard: Yard,
    options: Options,
    cells: Cells,
    search: Search,
    lower: Option<f64>,
    upper: f64,
    /// Clearance at start and goal.
    pub(super) ends: [f64; 2],
    question: Option<Question>,
    track: Option<Track>,
    finished: bool,
}

impl Solver {
    /// Makes ready to solve a scene.
    pub fn new(scene: &Scene, options: Options) -> Self {
        let yard = Yard::new(scene);
        let caps = options.cap.into_iter().chain(scene.parts().enough);
        let cap = caps.reduce(f64::min);
        let ends = [yard.clearance(yard.start), yard.clearance(yard.goal)];
        let upper = ends[0].min(ends[1]).min(cap.unwrap_or(f64::INFINITY));
        let resolution = options.resolution.max(1e-4);
        let floor = DEEPEST - resolution;
        let reach = 2.0 * yard.radius() + upper.clamp(0.0, 2e5) + 1.0;
        let domain = yard.domain(reach);
        let empty = yard.sides.is_empty();
        let mut solver = Solver {
            cells: Cells::new(&yard, domain, upper.min(1e6), floor),
            yard,
            options: Options {
                resolution,
                cap,
                ..options
            },
            search: Search::default(),
            lower: None,
            upper,
            ends,
            question: None,
            track: None,
            finished: false,
        };
        if empty {
            solver.settle_empty();
        } else if upper < floor {
            solver.finished = true;
        }
        solver
    }

    fn settle_empty(&mut self) {
        self.lower = Some(super::scene::GREATEST_LENGTH);
        self.track = Some(Track::straight(
            self.yard.start,
            self.yard.goal,
            self.yard.either_end,
        ));
        self.finished = true;
    }

    /// Works until about `splits` more cells were split, or to the end.
    pub fn step(&mut self, splits: usize) -> Progress {
        let until = self.cells.splits + splits;
        while !self.finished && self.cells.splits < until {
            self.advance();
        }
        self.progress()
    }

    /// Works to the end.
    pub fn solve(&mut self) -> Progress {
        while !self.finished {
            self.advance();
        }
        self.progress()
    }

    /// The signed clearance at a pose in inches: exact but for rounding, infinite in an empty yard.
    pub fn clearance_at(&self, pose: super::scene::Pose) -> f64 {
        self.yard.clearance(self.yard.place_of(pose))
    }

    /// What is known now.
    pub fn progress(&self) -> Progress {
        Progress {
            lower: self.lower.map(|lower| lower - MARGIN),
            upper: self.upper + MARGIN,
            cells: self.cells.len(),
            finished: self.finished,
        }
    }

    /// One search, and the splits or the conclusion that follow from it.
    fn advance(&mut self) {
        let Some(question) = self.question.or_else(|| self.ask()) else {
            self.finished = true;
            return;
        };
        match self.search.chain(&self.cells) {
            None => self.conclude_blocked(),
            Some(chain) => self.follow(question, &chain),
        }
        if self.cells.len() >= self.options.most_cells {
            self.finished = true;
        }
    }

    fn conclude_blocked(&mut self) {
        let high = self
            .question
            .take()
            .map_or(self.upper, |question| question.high);
        self.upper = self.upper.min(high).min(widest(&self.cells));
        self.cells.interest.ceiling = self.upper;
    }

    fn follow(&mut self, question: Question, chain: &[u32]) {
        let doubtful: Vec<u32> = chain
            .iter()
            .copied()
            .filter(|index| {
                self.cells
                    .get(*index)
                    .is_some_and(|cell| question.standing(cell) == Standing::Doubtful)
            })
            .collect();
        if doubtful.is_empty() {
            self.conclude_free(chain);
            return;
        }
        self.search.before_splits(&self.cells, &doubtful);
        let mut split = false;
        for index in &doubtful {
            split |= self.cells.split(&self.yard, *index);
        }
        self.search.after_splits(&self.cells, &doubtful);
        // Cells too small to split: the question cannot be settled in these numbers.
        self.finished |= !split;
    }

    fn conclude_free(&mut self, chain: &[u32]) {
        self.question = None;
        let worst = chain
            .iter()
            .filter_map(|index| self.cells.get(*index))
            .fold(self.upper, |worst, cell| worst.min(cell.bounds.lower));
        match track(&self.cells, &self.yard, chain) {
            Ok(track) => {
                self.lower = Some(worst);
                self.cells.floor = self.cells.floor.max(worst);
                self.track = Some(track);
            }
            Err(Apart(one, other)) => self.cells.part(one, other),
        }
    }

    /// Turns to the next question; `None`: everything asked for is known.
    fn ask(&mut self) -> Option<Question> {
        let question = self.next_question()?;
        self.question = Some(question);
        self.cells.interest.wanted = 0.5 * (question.low + question.high);
        self.search.ask(&self.cells, question);
        Some(question)
    }

    fn next_question(&self) -> Option<Question> {
        let lower = self.lower.unwrap_or(DEEPEST - self.options.resolution);
        let gap = self.upper - lower;
        let at = self.options.decide_at.unwrap_or(0.0);
        let decided = lower >= at || self.upper < at;
        let share = if decided { 1.0 } else { SIGN_SHARE };
        let resolution = share * self.options.resolution;
        if gap <= resolution || (self.options.decide_at.is_some() && decided) {
            return None;
        }
        if gap <= 1.5 * resolution {
            return Some(Question {
                low: self.upper - resolution,
                high: lower + resolution,
            });
        }
        Some(Question {
            low: lower + gap / 3.0,
            high: self.upper - gap / 3.0,
        })
    }

    /// The best line of poses that is proved by now. Once finished it is made short and straight.
    pub(super) fn best_track(&self) -> Option<Track> {
        let better = self
            .lower
            .filter(|_| self.finished && !self.yard.sides.is_empty())
            .and_then(|lower| retrace(&self.cells, &self.yard, lower));
        better.or_else(|| self.track.clone())
    }

    /// Largest difference between the bounds that was asked for, in inches.
    pub(super) fn resolution(&self) -> f64 {
        self.options.resolution
    }

    /// Clearance of interest, in inches.
    pub(super) fn cap(&self) -> Option<f64> {
        self.options.cap
    }
}
