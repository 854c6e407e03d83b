//! What a plan holds.

use super::traced::{Place, Source, Traced};

/// The yard in plan view. Made by [`super::read`]; every ring is simple and every number finite.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// What the yard is called.
    pub name: String,
    /// What the slopes of its coordinates refer to.
    pub sources: Vec<Source>,
    /// Named points.
    pub points: Vec<Named>,
    /// Walls and fences.
    pub barriers: Vec<Barrier>,
    /// Gates and gaps.
    pub openings: Vec<Opening>,
    /// Things in the way.
    pub obstacles: Vec<Obstacle>,
    /// Areas.
    pub zones: Vec<Zone>,
    /// Wires overhead.
    pub lines: Vec<OverheadLine>,
    /// What lies buried.
    pub marks: Vec<Mark>,
    /// Ground heights.
    pub levels: Vec<Level>,
    /// Where the truck stands and the unit comes off.
    pub truck_stand: Option<Stand>,
    /// Where the unit shall stand.
    pub spot: Option<Stand>,
    /// Whether either end may lead at the spot.
    pub either_end: bool,
    /// The unit that is to be brought in.
    pub unit: Option<Unit>,
    /// Clearance above this many inches is of no interest; `None`: the true clearance is wanted.
    pub enough: Option<f64>,
    /// A box that the unit stays inside: x and y of two corners.
    pub bounds: Option<[f64; 4]>,
}

/// A point with its name.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub at: Place,
}

/// From what height to what height something is in the way, inches above the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
    /// The spread of both.
    pub spread: f64,
}

impl Heights {
    /// From the ground up without end.
    pub const ALL: Self = Self {
        low: 0.0,
        high: super::SKY,
        spread: 0.0,
    };

    /// Whether something carried between two heights could touch it, its spread counted against.
    pub fn meets(&self, [low, high]: [f64; 2]) -> bool {
        self.low - self.spread <= high && low <= self.high + self.spread
    }
}

/// What removing something costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Removal {
    /// Trouble, in the user's own measure; only comparisons matter.
    pub trouble: f64,
}

/// What a barrier is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BarrierKind {
    /// A wall.
    Wall,
    /// A fence.
    Fence,
}

/// Where the material of a barrier is, seen along its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sweep {
    /// The line is its middle.
    Middle,
    /// The line is its right face: it is left of it.
    Left,
    /// The line is its left face: it is right of it.
    Right,
}

/// A wall or a fence.
#[derive(Clone, Debug, PartialEq)]
pub struct Barrier {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: BarrierKind,
    /// Its line.
    pub line: Vec<Place>,
    /// How thick it is, inches.
    pub thickness: f64,
    /// On which side of the line it is.
    pub sweep: Sweep,
    /// Its heights.
    pub heights: Heights,
    /// What removing it costs; `None`: it stays.
    pub removal: Option<Removal>,
}

/// A gate or gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Its id.
    pub id: String,
    /// Its two sides.
    pub between: [Place; 2],
    /// Its clear width.
    pub width: Traced,
    /// Height free above the ground, where there is something above.
    pub headroom: Option<Traced>,
}

/// The shape of a thing.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Round.
    Round {
        /// Its middle.
        centre: Place,
        /// Half its diameter.
        radius: Traced,
    },
    /// A ring of corners, solid inside.
    Ring(Vec<Place>),
}

/// A thing in the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Obstacle {
    /// Its id.
    pub id: String,
    /// What it is, in the user's words.
    pub kind: String,
    /// Its shape.
    pub shape: Shape,
    /// Its heights.
    pub heights: Heights,
    /// What removing it costs; `None`: it stays.
    pub removal: Option<Removal>,
}

/// What an area is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoneKind {
    /// Public street.
    Street,
    /// Drive.
    Drive,
    /// Lawn.
    Lawn,
    /// Patio.
    Patio,
    /// Beds.
    Beds,
    /// Land others have rights in.
    Easement,
    /// Septic tank or field: nothing rolls over it.
    Septic,
    /// A house, with its walls.
    House,
}

/// An area.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: ZoneKind,
    /// Its edge.
    pub ring: Vec<Place>,
    /// Whether nothing may roll over it.
    pub no_go: bool,
    /// Its eaves, where it is a house that has them.
    pub eave: Option<Eave>,
    /// Height of its ridge, inches.
    pub ridge: Option<f64>,
}

/// What hangs over outside the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eave {
    /// How far it hangs over, inches.
    pub overhang: f64,
    /// How high its underside is, inches.
    pub height: f64,
    /// The spread of both.
    pub spread: f64,
}

/// A wire overhead.
#[derive(Clone, Debug, PartialEq)]
pub struct OverheadLine {
    /// Its id.
    pub id: String,
    /// What it is, in the user's words.
    pub kind: String,
    /// Where it runs.
    pub line: Vec<Place>,
    /// The lowest it hangs, inches.
    pub height: f64,
    /// The spread of that.
    pub spread: f64,
    /// How far to either side nothing may come that reaches its height, inches.
    pub keep_off: f64,
}

/// Something buried.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its id.
    pub id: String,
    /// What it is, in the user's words.
    pub kind: String,
    /// Where it runs.
    pub line: Vec<Place>,
}

/// The ground's height at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Where.
    pub at: Place,
    /// How high, inches.
    pub height: Traced,
}

/// Where something stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// Its middle.
    pub at: Place,
    /// Where its length points, degrees.
    pub heading: f64,
    /// The same as a way of length 1, traced.
    pub ahead: Place,
}

/// The unit as it is carried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// Along its heading, inches, with what the carriage adds.
    pub length: f64,
    /// Across, inches.
    pub width: f64,
    /// From what height to what height it reaches while carried; `None`: everything counts as in its way.
    pub carried: Option<[f64; 2]>,
}
