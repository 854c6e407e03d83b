//! Points to turn about in tight places. Where the unit's outline is nearest to something, turning about a point on the
//! line along which it is nearest does not bring it nearer; so the crossings of such lines are tried.

use super::certify::turned;
use super::crew::Prover;
use super::pinch::movement;
use super::segment::segment_gap;
use super::yard::{Place, Yard, into_body};
use setdown_types::order;

/// Most hubs of one track.
const MOST: usize = 8;
/// Points nearer together than this many inches are about the same, and of one such point at most so many hubs are kept.
const ALIKE: f64 = 6.0;
const MOST_ALIKE: usize = 2;
/// How much room beyond the least a stop may have for its lines to be tried, in inches.
const TIGHT: f64 = 6.0;
/// Things farther than this many inches are not tried.
const FARTHEST: f64 = 48.0;
/// Of so many nearest things at a pose the lines are crossed.
const NEAREST: usize = 4;
/// Lines that meet at less than this sine have no useful crossing.
const SLANT: f64 = 0.2;
/// A crossing farther from the centre than this many times half the diagonal is no point to turn about.
const FAR: f64 = 1.2;
/// Turning by less than this many radians about a hub is not worth it.
const LEAST_TURN: f64 = 0.3;

/// A point to turn about, and the stops whose headings can be reached by it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hub {
    middle: Place,
    /// In the unit's own axes.
    pub about: [f64; 2],
    /// The first and the last of the stops, and the one that is nearest.
    pub first: usize,
    pub near: usize,
    pub last: usize,
}

impl Hub {
    /// The pose with this heading on its arc.
    pub fn pose(&self, heading: f64) -> Place {
        let point = Yard::from_body(self.middle, self.about);
        Place {
            heading,
            ..turned(self.middle, point, heading - self.middle.heading)
        }
    }
}

/// The hubs with the longest arcs; of those about the same point only the best.
pub(super) fn hubs(prover: &Prover, stops: &[Place], narrow: &[Place]) -> Vec<Hub> {
    let yard = prover.yard;
    let mut all: Vec<(f64, Hub)> = Vec::new();
    let tight = stops
        .iter()
        .filter(|stop| yard.clearance(**stop) < prover.least + TIGHT);
    for place in narrow.iter().chain(tight) {
        let Some((near, middle)) = nearest(yard, stops, *place) else {
            continue;
        };
        for about in crossings(yard, middle) {
            let hub = reach(
                prover,
                stops,
                Hub {
                    middle,
                    about,
                    first: near,
                    near,
                    last: near,
                },
            );
            let arc = arc(stops, &hub);
            if arc > LEAST_TURN {
                all.push((arc, hub));
            }
        }
    }
    order::sort_by(&mut all, |one, other| other.0.total_cmp(&one.0));
    let mut best: Vec<Hub> = Vec::new();
    for (_, hub) in all {
        let alike = best.iter().filter(|other| is_alike(&hub, other)).count();
        if alike < MOST_ALIKE && best.len() < MOST {
            best.push(hub);
        }
    }
    best
}

/// Between which headings of stops it turns, in radians.
fn arc(stops: &[Place], hub: &Hub) -> f64 {
    let reached = stops.get(hub.first..=hub.last).unwrap_or_default();
    let headings = reached.iter().map(|stop| stop.heading);
    let [low, high] = headings.fold(
        [f64::INFINITY, f64::NEG_INFINITY],
        |[low, high], heading| [low.min(heading), high.max(heading)],
    );
    high - low
}

fn is_alike(one: &Hub, other: &Hub) -> bool {
    let [p, q] = [one, other].map(|hub| Yard::from_body(hub.middle, hub.about));
    let [x, y] = [0, 1].map(|axis: usize| p[axis] - q[axis]);
    x * x + y * y < ALIKE * ALIKE
}

/// The stop nearest to a pose, and the pose with its heading brought to within a quarter turn of the stop's.
fn nearest(yard: &Yard, stops: &[Place], place: Place) -> Option<(usize, Place)> {
    let whole = core::f64::consts::PI;
    let aligned = |stop: Place| Place {
        heading: place.heading + libm::round((stop.heading - place.heading) / whole) * whole,
        ..place
    };
    let far = |index: &usize| movement(yard, stops[*index], aligned(stops[*index]));
    let near = (0..stops.len()).min_by(|one, other| far(one).total_cmp(&far(other)))?;
    Some((near, aligned(*stops.get(near)?)))
}

/// Widens the arc stop by stop while there is room.
fn reach(prover: &Prover, stops: &[Place], hub: Hub) -> Hub {
    let room = |heading: f64| prover.has_room(hub.pose(heading));
    let free = |from: usize, to: usize| {
        let (from, to) = (stops[from].heading, stops[to].heading);
        room(to) && room(0.5 * (from + to))
    };
    let mut wide = hub;
    if !room(hub.middle.heading) {
        return wide;
    }
    while wide.first > 0 && free(wide.first, wide.first - 1) {
        wide.first -= 1;
    }
    while wide.last + 1 < stops.len() && free(wide.last, wide.last + 1) {
        wide.last += 1;
    }
    wide
}

/// A line along which the unit is nearest to something, in its own axes.
#[derive(Clone, Copy)]
struct Nearest {
    gap: f64,
    at: [f64; 2],
    along: [f64; 2],
}

fn crossings(yard: &Yard, place: Place) -> Vec<[f64; 2]> {
    let lines = lines(yard, place);
    // A corner of something that faces a side of the unit keeps its distance while the unit turns about it.
    let faces = |line: &&Nearest| line.along.contains(&0.0);
    let mut found: Vec<[f64; 2]> = lines.iter().filter(faces).map(|line| line.at).collect();
    for (index, one) in lines.iter().enumerate() {
        for other in &lines[index + 1..] {
            let sine = one.along[0] * other.along[1] - one.along[1] * other.along[0];
            if sine.abs() < SLANT {
                continue;
            }
            let [x, y] = [0, 1].map(|axis: usize| other.at[axis] - one.at[axis]);
            let far = (x * other.along[1] - y * other.along[0]) / sine;
            let at = [0, 1].map(|axis: usize| one.at[axis] + far * one.along[axis]);
            if at[0] * at[0] + at[1] * at[1] < FAR * FAR * yard.radius() * yard.radius() {
                found.push(at);
            }
        }
    }
    found
}

fn lines(yard: &Yard, place: Place) -> Vec<Nearest> {
    let (sine, cosine) = libm::sincos(place.heading);
    let mut lines: Vec<Nearest> = Vec::new();
    let reach = yard.radius() + FARTHEST;
    let near = yard
        .solids
        .iter()
        .filter(|solid| solid.within(place.at, reach));
    let sides = near.filter_map(|solid| yard.sides.get(solid.sides.clone()));
    for side in sides.flatten().chain(yard.bound_sides()) {
        let [from, to] = [side.from, side.to].map(|end| into_body(end, place.at, cosine, sine));
        let met = segment_gap(from, to, yard.half);
        let at = [0, 1].map(|axis: usize| from[axis] + met.share * (to[axis] - from[axis]));
        let foot = [0, 1].map(|axis: usize| at[axis].clamp(-yard.half[axis], yard.half[axis]));
        let [x, y] = [0, 1].map(|axis: usize| at[axis] - foot[axis]);
        let length = libm::sqrt(x * x + y * y);
        let known = |line: &Nearest| (line.at[0] - at[0]).abs() + (line.at[1] - at[1]).abs() < 0.01;
        if length > 0.0 && !lines.iter().any(known) {
            lines.push(Nearest {
                gap: met.gap,
                at,
                along: [x / length, y / length],
            });
        }
    }
    order::sort_by(&mut lines, |one, other| one.gap.total_cmp(&other.gap));
    lines.truncate(NEAREST);
    lines
}
