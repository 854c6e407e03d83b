//! What lies on a leg: gates across it, and things measured from its line.

use super::FARTHEST;
use super::corridor::Corridor;
use super::legs::{self, Leg, WALL};
use super::model::{Heights, Obstacle, Opening, Shape, Sweep};
use super::read::{Builder, Measure, heights, removal};
use super::traced::{Place, Traced, distance};
use crate::document::{Complaint, Object, Place as Written, Problem};

/// A gate across a leg: clear between two posts, closed from the posts to the walls.
pub(super) fn read_gate(
    builder: &mut Builder,
    at: usize,
    written: &Written<'_>,
) -> Result<(), Complaint> {
    let keys = ["id", "along", "left", "right", "width", "depth", "headroom"];
    let object = written.object(&keys)?;
    let id = builder.feature_id(&object)?;
    let along = builder.length(&object, "along", 0.0, FARTHEST)?;
    let depth = match builder.optional_length(&object, "depth", 0.5, FARTHEST)? {
        Some(depth) => depth,
        None => Traced::exact(WALL),
    };
    let headroom = builder.optional_length(&object, "headroom", 1.0, FARTHEST)?;
    let [left, right] = gate_sides(builder, &object, at)?;
    let is_last = at + 1 == builder.legs.len();
    let Some(leg) = builder.legs.get(at).cloned() else {
        return Ok(());
    };
    // Posts beyond the end would stand outside the corridor, where nothing meets them: the gate would be gone.
    let at_the_end = is_last && along.value == leg.length();
    if along.value > leg.length() || at_the_end {
        return Err(object.complain("along", Problem::BeyondEnds));
    }
    let beyond = along.plus(&depth);
    let block = |from: &Traced, to: &Traced| {
        vec![
            leg.place(&along, from),
            leg.place(&beyond, from),
            leg.place(&beyond, to),
            leg.place(&along, to),
        ]
    };
    // A gap that the survey leaves open, no wider than a wall is thick, lets no unit through.
    let unsure = along.spread().min(WALL);
    if !legs::has_walls_at(&builder.legs, at, along.value, unsure) {
        return Err(object.complain("along", Problem::InCorner));
    }
    let outside = Traced::exact(WALL);
    let (wall_left, wall_right) = (leg.offset(Sweep::Left), leg.offset(Sweep::Right));
    if right.value >= wall_left.value || left.value <= wall_right.value {
        return Err(object.complain(side_key(&object), Problem::BehindWalls));
    }
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
pub(super) fn read_thing(
    builder: &mut Builder,
    leg: usize,
    written: &Written<'_>,
) -> Result<(), Complaint> {
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
    let (shape, extent) = if object.optional("diameter").is_some() {
        thing_round(builder, leg, &object)?
    } else {
        thing_box(builder, leg, &object)?
    };
    stands_in_corridor(builder, leg, &object, (&shape, extent))?;
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

/// From where to where something reaches along a leg and to the left of its line, and how sure its place across is.
struct Extent {
    along: [f64; 2],
    left: [f64; 2],
    spread: f64,
}

fn thing_round(
    builder: &mut Builder,
    leg: usize,
    object: &Object<'_>,
) -> Result<(Shape, Extent), Complaint> {
    let along = builder.length(object, "along", -FARTHEST, FARTHEST)?;
    let across = builder.sideways(object)?;
    let across = across.ok_or_else(|| object.complain("left", Problem::Missing))?;
    let radius = builder
        .length(object, "diameter", 0.1, FARTHEST)?
        .times(0.5);
    let centre = builder.legs.get(leg).map(|leg| leg.place(&along, &across));
    let around = |middle: f64| [middle - radius.value, middle + radius.value];
    let extent = Extent {
        along: around(along.value),
        left: around(across.value),
        spread: across.spread() + radius.spread(),
    };
    let centre = centre.unwrap_or_default();
    Ok((Shape::Round { centre, radius }, extent))
}

fn thing_box(
    builder: &mut Builder,
    leg: usize,
    object: &Object<'_>,
) -> Result<(Shape, Extent), Complaint> {
    let [near, far] = two(builder, &object.required("along")?)?;
    let [low, high] = match (object.optional("left"), object.optional("right")) {
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
    let extent = Extent {
        along: [near.value, far.value],
        left: [low.value, high.value],
        spread: low.spread().max(high.spread()),
    };
    let corners = [(&near, &low), (&far, &low), (&far, &high), (&near, &high)];
    let leg = builder.legs.get(leg);
    let places = corners
        .iter()
        .filter_map(|(along, left)| Some(leg?.place(along, left)));
    Ok((Shape::Ring(places.collect()), extent))
}

/// Refuses what lies wholly outside the corridor, by more than the survey leaves open: it would stand where nothing meets
/// it, and be gone without a word. What lies between the ends and the widths of its own leg is where it was said to be;
/// in a corner the walls as drawn may stand before it.
fn stands_in_corridor(
    builder: &Builder,
    leg: usize,
    object: &Object<'_>,
    (shape, extent): (&Shape, Extent),
) -> Result<(), Complaint> {
    let unsure = extent.spread + builder.legs.get(leg).map_or(0.0, Leg::unsure);
    let meets = |corridor: &Corridor| corridor.meets(shape, unsure);
    let is_between_walls = builder.legs.get(leg).is_none_or(|leg| {
        let [low, high] = extent.left;
        high >= -leg.right.value && low <= leg.left.value
    });
    let [near, far] = extent.along;
    let is_between_ends =
        far >= 0.0 && near <= builder.legs.get(leg).map_or(f64::INFINITY, Leg::length);
    if builder.corridor.as_ref().is_none_or(meets) || (is_between_walls && is_between_ends) {
        return Ok(());
    }
    if is_between_walls || !is_along(builder, leg, extent.along) {
        return Err(object.complain("along", Problem::BeyondEnds));
    }
    Err(object.complain(side_key(object), Problem::BehindWalls))
}

/// Whether stations lie on a leg, the corners before and behind it counted.
fn is_along(builder: &Builder, leg: usize, [near, far]: [f64; 2]) -> bool {
    let wide = |leg: Option<&Leg>| leg.map_or(0.0, |leg| leg.left.value + leg.right.value);
    let before = leg.checked_sub(1).and_then(|leg| builder.legs.get(leg));
    let (this, after) = (builder.legs.get(leg), builder.legs.get(leg + 1));
    // There is a corner only where another leg follows; both ends of the corridor are shut.
    let corner = |other: Option<&Leg>| other.map_or(0.0, |_| wide(this).max(wide(other)));
    far >= -corner(before) && near <= this.map_or(0.0, Leg::length) + corner(after)
}

/// The number that says how far to the side something is.
fn side_key(object: &Object<'_>) -> &'static str {
    if object.optional("left").is_some() {
        "left"
    } else {
        "right"
    }
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
