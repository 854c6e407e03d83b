//! What a drawing of the yard shows, in inches of the yard.

use setdown_rules::motion::Answer;
use setdown_rules::plan::{Place, Plan};
use setdown_types::ids::SubjectId;
use setdown_types::spa::Side;

/// Everything on the drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sketch {
    /// The yard as derived.
    pub plan: Plan,
    /// Named points, also while they are loose.
    pub points: Vec<SketchPoint>,
    /// Dimension lines.
    pub tapes: Vec<Tape>,
    /// How sure each point is.
    pub ellipses: Vec<Ellipse>,
    /// Whether this is only one of many drawings that fit what was taped.
    pub loose: bool,
    /// The way in, where it is worked out.
    pub answer: Option<Answer>,
    /// Whether the room needed is kept all along it, as surely as the yard is known.
    pub has_room: bool,
    /// What the unit shows of itself.
    pub unit: UnitMarks,
    /// Where north is, degrees counter-clockwise from +x; `None`: nobody has said.
    pub north: Option<f64>,
}

/// A point that can be tapped.
#[derive(Clone, Debug, PartialEq)]
pub struct SketchPoint {
    /// Which thing of the site it is; `None`: not one of its own.
    pub id: Option<SubjectId>,
    /// Its name.
    pub name: String,
    /// Where it is.
    pub at: [f64; 2],
}

/// A dimension line with its text.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    /// From here.
    pub from: [f64; 2],
    /// To here.
    pub to: [f64; 2],
    /// Feet and inches, or metres.
    pub text: String,
    /// Whether it is suspected to be mistaped.
    pub suspect: bool,
}

/// The ellipse that holds a point 19 times in 20.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its middle.
    pub at: [f64; 2],
    /// Half the long axis, inches.
    pub major: f64,
    /// Half the short one.
    pub minor: f64,
    /// Direction of the long axis, degrees.
    pub heading: f64,
}

/// The sides of the unit that the drawing marks. The foot is the end that its heading points away from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct UnitMarks {
    /// Sides with equipment behind them: hatched.
    pub service: Vec<Side>,
    /// Sides people enter from: ticked.
    pub entry: Vec<Side>,
}

/// Half the axis of the two-dimensional ellipse that holds the truth 19 times in 20, in σ: the root of the 95 %
/// quantile of χ² with two degrees of freedom, −2 ln 0.05.
const SIGMAS: f64 = 2.447_746_830_680_816;

impl Ellipse {
    /// The ellipse of a place whose coordinates move with the readings.
    pub fn of(place: &Place) -> Self {
        let (xx, yy) = (product(place, 0, 0), product(place, 1, 1));
        let xy = product(place, 0, 1);
        let middle = 0.5 * (xx + yy);
        let half = (0.25 * (xx - yy) * (xx - yy) + xy * xy).sqrt();
        Self {
            at: place.at(),
            major: SIGMAS * (middle + half).max(0.0).sqrt(),
            minor: SIGMAS * (middle - half).max(0.0).sqrt(),
            heading: 0.5 * (2.0 * xy).atan2(xx - yy).to_degrees(),
        }
    }
}

/// The covariance of two coordinates of a place.
fn product(place: &Place, one: usize, other: usize) -> f64 {
    let axis = |index: usize| if index == 0 { &place.x } else { &place.y };
    let slope_by = |source: u32, index: usize| {
        let found = axis(index)
            .slopes
            .iter()
            .find(|(known, _)| *known == source);
        found.map_or(0.0, |(_, slope)| *slope)
    };
    axis(one)
        .slopes
        .iter()
        .map(|(source, slope)| slope * slope_by(*source, other))
        .sum()
}
