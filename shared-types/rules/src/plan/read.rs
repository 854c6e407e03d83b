//! Reads numbers of a plan file as readings, and corners in the four ways in which they may be written.

use super::corridor::Corridor;
use super::legs::Leg;
use super::model::{Heights, Plan, Removal};
use super::traced::{Place, Source, Traced};
use super::{FARTHEST, MOST_CORNERS_IN_ALL, SKY};
use crate::document::{Complaint, Node, Object, Place as Written, Problem};
use crate::frame::spread::SPREADS_PER_SIGMA;

/// A plan in the making.
pub(super) struct Builder {
    /// What is there so far.
    pub plan: Plan,
    /// The legs, where the plan is made of legs.
    pub legs: Vec<Leg>,
    /// The ground between their walls; `None` where there are no legs, or where they cross.
    pub corridor: Option<Corridor>,
    /// Spread of lengths that state none.
    spread: Option<f64>,
    /// Spread of angles that state none.
    angle_spread: Option<f64>,
    /// How many corners have been read.
    corners: usize,
}

/// What a number measures.
#[derive(Clone, Copy)]
pub(super) enum Measure {
    /// Inches.
    Length,
    /// Degrees.
    Angle,
}

impl Builder {
    pub(super) fn new(object: &Object<'_>) -> Result<Self, Complaint> {
        Ok(Self {
            plan: Plan::default(),
            legs: Vec::new(),
            corridor: None,
            spread: object.number("spread", 0.0, 120.0)?,
            angle_spread: object.number("angle_spread", 0.0, 45.0)?,
            corners: 0,
        })
    }

    /// A new source of error; exact where its spread is nothing.
    pub(super) fn source(&mut self, name: String, value: f64, spread: f64) -> Traced {
        if spread <= 0.0 {
            return Traced::exact(value);
        }
        let index = u32::try_from(self.plan.sources.len()).unwrap_or(u32::MAX);
        self.plan.sources.push(Source { name, spread });
        Traced {
            value,
            slopes: vec![(index, spread / SPREADS_PER_SIGMA)],
        }
    }

    /// A number that somebody measured: `96.5`, or `{"is": 96.5, "spread": 0.25}`.
    pub(super) fn reading(
        &mut self,
        written: &Written<'_>,
        measure: Measure,
        least: f64,
        most: f64,
    ) -> Result<Traced, Complaint> {
        let (value, own) = match written.node() {
            Node::Object(_) => {
                let object = written.object(&["is", "spread"])?;
                let value = object.required("is")?.number(least, most)?;
                (value, Some(object.required("spread")?.number(0.0, 120.0)?))
            }
            _ => (written.number(least, most)?, None),
        };
        let usual = match measure {
            Measure::Length => self.spread,
            Measure::Angle => self.angle_spread,
        };
        let Some(spread) = own.or(usual) else {
            return Err(written.complain(Problem::Senseless(match measure {
                Measure::Length => NO_SPREAD,
                Measure::Angle => NO_ANGLE_SPREAD,
            })));
        };
        Ok(self.source(written.path().to_owned(), value, spread))
    }

    /// A length that has to be there.
    pub(super) fn length(
        &mut self,
        object: &Object<'_>,
        key: &str,
        least: f64,
        most: f64,
    ) -> Result<Traced, Complaint> {
        self.reading(&object.required(key)?, Measure::Length, least, most)
    }

    /// A length that may be left out.
    pub(super) fn optional_length(
        &mut self,
        object: &Object<'_>,
        key: &str,
        least: f64,
        most: f64,
    ) -> Result<Option<Traced>, Complaint> {
        object
            .optional(key)
            .map(|written| self.reading(&written, Measure::Length, least, most))
            .transpose()
    }

    /// `left` positive or `right` negative of a line; nothing where neither is there.
    pub(super) fn sideways(&mut self, object: &Object<'_>) -> Result<Option<Traced>, Complaint> {
        let left = self.optional_length(object, "left", -FARTHEST, FARTHEST)?;
        let right = self.optional_length(object, "right", -FARTHEST, FARTHEST)?;
        match (left, right) {
            (Some(_), Some(_)) => {
                let why = "left of the line or right of it, not both: keep one";
                Err(object.complain("right", Problem::Senseless(why)))
            }
            (left, right) => Ok(left.or(right.map(|right| right.times(-1.0)))),
        }
    }

    /// Counts a corner against the most that a plan may have.
    fn count_corner(&mut self, written: &Written<'_>) -> Result<(), Complaint> {
        self.corners += 1;
        if self.corners > MOST_CORNERS_IN_ALL {
            let most = MOST_CORNERS_IN_ALL;
            return Err(written.complain(Problem::Count { fewest: 0, most }));
        }
        Ok(())
    }

    /// A corner: the name of a point, `[x, y]` as drawn, a place on a leg, or a place off a baseline.
    pub(super) fn corner(&mut self, written: &Written<'_>) -> Result<Place, Complaint> {
        self.count_corner(written)?;
        let place = self.place(written)?;
        let near = |value: &f64| value.abs() <= FARTHEST;
        if !place.at().iter().all(near) {
            return Err(written.complain(Problem::Senseless("more than a mile away")));
        }
        Ok(place)
    }

    fn place(&mut self, written: &Written<'_>) -> Result<Place, Complaint> {
        match written.node() {
            Node::Text(_) => self.named(written),
            Node::List(_) => drawn(written),
            Node::Object(entries) if entries.iter().any(|(key, _)| key == "leg") => {
                self.on_leg(written)
            }
            Node::Object(_) => self.off_baseline(written),
            _ => Err(written.complain(Problem::Expected(CORNER))),
        }
    }

    /// A list of corners.
    pub(super) fn corners(
        &mut self,
        written: &Written<'_>,
        fewest: usize,
    ) -> Result<Vec<Place>, Complaint> {
        let entries = written.list(fewest, super::MOST_CORNERS)?;
        entries.iter().map(|entry| self.corner(entry)).collect()
    }

    /// The point named here.
    pub(super) fn named(&self, written: &Written<'_>) -> Result<Place, Complaint> {
        let name = written.name()?;
        let found = self.plan.points.iter().find(|point| point.name == name);
        match found {
            Some(point) => Ok(point.at.clone()),
            None => Err(written.complain(Problem::NoSuch {
                what: "point",
                name,
            })),
        }
    }

    fn on_leg(&mut self, written: &Written<'_>) -> Result<Place, Complaint> {
        let object = written.object(&["leg", "along", "left", "right"])?;
        let leg = self.leg(&object.required("leg")?)?;
        let along = self.length(&object, "along", -FARTHEST, FARTHEST)?;
        let across = self.sideways(&object)?.unwrap_or_default();
        let Some(leg) = self.legs.get(leg) else {
            return Err(object.complain("leg", Problem::Missing));
        };
        Ok(leg.place(&along, &across))
    }

    /// The position of the leg named here.
    pub(super) fn leg(&self, written: &Written<'_>) -> Result<usize, Complaint> {
        let name = written.name()?;
        let position = self.legs.iter().position(|leg| leg.id == name);
        position.ok_or_else(|| written.complain(Problem::NoSuch { what: "leg", name }))
    }

    fn off_baseline(&mut self, written: &Written<'_>) -> Result<Place, Complaint> {
        let object = written.object(&["from", "to", "along", "left", "right"])?;
        let from = self.named(&object.required("from")?)?;
        let to = self.named(&object.required("to")?)?;
        let direction = to.minus(&from).unit();
        if direction.at() == [0.0, 0.0] {
            let why = "the two points of the baseline lie in the same place: name two others";
            return Err(object.complain("to", Problem::Senseless(why)));
        }
        let along = self.length(&object, "along", -FARTHEST, FARTHEST)?;
        let across = self.sideways(&object)?.unwrap_or_default();
        let foot = from.plus(&direction.product(&along));
        Ok(foot.plus(&direction.turned_left().product(&across)))
    }
}

const CORNER: &str = "the name of a point, [x, y], {\"leg\", \"along\", \"left\"} or {\"from\", \"to\", \"along\", \"left\"}";
const NO_SPREAD: &str =
    "no spread: write {\"is\": …, \"spread\": …}, or \"spread\" for the whole file";
const NO_ANGLE_SPREAD: &str =
    "no spread: write {\"is\": …, \"spread\": …}, or \"angle_spread\" for the whole file";

/// `[x, y]`: where it is drawn, without any doubt about it.
fn drawn(written: &Written<'_>) -> Result<Place, Complaint> {
    let pair = written.list(2, 2)?;
    let mut values = [0.0; 2];
    for (value, entry) in values.iter_mut().zip(&pair) {
        *value = entry.number(-FARTHEST, FARTHEST)?;
    }
    Ok(Place::exact(values[0], values[1]))
}

/// `z: [low, high]` with `z_spread`; everything from the ground up where it is not there.
pub(super) fn heights(object: &Object<'_>) -> Result<Heights, Complaint> {
    let spread = object.number("z_spread", 0.0, 120.0)?.unwrap_or(0.0);
    let Some(written) = object.optional("z") else {
        return Ok(Heights::ALL);
    };
    let [low, high] = range(&written)?;
    Ok(Heights { low, high, spread })
}

/// `[low, high]` in inches above the ground, low first.
pub(super) fn range(written: &Written<'_>) -> Result<[f64; 2], Complaint> {
    let pair = written.list(2, 2)?;
    let mut values = [0.0; 2];
    for (value, entry) in values.iter_mut().zip(&pair) {
        *value = entry.number(-FARTHEST, SKY)?;
    }
    if values[0] >= values[1] {
        let why = "the first height must be below the second: write [low, high]";
        return Err(written.complain(Problem::Senseless(why)));
    }
    Ok(values)
}

/// `removable` with its `trouble`.
pub(super) fn removal(object: &Object<'_>) -> Result<Option<Removal>, Complaint> {
    let removable = match object.optional("removable") {
        Some(written) => written.truth()?,
        None => false,
    };
    let trouble = object.number("trouble", 0.0, 1e6)?;
    match (removable, trouble) {
        (true, Some(trouble)) => Ok(Some(Removal { trouble })),
        (true, None) => Err(object.complain("trouble", Problem::Missing)),
        (false, Some(_)) => {
            let why = "trouble without \"removable\": true: add it, or leave trouble out";
            Err(object.complain("trouble", Problem::Senseless(why)))
        }
        (false, None) => Ok(None),
    }
}
