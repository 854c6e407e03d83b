//! The spa sheet: what a maker's specification says of one unit, in units that cannot be mixed up.

use serde::{Deserialize, Serialize};

use crate::digest::digest_hex;
use crate::quantity::{Length, Quantity};

/// A maker's specification of one spa. A revision is its canonical JSON; its name is the digest.
///
/// Fields that a sheet leaves out are `None`, and the checks that need them stay open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SpaSheet {
    /// A descriptive name, such as "long two-zone unit".
    pub name: String,
    /// The unit itself.
    pub bare: Size,
    /// The unit as it travels: wrap and skid counted.
    pub shipping: Size,
    /// Weight with nothing in it (mass).
    pub dry_weight: Quantity,
    /// Water when full (volume).
    pub water: Quantity,
    /// People it is made for.
    pub people: u32,
    /// Centre of gravity of the dry unit.
    pub centre_of_gravity: Option<CentreOfGravity>,
    /// Height of the rim above its base.
    pub rim_height: Length,
    /// Width of the rim.
    pub rim_width: Option<Length>,
    /// Water depth below the rim edge when full.
    pub water_below_rim: Option<Length>,
    /// How its weight reaches the base.
    pub bearing: Bearing,
    /// Ends or sides the equipment is serviced from.
    pub service: Vec<ServiceSide>,
    /// Sides people can enter from.
    pub entry_sides: Vec<Side>,
    /// Whether it is made in left and right versions, and which this is.
    pub handed: Handed,
    /// Attitudes it may travel in.
    pub attitudes: Vec<Attitude>,
    /// How it may be lifted.
    pub lifting: Option<Lifting>,
    /// The supply at each setting.
    pub supply: Vec<SupplySetting>,
    /// Where the supply comes up through the base.
    pub stub_up: Option<StubUp>,
    /// Covers made for it.
    pub covers: Vec<CoverSheet>,
    /// Largest fall allowed across the footprint.
    pub level_tolerance: Option<Length>,
    /// What its listing says.
    pub listing: Listing,
}

/// Length, width and height.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Size {
    /// The long side.
    pub length: Length,
    /// The short side in plan.
    pub width: Length,
    /// Height standing flat.
    pub height: Length,
}

/// Centre of gravity of the dry unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct CentreOfGravity {
    /// From the service end, along the long side.
    pub from_service_end: Length,
    /// Off the centre line, to the right seen from the service end; may be negative.
    pub off_centre: Length,
    /// Above the underside.
    pub height: Length,
}

/// A side of the unit, seen from above, the (first) service end being the foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The end with most of the equipment.
    Foot,
    /// The opposite end.
    Head,
    /// The left long side, standing at the foot and looking to the head.
    Left,
    /// The right long side.
    Right,
}

impl Side {
    /// All four, in reading order.
    pub const ALL: [Self; 4] = [Self::Foot, Self::Head, Self::Left, Self::Right];

    /// The side as used in question keys and files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Foot => "foot",
            Self::Head => "head",
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// The side with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|side| side.key() == key)
    }
}

/// A side with equipment behind it, and the clear depth a technician needs before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct ServiceSide {
    /// Which side.
    pub side: Side,
    /// Clear depth for the life of the unit; `None`: the practice sheet's.
    pub depth: Option<Length>,
}

/// Whether left and right versions exist.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Handed {
    /// One version, the same from both sides.
    Neither,
    /// The left-hand version.
    Left,
    /// The right-hand version.
    Right,
}

/// How the unit may be turned for transport.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Attitude {
    /// Standing as it will stand.
    Flat,
    /// On its long side.
    OnEdge,
}

/// How its weight reaches the base.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bearing {
    /// The whole underside.
    Full,
    /// Skids of this width running the full length.
    Skids {
        /// How many.
        count: u32,
        /// Width of each.
        width: Length,
    },
    /// Feet.
    Feet {
        /// How many.
        count: u32,
        /// Area of each (area).
        area: Quantity,
    },
}

/// How it may be lifted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lifting {
    /// Straps under the frame, or eyes.
    pub method: LiftMethod,
    /// Distances of the lift points from the service end.
    pub points: Vec<Length>,
    /// Weight of the skid or lifting frame that goes up with it (mass).
    pub skid_weight: Option<Quantity>,
    /// Sideways squeeze the rim may take from one strap (force).
    pub rim_squeeze_limit: Option<Quantity>,
}

/// What the hooks hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LiftMethod {
    /// Straps passed under the frame at the maker's points.
    StrapsUnderFrame,
    /// Lifting eyes the maker provides and names for this.
    MakersEyes,
}

/// The supply at one setting of the unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SupplySetting {
    /// The maker's name for the setting, such as "heat with pumps".
    pub name: String,
    /// The circuits it asks for.
    pub circuits: Vec<SupplyCircuit>,
    /// Nameplate maximum demand in all (power, VA).
    pub maximum_demand: Quantity,
}

/// One circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct SupplyCircuit {
    /// Volts (voltage).
    pub voltage: Quantity,
    /// Breaker size (current).
    pub breaker: Quantity,
    /// Conductors, earth counted: 4 for 120/240 V with neutral, 3 for 240 V only.
    pub conductors: u32,
}

/// Where the supply comes up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct StubUp {
    /// At which side.
    pub side: Side,
    /// From the left corner of that side, seen from outside.
    pub from_left: Length,
    /// Inwards from the edge.
    pub inset: Length,
}

/// One cover made for the unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CoverSheet {
    /// How it works.
    pub kind: CoverKind,
    /// Depth it needs beside or behind the unit when open.
    pub stow_depth: Option<Length>,
    /// The side it stows at.
    pub stow_side: Option<Side>,
    /// Height it needs above the rim while it moves or stands open.
    pub lift_clearance: Option<Length>,
    /// Footing its posts need beyond the unit's edge.
    pub footing: Option<Length>,
    /// The standard it is stated to be made to; `None` where the sheet states none.
    pub safety: Option<CoverStandard>,
    /// Whether it can be locked; sheets kept before this was asked say no.
    #[serde(default)]
    pub locks: bool,
    /// Whether it is moved by power rather than by hand; sheets kept before this was asked say no.
    #[serde(default)]
    pub powered: bool,
    /// The static load it is tested to (mass), where stated.
    pub tested_load: Option<Quantity>,
}

/// A standard for covers that keep a child from the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoverStandard {
    /// ASTM F1346.
    AstmF1346,
    /// Any other, and the free text of sheets kept before there was a list.
    #[serde(other)]
    Other,
}

/// How a cover works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoverKind {
    /// Hard sections lifted off one by one.
    Sectional,
    /// Rolled up at one end.
    Rolled,
    /// A roof that rises on posts.
    LiftingRoof,
}

/// What its listing says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Listing {
    /// Listed as a self-contained unit.
    pub self_contained: bool,
    /// Listed for use above ground.
    pub above_ground: bool,
    /// For indoor use only.
    pub indoor_only: bool,
    /// Ground-fault protection is part of the listed unit.
    pub integral_ground_fault: bool,
}

impl SpaSheet {
    /// The canonical bytes: field order as declared, integers only.
    pub fn canonical(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The name of this revision: the digest of its canonical bytes.
    pub fn revision(&self) -> String {
        digest_hex(self.canonical().as_bytes())
    }
}
