//! A plan from legs: the way in walked with a tape, each leg a line with a width to its left and right.
//!
//! Leg after leg is laid end to end, turned by what was measured; the first runs along +x from (0, 0). At a turn the
//! walls of two legs are carried on to where they meet; where they would meet far away (hardly any turn but another
//! width) the wall steps across instead. The corridor is closed at both ends: outside it nothing is known, so nothing
//! may be rolled there.

use super::model::{Barrier, BarrierKind, Heights, Obstacle, Opening, Shape, Sweep};
use super::read::{Builder, Measure, heights, removal};
use super::ring::cross;
use super::traced::{Place, Traced, distance};
use super::{FARTHEST, MOST_FEATURES, MOST_LEGS};
use crate::document::{Complaint, Object, Place as Written, Problem};

/// Thickness given to the walls of a corridor, outwards; nobody measures it and nothing depends on it.
const WALL: f64 = 4.0;
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
    left: Traced,
    /// Width right of the line.
    right: Traced,
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

    fn end(&self) -> Place {
        self.start.plus(&self.along.product(&self.length))
    }

    /// The offset of one of its walls, left positive.
    fn offset(&self, side: Sweep) -> Traced {
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

/// A gate across a leg: clear between two posts, closed from the posts to the walls.
fn read_gate(builder: &mut Builder, leg: usize, written: &Written<'_>) -> Result<(), Complaint> {
    let keys = ["id", "along", "left", "right", "width", "depth", "headroom"];
    let object = written.object(&keys)?;
    let id = builder.feature_id(&object)?;
    let along = builder.length(&object, "along", 0.0, FARTHEST)?;
    let depth = match builder.optional_length(&object, "depth", 0.5, FARTHEST)? {
        Some(depth) => depth,
        None => Traced::exact(WALL),
    };
    let headroom = builder.optional_length(&object, "headroom", 1.0, FARTHEST)?;
    let [left, right] = gate_sides(builder, &object, leg)?;
    let Some(leg) = builder.legs.get(leg).cloned() else {
        return Ok(());
    };
    let beyond = along.plus(&depth);
    let block = |from: &Traced, to: &Traced| {
        vec![
            leg.place(&along, from),
            leg.place(&beyond, from),
            leg.place(&beyond, to),
            leg.place(&along, to),
        ]
    };
    let outside = Traced::exact(WALL);
    let (wall_left, wall_right) = (leg.offset(Sweep::Left), leg.offset(Sweep::Right));
    let sides = [
        (
            "left post",
            left.value < wall_left.value,
            block(&left, &wall_left.plus(&outside)),
        ),
        (
            "right post",
            right.value > wall_right.value,
            block(&wall_right.minus(&outside), &right),
        ),
    ];
    for (word, stands, ring) in sides {
        if stands {
            builder
                .plan
                .obstacles
                .push(fixed(format!("{id} {word}"), "gate", ring, Heights::ALL));
        }
    }
    let ends = [leg.place(&along, &left), leg.place(&along, &right)];
    if let Some(headroom) = &headroom {
        let above = Heights {
            low: headroom.value,
            high: super::SKY,
            spread: headroom.spread(),
        };
        let ring = block(&right, &left);
        builder
            .plan
            .obstacles
            .push(fixed(format!("{id} head"), "gate", ring, above));
    }
    builder.plan.openings.push(Opening {
        id,
        width: distance(&ends[0], &ends[1]),
        between: ends,
        headroom,
    });
    Ok(())
}

fn fixed(id: String, kind: &str, ring: Vec<Place>, heights: Heights) -> Obstacle {
    Obstacle {
        id,
        kind: kind.to_owned(),
        shape: Shape::Ring(ring),
        heights,
        removal: None,
    }
}

/// Offsets of the two posts' faces: both measured from the line, or one of them and the clear width, or the clear
/// width alone for a gate in the middle between the walls.
fn gate_sides(
    builder: &mut Builder,
    object: &Object<'_>,
    leg: usize,
) -> Result<[Traced; 2], Complaint> {
    let left = builder.optional_length(object, "left", -FARTHEST, FARTHEST)?;
    let right = builder.optional_length(object, "right", -FARTHEST, FARTHEST)?;
    let width = builder.optional_length(object, "width", 1.0, FARTHEST)?;
    let right = right.map(|right| right.times(-1.0));
    let sides = match (left, right, width) {
        (Some(left), Some(right), None) => [left, right],
        (Some(left), None, Some(width)) => {
            let right = left.minus(&width);
            [left, right]
        }
        (None, Some(right), Some(width)) => [right.plus(&width), right],
        (None, None, Some(width)) => {
            let middle = match builder.legs.get(leg) {
                Some(leg) => leg.left.minus(&leg.right).times(0.5),
                None => Traced::default(),
            };
            let half = width.times(0.5);
            [middle.plus(&half), middle.minus(&half)]
        }
        (Some(_), Some(_), Some(_)) => {
            let why = "left, right and width say the same thing twice: keep two of them";
            return Err(object.complain("width", Problem::Senseless(why)));
        }
        _ => return Err(object.complain("width", Problem::Missing)),
    };
    if sides[0].value <= sides[1].value {
        let why = "the left post is right of the right one: check both signs";
        return Err(object.complain("left", Problem::Senseless(why)));
    }
    Ok(sides)
}

/// A thing on a leg: round with its middle along and left or right of the line, or a box from one station to another.
fn read_thing(builder: &mut Builder, leg: usize, written: &Written<'_>) -> Result<(), Complaint> {
    let keys = [
        "id",
        "kind",
        "along",
        "left",
        "right",
        "diameter",
        "z",
        "z_spread",
        "removable",
        "trouble",
    ];
    let object = written.object(&keys)?;
    let id = builder.feature_id(&object)?;
    let shape = if object.optional("diameter").is_some() {
        let along = builder.length(&object, "along", -FARTHEST, FARTHEST)?;
        let across = builder.sideways(&object)?;
        let across = across.ok_or_else(|| object.complain("left", Problem::Missing))?;
        let diameter = builder.length(&object, "diameter", 0.1, FARTHEST)?;
        let centre = builder.legs.get(leg).map(|leg| leg.place(&along, &across));
        Shape::Round {
            centre: centre.unwrap_or_default(),
            radius: diameter.times(0.5),
        }
    } else {
        Shape::Ring(thing_box(builder, leg, &object)?)
    };
    let obstacle = Obstacle {
        id,
        kind: object.text("kind")?,
        shape,
        heights: heights(&object)?,
        removal: removal(&object)?,
    };
    builder.plan.obstacles.push(obstacle);
    Ok(())
}

fn thing_box(
    builder: &mut Builder,
    leg: usize,
    object: &Object<'_>,
) -> Result<Vec<Place>, Complaint> {
    let stations = two(builder, &object.required("along")?)?;
    let offsets = match (object.optional("left"), object.optional("right")) {
        (Some(left), None) => two(builder, &left)?,
        (None, Some(right)) => {
            let [near, far] = two(builder, &right)?;
            [far.times(-1.0), near.times(-1.0)]
        }
        (None, None) => return Err(object.complain("left", Problem::Missing)),
        (Some(_), Some(_)) => {
            let why = "left of the line or right of it, not both: keep one (it may be negative)";
            return Err(object.complain("right", Problem::Senseless(why)));
        }
    };
    let [near, far] = stations;
    let [low, high] = offsets;
    let Some(leg) = builder.legs.get(leg) else {
        return Ok(Vec::new());
    };
    let corners = [(&near, &low), (&far, &low), (&far, &high), (&near, &high)];
    Ok(corners
        .iter()
        .map(|(along, left)| leg.place(along, left))
        .collect())
}

/// Two lengths, the smaller one first.
fn two(builder: &mut Builder, written: &Written<'_>) -> Result<[Traced; 2], Complaint> {
    let pair = written.list(2, 2)?;
    let mut read = Vec::new();
    for entry in &pair {
        read.push(builder.reading(entry, Measure::Length, -FARTHEST, FARTHEST)?);
    }
    match read.as_slice() {
        [low, high] if low.value < high.value => Ok([low.clone(), high.clone()]),
        _ => {
            let why = "the first number must be below the second";
            Err(written.complain(Problem::Senseless(why)))
        }
    }
}
