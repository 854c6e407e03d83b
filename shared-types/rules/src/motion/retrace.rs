//! A second look for a good way once the bound is proved: short, with few turns and some room to spare, and straight
//! where it can be.

use super::cells::{Cells, radians};
use super::certify::Certifier;
use super::path::{Track, track};
use super::pinch::{between, movement};
use super::yard::{Place, Yard};
use std::collections::BinaryHeap;

/// Room beyond the proved bound that is worth a detour, in inches.
const COMFORT: f64 = 3.0;
/// How much longer a stretch without comfort counts.
const DISCOMFORT: f64 = 2.0;
/// Share of the spare room that a straight stretch has to keep.
const KEPT: f64 = 0.75;
/// How often a stretch is looked at for the room it has.
const LOOKS: u32 = 24;
/// Bounds that smoothing may work out: limits its time.
const MOST_WORK: usize = 40_000;

/// The shortest comfortable chain of cells that all keep `least`, made straight wherever that is proved to keep it.
pub(super) fn retrace(cells: &Cells, yard: &Yard, least: f64) -> Option<Track> {
    let chain = shortest(cells, yard, least)?;
    let track = track(cells, yard, &chain).ok()?;
    Some(straighten(yard, &track, least))
}

struct Reached {
    cost: f64,
    index: u32,
}

impl Ord for Reached {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.index.cmp(&self.index))
    }
}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Reached {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Reached {}

/// Dijkstra's algorithm over the cells that keep `least`, from middle to middle.
fn shortest(cells: &Cells, yard: &Yard, least: f64) -> Option<Vec<u32>> {
    let period = radians(f64::from(cells.period()));
    let mut best = vec![f64::INFINITY; cells.len()];
    let mut parent = vec![u32::MAX; cells.len()];
    let mut heap = BinaryHeap::new();
    for (index, cell) in cells.iter() {
        if cell.holds_start && cell.bounds.lower >= least {
            best[index as usize] = 0.0;
            heap.push(Reached { cost: 0.0, index });
        }
    }
    while let Some(Reached { cost, index }) = heap.pop() {
        if cost > best[index as usize] {
            continue;
        }
        let cell = cells.get(index)?;
        if cell.holds_goal {
            return Some(chain_to(&parent, index));
        }
        for next in &cell.neighbours {
            let Some(beside) = cells
                .get(*next)
                .filter(|beside| beside.bounds.lower >= least)
            else {
                continue;
            };
            let spare = (beside.bounds.lower - least).min(COMFORT);
            let weight = 1.0 + DISCOMFORT * (1.0 - spare / COMFORT);
            let (from, to) = (cell.middle(), beside.middle());
            let turned = (to.heading - from.heading).abs();
            let to = Place {
                heading: from.heading + turned.min((period - turned).abs()),
                ..to
            };
            let total = cost + weight * movement(yard, from, to);
            if total < best[*next as usize] {
                best[*next as usize] = total;
                parent[*next as usize] = index;
                heap.push(Reached {
                    cost: total,
                    index: *next,
                });
            }
        }
    }
    None
}

fn chain_to(parent: &[u32], end: u32) -> Vec<u32> {
    let mut chain: Vec<u32> = core::iter::successors(Some(end), |at| {
        parent
            .get(*at as usize)
            .copied()
            .filter(|parent| *parent != u32::MAX)
    })
    .collect();
    chain.reverse();
    chain
}

/// Leaves out poses between which a straight stretch is proved to keep `least`, and most of what room beyond it the
/// poses left out had.
fn straighten(yard: &Yard, track: &Track, least: f64) -> Track {
    let mut certifier = Certifier::new(yard, MOST_WORK);
    let places = track.places.iter();
    let room: Vec<f64> = places.map(|place| spare_at(yard, *place, least)).collect();
    let mut kept = Vec::new();
    let mut at = 0;
    while let Some(place) = track.places.get(at) {
        kept.push(*place);
        at = farthest(at, |to| {
            let end = track.places.get(to)?;
            Some(certifier.keeps(*place, *end, least + KEPT * least_of(&room, at..to + 1)))
        });
    }
    Track { places: kept }
}

/// Leads a track through narrow places along the unit's own heading there, where that is proved to keep `least`: one
/// straight move instead of many small ones.
pub(super) fn lead_through(yard: &Yard, track: Track, narrow: &[Place], least: f64) -> Track {
    let mut certifier = Certifier::new(yard, MOST_WORK);
    let led = narrow.iter().fold(track, |track, place| {
        let better = lead(yard, &mut certifier, &track, *place, least);
        better.unwrap_or(track)
    });
    skip(yard, &mut certifier, &led, least)
}

/// Leaves out what can be left out of the few poses that a track has in the end, the longest stretches first.
fn skip(yard: &Yard, certifier: &mut Certifier, track: &Track, least: f64) -> Track {
    let places = &track.places;
    // Few poses are left, so the narrowest places lie between them.
    let stretches = places.windows(2).map(|pair| match pair {
        [from, to] => (0..=LOOKS)
            .map(|look| between(*from, *to, f64::from(look) / f64::from(LOOKS)))
            .map(|place| spare_at(yard, place, least))
            .fold(COMFORT, f64::min),
        _ => COMFORT,
    });
    let room: Vec<f64> = stretches.collect();
    let mut kept = Vec::new();
    let mut at = 0;
    while let Some(place) = places.get(at) {
        kept.push(*place);
        let farther = (at + 2..places.len()).rev().find(|to| {
            let spare = least_of(&room, at..*to);
            certifier.keeps(*place, places[*to], least + KEPT * spare)
        });
        at = farther.unwrap_or(at + 1);
    }
    Track { places: kept }
}

/// How much room beyond `least` a pose has, as far as it is worth a detour.
fn spare_at(yard: &Yard, place: Place, least: f64) -> f64 {
    (yard.clearance(place) - least).clamp(0.0, COMFORT)
}

/// The least room in a range of a track.
fn least_of(room: &[f64], range: core::ops::Range<usize>) -> f64 {
    let all = room.get(range).unwrap_or_default();
    all.iter().copied().fold(COMFORT, f64::min)
}

fn lead(
    yard: &Yard,
    certifier: &mut Certifier,
    track: &Track,
    narrow: Place,
    least: f64,
) -> Option<Track> {
    let places = &track.places;
    let distance = |place: &Place| movement(yard, *place, narrow);
    let nearest =
        (0..places.len()).min_by(|a, b| distance(&places[*a]).total_cmp(&distance(&places[*b])))?;
    // The track may be half a turn on from the narrow place's own heading.
    let whole = core::f64::consts::PI;
    let turns = libm::round((places.get(nearest)?.heading - narrow.heading) / whole);
    let narrow = Place {
        heading: narrow.heading + turns * whole,
        ..narrow
    };
    [1.0, -1.0].into_iter().find_map(|way| {
        let (into, first) = join(
            yard,
            certifier,
            (0..=nearest).map(|index| (index, places[index])),
            narrow,
            -way,
            least,
        )?;
        let rest = (nearest..places.len())
            .rev()
            .map(|index| (index, places[index]));
        let (out, last) = join(yard, certifier, rest, narrow, way, least)?;
        let mut led = places.get(..=into)?.to_vec();
        led.extend([first, last]);
        led.extend(places.get(out..)?);
        (into < out && led.len() < places.len()).then_some(Track { places: led })
    })
}

/// The first of the poses from which a straight stretch leads to the line through the narrow place, and where it meets
/// that line, ahead (`way` 1) or behind (-1).
fn join(
    yard: &Yard,
    certifier: &mut Certifier,
    places: impl Iterator<Item = (usize, Place)> + Clone,
    narrow: Place,
    way: f64,
    least: f64,
) -> Option<(usize, Place)> {
    let (sine, cosine) = libm::sincos(narrow.heading);
    [2.5, 2.0, 1.5, 1.0, 0.5, 0.2, 0.0]
        .into_iter()
        .find_map(|share| {
            let along = way * share * yard.half[0];
            let at = [narrow.at[0] + along * cosine, narrow.at[1] + along * sine];
            let met = Place { at, ..narrow };
            if !certifier.keeps(narrow, met, least) {
                return None;
            }
            let (index, _) = places
                .clone()
                .find(|(_, place)| certifier.keeps(*place, met, least))?;
            Some((index, met))
        })
}

/// The farthest pose that can be reached straight, found by leaps that double and then halve again.
fn farthest(from: usize, mut keeps: impl FnMut(usize) -> Option<bool>) -> usize {
    let mut reached = from + 1;
    let mut leap = 1;
    while keeps(reached + leap) == Some(true) {
        reached += leap;
        leap *= 2;
    }
    while leap > 1 {
        leap /= 2;
        if keeps(reached + leap) == Some(true) {
            reached += leap;
        }
    }
    reached
}
