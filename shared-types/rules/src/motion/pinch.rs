//! Where along a line of poses the unit has least room, and against what.

use super::path::Track;
use super::yard::{Place, Yard};

/// Shortest step along a stretch, in inches of the movement of the unit's corners.
const SHORTEST_STEP: f64 = 0.25;
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

/// All places where less than `below` is left, narrowest first. Owners within `tie` inches of the least gap are listed
/// together; others that come as near elsewhere get a place of their own.
pub(super) fn narrow_places(yard: &Yard, track: &Track, below: f64, tie: f64) -> Vec<Narrow> {
    let mut found: Vec<Narrow> = Vec::new();
    let mut run: Vec<Look> = Vec::new();
    let mut looks = 0;
    for pair in track.places.windows(2) {
        let (Some(from), Some(to)) = (pair.first(), pair.last()) else {
            continue;
        };
        let length = movement(yard, *from, *to);
        let mut at = 0.0;
        while at <= length && looks < MOST_LOOKS {
            looks += 1;
            let place = between(*from, *to, if length > 0.0 { at / length } else { 0.0 });
            let gap = yard.clearance(place);
            if gap < below {
                run.push(Look { place, gap });
            } else {
                close_run(yard, &mut run, below, tie, &mut found);
            }
            at += (gap - below).max(SHORTEST_STEP);
        }
    }
    close_run(yard, &mut run, below, tie, &mut found);
    found.sort_by(|a, b| a.gap.total_cmp(&b.gap));
    found
}

#[derive(Clone, Copy)]
struct Look {
    place: Place,
    gap: f64,
}

/// Turns neighbouring looks into narrow places: the narrowest with all it ties with, then for owners not yet named
/// their own narrowest.
fn close_run(yard: &Yard, run: &mut Vec<Look>, below: f64, tie: f64, found: &mut Vec<Narrow>) {
    run.sort_by(|a, b| a.gap.total_cmp(&b.gap));
    let mut named: Vec<u32> = Vec::new();
    for look in run.drain(..) {
        let near = owners_within(yard, look.place, (look.gap + tie).min(below.max(look.gap)));
        if near.iter().all(|owner| named.contains(owner)) {
            continue;
        }
        named.extend(&near);
        found.push(Narrow {
            place: look.place,
            gap: look.gap,
            against: near,
        });
    }
}

fn owners_within(yard: &Yard, place: Place, reach: f64) -> Vec<u32> {
    let mut owners = Vec::new();
    yard.each_gap(place, |gap, owner| {
        if gap <= reach && !owners.contains(&owner) {
            owners.push(owner);
        }
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
