//! The ground along a way: how steep it is, from the heights of points nearby, and over what it leads.
//!
//! Between points the ground is taken to be plane: the plane of least squares through the points nearest by, at least
//! four, that lie around the place. A bump between them is not seen; where somebody measured a leg's steepest place,
//! that counts beside it. Outside the points nothing is known.

use super::model::{Plan, ZoneKind};
use super::traced::{Place, Traced};
use crate::motion::Answer;
use crate::motion::answer::Verdict;
use crate::motion::moves::Move;
use crate::motion::scene::Pose;
use setdown_types::order;

/// How many points at least make the plane, where there are so many.
const NEAREST: usize = 4;
/// A plane reaches beyond its points by half the width of the unit, but by no more than this, inches: half of it still
/// stands between them. Common practice, no source.
const BEYOND: f64 = 48.0;
/// The way is looked at in pieces of at most this many inches.
const PIECE: f64 = 24.0;
/// Pieces whose grades differ by no more than this are one stretch.
const SAME_GRADE: f64 = 0.005;
/// Movements shorter than this are no way, inches.
const NO_WAY: f64 = 1e-6;
/// Points whose spread across their line is less than this share of that along it lie on one line.
const ON_ONE_LINE: f64 = 1e-3;

/// How much the ground rises along a way of length 1; below 0 it falls.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// The rise.
    pub rise: f64,
    /// How it moves with each height: position in [`Plan::levels`] and rise per inch.
    pub by_level: Vec<(usize, f64)>,
}

/// A part of the way with one grade over one kind of ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Inches along the way where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// The steepest grade on it.
    pub grade: Grade,
    /// The area it leads over, where one is drawn.
    pub zone: Option<ZoneKind>,
}

/// One move of the way in, with the ground it goes over.
#[derive(Clone, Debug, PartialEq)]
pub struct Walked {
    /// The move.
    pub step: Move,
    /// How far the middle of the unit travels, inches.
    pub distance: f64,
    /// Its stretches; none where it turns on the spot, or the heights around any of it are not known.
    pub stretches: Vec<Stretch>,
    /// The areas it leads over, in order.
    pub zones: Vec<ZoneKind>,
}

/// The ground of a plan.
#[derive(Clone, Copy, Debug)]
pub struct Ground<'a> {
    plan: &'a Plan,
}

impl<'a> Ground<'a> {
    /// The ground of this plan.
    pub fn of(plan: &'a Plan) -> Self {
        Self { plan }
    }

    /// The grade at a place along a way of length 1; `None` outside the points with heights, or where they lie on one
    /// line.
    pub fn grade(&self, at: [f64; 2], way: [f64; 2]) -> Option<Grade> {
        let mut all: Vec<(usize, [f64; 2])> = (self.plan.levels.iter().enumerate())
            .map(|(index, level)| (index, level.at.at()))
            .collect();
        order::sort_by(&mut all, |a, b| {
            apart(a.1, at)
                .total_cmp(&apart(b.1, at))
                .then(a.0.cmp(&b.0))
        });
        let beyond = self.beyond();
        if !is_among(&all, at, beyond) {
            return None;
        }
        let by_level = (NEAREST.min(all.len())..=all.len()).find_map(|count| {
            let nearest = all.get(..count)?;
            let slopes = slopes(nearest, way)?;
            is_among(nearest, at, beyond).then_some(slopes)
        })?;
        let height = |index: usize| self.plan.levels.get(index).map_or(0.0, |l| l.height.value);
        // Heights as above one of them, so that a datum far below costs no digits.
        let datum = by_level.first().map_or(0.0, |(index, _)| height(*index));
        let rise = by_level
            .iter()
            .map(|(index, by)| by * (height(*index) - datum))
            .sum();
        Some(Grade { rise, by_level })
    }

    /// How far beyond its points a plane reaches, inches.
    fn beyond(&self) -> f64 {
        let half = self.plan.unit.map_or(0.0, |unit| 0.5 * unit.width);
        half.min(BEYOND)
    }

    /// How steep a grade can be: as it comes out and its spread.
    fn steepest(&self, grade: &Grade) -> f64 {
        let mut rise = Traced::default();
        for (index, by) in &grade.by_level {
            if let Some(level) = self.plan.levels.get(*index) {
                rise = rise.plus(&level.height.times(*by));
            }
        }
        grade.rise.abs() + rise.spread()
    }

    /// The area at a place: of several the one drawn last.
    pub fn zone(&self, at: [f64; 2]) -> Option<ZoneKind> {
        let over = |kind: ZoneKind| !matches!(kind, ZoneKind::House | ZoneKind::Easement);
        let zones = self.plan.zones.iter().rev();
        let mut here = zones.filter(|zone| over(zone.kind) && holds(&zone.ring, at));
        here.next().map(|zone| zone.kind)
    }

    /// The stretches of a way; none where the grade of any of it is not known.
    pub fn stretches(&self, path: &[Pose]) -> Vec<Stretch> {
        let (found, whole) = self.known_stretches(path);
        if whole { found } else { Vec::new() }
    }

    /// The stretches of a way whose grade is known, and whether they are all of it.
    pub fn known_stretches(&self, path: &[Pose]) -> (Vec<Stretch>, bool) {
        let mut found: Vec<Stretch> = Vec::new();
        let (mut walked, mut whole) = (0.0, true);
        for (from, to) in path.iter().zip(path.iter().skip(1)) {
            let (from, to) = ([from.x, from.y], [to.x, to.y]);
            let length = apart(from, to);
            if length <= NO_WAY {
                continue;
            }
            let way = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
            let count = libm::ceil(length / PIECE).max(1.0);
            for piece in 0..count as u32 {
                let middle = length * (f64::from(piece) + 0.5) / count;
                let at = [from[0] + middle * way[0], from[1] + middle * way[1]];
                let Some(grade) = self.grade(at, way) else {
                    whole = false;
                    continue;
                };
                let end = walked + length * f64::from(piece + 1) / count;
                let begin = walked + length * f64::from(piece) / count;
                let next = Stretch {
                    from: begin,
                    to: end,
                    grade,
                    zone: self.zone(at),
                };
                self.add(&mut found, next);
            }
            walked += length;
        }
        (found, whole)
    }

    /// Adds a piece to the last stretch where it goes on from there and ground and grade are the same, else as a new
    /// one. Of two grades the one that can be the steeper stays.
    fn add(&self, found: &mut Vec<Stretch>, next: Stretch) {
        let same = |last: &&mut Stretch| {
            last.zone == next.zone
                && (next.from - last.to).abs() <= NO_WAY
                && (last.grade.rise - next.grade.rise).abs() <= SAME_GRADE
        };
        match found.last_mut().filter(same) {
            Some(last) => {
                last.to = next.to;
                if self.steepest(&next.grade) > self.steepest(&last.grade) {
                    last.grade = next.grade;
                }
            }
            None => found.push(next),
        }
    }

    /// The moves of an answer with the ground they go over.
    pub fn walked(&self, answer: &Answer) -> Vec<Walked> {
        if answer.verdict != Verdict::Route {
            return Vec::new();
        }
        let of = |step: &Move| {
            let ends = [step.from, step.to];
            let ([x, y], [u, v]) = ([ends[0].x, ends[0].y], [ends[1].x, ends[1].y]);
            Walked {
                step: *step,
                distance: apart([x, y], [u, v]),
                stretches: self.stretches(&ends),
                zones: self.zones(&ends),
            }
        };
        answer.moves.iter().map(of).collect()
    }

    fn zones(&self, [from, to]: &[Pose; 2]) -> Vec<ZoneKind> {
        let (from, to) = ([from.x, from.y], [to.x, to.y]);
        let count = libm::ceil(apart(from, to) / PIECE).max(1.0);
        let mut found: Vec<ZoneKind> = Vec::new();
        for piece in 0..=count as u32 {
            let share = f64::from(piece) / count;
            let at = [0, 1].map(|axis: usize| from[axis] + share * (to[axis] - from[axis]));
            if let Some(zone) = self.zone(at).filter(|zone| found.last() != Some(zone)) {
                found.push(zone);
            }
        }
        found
    }
}

/// How the rise along a way moves with the height of each point, for the plane of least squares through them.
fn slopes(points: &[(usize, [f64; 2])], way: [f64; 2]) -> Option<Vec<(usize, f64)>> {
    let count = points.len() as f64;
    if points.len() < 3 {
        return None;
    }
    let sum = |axis: usize| points.iter().map(|(_, at)| at[axis]).sum::<f64>() / count;
    let middle = [sum(0), sum(1)];
    let off = |at: &[f64; 2]| [at[0] - middle[0], at[1] - middle[1]];
    let moment = |one: usize, other: usize| -> f64 {
        let each = points.iter().map(|(_, at)| off(at));
        each.map(|off| off[one] * off[other]).sum()
    };
    let (xx, xy, yy) = (moment(0, 0), moment(0, 1), moment(1, 1));
    let determinant = xx * yy - xy * xy;
    if determinant <= ON_ONE_LINE * ON_ONE_LINE * (xx + yy) * (xx + yy) {
        return None;
    }
    let by = |(index, at): &(usize, [f64; 2])| {
        let [x, y] = off(at);
        let along_x = (yy * x - xy * y) / determinant;
        let along_y = (xx * y - xy * x) / determinant;
        (*index, along_x * way[0] + along_y * way[1])
    };
    Some(points.iter().map(by).collect())
}

/// Whether a ring holds a place, by counting the sides to the right of it.
fn holds(ring: &[Place], [x, y]: [f64; 2]) -> bool {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let crossed = sides.filter(|(from, to)| {
        let ([a, b], [c, d]) = (from.at(), to.at());
        (b > y) != (d > y) && x < a + (y - b) * (c - a) / (d - b)
    });
    crossed.count() % 2 == 1
}

/// Whether a place lies in the convex hull of points, or outside it by no more than so many inches.
fn is_among(points: &[(usize, [f64; 2])], at: [f64; 2], beyond: f64) -> bool {
    let hull = hull(points);
    let sides = || hull.iter().zip(hull.iter().cycle().skip(1));
    let is_inside = hull.len() > 2 && sides().all(|(from, to)| is_left(*from, *to, at));
    is_inside || sides().any(|(from, to)| off_side(*from, *to, at) <= beyond)
}

/// The convex hull, counter-clockwise.
fn hull(points: &[(usize, [f64; 2])]) -> Vec<[f64; 2]> {
    let mut sorted: Vec<[f64; 2]> = points.iter().map(|(_, at)| *at).collect();
    order::sort_by(&mut sorted, |a, b| {
        a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]))
    });
    let mut lower = chain(sorted.iter());
    let mut upper = chain(sorted.iter().rev());
    // Each chain ends where the other begins.
    lower.pop();
    upper.pop();
    lower.append(&mut upper);
    lower
}

/// The right-hand edge of points that come in order.
fn chain<'p>(points: impl Iterator<Item = &'p [f64; 2]>) -> Vec<[f64; 2]> {
    let mut chain: Vec<[f64; 2]> = Vec::new();
    for point in points {
        while let [.., before, last] = chain.as_slice()
            && is_left(*before, *point, *last)
        {
            chain.pop();
        }
        chain.push(*point);
    }
    chain
}

/// Whether a place lies left of a line or on it.
fn is_left(from: [f64; 2], to: [f64; 2], at: [f64; 2]) -> bool {
    (to[0] - from[0]) * (at[1] - from[1]) >= (to[1] - from[1]) * (at[0] - from[0])
}

/// How far a place is from a line between two points.
fn off_side(from: [f64; 2], to: [f64; 2], at: [f64; 2]) -> f64 {
    let side = [to[0] - from[0], to[1] - from[1]];
    let square = side[0] * side[0] + side[1] * side[1];
    if square <= 0.0 {
        return apart(from, at);
    }
    let along = (at[0] - from[0]) * side[0] + (at[1] - from[1]) * side[1];
    let share = (along / square).clamp(0.0, 1.0);
    apart([from[0] + share * side[0], from[1] + share * side[1]], at)
}

fn apart(one: [f64; 2], other: [f64; 2]) -> f64 {
    let (x, y) = (one[0] - other[0], one[1] - other[1]);
    libm::sqrt(x * x + y * y)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(heights: &str) -> Plan {
        let text = format!(
            r#"{{"spread": 0.5, "legs": [{{"id": "a", "left": 600, "right": 600, "length": 1200}}],
            "zones": [{{"id": "drive", "kind": "drive", "ring": [[0, -100], [500, -100], [500, 100], [0, 100]]}},
                      {{"id": "lawn", "kind": "lawn", "ring": [[500, -100], [1200, -100], [1200, 100], [500, 100]]}}],
            "levels": [{heights}]}}"#
        );
        super::super::read(&text)
            .expect("a plan")
            .plan
            .expect("legs")
    }

    fn pose(x: f64, y: f64) -> Pose {
        Pose { x, y, heading: 0.0 }
    }

    /// The plane 0.02 x - 0.01 y + 3, so the rise along x is 2 % and along y -1 % everywhere.
    #[test]
    fn a_plane_is_found_again() {
        let heights: Vec<String> = [
            (0.0, 0.0),
            (400.0, 50.0),
            (800.0, -60.0),
            (300.0, 300.0),
            (900.0, 200.0),
        ]
        .map(|(x, y): (f64, f64)| {
            let height = 0.02 * x - 0.01 * y + 3.0;
            format!(r#"{{"at": [{x}, {y}], "height": {height}}}"#)
        })
        .to_vec();
        let plan = plan(&heights.join(","));
        let ground = Ground::of(&plan);
        for at in [[10.0, 5.0], [500.0, 0.0], [800.0, 200.0]] {
            let along_x = ground.grade(at, [1.0, 0.0]).expect("five heights").rise;
            let along_y = ground.grade(at, [0.0, 1.0]).expect("five heights").rise;
            assert!(
                (along_x - 0.02).abs() < 1e-12 && (along_y + 0.01).abs() < 1e-12,
                "{at:?}"
            );
        }
    }

    /// Level as far as x = 400, then 5 % up.
    #[test]
    fn stretches_end_where_grade_or_ground_change() {
        let heights = [
            (0, -50, 0),
            (0, 50, 0),
            (400, -50, 0),
            (400, 50, 0),
            (1_200, -50, 40),
            (1_200, 50, 40),
        ]
        .map(|(x, y, height)| format!(r#"{{"at": [{x}, {y}], "height": {height}}}"#));
        let plan = plan(&heights.join(","));
        let stretches =
            Ground::of(&plan).stretches(&[pose(20.0, 0.0), pose(20.0, 0.0), pose(1_180.0, 0.0)]);
        assert_eq!(stretches.first().expect("some").from, 0.0);
        assert!((stretches.last().expect("some").to - 1_160.0).abs() < 1e-9);
        assert_eq!(stretches.first().expect("some").grade.rise, 0.0);
        assert!((stretches.last().expect("some").grade.rise - 0.05).abs() < 1e-12);
        assert_eq!(stretches.first().expect("some").zone, Some(ZoneKind::Drive));
        assert_eq!(stretches.last().expect("some").zone, Some(ZoneKind::Lawn));
        for (one, other) in stretches.iter().zip(stretches.iter().skip(1)) {
            assert_eq!(one.to, other.from);
        }
    }

    /// Four heights of a level patio say nothing of the drive before it: no grade but on the patio, and beyond it by no
    /// more than half the unit's width, which here is none.
    #[test]
    fn a_patio_says_nothing_of_the_drive() {
        let heights = [(800, -80), (1_100, -80), (1_100, 80), (800, 80)]
            .map(|(x, y)| format!(r#"{{"at": [{x}, {y}], "height": 1}}"#));
        let mut plan = plan(&heights.join(","));
        let known = |plan: &Plan, at| Ground::of(plan).grade(at, [1.0, 0.0]).is_some();
        assert!(known(&plan, [900.0, 0.0]) && known(&plan, [800.0, 40.0]));
        assert!(!known(&plan, [790.0, 0.0]) && !known(&plan, [100.0, 0.0]));
        let path = [pose(40.0, 0.0), pose(1_000.0, 0.0)];
        let (stretches, whole) = Ground::of(&plan).known_stretches(&path);
        assert!(!whole && stretches.len() == 1);
        // Pieces of 24 in: the first whose middle is on the patio begins 768 - 12 + 12 from the start.
        assert_eq!((stretches[0].from, stretches[0].to), (768.0, 960.0));
        assert!(Ground::of(&plan).stretches(&path).is_empty());
        for (width, beyond) in [(60.0, 30.0), (120.0, 48.0)] {
            plan.unit = Some(crate::plan::Unit {
                length: 200.0,
                width,
                carried: None,
            });
            assert!(known(&plan, [800.5 - beyond, 0.0]), "{width}");
            assert!(!known(&plan, [799.5 - beyond, 0.0]), "{width}");
        }
    }

    /// The four heights nearest to the foot of the slope all lie on the level: the slope beyond them still counts.
    #[test]
    fn no_plane_is_drawn_out_beyond_its_points() {
        let heights = [
            (0, -50, 0),
            (0, 50, 0),
            (400, -50, 0),
            (400, 50, 0),
            (1_200, -50, 80),
            (1_200, 50, 80),
        ]
        .map(|(x, y, height)| format!(r#"{{"at": [{x}, {y}], "height": {height}}}"#));
        let plan = plan(&heights.join(","));
        let grade = Ground::of(&plan).grade([500.0, 0.0], [1.0, 0.0]);
        assert!(grade.expect("among them").rise > 0.05);
    }

    /// A hull of a square with a point inside: by hand.
    #[test]
    fn places_among_points() {
        let points = [
            [0.0, 0.0],
            [10.0, 0.0],
            [5.0, 4.0],
            [10.0, 10.0],
            [0.0, 10.0],
        ];
        let points: Vec<(usize, [f64; 2])> = points.into_iter().enumerate().collect();
        assert_eq!(hull(&points).len(), 4);
        assert!(is_among(&points, [5.0, 5.0], 0.0) && is_among(&points, [10.0, 5.0], 0.0));
        assert!(!is_among(&points, [11.0, 5.0], 0.9) && is_among(&points, [11.0, 5.0], 1.1));
        // A corner is reached straight: 3, 4, 5.
        assert!(!is_among(&points, [13.0, 14.0], 4.9) && is_among(&points, [13.0, 14.0], 5.1));
        assert!(!is_among(&points[..2], [5.0, 2.0], 1.0) && !is_among(&[], [0.0, 0.0], 9.0));
        let one = &points[..1];
        assert!(!is_among(one, [1.0, 0.0], 4.9), "one point is no ground");
    }

    /// 2.0 % good to a hair, then 1.7 % from heights good to 2 ft over 400 in: the second can be the steeper.
    #[test]
    fn of_two_grades_the_one_that_can_be_steeper_stays() {
        let heights = [
            (0, -50, 0.0, 0.01),
            (0, 50, 0.0, 0.01),
            (400, -50, 8.0, 0.01),
            (400, 50, 8.0, 0.01),
            (800, -50, 14.8, 24.0),
            (800, 50, 14.8, 24.0),
        ]
        .map(|(x, y, height, spread)| {
            format!(r#"{{"at": [{x}, {y}], "height": {{"is": {height}, "spread": {spread}}}}}"#)
        });
        let plan = plan(&heights.join(","));
        let ground = Ground::of(&plan);
        let piece = |from: f64, x: f64| Stretch {
            from,
            to: from + 24.0,
            grade: ground.grade([x, 0.0], [1.0, 0.0]).expect("among them"),
            zone: None,
        };
        let (sure, unsure) = (piece(0.0, 100.0), piece(24.0, 700.0));
        assert!(sure.grade.rise > unsure.grade.rise);
        let mut found = vec![sure];
        ground.add(&mut found, unsure.clone());
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].grade, unsure.grade);
    }

    #[test]
    fn heights_on_one_line_say_nothing() {
        let heights = [0, 300, 900].map(|x| format!(r#"{{"at": [{x}, 0], "height": 1}}"#));
        let plan = plan(&heights.join(","));
        assert_eq!(Ground::of(&plan).grade([10.0, 0.0], [1.0, 0.0]), None);
        assert!(
            Ground::of(&plan)
                .stretches(&[pose(0.0, 0.0), pose(90.0, 0.0)])
                .is_empty()
        );
    }
}
