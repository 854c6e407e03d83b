//! Mirror images: distances fit just as well when part of the yard is folded over a line, so somebody has to be asked.
//!
//! Part of the yard that hangs on the rest by two points only can be folded over the line through them: every distance
//! and right angle stays. Every such pair is tried, and what still fits is asked about. Where no pair separates
//! anything there can be other drawings that fit (six struts between two triangles); those found from other starts are
//! asked about too.

use super::adjust::{Adjustment, broken_sides, farthest_move, more_left};
use super::layout::{chi_square, counted};
use super::model::TapeNetwork;
use super::observe::{place, towards};
use super::settle::State;
use setdown_types::order;

/// A worse fit by more than this is believed: 3.29², one chance in a thousand.
const WORSE: f64 = 10.83;
/// A fold that moves nothing by more than this, in inches, asks for nothing.
const SAME: f64 = 1.0;
/// A fold must also move something by more than so many of its own σ.
const SAME_SIGMAS: f64 = 4.0;

/// A question of sides that the readings leave open.
#[derive(Clone, Debug, PartialEq)]
pub struct Mirror {
    /// The point to ask about: is it left of the line, as drawn now, or right?
    pub point: usize,
    /// Where to stand.
    pub from: usize,
    /// Towards which point to look.
    pub to: usize,
    /// Whether the point is drawn on the left now.
    pub drawn_left: bool,
    /// All points that change sides together.
    pub moves: Vec<usize>,
    /// Whether it is the whole yard that could be seen from below.
    pub whole: bool,
}

/// The questions of sides that are open.
pub fn mirrors(network: &TapeNetwork, adjusted: &Adjustment) -> Vec<Mirror> {
    let mut found = Vec::new();
    found.extend(whole(network, adjusted));
    for fold in folds(network, &adjusted.set_aside, &adjusted.state) {
        let folded = fold.apply(&adjusted.state);
        if fits(network, adjusted, &folded) {
            found.extend(question(
                adjusted,
                &folded,
                Some((fold.from, fold.to)),
                false,
            ));
        }
    }
    if found.iter().all(|mirror| mirror.whole) {
        found.extend(rivals(network, adjusted, !found.is_empty()));
    }
    found
}

fn fits(network: &TapeNetwork, adjusted: &Adjustment, state: &State) -> bool {
    let chi = chi_square(network, &adjusted.layout, &adjusted.set_aside, state);
    chi <= adjusted.chi_square + WORSE
        && broken_sides(network, state) <= broken_sides(network, &adjusted.state)
}

/// Everything seen from below.
fn upside_down(state: &State) -> State {
    let mut mirrored = state.clone();
    for place in &mut mirrored.places {
        place[1] = 0.0 - place[1];
    }
    mirrored
}

fn whole(network: &TapeNetwork, adjusted: &Adjustment) -> Option<Mirror> {
    let mirrored = upside_down(&adjusted.state);
    let frame = network.parts().frame;
    fits(network, adjusted, &mirrored)
        .then(|| question(adjusted, &mirrored, Some((frame.origin, frame.along)), true))
        .flatten()
}

/// The question that tells two drawings apart.
fn question(
    adjusted: &Adjustment,
    other: &State,
    hinge: Option<(usize, usize)>,
    whole: bool,
) -> Option<Mirror> {
    let mut moves: Vec<usize> = Vec::new();
    let mut best: Option<(f64, usize)> = None;
    for point in 0..adjusted.places.len() {
        let (by, _) = towards(place(&adjusted.places, point), place(&other.places, point));
        let known_to = adjusted.ellipse(point).major;
        if by > SAME && by > SAME_SIGMAS * known_to {
            moves.push(point);
            if best.is_none_or(|(most, _)| by > most * 1.000_001) {
                best = Some((by, point));
            }
        }
    }
    let (_, point) = best?;
    let (from, to) = hinge.or_else(|| line_that_tells(adjusted, other, point, &moves))?;
    let side = |places: &[super::Place]| {
        let (start, end) = (place(places, from), place(places, to));
        let (_, [ux, uy]) = towards(start, end);
        let at = place(places, point);
        ux * (at[1] - start[1]) - uy * (at[0] - start[0])
    };
    Some(Mirror {
        point,
        from,
        to,
        drawn_left: side(&adjusted.places) > 0.0,
        moves,
        whole,
    })
}

/// Two points with the asked point on different sides of their line in the two drawings.
fn line_that_tells(
    adjusted: &Adjustment,
    other: &State,
    point: usize,
    moves: &[usize],
) -> Option<(usize, usize)> {
    let side = |places: &[super::Place], from: usize, to: usize| {
        let (start, end, at) = (place(places, from), place(places, to), place(places, point));
        let (_, [ux, uy]) = towards(start, end);
        ux * (at[1] - start[1]) - uy * (at[0] - start[0])
    };
    let count = adjusted.places.len();
    let still_first = |k: &usize| (moves.contains(k), *k);
    let mut order: Vec<usize> = (0..count).filter(|k| *k != point).collect();
    order::sort_by_key(&mut order, still_first);
    for (index, from) in order.iter().enumerate() {
        for to in order.iter().skip(index + 1) {
            let here = side(&adjusted.places, *from, *to);
            let there = side(&other.places, *from, *to);
            if here * there < 0.0 && here.abs().min(there.abs()) > SAME {
                return Some((*from, *to));
            }
        }
    }
    None
}

/// Part of the yard and the line it can be folded over.
struct Fold {
    from: usize,
    to: usize,
    part: Vec<usize>,
}

impl Fold {
    fn apply(&self, state: &State) -> State {
        let mut folded = state.clone();
        let start = place(&state.places, self.from);
        let (_, [ux, uy]) = towards(start, place(&state.places, self.to));
        for point in &self.part {
            if let Some([x, y]) = folded.places.get_mut(*point) {
                let (dx, dy) = (*x - start[0], *y - start[1]);
                let (along, across) = (ux * dx + uy * dy, ux * dy - uy * dx);
                *x = start[0] + ux * along + uy * across;
                *y = start[1] + uy * along - ux * across;
            }
        }
        folded
    }
}

/// Every part that hangs on the rest by two points only; the rest is the part with the frame in it.
fn folds(network: &TapeNetwork, set_aside: &[usize], state: &State) -> Vec<Fold> {
    let count = network.parts().points.len();
    let frame = network.parts().frame;
    let mut folds = Vec::new();
    for from in 0..count {
        for to in from + 1..count {
            if towards(place(&state.places, from), place(&state.places, to)).0 < SAME {
                continue;
            }
            let parts = separated(network, set_aside, [from, to]);
            let stays = (parts.iter())
                .position(|part| part.contains(&frame.origin) || part.contains(&frame.along))
                .unwrap_or(0);
            for (index, part) in parts.into_iter().enumerate() {
                if index != stays {
                    folds.push(Fold { from, to, part });
                }
            }
        }
    }
    folds
}

/// The parts into which the points fall when two of them no longer join anything.
fn separated(network: &TapeNetwork, set_aside: &[usize], hinge: [usize; 2]) -> Vec<Vec<usize>> {
    let count = network.parts().points.len();
    let mut label: Vec<usize> = (0..count).collect();
    for (_, reading) in counted(network, set_aside) {
        let joined = reading.measured.points();
        let mut joined = joined.iter().filter(|point| !hinge.contains(point));
        if let Some(first) = joined.next() {
            for other in joined {
                join(&mut label, *first, *other);
            }
        }
    }
    let mut parts: Vec<Vec<usize>> = Vec::new();
    let mut roots: Vec<usize> = Vec::new();
    for (point, root) in label.iter().enumerate() {
        if hinge.contains(&point) {
            continue;
        }
        match roots.iter().position(|known| known == root) {
            Some(index) => parts
                .get_mut(index)
                .into_iter()
                .for_each(|part| part.push(point)),
            None => {
                roots.push(*root);
                parts.push(vec![point]);
            }
        }
    }
    parts
}

fn join(label: &mut [usize], one: usize, other: usize) {
    let (Some(keep), Some(gone)) = (label.get(one).copied(), label.get(other).copied()) else {
        return;
    };
    for of_point in label.iter_mut().filter(|l| **l == gone) {
        *of_point = keep;
    }
}

/// Other drawings that fit as well and are no fold of the one shown.
fn rivals(network: &TapeNetwork, adjusted: &Adjustment, either_way_up: bool) -> Vec<Mirror> {
    let mirrored = upside_down(&adjusted.state);
    let is_new = |state: &State| {
        farthest_move(state, &adjusted.state) > SAME
            && !(either_way_up && farthest_move(state, &mirrored) <= SAME)
    };
    let mut found: Vec<Mirror> = Vec::new();
    for rival in &adjusted.rivals {
        if is_new(&rival.state) && fits(network, adjusted, &rival.state) {
            let state = if either_way_up {
                same_way_up(adjusted, &rival.state)
            } else {
                rival.state.clone()
            };
            if let Some(mirror) = question(adjusted, &state, None, false)
                && !found.contains(&mirror)
            {
                found.push(mirror);
            }
        }
    }
    found
}

/// The rival or its mirror image, whichever is nearer to the drawing shown.
fn same_way_up(adjusted: &Adjustment, rival: &State) -> State {
    let turned = upside_down(rival);
    let as_is = farthest_move(rival, &adjusted.state);
    if farthest_move(&turned, &adjusted.state) < as_is {
        turned
    } else {
        rival.clone()
    }
}

/// The drawing to show: of those that fit alike, the one in which the first points lie to the left.
pub(super) fn preferred(network: &TapeNetwork, adjusted: &Adjustment) -> Option<State> {
    let equal = |state: &State| {
        let chi = chi_square(network, &adjusted.layout, &adjusted.set_aside, state);
        (chi - adjusted.chi_square).abs() <= 1e-6 * (1.0 + adjusted.chi_square)
            && broken_sides(network, state) <= broken_sides(network, &adjusted.state)
    };
    let mut shown = adjusted.state.clone();
    let turned = upside_down(&shown);
    if equal(&turned) && more_left(&turned, &shown).is_lt() {
        shown = turned;
    }
    for fold in folds(network, &adjusted.set_aside, &shown) {
        let folded = fold.apply(&shown);
        if equal(&folded) && more_left(&folded, &shown).is_lt() {
            shown = folded;
        }
    }
    (shown != adjusted.state).then_some(shown)
}
