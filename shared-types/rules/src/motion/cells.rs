//! The cells that cover all poses, which of them touch, and how one is split in two.
//!
//! Cells are closed and cover everything, so a continuous motion always passes through a chain of touching cells; and
//! each cell is convex in (x, y, heading), so a straight line between two of its poses stays inside.

use super::bounds::{Bounds, Interest, Span, bound};
use super::polygon::{Polygon, TOUCHING};
use super::yard::{Place, Yard};

/// Half a turn in ticks. Headings of cells are whole ticks, so that neighbours agree on them exactly.
pub(super) const HALF_TURN: u32 = 1 << 30;
const FIRST_SLABS: u32 = 4;
/// Intervals of heading are not split below this.
const SHORTEST: u32 = 32;
/// Polygons are not split below this many inches.
const NARROWEST: f64 = 1e-5;

/// A set of poses with what is known about them.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub polygon: Polygon,
    /// Interval of heading in ticks.
    pub low: u32,
    pub high: u32,
    pub bounds: Bounds,
    /// Cells that touch this one.
    pub neighbours: Vec<u32>,
    pub holds_start: bool,
    pub holds_goal: bool,
    box_low: [f64; 2],
    box_high: [f64; 2],
}

impl Cell {
    /// A pose in the middle of the cell.
    pub fn middle(&self) -> Place {
        Place {
            at: [0, 1].map(|axis: usize| 0.5 * (self.box_low[axis] + self.box_high[axis])),
            heading: radians(0.5 * (f64::from(self.low) + f64::from(self.high))),
        }
    }
}

/// All cells that can still matter.
#[derive(Clone, Debug)]
pub(super) struct Cells {
    all: Vec<Cell>,
    /// After how many ticks headings repeat: half a turn if either end may lead, else a whole one.
    period: u32,
    pub interest: Interest,
    /// Cells whose upper bound is below this were let go.
    pub floor: f64,
    pub splits: usize,
}

/// Radians of a number of ticks.
pub(super) fn radians(ticks: f64) -> f64 {
    ticks * (core::f64::consts::PI / f64::from(HALF_TURN))
}

impl Cells {
    /// A few large cells that cover all centres in `domain` and all headings.
    pub fn new(yard: &Yard, domain: Polygon, ceiling: f64, floor: f64) -> Self {
        let turns = if yard.either_end { 1 } else { 2 };
        let mut cells = Cells {
            all: Vec::new(),
            period: HALF_TURN * turns,
            interest: Interest {
                ceiling,
                wanted: 0.0,
            },
            floor,
            splits: 0,
        };
        let sides: Vec<u32> = (0..yard.sides.len() as u32).collect();
        let solids: Vec<u32> = (0..yard.solids.len() as u32).collect();
        let width = HALF_TURN / FIRST_SLABS;
        for slab in 0..FIRST_SLABS * turns {
            let made = cells.make(
                yard,
                domain,
                slab * width,
                (slab + 1) * width,
                &sides,
                &solids,
            );
            cells.all.push(made);
        }
        let everything: Vec<u32> = (0..cells.all.len() as u32).collect();
        for index in 0..cells.all.len() {
            let touching = everything.iter().copied().filter(|other| {
                *other as usize != index
                    && cells.touch(&cells.all[index], &cells.all[*other as usize])
            });
            cells.all[index].neighbours = touching.collect();
        }
        cells
    }

    fn make(
        &self,
        yard: &Yard,
        polygon: Polygon,
        low: u32,
        high: u32,
        sides: &[u32],
        solids: &[u32],
    ) -> Cell {
        let heading = radians(0.5 * (f64::from(low) + f64::from(high)));
        let spread = radians(0.5 * f64::from(high - low));
        let span = Span::new(&polygon, heading, spread);
        let bounds = bound(yard, &span, sides, solids, self.interest);
        let x = polygon.extent([1.0, 0.0]);
        let y = polygon.extent([0.0, 1.0]);
        Cell {
            polygon,
            low,
            high,
            bounds,
            neighbours: Vec::new(),
            holds_start: self.holds(&polygon, low, high, yard.start),
            holds_goal: self.holds(&polygon, low, high, yard.goal),
            box_low: [x[0], y[0]],
            box_high: [x[1], y[1]],
        }
    }

    fn holds(&self, polygon: &Polygon, low: u32, high: u32, place: Place) -> bool {
        let period = radians(f64::from(self.period));
        let turned = libm::fmod(place.heading - radians(f64::from(low)), period);
        let turned = if turned < 0.0 {
            turned + period
        } else {
            turned
        };
        let width = radians(f64::from(high - low));
        let inside = turned <= width + TOUCHING || turned >= period - TOUCHING;
        inside && polygon.holds(place.at, TOUCHING)
    }

    fn touch(&self, one: &Cell, other: &Cell) -> bool {
        let apart = (0..2).any(|axis| {
            one.box_low[axis] > other.box_high[axis] + TOUCHING
                || other.box_low[axis] > one.box_high[axis] + TOUCHING
        });
        !apart && self.headings_touch(one, other) && one.polygon.touches(&other.polygon)
    }

    fn headings_touch(&self, one: &Cell, other: &Cell) -> bool {
        let (one, other) = ([one.low, one.high], [other.low, other.high]);
        let meets = |a: [u32; 2], b: [u32; 2]| a[0] <= b[1] && b[0] <= a[1];
        meets(one, other)
            || (one[0] == 0 && other[1] == self.period)
            || (other[0] == 0 && one[1] == self.period)
    }

    /// How many cells there are, those let go included.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// The cell at an index that [`Cells`] gave out.
    pub fn get(&self, index: u32) -> Option<&Cell> {
        self.all.get(index as usize)
    }

    /// All cells with their indices.
    pub fn iter(&self) -> impl Iterator<Item = (u32, &Cell)> {
        (0..).zip(&self.all)
    }

    /// After how many ticks headings repeat.
    pub fn period(&self) -> u32 {
        self.period
    }

    /// Splits a cell in two. A part that can still matter takes its place, a second such part comes last. `false`: the
    /// cell is too small to split.
    pub fn split(&mut self, yard: &Yard, index: u32) -> bool {
        let Some(cell) = self.all.get(index as usize) else {
            return false;
        };
        let Some(parts) = parts_of(cell) else {
            return false;
        };
        self.splits += 1;
        let [one, other] = parts.map(|(polygon, low, high)| {
            let Bounds { sides, solids, .. } = &cell.bounds;
            self.make(yard, polygon, low, high, sides, solids)
        });
        match (self.lives(&one), self.lives(&other)) {
            (true, true) => self.put_two(index, one, other),
            (false, true) => self.put(index, other),
            _ => self.put(index, one),
        }
        true
    }

    /// Puts what is left of a cell in its place.
    fn put(&mut self, index: u32, mut cell: Cell) {
        let lives = self.lives(&cell);
        let old = core::mem::take(&mut self.all[index as usize].neighbours);
        for neighbour in old {
            let beside = &self.all[neighbour as usize];
            if lives && self.touch(&cell, beside) {
                cell.neighbours.push(neighbour);
            } else {
                self.all[neighbour as usize]
                    .neighbours
                    .retain(|each| *each != index);
            }
        }
        self.all[index as usize] = cell;
    }

    /// Puts one part of a cell in its place and the other last.
    fn put_two(&mut self, index: u32, mut one: Cell, mut other: Cell) {
        let last = self.all.len() as u32;
        let old = core::mem::take(&mut self.all[index as usize].neighbours);
        for neighbour in old {
            let beside = &self.all[neighbour as usize];
            let (meets_one, meets_other) = (self.touch(&one, beside), self.touch(&other, beside));
            let list = &mut self.all[neighbour as usize].neighbours;
            if meets_one {
                one.neighbours.push(neighbour);
            } else {
                list.retain(|each| *each != index);
            }
            if meets_other {
                other.neighbours.push(neighbour);
                list.push(last);
            }
        }
        one.neighbours.push(last);
        other.neighbours.push(index);
        self.all[index as usize] = one;
        if self.all.len() == self.all.capacity() {
            // By a quarter, not by double: memory is scarcer on a phone than time for copying.
            self.all.reserve_exact(self.all.len() / 4 + 64);
        }
        self.all.push(other);
    }

    /// Notes that two cells do not touch after all. Sharp corners can seem to touch what they only come near.
    pub fn part(&mut self, one: u32, other: u32) {
        for (at, from) in [(one, other), (other, one)] {
            if let Some(cell) = self.all.get_mut(at as usize) {
                cell.neighbours.retain(|neighbour| *neighbour != from);
            }
        }
    }

    fn lives(&self, cell: &Cell) -> bool {
        cell.bounds.upper >= self.floor
    }
}

type Part = (Polygon, u32, u32);

/// The two halves of a cell, split where most is to be gained.
fn parts_of(cell: &Cell) -> Option<[Part; 2]> {
    let frame = plainest(cell.low, cell.high);
    let (sine, cosine) = libm::sincos(radians(f64::from(frame)));
    let axes = [[cosine, sine], [-sine, cosine]];
    let (sine, cosine) = libm::sincos(radians(0.5 * (f64::from(cell.low) + f64::from(cell.high))));
    let [along, across, turning] = cell.bounds.gains;
    let gain = |axis: [f64; 2]| {
        let [low, high] = cell.polygon.extent(axis);
        let share = along * (axis[0] * cosine + axis[1] * sine).abs()
            + across * (axis[1] * cosine - axis[0] * sine).abs();
        0.5 * (high - low) * share
    };
    let mut order = [(gain(axes[0]), 0), (gain(axes[1]), 1), (turning, 2)];
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    order
        .iter()
        .find_map(|(_, dimension)| match axes.get(*dimension) {
            Some(axis) => cut(cell, *axis),
            None => halve_heading(cell),
        })
}

fn halve_heading(cell: &Cell) -> Option<[Part; 2]> {
    if cell.high - cell.low < 2 * SHORTEST {
        return None;
    }
    let middle = cell.low + (cell.high - cell.low) / 2;
    Some([
        (cell.polygon, cell.low, middle),
        (cell.polygon, middle, cell.high),
    ])
}

fn cut(cell: &Cell, axis: [f64; 2]) -> Option<[Part; 2]> {
    let [low, high] = cell.polygon.extent(axis);
    if high - low < NARROWEST {
        return None;
    }
    let (one, other) = cell
        .polygon
        .cut(axis, 0.5 * (low + high))
        .or_else(|| cell.polygon.halve())?;
    Some([(one, cell.low, cell.high), (other, cell.low, cell.high)])
}

/// The multiple of the highest power of two within an interval of ticks: neighbouring slabs then mostly cut along the
/// same directions, and slabs that touch a wall's direction cut along the wall.
fn plainest(low: u32, high: u32) -> u32 {
    (0..=31)
        .rev()
        .find_map(|power| {
            let mask = (1u32 << power) - 1;
            let multiple = low.checked_add(mask)? & !mask;
            (multiple <= high).then_some(multiple)
        })
        .unwrap_or(low)
}
