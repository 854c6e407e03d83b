//! The ground along a way: how steep it is, from the heights of points nearby, and over what it leads.
//!
//! Between points the ground is taken to be plane: the plane of least squares through the four points nearest by. A
//! bump between them is not seen; where somebody measured a leg's steepest place, that counts beside it.

use super::model::{Plan, ZoneKind};
use super::traced::Place;
use crate::motion::Answer;
use crate::motion::answer::Verdict;
use crate::motion::moves::Move;
use crate::motion::scene::Pose;

/// How many points make the plane.
const NEAREST: usize = 4;
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
    /// Its stretches; none where it turns on the spot, or the heights of too few points are known.
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

    /// The grade at a place along a way of length 1; `None` where the heights known lie on one line.
    pub fn grade(&self, at: [f64; 2], way: [f64; 2]) -> Option<Grade> {
        let mut all: Vec<(usize, [f64; 2])> = (self.plan.levels.iter().enumerate())
            .map(|(index, level)| (index, level.at.at()))
            .collect();
        all.sort_by(|a, b| {
            apart(a.1, at)
                .total_cmp(&apart(b.1, at))
                .then(a.0.cmp(&b.0))
        });
        let nearest = all.get(..NEAREST.min(all.len()))?;
        let by_level = slopes(nearest, way).or_else(|| slopes(&all, way))?;
        let height = |index: usize| self.plan.levels.get(index).map_or(0.0, |l| l.height.value);
        // Heights as above one of them, so that a datum far below costs no digits.
        let datum = by_level.first().map_or(0.0, |(index, _)| height(*index));
        let rise = by_level
            .iter()
            .map(|(index, by)| by * (height(*index) - datum))
            .sum();
        Some(Grade { rise, by_level })
    }

    /// The area at a place: of several the one drawn last.
    pub fn zone(&self, at: [f64; 2]) -> Option<ZoneKind> {
        let over = |kind: ZoneKind| !matches!(kind, ZoneKind::House | ZoneKind::Easement);
        let zones = self.plan.zones.iter().rev();
        let mut here = zones.filter(|zone| over(zone.kind) && holds(&zone.ring, at));
        here.next().map(|zone| zone.kind)
    }

    /// The stretches of a way; none where no grade is known.
    pub fn stretches(&self, path: &[Pose]) -> Vec<Stretch> {
        let mut found: Vec<Stretch> = Vec::new();
        let mut walked = 0.0;
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
                    return Vec::new();
                };
                let end = walked + length * f64::from(piece + 1) / count;
                let begin = walked + length * f64::from(piece) / count;
                let next = Stretch {
                    from: begin,
                    to: end,
                    grade,
                    zone: self.zone(at),
                };
                add(&mut found, next);
            }
            walked += length;
        }
        found
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

/// Adds a piece to the last stretch where ground and grade are the same, else as a new one.
fn add(found: &mut Vec<Stretch>, next: Stretch) {
    let same = |last: &&mut Stretch| {
        last.zone == next.zone && (last.grade.rise - next.grade.rise).abs() <= SAME_GRADE
    };
    match found.last_mut().filter(same) {
        Some(last) => {
            last.to = next.to;
            if next.grade.rise.abs() > last.grade.rise.abs() {
                last.grade = next.grade;
            }
        }
        None => found.push(next),
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
        for at in [[10.0, 5.0], [500.0, 0.0], [1_000.0, 90.0]] {
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
