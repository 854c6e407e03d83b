//! Poses along a proved track between which a crew's moves are sought, their headings whole degrees on from the start
//! wherever that is proved.

use super::certify::Certifier;
use super::path::Track;
use super::pinch::{between, movement};
use super::yard::{Place, Yard, into_body};

/// About how many stops a track gets beside its own poses.
const STOPS: f64 = 20.0;
/// Stops nearer together than this many inches of movement are not worth the time.
const CLOSEST: f64 = 12.0;
/// Headings at both ends of a straight stretch differ by no more than this many degrees.
const ASKEW: f64 = 0.75;
/// A stretch leads through a narrow place that lies within this many inches of it, and places are tried as far aside.
const OFF: f64 = 1.0;
/// The shortest step aside, in inches.
const LEAST_ASIDE: f64 = 0.004;
/// Headings are tried in steps of these parts of a degree.
const STEPS: [f64; 2] = [1.0, 2.0];

/// Stops from start to goal; a straight stretch from each to the next keeps `least`.
pub(super) fn stops(
    yard: &Yard,
    certifier: &mut Certifier,
    track: &Track,
    narrow: &[Place],
    least: f64,
) -> Vec<Place> {
    let track = lined_up(yard, certifier, track, narrow, least);
    let exact = spread_out(yard, &track);
    let mut stops: Vec<Place> = Vec::with_capacity(exact.len());
    for (index, place) in exact.iter().enumerate() {
        let stop = match (stops.last(), exact.get(index + 1)) {
            (Some(before), Some(next)) => STEPS
                .iter()
                .map(|parts| rounded(*place, yard.start.heading, *parts))
                .find(|stop| {
                    yard.clearance(*stop) >= least
                        && certifier.keeps(*before, *stop, least)
                        && certifier.keeps(*stop, *next, least)
                })
                .unwrap_or(*place),
            _ => *place,
        };
        stops.push(stop);
    }
    stops
}

/// The track's own poses and some between them.
fn spread_out(yard: &Yard, track: &Track) -> Vec<Place> {
    let pairs = || track.places.windows(2);
    let length = |pair: &[Place]| match pair {
        [from, to] => movement(yard, *from, *to),
        _ => 0.0,
    };
    let step = (pairs().map(length).sum::<f64>() / STOPS).max(CLOSEST);
    let mut places: Vec<Place> = track.places.first().copied().into_iter().collect();
    for pair in pairs() {
        let [from, to] = pair else { continue };
        let count = libm::round(length(pair) / step).max(1.0) as u32;
        places.extend((1..count).map(|part| {
            let share = f64::from(part) / f64::from(count);
            between(*from, *to, share)
        }));
        places.push(*to);
    }
    places
}

/// The pose with its heading a whole number of steps on from another.
fn rounded(place: Place, from: f64, parts: f64) -> Place {
    let degrees = libm::round((place.heading - from).to_degrees() * parts) / parts;
    Place {
        heading: from + degrees.to_radians(),
        ..place
    }
}

/// The track with its straight stretches through narrow places in line with them at a rounded heading, where that is
/// proved: a track may pass a narrow place a little askew.
fn lined_up(
    yard: &Yard,
    certifier: &mut Certifier,
    track: &Track,
    narrow: &[Place],
    least: f64,
) -> Track {
    let mut places = track.places.clone();
    for after in 2..places.len().saturating_sub(1) {
        let [before, first, last, next] =
            [after - 2, after - 1, after, after + 1].map(|at| places[at]);
        if (last.heading - first.heading).to_degrees().abs() > ASKEW {
            continue;
        }
        let straight = STEPS.iter().find_map(|parts| {
            let heading = rounded(first, yard.start.heading, *parts).heading;
            let line = line(yard, [first, last], heading, narrow)?;
            let [first, last] = [first, last].map(|place| onto(line, place));
            let row = [before, first, last, next];
            let mut pairs = row.iter().zip(&row[1..]);
            let proved = pairs.all(|(from, to)| certifier.keeps(*from, *to, least));
            proved.then_some([first, last])
        });
        if let Some(straight) = straight {
            [places[after - 1], places[after]] = straight;
        }
    }
    Track { places }
}

/// A pose in the narrowest place that a straight stretch leads through, turned to a heading and then moved aside to where
/// it has most room.
fn line(yard: &Yard, [first, last]: [Place; 2], heading: f64, narrow: &[Place]) -> Option<Place> {
    let (sine, cosine) = libm::sincos(first.heading);
    let [length, _] = into_body(last.at, first.at, cosine, sine);
    let place = narrow.iter().find(|place| {
        let [along, off] = into_body(place.at, first.at, cosine, sine);
        off.abs() < OFF && along * length > 0.0 && along.abs() < length.abs()
    })?;
    Some(roomiest_aside(yard, Place { heading, ..*place }))
}

/// Climbs aside to the most room, by steps that halve.
fn roomiest_aside(yard: &Yard, place: Place) -> Place {
    let mut best = place;
    let mut room = yard.clearance(best);
    let mut step = OFF;
    while step > LEAST_ASIDE {
        let better = [step, -step].into_iter().find_map(|aside| {
            let at = Yard::from_body(best, [0.0, aside]);
            let aside = Place { at, ..best };
            let more = yard.clearance(aside);
            (more > room).then_some((aside, more))
        });
        match better {
            Some(better) => (best, room) = better,
            None => step *= 0.5,
        }
    }
    best
}

/// The pose on the line through another along its heading, beside where a place is.
fn onto(line: Place, place: Place) -> Place {
    let (sine, cosine) = libm::sincos(line.heading);
    let [along, _] = into_body(place.at, line.at, cosine, sine);
    let at = Yard::from_body(line, [along, 0.0]);
    Place { at, ..line }
}
