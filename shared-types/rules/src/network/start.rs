//! Where the search for the least-squares places begins: several rough drawings of the yard, always the same ones.
//!
//! Points are placed one after the other where two of their readings meet: circles round placed points, lines square
//! to or along them. Two circles meet twice, so drawings branch; the best few are kept (a beam search). One mistaped
//! distance cannot mislead all of them, because what a reading adds to the cost of a drawing is capped.

use super::layout::sigma;
use super::locus::{Locus, locus, meet, step};
use super::model::{Measured, TapeNetwork};
use super::observe::{observe, order_holds, side_holds, towards};
use super::settle::Place;
use setdown_types::order;

/// How many drawings are kept from point to point.
const KEPT: usize = 24;
/// At most so many circles and lines are tried for one point.
const MOST_LOCI: usize = 5;
/// The most that one reading adds to the cost: a blunder of 14 σ and one of 100 count alike.
const MOST_COST: f64 = 200.0;
/// Drawings that cost more than this many times the least, and this much on top, are not carried further: rough
/// places cost tens, a point folded the wrong way costs several times [`MOST_COST`].
const HOPELESS: [f64; 2] = [20.0, 600.0];
/// What a point on the wrong side costs.
const WRONG_SIDE: f64 = 10_000.0;

/// A drawing in the making.
#[derive(Clone, Debug)]
struct Drawing {
    places: Vec<Place>,
    cost: f64,
}

/// Rough drawings in the network's frame, the likeliest first.
pub(super) fn starts(network: &TapeNetwork, set_aside: &[usize]) -> Vec<Vec<Place>> {
    let count = network.parts().points.len();
    let readings = Readings::of(network, set_aside);
    let ([first, second], apart) = readings.first_pair();
    let mut placed = vec![false; count];
    let mut places = vec![[0.0, 0.0]; count];
    for (point, x) in [(first, 0.0), (second, apart)] {
        if let (Some(place), Some(done)) = (places.get_mut(point), placed.get_mut(point)) {
            *place = [x, 0.0];
            *done = true;
        }
    }
    let mut beam = vec![Drawing { places, cost: 0.0 }];
    while let Some(point) = readings.next_point(&placed) {
        if let Some(done) = placed.get_mut(point) {
            *done = true;
        }
        beam = readings.grow(&beam, point, &placed);
    }
    let least = beam.first().map_or(0.0, |drawing| drawing.cost);
    (beam.into_iter())
        .take_while(|drawing| drawing.cost <= HOPELESS[0] * least + HOPELESS[1])
        .map(|drawing| framed(network, drawing.places))
        .collect()
}

/// The readings that count, with what the drawings need of the network.
struct Readings<'a> {
    network: &'a TapeNetwork,
    set_aside: &'a [usize],
    /// A typical length in the yard.
    extent: f64,
}

impl<'a> Readings<'a> {
    fn of(network: &'a TapeNetwork, set_aside: &'a [usize]) -> Self {
        let taped = |m: Measured| matches!(m, Measured::Distance { .. });
        let extent = (network.parts().readings.iter())
            .filter(|reading| taped(reading.measured))
            .fold(0.0_f64, |most, reading| most.max(reading.value));
        Self {
            network,
            set_aside,
            extent: if extent > 0.0 { extent } else { 1_000.0 },
        }
    }

    fn counted(&self) -> impl Iterator<Item = (Measured, f64, f64)> {
        super::layout::counted(self.network, self.set_aside)
            .map(|(_, reading)| (reading.measured, reading.value, sigma(reading)))
    }

    /// Two points with a tape between them to begin with: those of the frame, else those with the most readings.
    fn first_pair(&self) -> ([usize; 2], f64) {
        let frame = self.network.parts().frame;
        let pair = [frame.origin, frame.along];
        let of_pair = |[a, b]: [usize; 2]| {
            self.counted()
                .find_map(|(measured, value, _)| match measured {
                    Measured::Distance { from, to }
                        if [from, to] == [a, b] || [to, from] == [a, b] =>
                    {
                        Some(value)
                    }
                    _ => None,
                })
        };
        if let Some(apart) = of_pair(pair) {
            return (pair, apart);
        }
        let busy = |point: usize| {
            let about =
                |(measured, _, _): &(Measured, f64, f64)| measured.points().contains(&point);
            self.counted().filter(about).count()
        };
        let mut best = (0, pair, self.extent);
        for (measured, value, _) in self.counted() {
            if let Measured::Distance { from, to } = measured {
                let links = busy(from) + busy(to);
                if links > best.0 {
                    best = (links, [from, to], value);
                }
            }
        }
        (best.1, best.2)
    }

    /// The point with the most readings to what is placed.
    fn next_point(&self, placed: &[bool]) -> Option<usize> {
        let is_placed = |point: usize| placed.get(point).copied().unwrap_or(true);
        let links = |point: usize| {
            self.counted()
                .filter(|(measured, _, _)| {
                    let points = measured.points();
                    let others_placed = points.iter().all(|p| *p == point || is_placed(*p));
                    points.contains(&point) && others_placed
                })
                .count()
        };
        (0..placed.len())
            .filter(|point| !is_placed(*point))
            .map(|point| (links(point), point))
            .reduce(|best, other| if other.0 > best.0 { other } else { best })
            .map(|(_, point)| point)
    }

    /// Every drawing with the point put wherever it may lie; the best few.
    fn grow(&self, beam: &[Drawing], point: usize, placed: &[bool]) -> Vec<Drawing> {
        let mut grown: Vec<Drawing> = Vec::new();
        for drawing in beam {
            let mut apart: Vec<(f64, Place)> = Vec::new();
            for candidate in self.candidates(&drawing.places, point, placed) {
                let cost = self.cost(&drawing.places, point, candidate, placed);
                // Readings of one point differ a little: what lies together is one candidate.
                let near = |(_, other): &&mut (f64, Place)| {
                    towards(*other, candidate).0 < 0.01 * self.extent
                };
                match apart.iter_mut().find(near) {
                    Some(known) if cost < known.0 => *known = (cost, candidate),
                    Some(_) => {}
                    None => apart.push((cost, candidate)),
                }
            }
            for (cost, candidate) in apart {
                let mut places = drawing.places.clone();
                if let Some(place) = places.get_mut(point) {
                    *place = candidate;
                }
                grown.push(Drawing {
                    places,
                    cost: drawing.cost + cost,
                });
            }
        }
        order::sort_by(&mut grown, |a, b| a.cost.total_cmp(&b.cost));
        grown.truncate(KEPT);
        grown
    }

    /// What the readings between the point and those placed say against a candidate.
    fn cost(&self, places: &[Place], point: usize, candidate: Place, placed: &[bool]) -> f64 {
        let mut trial = places.to_vec();
        if let Some(place) = trial.get_mut(point) {
            *place = candidate;
        }
        let concerned = |points: &[usize]| {
            let placed = |p: &usize| placed.get(*p).copied().unwrap_or(false);
            points.contains(&point) && points.iter().all(placed)
        };
        let mut cost = 0.0;
        for (_, reading) in super::layout::counted(self.network, self.set_aside) {
            if concerned(&reading.measured.points()) {
                let shown = observe(reading.measured, &trial).value;
                let misfit = (reading.value - shown) / sigma(reading);
                cost += (misfit * misfit).min(MOST_COST);
                if !order_holds(reading, &trial) {
                    cost += WRONG_SIDE;
                }
            }
        }
        for side in &self.network.parts().sides {
            if concerned(&[side.point, side.from, side.to]) && !side_holds(side, &trial) {
                cost += WRONG_SIDE;
            }
        }
        cost
    }

    /// Everywhere that two readings put the point; somewhere sensible where only one or none says anything.
    fn candidates(&self, places: &[Place], point: usize, placed: &[bool]) -> Vec<Place> {
        let loci = self.loci(places, point, placed);
        let mut found = Vec::new();
        for (index, one) in loci.iter().enumerate() {
            for other in loci.iter().skip(index + 1) {
                found.extend(meet(*one, *other));
            }
        }
        if found.is_empty() {
            found = match loci.first() {
                Some(locus) => self.along_locus(*locus),
                // Nothing ties it: apart from the others, so that what ties others to it has room.
                None => vec![[
                    0.37 * self.extent,
                    (0.5 + 0.11 * point as f64) * self.extent,
                ]],
            };
        }
        let size = 4.0 * super::FARTHEST;
        found.retain(|[x, y]| x.abs() <= size && y.abs() <= size);
        if found.is_empty() {
            found.push([0.5 * self.extent, 0.5 * self.extent]);
        }
        found
    }

    fn loci(&self, places: &[Place], point: usize, placed: &[bool]) -> Vec<Locus> {
        let mut loci = Vec::new();
        for (measured, value, _) in self.counted() {
            let points = measured.points();
            let usable = |p: &usize| *p == point || placed.get(*p).copied().unwrap_or(false);
            if points.contains(&point) && points.iter().all(usable) {
                loci.extend(locus(measured, value, places, point));
            }
            if loci.len() >= MOST_LOCI {
                break;
            }
        }
        loci
    }

    /// Places on one circle or line, for a point that nothing else ties.
    fn along_locus(&self, locus: Locus) -> Vec<Place> {
        const DIAGONAL: f64 = core::f64::consts::FRAC_1_SQRT_2;
        match locus {
            Locus::Circle { middle, radius } => [
                [0.0, 1.0],
                [DIAGONAL, DIAGONAL],
                [-DIAGONAL, DIAGONAL],
                [1.0, 0.0],
                [-1.0, 0.0],
                [0.0, -1.0],
            ]
            .iter()
            .map(|[x, y]| [middle[0] + radius * x, middle[1] + radius * y])
            .collect(),
            Locus::Line { through, direction } => [0.4, -0.4, 0.8, -0.8]
                .iter()
                .map(|part| step(through, direction, part * self.extent))
                .collect(),
        }
    }
}

/// The drawing moved and turned so that the frame's origin is at (0, 0) and x runs along.
pub(super) fn framed(network: &TapeNetwork, places: Vec<Place>) -> Vec<Place> {
    let frame = network.parts().frame;
    let start = super::observe::place(&places, frame.origin);
    let (length, [ux, uy]) = towards(start, super::observe::place(&places, frame.along));
    let (ux, uy) = if length > 0.0 { (ux, uy) } else { (1.0, 0.0) };
    let turned = |[x, y]: Place| {
        let (dx, dy) = (x - start[0], y - start[1]);
        [ux * dx + uy * dy, ux * dy - uy * dx]
    };
    let mut framed: Vec<Place> = places.into_iter().map(turned).collect();
    if let Some(place) = framed.get_mut(frame.origin) {
        *place = [0.0, 0.0];
    }
    if let Some(place) = framed.get_mut(frame.along) {
        *place = [if length > 0.0 { length } else { 1.0 }, 0.0];
    }
    framed
}
