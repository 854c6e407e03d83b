//! What answers belong to: the site as a whole, or one thing found on it.

use serde::{Deserialize, Serialize};

use crate::ids::SubjectId;

/// The kinds of thing a survey finds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SubjectKind {
    /// The site as a whole; there is one, with the nil id.
    Site,
    /// A gate, door or gap on the way in.
    Opening,
    /// A straight part of the route.
    Leg,
    /// A corner between two legs.
    Turn,
    /// Something overhead on the route: eave, branch, line, door head.
    Overhead,
    /// A conductor near the lift or the spot.
    Line,
    /// Something a load is lifted over or a boom passes.
    Obstacle,
    /// A position of the electrical panel.
    Slot,
    /// A measured point of the base.
    LevelPoint,
    /// An appliance or load in the house.
    Appliance,
    /// A named point of the yard plan.
    PlanPoint,
    /// A taped distance, right angle, straight line, offset or side between points of the plan.
    Tie,
    /// A wall, fence, house, area, wire or buried line through points of the plan.
    PlanLine,
    /// Something that stands in the yard: a tree, a post, a meter.
    PlanThing,
    /// A kind added by a newer version: kept, never interpreted.
    #[serde(other)]
    Unknown,
}

/// One thing on a site. Its random id is its name; "opening 2" is only how a screen says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Subject {
    /// What it is.
    pub kind: SubjectKind,
    /// Which one.
    pub id: SubjectId,
}

impl Subject {
    /// The site itself.
    pub const SITE: Self = Self {
        kind: SubjectKind::Site,
        id: SubjectId::NIL,
    };

    /// A subject of `kind` with `id`.
    pub const fn new(kind: SubjectKind, id: SubjectId) -> Self {
        Self { kind, id }
    }
}

impl SubjectKind {
    /// Kinds that people add one by one.
    pub const ADDED: [Self; 13] = [
        Self::Opening,
        Self::Leg,
        Self::Turn,
        Self::Overhead,
        Self::Line,
        Self::Obstacle,
        Self::Slot,
        Self::LevelPoint,
        Self::Appliance,
        Self::PlanPoint,
        Self::Tie,
        Self::PlanLine,
        Self::PlanThing,
    ];

    /// The kind as used in question keys and files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Opening => "opening",
            Self::Leg => "leg",
            Self::Turn => "turn",
            Self::Overhead => "overhead",
            Self::Line => "line",
            Self::Obstacle => "obstacle",
            Self::Slot => "slot",
            Self::LevelPoint => "level_point",
            Self::Appliance => "appliance",
            Self::PlanPoint => "plan_point",
            Self::Tie => "tie",
            Self::PlanLine => "plan_line",
            Self::PlanThing => "plan_thing",
            Self::Unknown => "unknown",
        }
    }

    /// The kind with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ADDED
            .into_iter()
            .chain([Self::Site])
            .find(|kind| kind.key() == key)
    }

    /// The question whose answer puts a thing of this kind on the site (its name), and whose
    /// *absent* takes it off again. The site itself has none.
    pub const fn present_question(self) -> Option<&'static str> {
        match self {
            Self::Opening => Some("opening.present"),
            Self::Leg => Some("leg.present"),
            Self::Turn => Some("turn.present"),
            Self::Overhead => Some("overhead.present"),
            Self::Line => Some("line.present"),
            Self::Obstacle => Some("obstacle.present"),
            Self::Slot => Some("slot.holds"),
            Self::LevelPoint => Some("level_point.height"),
            Self::Appliance => Some("appliance.present"),
            Self::PlanPoint => Some("plan_point.present"),
            Self::Tie => Some("tie.present"),
            Self::PlanLine => Some("plan_line.present"),
            Self::PlanThing => Some("plan_thing.present"),
            Self::Site | Self::Unknown => None,
        }
    }
}
