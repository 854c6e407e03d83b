//! Reads a network file. The format is documented in `tests/examples/route/README.md`.

use super::model::{
    Clearance, Fault, Frame, Measured, Parts, Reading, Side, SideOf, Tape, TapeNetwork, Target,
};
use super::{FARTHEST, LEAST_SPREAD, MOST_POINTS, MOST_READINGS, MOST_SPREAD};
use crate::document::{Complaint, Node, Object, Place, Problem, parse};

/// The keys of a network.
pub(crate) const KEYS: &[&str] = &[
    "name",
    "note",
    "units",
    "angle_units",
    "points",
    "frame",
    "tapes",
    "spread",
    "distances",
    "squares",
    "straights",
    "offsets",
    "sides",
    "clearances",
    "cannot_tape",
];

/// Reads a network file.
///
/// # Errors
/// [`Complaint`] names the key and says what is wrong with it.
pub fn read(text: &str) -> Result<TapeNetwork, Complaint> {
    from_place(&Place::root(&parse(text)?))
}

/// Reads a network that stands at a place of a larger document.
pub(crate) fn from_place(place: &Place<'_>) -> Result<TapeNetwork, Complaint> {
    let object = place.object(KEYS)?;
    units(&object)?;
    let mut reader = Reader::new(&object)?;
    for entry in object.entries("distances", MOST_READINGS)? {
        reader.distance(&entry)?;
    }
    for entry in object.entries("squares", MOST_READINGS)? {
        reader.square(&entry)?;
    }
    for entry in object.entries("straights", MOST_READINGS)? {
        reader.straight(&entry)?;
    }
    for entry in object.entries("offsets", MOST_READINGS)? {
        reader.offset(&entry)?;
    }
    for entry in object.entries("sides", MOST_READINGS)? {
        reader.side(&entry)?;
    }
    for entry in object.entries("clearances", MOST_READINGS)? {
        reader.clearance(&entry)?;
    }
    for entry in object.entries("cannot_tape", MOST_POINTS * MOST_POINTS)? {
        let pair = reader.pair(&entry)?;
        reader.parts.cannot_tape.push(pair);
    }
    TapeNetwork::new(reader.parts).map_err(|fault| place.complain(faulty(&fault)))
}

/// What the reader's own checks let through.
fn faulty(fault: &Fault) -> Problem {
    match fault {
        Fault::Size => Problem::Count {
            fewest: 2,
            most: MOST_READINGS,
        },
        Fault::Reference(name) => Problem::NoSuch {
            what: "second point beside",
            name: name.clone(),
        },
        Fault::Number(_) => Problem::Outside {
            least: LEAST_SPREAD,
            most: FARTHEST,
        },
    }
}

/// Units are stated so that nobody has to guess; only these are read.
pub(crate) fn units(object: &Object<'_>) -> Result<(), Complaint> {
    if let Some(units) = object.optional("units") {
        units.choice(&[("in", ())])?;
    }
    if let Some(units) = object.optional("angle_units") {
        units.choice(&[("deg", ())])?;
    }
    Ok(())
}

struct Reader {
    parts: Parts,
    /// The spread of readings that state none.
    spread: Option<f64>,
    /// For each tape, the spread of its readings.
    tape_spreads: Vec<Option<f64>>,
}

impl Reader {
    fn new(object: &Object<'_>) -> Result<Self, Complaint> {
        let mut reader = Self {
            parts: Parts {
                name: object.text("name")?,
                ..Parts::default()
            },
            spread: object.number("spread", LEAST_SPREAD, MOST_SPREAD)?,
            tape_spreads: Vec::new(),
        };
        object.text("note")?;
        for entry in object.required("points")?.list(2, MOST_POINTS)? {
            let name = entry.name()?;
            if reader.parts.points.contains(&name) {
                return Err(entry.complain(Problem::Taken(name)));
            }
            reader.parts.points.push(name);
        }
        for entry in object.entries("tapes", MOST_POINTS)? {
            reader.tape(&entry)?;
        }
        if let Some(place) = object.optional("frame") {
            let frame = place.object(&["origin", "along"])?;
            reader.parts.frame = Frame {
                origin: reader.point(&frame.required("origin")?)?,
                along: reader.point(&frame.required("along")?)?,
            };
            if reader.parts.frame.origin == reader.parts.frame.along {
                return Err(frame.complain("along", SAME_POINT));
            }
        }
        let of_tapes = reader.tape_spreads.iter().flatten().copied().next();
        reader.parts.usual_spread = reader.spread.or(of_tapes).unwrap_or(0.5);
        Ok(reader)
    }

    fn tape(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let tape = place.object(&["id", "spread", "zero_spread", "scale_spread"])?;
        let name = tape.required("id")?.name()?;
        if self.parts.tapes.iter().any(|known| known.name == name) {
            return Err(tape.complain("id", Problem::Taken(name)));
        }
        self.parts.tapes.push(Tape {
            name,
            zero_spread: tape.number("zero_spread", 0.0, 120.0)?.unwrap_or(0.0),
            scale_spread: tape.number("scale_spread", 0.0, 0.2)?.unwrap_or(0.0),
        });
        self.tape_spreads
            .push(tape.number("spread", LEAST_SPREAD, MOST_SPREAD)?);
        Ok(())
    }

    /// The position of the point named here.
    fn point(&self, place: &Place<'_>) -> Result<usize, Complaint> {
        let name = place.name()?;
        let position = self.parts.points.iter().position(|known| *known == name);
        position.ok_or_else(|| {
            place.complain(Problem::NoSuch {
                what: "point",
                name,
            })
        })
    }

    fn pair(&self, place: &Place<'_>) -> Result<(usize, usize), Complaint> {
        let points = self.points(place, 2, 2)?;
        match points.as_slice() {
            [a, b] => Ok((*a, *b)),
            _ => Err(place.complain(Problem::Count { fewest: 2, most: 2 })),
        }
    }

    /// A list of points, all different.
    fn points(
        &self,
        place: &Place<'_>,
        fewest: usize,
        most: usize,
    ) -> Result<Vec<usize>, Complaint> {
        let mut points = Vec::new();
        for entry in place.list(fewest, most)? {
            let point = self.point(&entry)?;
            if points.contains(&point) {
                return Err(entry.complain(SAME_POINT));
            }
            points.push(point);
        }
        Ok(points)
    }

    fn tape_of(&self, object: &Object<'_>) -> Result<Option<usize>, Complaint> {
        let Some(place) = object.optional("tape") else {
            return Ok(None);
        };
        let name = place.name()?;
        let position = self.parts.tapes.iter().position(|tape| tape.name == name);
        match position {
            Some(position) => Ok(Some(position)),
            None => Err(place.complain(Problem::NoSuch { what: "tape", name })),
        }
    }

    /// The spread stated, or the tape's, or the file's.
    fn spread_of(&self, object: &Object<'_>, tape: Option<usize>) -> Result<f64, Complaint> {
        let own = object.number("spread", LEAST_SPREAD, MOST_SPREAD)?;
        let of_tape = tape.and_then(|tape| self.tape_spreads.get(tape).copied().flatten());
        own.or(of_tape).or(self.spread).ok_or_else(|| {
            let why = "no spread: give one here, for its tape, or \"spread\" for the whole file";
            object.complain("spread", Problem::Senseless(why))
        })
    }

    /// The id stated, or one made of the kind and the points.
    fn id_of(&self, object: &Object<'_>, made: String) -> Result<String, Complaint> {
        let Some(place) = object.optional("id") else {
            let mut id = made.clone();
            let mut again = 2;
            while self.is_taken(&id) {
                id = format!("{made} ({again})");
                again += 1;
            }
            return Ok(id);
        };
        let id = place.name()?;
        if self.is_taken(&id) {
            return Err(place.complain(Problem::Taken(id)));
        }
        Ok(id)
    }

    fn is_taken(&self, id: &str) -> bool {
        let of_offset = |known: &str| {
            let rest = known.strip_prefix(id);
            matches!(rest, Some("" | " along" | " across"))
        };
        self.parts
            .readings
            .iter()
            .any(|reading| of_offset(&reading.id))
    }

    fn named(&self, points: &[usize]) -> String {
        let names: Vec<&str> = (points.iter())
            .filter_map(|point| self.parts.points.get(*point))
            .map(String::as_str)
            .collect();
        names.join("-")
    }

    fn push(&mut self, place: &Place<'_>, reading: Reading) -> Result<(), Complaint> {
        if self.parts.readings.len() >= MOST_READINGS {
            let most = MOST_READINGS;
            return Err(place.complain(Problem::Count { fewest: 0, most }));
        }
        self.parts.readings.push(reading);
        Ok(())
    }

    fn distance(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let object = place.object(&["id", "from", "to", "is", "spread", "tape"])?;
        let from = self.point(&object.required("from")?)?;
        let to = self.point(&object.required("to")?)?;
        if from == to {
            return Err(object.complain("to", SAME_POINT));
        }
        let tape = self.tape_of(&object)?;
        let reading = Reading {
            id: self.id_of(&object, self.named(&[from, to]))?,
            measured: Measured::Distance { from, to },
            value: object.required("is")?.number(LEAST_SPREAD, FARTHEST)?,
            spread: self.spread_of(&object, tape)?,
            tape,
        };
        self.push(place, reading)
    }

    fn square(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let object = place.object(&["id", "at", "between", "spread"])?;
        let at = self.point(&object.required("at")?)?;
        let between = object.required("between")?;
        let (first, second) = self.pair(&between)?;
        if at == first || at == second {
            return Err(between.complain(SAME_POINT));
        }
        let spread = object.required("spread")?.number(LEAST_SPREAD, 45.0)?;
        let made = format!("square {}", self.named(&[first, at, second]));
        let reading = Reading {
            id: self.id_of(&object, made)?,
            measured: Measured::Square { at, first, second },
            value: 0.0,
            spread,
            tape: None,
        };
        self.push(place, reading)
    }

    /// Points on a line: the first and the last make it, each between lies on it within the spread.
    fn straight(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let object = place.object(&["id", "points", "spread"])?;
        let points = self.points(&object.required("points")?, 3, MOST_POINTS)?;
        let spread = self.spread_of(&object, None)?;
        let (Some(from), Some(to)) = (points.first().copied(), points.last().copied()) else {
            return Ok(());
        };
        let stated = object.optional("id").map(|id| id.name()).transpose()?;
        for point in points.iter().copied().skip(1).take(points.len() - 2) {
            let made = match &stated {
                Some(id) => format!("{id} {}", self.named(&[point])),
                None => format!("straight {}", self.named(&[from, point, to])),
            };
            if self.is_taken(&made) {
                return Err(object.complain("id", Problem::Taken(made)));
            }
            let reading = Reading {
                id: made,
                measured: Measured::Straight { from, to, point },
                value: 0.0,
                spread,
                tape: None,
            };
            self.push(place, reading)?;
        }
        Ok(())
    }

    /// A point off a baseline: how far along, and how far left or right; either may be left out.
    fn offset(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let keys = [
            "id", "point", "from", "to", "along", "left", "right", "spread", "tape",
        ];
        let object = place.object(&keys)?;
        let point = self.point(&object.required("point")?)?;
        let from = self.point(&object.required("from")?)?;
        let to = self.point(&object.required("to")?)?;
        if from == to || point == from || point == to {
            return Err(object.complain("point", SAME_POINT));
        }
        let along = object.number("along", -FARTHEST, FARTHEST)?;
        let left = object.number("left", 0.0, FARTHEST)?;
        let right = object.number("right", 0.0, FARTHEST)?;
        if left.is_some() && right.is_some() {
            let why = "a point is left of the line or right of it: keep one";
            return Err(object.complain("right", Problem::Senseless(why)));
        }
        let across = left.or(right.map(|right| -right));
        if along.is_none() && across.is_none() {
            return Err(object.complain("along", Problem::Missing));
        }
        let tape = self.tape_of(&object)?;
        let spread = self.spread_of(&object, tape)?;
        let made = format!("offset {}", self.named(&[point]));
        let id = self.id_of(&object, made)?;
        let measured = [
            (along, "along", Measured::Along { from, to, point }),
            (across, "across", Measured::Across { from, to, point }),
        ];
        for (value, kind, measured) in measured {
            if let Some(value) = value {
                let reading = Reading {
                    id: format!("{id} {kind}"),
                    measured,
                    value,
                    spread,
                    tape,
                };
                self.push(place, reading)?;
            }
        }
        Ok(())
    }

    fn side(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let object = place.object(&["point", "from", "to", "side"])?;
        let side = SideOf {
            point: self.point(&object.required("point")?)?,
            from: self.point(&object.required("from")?)?,
            to: self.point(&object.required("to")?)?,
            side: object
                .required("side")?
                .choice(&[("left", Side::Left), ("right", Side::Right)])?,
        };
        if side.from == side.to || side.point == side.from || side.point == side.to {
            return Err(object.complain("point", SAME_POINT));
        }
        self.parts.sides.push(side);
        Ok(())
    }

    fn clearance(&mut self, place: &Place<'_>) -> Result<(), Complaint> {
        let object = place.object(&["id", "from", "to", "need"])?;
        let id = object.required("id")?.name()?;
        if self.parts.clearances.iter().any(|known| known.id == id) {
            return Err(object.complain("id", Problem::Taken(id)));
        }
        let from = self.point(&object.required("from")?)?;
        let end = object.required("to")?;
        let to = match end.node() {
            Node::List(_) => {
                let (a, b) = self.pair(&end)?;
                Target::Line(a, b)
            }
            _ => Target::Point(self.point(&end)?),
        };
        let meets_itself = match to {
            Target::Point(to) => to == from,
            Target::Line(a, b) => a == from || b == from,
        };
        if meets_itself {
            return Err(end.complain(SAME_POINT));
        }
        self.parts.clearances.push(Clearance {
            id,
            from,
            to,
            need: object.number("need", 0.0, FARTHEST)?,
        });
        Ok(())
    }
}

const SAME_POINT: Problem = Problem::Senseless("the same point again: name another one");
