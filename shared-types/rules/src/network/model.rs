//! What was taped: points, readings with their spreads, and what the user says about sides.

use std::collections::BTreeSet;

use super::{FARTHEST, LEAST_SPREAD, MOST_POINTS, MOST_READINGS, MOST_SPREAD};

/// A tape network whose references and numbers are all sound; made by [`TapeNetwork::new`].
#[derive(Clone, Debug, PartialEq)]
pub struct TapeNetwork(Parts);

/// The parts of a tape network; points, tapes and readings are referred to by their position in these lists.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parts {
    /// What the yard is called.
    pub name: String,
    /// Names of the points.
    pub points: Vec<String>,
    /// Where the coordinates start and which way x runs.
    pub frame: Frame,
    /// The tapes used.
    pub tapes: Vec<Tape>,
    /// What was measured.
    pub readings: Vec<Reading>,
    /// On which side of a line points lie, as seen on site.
    pub sides: Vec<SideOf>,
    /// Gaps whose size and spread are asked for.
    pub clearances: Vec<Clearance>,
    /// Pairs of points between which no tape can be run.
    pub cannot_tape: Vec<(usize, usize)>,
    /// Spread in inches of a tape that would be run next.
    pub usual_spread: f64,
}

/// The coordinates start at one point and x runs from it towards another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    /// The point at (0, 0).
    pub origin: usize,
    /// The point at (positive, 0).
    pub along: usize,
}

impl Default for Frame {
    fn default() -> Self {
        Self {
            origin: 0,
            along: 1,
        }
    }
}

/// One tape, with what all its readings share.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    /// Its name.
    pub name: String,
    /// Spread in inches of its zero: a worn hook shifts every reading by the same amount.
    pub zero_spread: f64,
    /// Spread of its scale as a part of the length: sag, stretch and slope lengthen every reading in proportion.
    pub scale_spread: f64,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What it is called.
    pub id: String,
    /// Between what.
    pub measured: Measured,
    /// Inches, or degrees for a right angle.
    pub value: f64,
    /// Its own spread, without what the tape's readings share; same unit.
    pub spread: f64,
    /// The tape it was read on.
    pub tape: Option<usize>,
}

/// What a reading says something about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// The distance between two points.
    Distance {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
    },
    /// How far the angle at a point is from 90 degrees; the value is 0.
    Square {
        /// The corner.
        at: usize,
        /// A point on one arm.
        first: usize,
        /// A point on the other arm.
        second: usize,
    },
    /// How far a point lies off the straight line through two others; the value is 0.
    Straight {
        /// One point of the line.
        from: usize,
        /// Another point of the line.
        to: usize,
        /// The point.
        point: usize,
    },
    /// How far along a baseline the foot of the square from a point lies.
    Along {
        /// Where the baseline starts.
        from: usize,
        /// The point it runs towards.
        to: usize,
        /// The point.
        point: usize,
    },
    /// How far a point lies off a baseline, left of it positive.
    Across {
        /// Where the baseline starts.
        from: usize,
        /// The point it runs towards.
        to: usize,
        /// The point.
        point: usize,
    },
}

impl Measured {
    /// The points it is about; a repeated one where there are only two.
    pub fn points(self) -> [usize; 3] {
        match self {
            Self::Distance { from, to } => [from, to, to],
            Self::Square { at, first, second } => [at, first, second],
            Self::Straight { from, to, point }
            | Self::Along { from, to, point }
            | Self::Across { from, to, point } => [from, to, point],
        }
    }

    /// Whether it was read off a tape.
    pub fn is_taped(self) -> bool {
        !matches!(self, Self::Square { .. } | Self::Straight { .. })
    }
}

/// A side of a line, looking along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// On the left hand.
    Left,
    /// On the right hand.
    Right,
}

/// On which side of a line a point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SideOf {
    /// The point.
    pub point: usize,
    /// Where one stands.
    pub from: usize,
    /// Towards which point one looks.
    pub to: usize,
    /// Where the point is then.
    pub side: Side,
}

/// A gap that matters.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// What it is called.
    pub id: String,
    /// One side of it.
    pub from: usize,
    /// The other side.
    pub to: Target,
    /// Inches needed there, where that is known.
    pub need: Option<f64>,
}

/// What a gap ends at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// A point.
    Point(usize),
    /// The straight line through two points.
    Line(usize, usize),
}

/// Why parts make no network.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Fewer than two points or more than [`MOST_POINTS`], or more readings than [`MOST_READINGS`].
    Size,
    /// Something refers to a point or tape that is not there, or to one point twice where two are needed; says what.
    Reference(String),
    /// A number is not finite or outside its bounds; says whose.
    Number(String),
}

impl TapeNetwork {
    /// Checks the parts.
    ///
    /// # Errors
    /// [`Fault`] names the first thing that is wrong.
    pub fn new(parts: Parts) -> Result<Self, Fault> {
        let most = parts.readings.len().max(parts.clearances.len());
        if !(2..=MOST_POINTS).contains(&parts.points.len()) || most > MOST_READINGS {
            return Err(Fault::Size);
        }
        references(&parts)?;
        numbers(&parts)?;
        Ok(Self(parts))
    }

    /// The parts.
    pub fn parts(&self) -> &Parts {
        &self.0
    }

    /// The name of a point; empty where there is none.
    pub fn point_name(&self, point: usize) -> &str {
        self.0.points.get(point).map_or("", String::as_str)
    }
}

fn references(parts: &Parts) -> Result<(), Fault> {
    let distinct = |what: &str, points: &[usize]| {
        let set: BTreeSet<usize> = points.iter().copied().collect();
        let known = set.iter().all(|point| *point < parts.points.len());
        let sound = known && set.len() == points.len();
        sound
            .then_some(())
            .ok_or_else(|| Fault::Reference(what.to_owned()))
    };
    distinct("frame", &[parts.frame.origin, parts.frame.along])?;
    for reading in &parts.readings {
        match reading.measured {
            Measured::Distance { from, to } => distinct(&reading.id, &[from, to])?,
            other => distinct(&reading.id, &other.points())?,
        }
        if reading.tape.is_some_and(|tape| tape >= parts.tapes.len()) {
            return Err(Fault::Reference(reading.id.clone()));
        }
    }
    for side in &parts.sides {
        distinct("sides", &[side.point, side.from, side.to])?;
    }
    for clearance in &parts.clearances {
        match clearance.to {
            Target::Point(to) => distinct(&clearance.id, &[clearance.from, to])?,
            Target::Line(a, b) => distinct(&clearance.id, &[clearance.from, a, b])?,
        }
    }
    for (a, b) in &parts.cannot_tape {
        distinct("cannot_tape", &[*a, *b])?;
    }
    Ok(())
}

fn numbers(parts: &Parts) -> Result<(), Fault> {
    let within = |what: &str, value: f64, least: f64, most: f64| {
        (least..=most)
            .contains(&value)
            .then_some(())
            .ok_or_else(|| Fault::Number(what.to_owned()))
    };
    within("spread", parts.usual_spread, LEAST_SPREAD, MOST_SPREAD)?;
    for tape in &parts.tapes {
        within(&tape.name, tape.zero_spread, 0.0, MOST_SPREAD)?;
        within(&tape.name, tape.scale_spread, 0.0, 0.2)?;
    }
    for reading in &parts.readings {
        let least = match reading.measured {
            Measured::Distance { .. } => LEAST_SPREAD,
            _ => -FARTHEST,
        };
        within(&reading.id, reading.value, least, FARTHEST)?;
        within(&reading.id, reading.spread, LEAST_SPREAD, MOST_SPREAD)?;
    }
    for clearance in &parts.clearances {
        within(&clearance.id, clearance.need.unwrap_or(0.0), 0.0, FARTHEST)?;
    }
    Ok(())
}
