//! Where along a line of poses the unit has least room, and against what.

use super::path::Track;
use super::yard::{Place, Yard};
use setdown_types::order;

/// Shortest step along a stretch, in inches of the movement of the unit's corners.
const SHORTEST_STEP: f64 = 0.25;
/// Narrow looks closer together than this many inches of movement count as one.
const STRETCH: f64 = 12.0;
/// Most steps of one climb.
const MOST_STEPS: usize = 200;
/// Most looks along one track; bounds the time.
const MOST_LOOKS: usize = 20_000;

/// A narrow place on a track.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Narrow {
    pub place: Place,
    /// Least gap there, in inches.
    pub gap: f64,
    /// Owners of the sides that are as near as that, within the tie.
    pub against: Vec<u32>,
}

/// What counts as narrow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Measure {
    /// The track keeps at least this, in inches.
    pub kept: f64,
    /// Places with more room than this are not narrow.
    pub below: f64,
    /// Gaps that differ by no more than this tie.
    pub tie: f64,
}

/// All narrow places, narrowest first. Each is moved across the track to where it has most room, so that a track that
/// runs needlessly close to something makes no narrow place, and then along it to where that is least. Whatever is as
/// near as the least gap, within the tie, is listed together.
pub(super) fn narrow_places(yard: &Yard, track: &Track, measure: Measure) -> Vec<Narrow> {
    let mut passages: Vec<(Look, Narrow)> = Vec::new();
    let mut last = f64::NEG_INFINITY;
    for look in narrow_looks(yard, track, measure.below) {
        let narrow = across(yard, look, measure);
        if narrow.gap > measure.below {
            continue;
        }
        let goes_on = look.travelled - last <= 2.0 * STRETCH;
        last = look.travelled;
        match passages.last_mut() {
            Some((known, narrowest)) if goes_on && shares(narrowest, &narrow) => {
                if narrow.gap < narrowest.gap {
                    (*known, *narrowest) = (look, narrow);
                }
            }
            _ => passages.push((look, narrow)),
        }
    }
    let mut found: Vec<Narrow> = passages
        .into_iter()
        .map(|(look, narrow)| narrowest_along(yard, look, narrow, measure))
        .collect();
    order::sort_by(&mut found, |a, b| a.gap.total_cmp(&b.gap));
    found
}

fn shares(one: &Narrow, other: &Narrow) -> bool {
    one.against
        .iter()
        .any(|owner| other.against.contains(owner))
}

/// The place with most room across the track at a look; any that is not narrow will do.
fn across(yard: &Yard, look: Look, measure: Measure) -> Narrow {
    let Measure { below, tie, .. } = measure;
    narrow_at(yard, roomiest_across(yard, look, below, tie), tie)
}

/// What is nearest at a pose.
pub(super) fn narrow_at(yard: &Yard, place: Place, tie: f64) -> Narrow {
    let gap = yard.clearance(place);
    Narrow {
        place,
        gap,
        against: owners_within(yard, place, gap + tie),
    }
}

/// Shifts a narrow place along the track, by steps that halve, to where the most room across is least.
fn narrowest_along(yard: &Yard, look: Look, narrow: Narrow, measure: Measure) -> Narrow {
    let mut best = narrow;
    let mut step = 0.25 * STRETCH;
    for _ in 0..MOST_STEPS {
        if step < 0.2 {
            break;
        }
        let narrower = [-step, step].into_iter().find_map(|shift| {
            let place = shifted(yard, best.place, look.towards, shift);
            let moved = across(yard, Look { place, ..look }, measure);
            (moved.gap < best.gap - 1e-9 && moved.gap >= measure.kept).then_some(moved)
        });
        match narrower {
            Some(narrower) => best = narrower,
            None => step *= 0.5,
        }
    }
    best
}

fn shifted(yard: &Yard, place: Place, towards: [f64; 3], by: f64) -> Place {
    Place {
        at: [0, 1].map(|axis: usize| place.at[axis] + by * towards[axis]),
        heading: place.heading + by * towards[2] / yard.radius(),
    }
}

/// A narrow pose on a track, and the way the track goes there.
#[derive(Clone, Copy, Debug)]
struct Look {
    place: Place,
    gap: f64,
    /// How far along the track it is, in inches of movement.
    travelled: f64,
    /// Unit vector of the movement, heading scaled by the unit's radius.
    towards: [f64; 3],
}

/// The narrowest look in each stretch of the track that has less than `below`.
fn narrow_looks(yard: &Yard, track: &Track, below: f64) -> Vec<Look> {
    let mut best: Vec<Look> = Vec::new();
    let mut stretch_start = f64::NEG_INFINITY;
    let mut travelled = 0.0;
    let mut looks = 0;
    for pair in track.places.windows(2) {
        let (Some(from), Some(to)) = (pair.first(), pair.last()) else {
            continue;
        };
        let length = movement(yard, *from, *to);
        let mut at = 0.0;
        while at < length && looks < MOST_LOOKS {
            looks += 1;
            let place = between(*from, *to, at / length);
            let gap = yard.clearance(place);
            if gap < below {
                let towards = direction(yard, *from, *to);
                let here = travelled + at;
                let look = Look {
                    place,
                    gap,
                    travelled: here,
                    towards,
                };
                match best.last_mut() {
                    Some(last) if here < stretch_start + STRETCH => {
                        if gap < last.gap {
                            *last = look;
                        }
                    }
                    _ => {
                        stretch_start = here;
                        best.push(look);
                    }
                }
            }
            at += (gap - below).max(SHORTEST_STEP);
        }
        travelled += length;
    }
    best
}

fn direction(yard: &Yard, from: Place, to: Place) -> [f64; 3] {
    let step = [
        to.at[0] - from.at[0],
        to.at[1] - from.at[1],
        yard.radius() * (to.heading - from.heading),
    ];
    unit_vector(step)
}

fn unit_vector(v: [f64; 3]) -> [f64; 3] {
    let length = libm::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    if length > 0.0 {
        v.map(|part| part / length)
    } else {
        [1.0, 0.0, 0.0]
    }
}

/// Climbs to the most room in the plane across the track, by steps that halve, but not beyond `enough`.
fn roomiest_across(yard: &Yard, look: Look, enough: f64, tie: f64) -> Place {
    let [one, other] = plane_across(look.towards);
    let moved = |place: Place, a: f64, b: f64| Place {
        at: [0, 1].map(|axis: usize| place.at[axis] + a * one[axis] + b * other[axis]),
        heading: place.heading + (a * one[2] + b * other[2]) / yard.radius(),
    };
    let mut best = look.place;
    let mut gap = yard.clearance(best);
    let mut step = 8.0 * tie;
    for _ in 0..MOST_STEPS {
        if gap > enough || step < 0.01 * tie {
            break;
        }
        let better = COMPASS.iter().find_map(|[a, b]| {
            let place = moved(best, a * step, b * step);
            let room = yard.clearance(place);
            (room > gap + 1e-9).then_some((place, room))
        });
        match better {
            Some((place, room)) => (best, gap) = (place, room),
            None => step *= 0.5,
        }
    }
    best
}

const COMPASS: [[f64; 2]; 16] = {
    const C: f64 = 0.924;
    const D: f64 = 0.707;
    const S: f64 = 0.383;
    [
        [1.0, 0.0],
        [-1.0, 0.0],
        [0.0, 1.0],
        [0.0, -1.0],
        [D, D],
        [-D, -D],
        [D, -D],
        [-D, D],
        [C, S],
        [-C, -S],
        [S, C],
        [-S, -C],
        [C, -S],
        [-C, S],
        [S, -C],
        [-S, C],
    ]
};

/// Two directions at right angles to one another and to the given unit vector.
fn plane_across(towards: [f64; 3]) -> [[f64; 3]; 2] {
    let least = (0..3).fold(0, |least, axis| {
        if towards[axis].abs() < towards[least].abs() {
            axis
        } else {
            least
        }
    });
    let mut axis = [0.0; 3];
    axis[least] = 1.0;
    let one = unit_vector(cross(towards, axis));
    [one, cross(towards, one)]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn owners_within(yard: &Yard, place: Place, reach: f64) -> Vec<u32> {
    let mut owners = Vec::new();
    yard.each_gap(place, reach, |gap, owner| {
        if gap <= reach && !owners.contains(&owner) {
            owners.push(owner);
        }
        reach
    });
    owners
}

/// The most that any point of the unit moves between two poses, in inches.
pub(super) fn movement(yard: &Yard, from: Place, to: Place) -> f64 {
    let (x, y) = (to.at[0] - from.at[0], to.at[1] - from.at[1]);
    libm::sqrt(x * x + y * y) + yard.radius() * (to.heading - from.heading).abs()
}

/// The pose that far along the straight stretch between two poses.
pub(super) fn between(from: Place, to: Place, share: f64) -> Place {
    let mix = |a: f64, b: f64| a + share * (b - a);
    Place {
        at: [mix(from.at[0], to.at[0]), mix(from.at[1], to.at[1])],
        heading: mix(from.heading, to.heading),
    }
}
