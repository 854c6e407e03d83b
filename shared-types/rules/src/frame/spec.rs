//! What a check is, before it is applied: its row in the table of checks.

use serde::{Deserialize, Serialize};
use setdown_types::party::Party;

use super::context::Context;
use super::result::HoldPoint;

/// The areas of the table of checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Area {
    /// Can it get in?
    Reach,
    /// Does it stand right?
    Spot,
    /// What it stands on.
    Base,
    /// What it stands in, below grade.
    Vault,
    /// The supply.
    Power,
    /// Water in and out.
    Water,
    /// Steps and guards.
    Entry,
    /// Cover and barrier.
    Cover,
    /// Permits and papers.
    Permission,
    /// Hold points' own conditions: what must have been done and seen.
    Stage,
}

/// Which part of the way a check belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WayPart {
    /// Applies whatever the way.
    Any,
    /// Applies where part of the way is rolled, or no way is chosen yet.
    Rolled,
    /// Applies where part of the way is lifted or carried by machine.
    Lifted,
}

/// One row of the table.
#[derive(Clone, Copy)]
pub struct Check {
    /// Its key.
    pub key: &'static str,
    /// Its area.
    pub area: Area,
    /// Whether short holds the whole job; weighs 3, else 1.
    pub stopper: bool,
    /// Which part of the way it belongs to.
    pub way: WayPart,
    /// Margins are geometry, so that a chance can be given.
    pub geometry: bool,
    /// Whether a licensed person's word can close it; the question is `attest.` + key with
    /// dots as underscores.
    pub licensed: bool,
    /// Whether the solver has to work it out: then no answer can be supposed to see what would follow.
    pub solved: bool,
    /// Hold points that name it.
    pub hold_points: &'static [HoldPoint],
    /// Who sees to it when it is short.
    pub owner: Party,
    /// The rule.
    pub evaluate: fn(&Context<'_>),
}

impl Check {
    /// A check of the whole job's way that anybody can measure; not a stopper.
    pub const fn new(key: &'static str, area: Area, evaluate: fn(&Context<'_>)) -> Self {
        Self {
            key,
            area,
            stopper: false,
            way: WayPart::Any,
            geometry: false,
            licensed: false,
            solved: false,
            hold_points: &[],
            owner: Party::Office,
            evaluate,
        }
    }

    /// A short outcome holds the whole job.
    pub const fn stopper(mut self) -> Self {
        self.stopper = true;
        self
    }

    /// Belongs to this part of the way.
    pub const fn way(mut self, way: WayPart) -> Self {
        self.way = way;
        self
    }

    /// Its margins are geometry.
    pub const fn geometry(mut self) -> Self {
        self.geometry = true;
        self
    }

    /// A licensed person's word can close it.
    pub const fn licensed(mut self) -> Self {
        self.licensed = true;
        self
    }

    /// The solver has to work it out.
    pub const fn solved(mut self) -> Self {
        self.solved = true;
        self
    }

    /// Named by these hold points.
    pub const fn holds(mut self, hold_points: &'static [HoldPoint]) -> Self {
        self.hold_points = hold_points;
        self
    }

    /// Seen to by this party.
    pub const fn owner(mut self, owner: Party) -> Self {
        self.owner = owner;
        self
    }

    /// The question by which a licensed person's word closes it.
    pub fn attestation_question(&self) -> String {
        format!("attest.{}", self.key.replace('.', "_"))
    }

    /// Weight in the score: stoppers 3, others 1.
    pub const fn weight(&self) -> u32 {
        if self.stopper { 3 } else { 1 }
    }
}
