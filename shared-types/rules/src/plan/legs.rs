//! A plan from legs: the way in walked with a tape, each leg a line with a width to its left and right.
//!
//! Leg after leg is laid end to end, turned by what was measured; the first runs along +x from (0, 0). At a turn the
//! walls of two legs are carried on to where they meet; where they would meet far away (hardly any turn but another
//! width) the wall steps across instead. The corridor is closed at both ends: outside it nothing is known, so nothing
//! may be rolled there.

use super::corridor::Corridor;
use super::model::{Barrier, BarrierKind, Heights, Sweep};
use super::on_leg::{read_gate, read_thing};
use super::read::{Builder, Measure};
use super::ring::{TOUCHES, cross};
use super::traced::{Place, Traced};
use super::{FARTHEST, MOST_FEATURES, MOST_LEGS};
use crate::document::{Complaint, Object, Place as Written, Problem};

/// Thickness given to the walls of a corridor, outwards; nobody measures it and nothing depends on it.
pub(super) const WALL: f64 = 4.0;
/// From this turn on walls always run on to where they meet, degrees.
const CORNER: f64 = 30.0;
const TOO_FAR: &str = "this leg ends more than a mile from where the first one starts";
/// The sharpest turn: a hairpin is two turns.
const SHARPEST: f64 = 150.0;

/// One leg as laid.
#[derive(Clone, Debug)]
pub(super) struct Leg {
    /// What it is called.
    pub id: String,
    /// Width left of the line.
    pub left: Traced,
    /// Width right of the line.
    pub right: Traced,
    length: Traced,
    /// The turn at its end, degrees, left positive.
    turn: Traced,
    start: Place,
    /// The way of length 1 along it.
    along: Place,
}

impl Leg {
    /// A place by its distance along the leg and to the left of it.
    pub(super) fn place(&self, along: &Traced, left: &Traced) -> Place {
        let foot = self.start.plus(&self.along.product(along));
        foot.plus(&self.along.turned_left().product(left))
    }

    /// Its length.
    pub(super) fn length(&self) -> f64 {
        self.length.value
    }

    /// How sure its widths are, inches.
    pub(super) fn unsure(&self) -> f64 {
        self.left.spread().max(self.right.spread())
    }

    /// The way of length 1 along it.
    pub(super) fn ahead(&self) -> &Place {
        &self.along
    }

    fn end(&self) -> Place {
        self.start.plus(&self.along.product(&self.length))
    }

    /// The offset of one of its walls, left positive.
    pub(super) fn offset(&self, side: Sweep) -> Traced {
        match side {
            Sweep::Left => self.left.clone(),
            _ => self.right.times(-1.0),
        }
    }
}

const KEYS: &[&str] = &["id", "left", "right", "length", "turn", "gates", "things"];

/// Reads legs and lays them; what lies on them becomes walls, openings and obstacles of the plan.
pub(super) fn lay(builder: &mut Builder, written: &Written<'_>) -> Result<(), Complaint> {
    let entries = written.list(1, MOST_LEGS)?;
    let mut heading = Traced::exact(0.0);
    let mut start = Place::exact(0.0, 0.0);
    for (index, entry) in entries.iter().enumerate() {
        let object = entry.object(KEYS)?;
        let last = index + 1 == entries.len();
        let leg = leg(builder, &object, last, &start, &heading)?;
        start = leg.end();
        if start.at().iter().any(|value| value.abs() > FARTHEST) {
            return Err(object.complain("length", Problem::Senseless(TOO_FAR)));
        }
        heading = heading.plus(&leg.turn);
        builder.legs.push(leg);
    }
    walls(builder);
    builder.corridor = corridor(builder);
    for (index, entry) in entries.iter().enumerate() {
        let object = entry.object(KEYS)?;
        for gate in object.entries("gates", MOST_FEATURES)? {
            read_gate(builder, index, &gate)?;
        }
        for thing in object.entries("things", MOST_FEATURES)? {
            read_thing(builder, index, &thing)?;
        }
    }
    Ok(())
}

fn leg(
    builder: &mut Builder,
    object: &Object<'_>,
    last: bool,
    start: &Place,
    heading: &Traced,
) -> Result<Leg, Complaint> {
    let written = object.required("id")?;
    let id = written.name()?;
    if builder.legs.iter().any(|leg| leg.id == id) {
        return Err(written.complain(Problem::Taken(id)));
    }
    let turn = match object.optional("turn") {
        Some(written) if last => {
            let why = "no leg follows this one: leave the turn out, or add the leg";
            return Err(written.complain(Problem::Senseless(why)));
        }
        Some(written) => builder.reading(&written, Measure::Angle, -SHARPEST, SHARPEST)?,
        None => Traced::exact(0.0),
    };
    Ok(Leg {
        id,
        left: builder.length(object, "left", 1.0, FARTHEST)?,
        right: builder.length(object, "right", 1.0, FARTHEST)?,
        length: builder.length(object, "length", 1.0, FARTHEST)?,
        turn,
        start: start.clone(),
        along: heading.direction(),
    })
}

/// The walls of all legs, and the two ends.
fn walls(builder: &mut Builder) {
    for side in [Sweep::Left, Sweep::Right] {
        let lines = wall_lines(&builder.legs, side);
        for (index, line) in lines.into_iter().enumerate() {
            let word = if side == Sweep::Left { "left" } else { "right" };
            let id = builder
                .legs
                .get(index)
                .map_or(String::new(), |leg| format!("{} {word}", leg.id));
            builder.plan.barriers.push(wall(id, line, side));
        }
    }
    if let Some(first) = builder.legs.first() {
        let zero = Traced::exact(0.0);
        let line = [Sweep::Left, Sweep::Right].map(|side| first.place(&zero, &first.offset(side)));
        let end = wall(format!("{} start", first.id), line.to_vec(), Sweep::Right);
        builder.plan.barriers.push(end);
    }
    if let Some(last) = builder.legs.last() {
        let line =
            [Sweep::Left, Sweep::Right].map(|side| last.place(&last.length, &last.offset(side)));
        let end = wall(format!("{} end", last.id), line.to_vec(), Sweep::Left);
        builder.plan.barriers.push(end);
    }
}

fn wall(id: String, line: Vec<Place>, sweep: Sweep) -> Barrier {
    Barrier {
        id,
        kind: BarrierKind::Wall,
        line,
        thickness: WALL,
        sweep,
        heights: Heights::ALL,
        removal: None,
    }
}

/// For every leg, its wall on one side from where it begins to where it ends.
fn wall_lines(legs: &[Leg], side: Sweep) -> Vec<Vec<Place>> {
    let mut lines = Vec::new();
    let mut begin: Vec<Place> = (legs.first().into_iter())
        .map(|leg| leg.place(&Traced::exact(0.0), &leg.offset(side)))
        .collect();
    for (index, leg) in legs.iter().enumerate() {
        let mut line = begin;
        match legs.get(index + 1) {
            Some(next) => {
                let (end, then) = joint(leg, next, side);
                line.push(end.clone());
                begin = vec![end];
                begin.extend(then);
            }
            None => {
                line.push(leg.place(&leg.length, &leg.offset(side)));
                begin = Vec::new();
            }
        }
        lines.push(line);
    }
    lines
}

/// Where the wall of a leg ends, and where the next leg's begins if that is not the same place.
///
/// With offsets o and p and the turn θ the walls meet at t = (o·cosθ − p)/sinθ past the turning point along the first
/// leg and u = (o − p·cosθ)/sinθ along the second (both lines crossed with each other's normal; derived).
fn joint(leg: &Leg, next: &Leg, side: Sweep) -> (Place, Option<Place>) {
    let (o, p) = (leg.offset(side), next.offset(side));
    let turned = leg.turn.direction();
    let (cosine, sine) = (turned.x, turned.y);
    let step = || {
        let end = leg.place(&leg.length, &o);
        (end, Some(next.place(&Traced::exact(0.0), &p)))
    };
    if sine.value == 0.0 {
        let (end, begin) = step();
        let same = begin.as_ref().is_some_and(|begin| begin.at() == end.at());
        return if same { (end, None) } else { (end, begin) };
    }
    let past = o.product(&cosine).minus(&p).over(&sine);
    let into = o.minus(&p.product(&cosine)).over(&sine);
    let reach = o.value.abs() + p.value.abs();
    let reach = if leg.turn.value.abs() >= CORNER {
        4.0 * reach
    } else {
        0.3 * reach
    };
    let inside = past.value > -leg.length.value && into.value < next.length.value;
    if inside && past.value.abs() <= reach && into.value.abs() <= reach {
        (leg.place(&leg.length.plus(&past), &o), None)
    } else {
        step()
    }
}

/// Whether a leg has its walls on both sides at a station, or within so many inches of it: at a corner they end, or begin, where those of the next leg
/// meet them.
pub(super) fn has_walls_at(legs: &[Leg], index: usize, along: f64, unsure: f64) -> bool {
    let Some(leg) = legs.get(index) else {
        return false;
    };
    let (start, ahead) = (leg.start.at(), leg.along.at());
    let station = |place: &Place| {
        let [x, y] = place.at();
        (x - start[0]) * ahead[0] + (y - start[1]) * ahead[1]
    };
    [Sweep::Left, Sweep::Right].into_iter().all(|side| {
        let lines = wall_lines(legs, side);
        // Before its own wall a line may hold a step from where the last leg's wall ended.
        let own = lines.get(index).and_then(|line| line.last_chunk::<2>());
        own.is_some_and(|[from, to]| {
            let within = unsure + TOUCHES;
            station(from) <= along + within && along <= station(to) + within
        })
    })
}

/// The ground between the walls, where the legs do not cross.
fn corridor(builder: &Builder) -> Option<Corridor> {
    let lines = |side| wall_lines(&builder.legs, side);
    crossing_legs(builder)
        .is_none()
        .then(|| Corridor::between(&lines(Sweep::Left), &lines(Sweep::Right)))
}

/// Two legs whose walls cross although they do not follow each other: something was written down wrong.
pub(super) fn crossing_legs(builder: &Builder) -> Option<(String, String)> {
    let mut pieces: Vec<(usize, [f64; 2], [f64; 2])> = Vec::new();
    for side in [Sweep::Left, Sweep::Right] {
        for (index, line) in wall_lines(&builder.legs, side).iter().enumerate() {
            for (from, to) in line.iter().zip(line.iter().skip(1)) {
                pieces.push((index, from.at(), to.at()));
            }
        }
    }
    for (k, (one, a, b)) in pieces.iter().enumerate() {
        for (other, c, d) in pieces.iter().skip(k + 1) {
            if cross((*a, *b), (*c, *d)) {
                let name = |index: &usize| builder.legs.get(*index).map(|leg| leg.id.clone());
                return name(one).zip(name(other));
            }
        }
    }
    None
}
