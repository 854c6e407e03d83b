//! Reads what a plan has besides its points: walls, openings, obstacles, zones, wires, marks, levels, stands, the unit.

use super::model::{
    Barrier, BarrierKind, Eave, Level, Mark, Obstacle, Opening, OverheadLine, Shape, Stand, Sweep,
    Unit, Zone, ZoneKind,
};
use super::read::{Builder, heights, range, removal};
use super::ring::{RingFault, check_ring};
use super::traced::{Place, Traced, distance};
use super::{FARTHEST, MOST_FEATURES};
use crate::document::{Complaint, Node, Object, Place as Written, Problem};

impl Builder {
    /// The id of a feature; no other has it.
    pub(super) fn feature_id(&self, object: &Object<'_>) -> Result<String, Complaint> {
        let written = object.required("id")?;
        let id = written.name()?;
        let plan = &self.plan;
        let taken = (plan.barriers.iter().map(|f| &f.id))
            .chain(plan.openings.iter().map(|f| &f.id))
            .chain(plan.obstacles.iter().map(|f| &f.id))
            .chain(plan.zones.iter().map(|f| &f.id))
            .chain(plan.lines.iter().map(|f| &f.id))
            .chain(plan.marks.iter().map(|f| &f.id))
            .any(|known| *known == id);
        if taken {
            return Err(written.complain(Problem::Taken(id)));
        }
        Ok(id)
    }

    /// Reads everything that stands, hangs or lies in the yard.
    pub(super) fn features(&mut self, object: &Object<'_>) -> Result<(), Complaint> {
        for (key, kind) in [("walls", BarrierKind::Wall), ("fences", BarrierKind::Fence)] {
            for entry in object.entries(key, MOST_FEATURES)? {
                let barrier = self.barrier(&entry, kind)?;
                self.plan.barriers.push(barrier);
            }
        }
        for entry in object.entries("openings", MOST_FEATURES)? {
            let opening = self.opening(&entry)?;
            self.plan.openings.push(opening);
        }
        for entry in object.entries("obstacles", MOST_FEATURES)? {
            let obstacle = self.obstacle(&entry)?;
            self.plan.obstacles.push(obstacle);
        }
        for entry in object.entries("zones", MOST_FEATURES)? {
            let zone = self.zone(&entry)?;
            self.plan.zones.push(zone);
        }
        for entry in object.entries("lines", MOST_FEATURES)? {
            let line = self.line(&entry)?;
            self.plan.lines.push(line);
        }
        for entry in object.entries("marks", MOST_FEATURES)? {
            let mark = self.mark(&entry)?;
            self.plan.marks.push(mark);
        }
        for entry in object.entries("levels", MOST_FEATURES)? {
            let level = self.level(&entry)?;
            self.plan.levels.push(level);
        }
        Ok(())
    }

    fn barrier(&mut self, written: &Written<'_>, kind: BarrierKind) -> Result<Barrier, Complaint> {
        let keys = [
            "id",
            "line",
            "thickness",
            "side",
            "z",
            "z_spread",
            "removable",
            "trouble",
        ];
        let object = written.object(&keys)?;
        let barrier = Barrier {
            id: self.feature_id(&object)?,
            kind,
            line: self.polyline(&object.required("line")?)?,
            thickness: object.required("thickness")?.number(0.1, 1_200.0)?,
            sweep: match object.optional("side") {
                Some(side) => side.choice(&[
                    ("middle", Sweep::Middle),
                    ("left", Sweep::Left),
                    ("right", Sweep::Right),
                ])?,
                None => Sweep::Middle,
            },
            heights: heights(&object)?,
            removal: removal(&object)?,
        };
        if barrier.removal.is_some() && barrier.line.len() > 2 {
            let why = "what can be removed is one straight panel: write each panel by itself";
            return Err(object.complain("line", Problem::Senseless(why)));
        }
        Ok(barrier)
    }

    /// A line of at least two corners, none on the one before it.
    fn polyline(&mut self, written: &Written<'_>) -> Result<Vec<Place>, Complaint> {
        let line = self.corners(written, 2)?;
        for (from, to) in line.iter().zip(line.iter().skip(1)) {
            if distance(from, to).value <= 1e-3 {
                let why = "two corners in a row lie in the same place: leave one out";
                return Err(written.complain(Problem::Senseless(why)));
            }
        }
        Ok(line)
    }

    /// A ring of corners that crosses itself nowhere.
    fn ring(&mut self, written: &Written<'_>) -> Result<Vec<Place>, Complaint> {
        let ring = self.corners(written, 3)?;
        check_places(&ring).map_err(|fault| written.complain(ring_problem(fault)))?;
        Ok(ring)
    }

    fn opening(&mut self, written: &Written<'_>) -> Result<Opening, Complaint> {
        let object = written.object(&["id", "between", "headroom"])?;
        let id = self.feature_id(&object)?;
        let sides = object.required("between")?;
        let ends = self.corners(&sides, 2)?;
        let [left, right] = ends.as_slice() else {
            return Err(sides.complain(Problem::Count { fewest: 2, most: 2 }));
        };
        let width = distance(left, right);
        if width.value <= 1e-3 {
            let why = "an opening of no width: name two different sides";
            return Err(sides.complain(Problem::Senseless(why)));
        }
        Ok(Opening {
            id,
            width,
            between: [left.clone(), right.clone()],
            headroom: self.optional_length(&object, "headroom", 1.0, FARTHEST)?,
        })
    }

    fn obstacle(&mut self, written: &Written<'_>) -> Result<Obstacle, Complaint> {
        let keys = [
            "id",
            "kind",
            "at",
            "diameter",
            "ring",
            "z",
            "z_spread",
            "removable",
            "trouble",
        ];
        let object = written.object(&keys)?;
        let id = self.feature_id(&object)?;
        let shape = match (object.optional("ring"), object.optional("diameter")) {
            (Some(ring), None) => Shape::Ring(self.ring(&ring)?),
            (None, Some(_)) => Shape::Round {
                centre: self.corner(&object.required("at")?)?,
                radius: self.length(&object, "diameter", 0.1, FARTHEST)?.times(0.5),
            },
            (Some(_), Some(_)) => {
                let why = "round with a diameter, or a ring of corners: keep one";
                return Err(object.complain("diameter", Problem::Senseless(why)));
            }
            (None, None) => return Err(object.complain("ring", Problem::Missing)),
        };
        if matches!(shape, Shape::Ring(_)) && object.optional("at").is_some() {
            let why = "a ring says where it is: leave \"at\" out";
            return Err(object.complain("at", Problem::Senseless(why)));
        }
        Ok(Obstacle {
            id,
            kind: object.text("kind")?,
            shape,
            heights: heights(&object)?,
            removal: removal(&object)?,
        })
    }

    fn zone(&mut self, written: &Written<'_>) -> Result<Zone, Complaint> {
        let object = written.object(&["id", "kind", "ring", "no_go", "eave", "ridge"])?;
        let id = self.feature_id(&object)?;
        let kind = object.required("kind")?.choice(&[
            ("street", ZoneKind::Street),
            ("drive", ZoneKind::Drive),
            ("lawn", ZoneKind::Lawn),
            ("patio", ZoneKind::Patio),
            ("beds", ZoneKind::Beds),
            ("easement", ZoneKind::Easement),
            ("septic", ZoneKind::Septic),
            ("house", ZoneKind::House),
        ])?;
        let no_go = match object.optional("no_go") {
            Some(written) => written.truth()?,
            None => matches!(kind, ZoneKind::Septic | ZoneKind::House),
        };
        if kind == ZoneKind::House && !no_go {
            let why =
                "a house stands in the way: leave it out, or name the part that is open a patio";
            return Err(object.complain("no_go", Problem::Senseless(why)));
        }
        let eave = object
            .optional("eave")
            .map(|eave| eave_of(&eave))
            .transpose()?;
        let ridge = object.number("ridge", 1.0, FARTHEST)?;
        if kind != ZoneKind::House && (eave.is_some() || ridge.is_some()) {
            let key = if eave.is_some() { "eave" } else { "ridge" };
            return Err(object.complain(key, Problem::Senseless("only a house has one")));
        }
        let ring = self.ring(&object.required("ring")?)?;
        Ok(Zone {
            id,
            kind,
            ring,
            no_go,
            eave,
            ridge,
        })
    }

    fn line(&mut self, written: &Written<'_>) -> Result<OverheadLine, Complaint> {
        let object = written.object(&["id", "kind", "line", "height", "spread", "keep_off"])?;
        Ok(OverheadLine {
            id: self.feature_id(&object)?,
            kind: object.text("kind")?,
            line: self.polyline(&object.required("line")?)?,
            height: object.required("height")?.number(1.0, FARTHEST)?,
            spread: object.required("spread")?.number(0.0, 1_200.0)?,
            keep_off: object.number("keep_off", 0.5, FARTHEST)?.unwrap_or(0.5),
        })
    }

    fn mark(&mut self, written: &Written<'_>) -> Result<Mark, Complaint> {
        let object = written.object(&["id", "kind", "line"])?;
        Ok(Mark {
            id: self.feature_id(&object)?,
            kind: object.text("kind")?,
            line: self.polyline(&object.required("line")?)?,
        })
    }

    fn level(&mut self, written: &Written<'_>) -> Result<Level, Complaint> {
        let object = written.object(&["at", "height"])?;
        Ok(Level {
            at: self.corner(&object.required("at")?)?,
            height: self.length(&object, "height", -FARTHEST, FARTHEST)?,
        })
    }

    /// Where something stands and which way it points.
    pub(super) fn stand(&mut self, written: &Written<'_>) -> Result<Stand, Complaint> {
        let object = written.object(&["at", "heading", "towards"])?;
        let at = self.corner(&object.required("at")?)?;
        let ahead = match (object.optional("heading"), object.optional("towards")) {
            (Some(heading), None) => self.heading(&heading)?,
            (None, Some(towards)) => {
                let way = self.corner(&towards)?.minus(&at);
                if way.at() == [0.0, 0.0] {
                    let why = "it stands there: name another corner, or give \"heading\"";
                    return Err(towards.complain(Problem::Senseless(why)));
                }
                (degrees_of(&way), way.unit())
            }
            (Some(_), Some(_)) => {
                let why = "\"heading\" says it already: keep one";
                return Err(object.complain("towards", Problem::Senseless(why)));
            }
            (None, None) => return Err(object.complain("heading", Problem::Missing)),
        };
        let (heading, ahead) = ahead;
        Ok(Stand { at, heading, ahead })
    }

    /// A heading: so many degrees, or `{leg}`, the way that a leg runs.
    fn heading(&self, written: &Written<'_>) -> Result<(f64, Place), Complaint> {
        if let Node::Object(_) = written.node() {
            let object = written.object(&["leg"])?;
            let leg = self.leg(&object.required("leg")?)?;
            let ahead = self.legs.get(leg).map(|leg| leg.ahead().clone());
            let ahead = ahead.unwrap_or_default();
            return Ok((degrees_of(&ahead), ahead));
        }
        let degrees = written.number(-360.0, 360.0)?;
        Ok((degrees, Traced::exact(degrees).direction()))
    }
}

fn degrees_of(way: &Place) -> f64 {
    let [x, y] = way.at();
    libm::atan2(y, x) * 180.0 / core::f64::consts::PI
}

/// Checks a ring of traced places.
pub(super) fn check_places(ring: &[Place]) -> Result<(), RingFault> {
    let corners: Vec<[f64; 2]> = ring.iter().map(Place::at).collect();
    check_ring(&corners)
}

fn ring_problem(fault: RingFault) -> Problem {
    Problem::Senseless(match fault {
        RingFault::TooFew => "a ring has at least three corners",
        RingFault::Doubled(_) => "two corners in a row lie in the same place: leave one out",
        RingFault::Crosses(_, _) => "the ring crosses or touches itself: list its corners in order",
        RingFault::Empty => "the ring encloses nothing: its corners lie on one line",
        RingFault::NotFinite => "a corner is too far away to compute with",
    })
}

fn eave_of(written: &Written<'_>) -> Result<Eave, Complaint> {
    let object = written.object(&["overhang", "height", "spread"])?;
    Ok(Eave {
        overhang: object.required("overhang")?.number(0.1, 600.0)?,
        height: object.required("height")?.number(1.0, FARTHEST)?,
        spread: object.required("spread")?.number(0.0, 120.0)?,
    })
}

/// The unit as carried.
pub(super) fn unit(written: &Written<'_>) -> Result<Unit, Complaint> {
    let object = written.object(&["L", "W", "carry_z"])?;
    Ok(Unit {
        length: object.required("L")?.number(1.0, 12_000.0)?,
        width: object.required("W")?.number(1.0, 12_000.0)?,
        carried: object.optional("carry_z").map(|z| range(&z)).transpose()?,
    })
}

/// `[x0, y0, x1, y1]`.
pub(super) fn bounds(written: &Written<'_>) -> Result<[f64; 4], Complaint> {
    let mut values = [0.0; 4];
    for (value, entry) in values.iter_mut().zip(written.list(4, 4)?) {
        *value = entry.number(-FARTHEST, FARTHEST)?;
    }
    if values[0] >= values[2] || values[1] >= values[3] {
        let why = "write [x0, y0, x1, y1] with x0 < x1 and y0 < y1";
        return Err(written.complain(Problem::Senseless(why)));
    }
    Ok(values)
}

/// Named corners of a plan, besides those of a network.
pub(super) fn points(builder: &mut Builder, object: &Object<'_>) -> Result<(), Complaint> {
    for entry in object.entries("points", MOST_FEATURES)? {
        let point = entry.object(&["id", "at"])?;
        let written = point.required("id")?;
        let name = written.name()?;
        if builder.plan.points.iter().any(|known| known.name == name) {
            return Err(written.complain(Problem::Taken(name)));
        }
        let at = builder.corner(&point.required("at")?)?;
        builder.plan.points.push(super::Named { name, at });
    }
    Ok(())
}
