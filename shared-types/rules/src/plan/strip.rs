//! Lines with a thickness as rings: walls, fences, eaves, wires.

use super::model::Sweep;
use super::traced::Place;

/// One ring of four corners for each piece of a line, its thickness laid to the side that `sweep` says.
///
/// Where the line turns away from the material, pieces are made longer, so that no notch is left at
/// the corner; where it turns towards it, they overlap anyway. So a strip is never smaller than what it stands for.
/// Pieces of no length are left out.
pub(super) fn strip(line: &[Place], closed: bool, thickness: f64, sweep: Sweep) -> Vec<Vec<Place>> {
    let (left, right) = match sweep {
        Sweep::Middle => (0.5 * thickness, -0.5 * thickness),
        Sweep::Left => (thickness, 0.0),
        Sweep::Right => (0.0, -thickness),
    };
    let count = line.len();
    let last = if closed {
        count
    } else {
        count.saturating_sub(1)
    };
    let corner = |index: usize| line.get(index % count.max(1));
    let mut pieces = Vec::new();
    for piece in 0..last {
        let (Some(from), Some(to)) = (corner(piece), corner(piece + 1)) else {
            continue;
        };
        let along = to.minus(from).unit();
        if along.at() == [0.0, 0.0] {
            continue;
        }
        let before = (closed || piece > 0)
            .then(|| corner(piece + count - 1))
            .flatten();
        let after = (closed || piece + 2 < count)
            .then(|| corner(piece + 2))
            .flatten();
        let longer_before = before.map_or(0.0, |b| longer(b, from, to, thickness, sweep));
        let longer_after = after.map_or(0.0, |a| longer(from, to, a, thickness, sweep));
        let across = along.turned_left();
        let start = from.plus(&along.times(-longer_before));
        let end = to.plus(&along.times(longer_after));
        pieces.push(vec![
            start.plus(&across.times(right)),
            end.plus(&across.times(right)),
            end.plus(&across.times(left)),
            start.plus(&across.times(left)),
        ]);
    }
    pieces
}

/// By how much a piece is made longer at a corner: thickness × tan(half the turn), which reaches the tip of the outer
/// corner; at most four times the thickness.
fn longer(before: &Place, corner: &Place, after: &Place, thickness: f64, sweep: Sweep) -> f64 {
    let way = |from: &Place, to: &Place| {
        let ([ax, ay], [bx, by]) = (from.at(), to.at());
        let length = libm::sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
        if length > 0.0 {
            [(bx - ax) / length, (by - ay) / length]
        } else {
            [0.0, 0.0]
        }
    };
    let ([ax, ay], [bx, by]) = (way(before, corner), way(corner, after));
    let (sine, cosine) = (ax * by - ay * bx, ax * bx + ay * by);
    let half = if cosine > -0.9 {
        (sine / (1.0 + cosine)).abs()
    } else {
        4.0
    };
    let half = half.min(4.0);
    match sweep {
        Sweep::Middle => 0.5 * thickness * half,
        Sweep::Left if sine < 0.0 => thickness * half,
        Sweep::Right if sine > 0.0 => thickness * half,
        Sweep::Left | Sweep::Right => 0.0,
    }
}
