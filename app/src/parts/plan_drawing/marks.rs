//! The yard as strokes: SVG paths with their classes, and the words that stand beside them.

use setdown_rules::motion::scene::Pose;
use setdown_rules::plan::{Barrier, BarrierKind, Obstacle, Place, Plan, Shape, Stand, ZoneKind};
use setdown_types::spa::Side;

use super::frame::Turn;
use super::sketch::UnitMarks;
use super::track::{Track, corners, outward};

/// One stroke or area.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its style class.
    pub class: &'static str,
    /// Its path, drawing coordinates.
    pub path: String,
    /// How wide its stroke is in inches of the yard; `None`: as the style says, whatever the scale.
    pub width: Option<f64>,
}

/// A word at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its style class.
    pub class: &'static str,
    /// Where its middle is, drawing coordinates.
    pub at: [f64; 2],
    /// What it says.
    pub text: String,
}

/// A path through places, closed or not.
pub fn path(places: &[[f64; 2]], closed: bool) -> String {
    let mut text = String::with_capacity(places.len() * 16);
    for (index, [x, y]) in places.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        text.push_str(&format!("{letter}{x:.2} {y:.2}"));
    }
    if closed {
        text.push('Z');
    }
    text
}

fn plain(class: &'static str, path: String) -> Mark {
    Mark {
        class,
        path,
        width: None,
    }
}

fn placed(line: &[Place], turn: Turn) -> Vec<[f64; 2]> {
    line.iter().map(|place| turn.place(place.at())).collect()
}

/// Areas, below everything else.
pub fn areas(plan: &Plan, turn: Turn) -> Vec<Mark> {
    plan.zones
        .iter()
        .map(|zone| plain(area_class(zone.kind), path(&placed(&zone.ring, turn), true)))
        .collect()
}

const fn area_class(kind: ZoneKind) -> &'static str {
    match kind {
        ZoneKind::Street => "area street",
        ZoneKind::Drive => "area drive",
        ZoneKind::Lawn => "area lawn",
        ZoneKind::Patio => "area patio",
        ZoneKind::Beds => "area beds",
        ZoneKind::Easement => "area easement",
        ZoneKind::Septic => "area septic",
        ZoneKind::House => "area house",
    }
}

/// Walls, fences, things, wires and what is buried.
pub fn solids(plan: &Plan, turn: Turn) -> Vec<Mark> {
    let mut marks = Vec::new();
    for mark in &plan.marks {
        marks.push(plain("buried", path(&placed(&mark.line, turn), false)));
    }
    for barrier in &plan.barriers {
        let line = path(&placed(&barrier.line, turn), false);
        marks.push(Mark {
            class: match (barrier.kind, barrier.removal) {
                (BarrierKind::Wall, None) => "wall",
                (BarrierKind::Fence, None) => "fence",
                (_, Some(_)) => "fence removable",
            },
            path: line.clone(),
            width: Some(barrier.thickness.max(0.5)),
        });
        marks.push(plain("face", line));
    }
    let carried = plan.unit.and_then(|unit| unit.carried);
    let (open_below, standing): (Vec<&Obstacle>, Vec<&Obstacle>) = plan
        .obstacles
        .iter()
        .partition(|thing| is_open_below(thing));
    // What stands under a roof is drawn over it.
    for obstacle in open_below.into_iter().chain(standing) {
        let class = thing_class(obstacle, carried);
        let outline = match &obstacle.shape {
            Shape::Ring(ring) => path(&placed(ring, turn), true),
            Shape::Round { centre, radius } => circle(turn.place(centre.at()), radius.value),
        };
        marks.push(plain(class, outline));
    }
    for line in &plan.lines {
        marks.push(plain("wire", path(&placed(&line.line, turn), false)));
    }
    marks
}

/// Whether a thing has an underside: a roof, a bough, a meter on a wall.
pub fn is_open_below(thing: &Obstacle) -> bool {
    thing.heights.low > 0.0
}

/// What has an underside is dashed, and not filled where the unit as carried passes under it.
fn thing_class(thing: &Obstacle, carried: Option<[f64; 2]>) -> &'static str {
    let is_passed = carried.is_some_and(|carried| !thing.heights.meets(carried));
    match (is_open_below(thing), is_passed, thing.removal.is_some()) {
        (false, _, false) => "thing",
        (false, _, true) => "thing removable",
        (true, false, false) => "thing overhead",
        (true, false, true) => "thing removable overhead",
        (true, true, false) => "thing overhead passed",
        (true, true, true) => "thing removable overhead passed",
    }
}

/// A circle as a path.
pub fn circle([x, y]: [f64; 2], radius: f64) -> String {
    let (left, across) = (x - radius, 2.0 * radius);
    format!(
        "M{left:.2} {y:.2}a{radius:.2} {radius:.2} 0 1 0 {across:.2} 0a{radius:.2} {radius:.2} 0 1 0 {:.2} 0Z",
        -across
    )
}

/// The names of areas, things, gates and wires.
pub fn names(plan: &Plan, turn: Turn) -> Vec<Label> {
    let mut labels = Vec::new();
    let mut add = |class, places: &[[f64; 2]], text: &str| {
        labels.extend(middle(places).map(|at| Label {
            class,
            at,
            text: text.to_owned(),
        }));
    };
    for zone in &plan.zones {
        add("name area-name", &placed(&zone.ring, turn), &zone.id);
    }
    for obstacle in &plan.obstacles {
        let places = match &obstacle.shape {
            Shape::Ring(ring) => placed(ring, turn),
            Shape::Round { centre, .. } => vec![turn.place(centre.at())],
        };
        if !is_of_gate(plan, &obstacle.id) {
            add("name", &places, &obstacle.id);
        }
    }
    for opening in &plan.openings {
        add("name", &placed(&opening.between, turn), &opening.id);
    }
    for barrier in &plan.barriers {
        let mut places = longest_side(&placed(&barrier.line, turn));
        let name = match leg_of(plan, &barrier.id) {
            // A leg is named once, between its walls.
            Some((leg, Some(right))) => {
                places.extend(longest_side(&placed(&right.line, turn)));
                leg
            }
            Some((_, None)) => continue,
            None => &barrier.id,
        };
        add("name", &places, name);
    }
    for line in &plan.lines {
        add("name", &longest_side(&placed(&line.line, turn)), &line.id);
    }
    for mark in &plan.marks {
        add("name", &longest_side(&placed(&mark.line, turn)), &mark.id);
    }
    labels
}

/// Whether this is a post of a gate on a leg, or what is over it: the gate is named once, between its posts.
fn is_of_gate(plan: &Plan, id: &str) -> bool {
    let part = |gate: &str| id.strip_prefix(gate)?.strip_prefix(' ');
    plan.openings.iter().any(|gate| {
        part(&gate.id).is_some_and(|part| ["left post", "right post", "head"].contains(&part))
    })
}

/// The leg whose wall or end this is, with its other wall where this is the left one. Plans of tapes have points, and no
/// legs.
fn leg_of<'a>(plan: &'a Plan, id: &'a str) -> Option<(&'a str, Option<&'a Barrier>)> {
    if !plan.points.is_empty() {
        return None;
    }
    let named = |id: String| plan.barriers.iter().find(|barrier| barrier.id == id);
    let ends = ["left", "right", "start", "end"];
    let (leg, end) = id.rsplit_once(' ').filter(|(_, end)| ends.contains(end))?;
    let right = named(format!("{leg} right"));
    named(format!("{leg} left"))?;
    right?;
    Some((leg, right.filter(|_| end == "left")))
}

fn middle(places: &[[f64; 2]]) -> Option<[f64; 2]> {
    let count = places.len();
    (count > 0).then(|| {
        [0, 1].map(|axis| places.iter().map(|place| place[axis]).sum::<f64>() / count as f64)
    })
}

/// The two ends of the longest side of a line.
fn longest_side(places: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let far = |pair: &&[[f64; 2]]| match pair {
        [from, to] => (to[0] - from[0]).hypot(to[1] - from[1]),
        _ => 0.0,
    };
    places
        .windows(2)
        .max_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or(places)
        .to_vec()
}

/// The unit at a pose: outline, hatched service end, ticked entry side, and an arrow to its head.
pub fn unit(pose: Pose, size: [f64; 2], marks: &UnitMarks, turn: Turn) -> Vec<Mark> {
    let places = |points: &[[f64; 2]]| -> Vec<[f64; 2]> {
        let placed = points.iter().map(|point| turn.place(outward(pose, *point)));
        placed.collect()
    };
    let outline = corners(pose, size).map(|corner| turn.place(corner));
    let mut drawn = vec![plain("unit", path(&outline, true))];
    let line = |from: [f64; 2], to: [f64; 2]| path(&places(&[from, to]), false);
    let hatch: String = marks
        .service
        .iter()
        .flat_map(|side| hatched(*side, size))
        .map(|[from, to]| line(from, to))
        .collect();
    drawn.push(plain("service", hatch));
    let ticks: String = marks
        .entry
        .iter()
        .flat_map(|side| ticked(*side, size))
        .map(|[from, to]| line(from, to))
        .collect();
    drawn.push(plain("entry", ticks));
    let tip = 0.5 * size[0] - 0.1 * size[1];
    let arrow = places(&[[tip - 14.0, -9.0], [tip, 0.0], [tip - 14.0, 9.0]]);
    drawn.push(plain("heading", path(&arrow, false)));
    drawn
}

/// Half a side's length along it, where it lies, and which way is outwards.
struct Edge {
    middle: [f64; 2],
    along: [f64; 2],
    inwards: [f64; 2],
    half: f64,
}

fn edge(side: Side, [length, width]: [f64; 2]) -> Edge {
    let (front, across) = (0.5 * length, 0.5 * width);
    let (middle, along, inwards, half) = match side {
        Side::Foot => ([-front, 0.0], [0.0, 1.0], [1.0, 0.0], across),
        Side::Head => ([front, 0.0], [0.0, 1.0], [-1.0, 0.0], across),
        Side::Left => ([0.0, across], [1.0, 0.0], [0.0, -1.0], front),
        Side::Right => ([0.0, -across], [1.0, 0.0], [0.0, 1.0], front),
    };
    Edge {
        middle,
        along,
        inwards,
        half,
    }
}

impl Edge {
    fn point(&self, along: f64, inwards: f64) -> [f64; 2] {
        [0, 1]
            .map(|axis| self.middle[axis] + along * self.along[axis] + inwards * self.inwards[axis])
    }
}

/// Slanting lines along a side, inside it.
fn hatched(side: Side, size: [f64; 2]) -> Vec<[[f64; 2]; 2]> {
    let edge = edge(side, size);
    let depth = 0.16 * size[1];
    let step = 0.1 * size[1];
    let count = (2.0 * edge.half / step).floor().max(1.0) as usize;
    (0..count)
        .map(|place| {
            let along = -edge.half + step * place as f64;
            let to = (along + depth).min(edge.half);
            [edge.point(along, 0.0), edge.point(to, depth)]
        })
        .collect()
}

/// Three ticks that cross a side.
fn ticked(side: Side, size: [f64; 2]) -> Vec<[[f64; 2]; 2]> {
    let edge = edge(side, size);
    [-0.3, 0.0, 0.3]
        .map(|share| {
            let along = share * edge.half;
            [edge.point(along, -7.0), edge.point(along, 9.0)]
        })
        .to_vec()
}

/// The pose of a stand.
pub fn pose_of(stand: &Stand) -> Pose {
    let [x, y] = stand.at.at();
    Pose {
        x,
        y,
        heading: stand.heading,
    }
}

/// Most outlines that make up what is swept.
const MOST_OUTLINES: usize = 240;

/// Everything the unit covers on its way, as outlines that all wind the same way, so that they fill as one.
pub fn swept(track: &Track, size: [f64; 2], turn: Turn) -> String {
    let every = track.samples.len().div_ceil(MOST_OUTLINES).max(1);
    let last = track.samples.last();
    track
        .samples
        .iter()
        .step_by(every)
        .chain(last)
        .map(|sample| {
            path(
                &corners(sample.pose, size).map(|corner| turn.place(corner)),
                true,
            )
        })
        .collect()
}

/// The line that the unit's middle follows.
pub fn followed(track: &Track, turn: Turn) -> String {
    let places: Vec<[f64; 2]> = track
        .samples
        .iter()
        .map(|sample| turn.place([sample.pose.x, sample.pose.y]))
        .collect();
    path(&places, false)
}
