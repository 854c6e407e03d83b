//! Finding the most promising chain of cells, again and again while cells are split.
//!
//! Two trees of cheapest chains grow towards each other, one from the start and one from the goal. When cells are
//! split, only what hung on them is grown again; so refuting a gate costs about as much as the cells around it, not as
//! the whole yard. Any chain would do for a proof: cheapest ones are merely the best guess where to look.

use super::cells::{Cell, Cells};

/// How a cell stands in the question "at least `low`, or less than `high`?".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    /// Every pose has at least `low`.
    Free,
    /// Some pose may have `high`, another less than `low`.
    Doubtful,
    /// No pose has `high`.
    Blocked,
}

/// A question with a gap: either answer may be right in between, so it can always be settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Question {
    pub low: f64,
    pub high: f64,
}

impl Question {
    pub fn standing(&self, cell: &Cell) -> Standing {
        if cell.bounds.lower >= self.low {
            Standing::Free
        } else if cell.bounds.upper < self.high {
            Standing::Blocked
        } else {
            Standing::Doubtful
        }
    }

    /// What going through a cell costs.
    fn cost(&self, cell: &Cell) -> u8 {
        match self.standing(cell) {
            Standing::Free => 0,
            Standing::Blocked => BLOCKED,
            Standing::Doubtful if cell.bounds.estimate >= self.high => 1,
            Standing::Doubtful if cell.bounds.estimate >= self.low => 2,
            Standing::Doubtful => DEAREST,
        }
    }
}

const DEAREST: u8 = 3;
const BLOCKED: u8 = u8::MAX;
const NOBODY: u32 = u32::MAX;
const FAR: u32 = u32::MAX;

/// One of the two trees.
#[derive(Clone, Debug, Default)]
struct Tree {
    /// Cost from the root up to and including the cell; [`FAR`]: not reached.
    distance: Vec<u32>,
    parent: Vec<u32>,
    /// Cells whose neighbours have yet to be looked at, by distance. May hold stale entries.
    open: Vec<Vec<u32>>,
    waiting: Vec<bool>,
    nearest: usize,
}

impl Tree {
    fn clear(&mut self, count: usize) {
        self.distance.clear();
        self.parent.clear();
        self.waiting.clear();
        self.fit(count);
        for bucket in &mut self.open {
            bucket.clear();
        }
        self.nearest = 0;
    }

    fn fit(&mut self, count: usize) {
        self.distance.resize(count, FAR);
        self.parent.resize(count, NOBODY);
        self.waiting.resize(count, false);
    }

    /// Notes a chain to a cell if it is the cheapest so far.
    fn reach(&mut self, index: u32, parent: u32, distance: u32) -> bool {
        let place = index as usize;
        if distance >= self.distance[place] {
            return false;
        }
        self.distance[place] = distance;
        self.parent[place] = parent;
        self.waiting[place] = true;
        let bucket = distance as usize;
        if self.open.len() <= bucket {
            self.open.resize_with(bucket + 1, Vec::new);
        }
        self.open[bucket].push(index);
        self.nearest = self.nearest.min(bucket);
        true
    }

    /// Distance of the nearest cell that waits; `None`: none does.
    fn front(&mut self) -> Option<u32> {
        while let Some(bucket) = self.open.get_mut(self.nearest) {
            while let Some(index) = bucket.last() {
                let place = *index as usize;
                if self.waiting[place] && self.distance[place] as usize == self.nearest {
                    return Some(self.nearest as u32);
                }
                bucket.pop();
            }
            self.nearest += 1;
        }
        None
    }

    fn pop(&mut self) -> Option<u32> {
        self.front()?;
        let index = self.open.get_mut(self.nearest)?.pop()?;
        self.waiting[index as usize] = false;
        Some(index)
    }

    /// Forgets a cell and all that hangs on it, noting in `lost` what that is.
    fn cut_off(&mut self, cells: &Cells, root: u32, lost: &mut Vec<u32>) {
        if self.distance[root as usize] == FAR {
            return;
        }
        let mut next = lost.len();
        self.forget(root, lost);
        while let Some(index) = lost.get(next).copied() {
            next += 1;
            let Some(cell) = cells.get(index) else {
                continue;
            };
            for neighbour in &cell.neighbours {
                if self.parent[*neighbour as usize] == index
                    && self.distance[*neighbour as usize] != FAR
                {
                    self.forget(*neighbour, lost);
                }
            }
        }
    }

    fn forget(&mut self, index: u32, lost: &mut Vec<u32>) {
        self.distance[index as usize] = FAR;
        self.parent[index as usize] = NOBODY;
        self.waiting[index as usize] = false;
        lost.push(index);
    }
}

/// The two trees and where they meet.
#[derive(Clone, Debug, Default)]
pub(super) struct Search {
    question: Option<Question>,
    costs: Vec<u8>,
    trees: [Tree; 2],
    /// Cells that both trees reached, by the cost of the chain through them. May hold stale entries.
    meetings: Vec<Vec<u32>>,
    lost: [Vec<u32>; 2],
}

impl Search {
    /// Starts over with a new question.
    pub fn ask(&mut self, cells: &Cells, question: Question) {
        self.question = Some(question);
        self.costs.clear();
        self.costs
            .extend(cells.iter().map(|(_, cell)| question.cost(cell)));
        for bucket in &mut self.meetings {
            bucket.clear();
        }
        for tree in &mut self.trees {
            tree.clear(cells.len());
        }
        for (index, cell) in cells.iter() {
            self.plant(index, cell);
        }
    }

    /// Makes a cell a root of the trees whose end it holds.
    fn plant(&mut self, index: u32, cell: &Cell) {
        for (side, roots) in [cell.holds_start, cell.holds_goal].into_iter().enumerate() {
            if roots {
                self.reach(side, index, NOBODY, 0);
            }
        }
    }

    fn reach(&mut self, side: usize, index: u32, parent: u32, before: u32) {
        let cost = self.costs[index as usize];
        if cost == BLOCKED {
            return;
        }
        let distance = before + u32::from(cost);
        if self.trees[side].reach(index, parent, distance) {
            let other = self.trees[1 - side].distance[index as usize];
            if other != FAR {
                self.meet(index, distance + other - u32::from(cost));
            }
        }
    }

    fn meet(&mut self, index: u32, through: u32) {
        let bucket = through as usize;
        if self.meetings.len() <= bucket {
            self.meetings.resize_with(bucket + 1, Vec::new);
        }
        self.meetings[bucket].push(index);
    }

    /// The best cell that both trees reached, and the cost through it.
    fn meeting(&mut self) -> Option<(u32, u32)> {
        for through in 0..self.meetings.len() {
            while let Some(index) = self.meetings[through].last().copied() {
                if self.through(index) == Some(through as u32) {
                    return Some((index, through as u32));
                }
                self.meetings[through].pop();
            }
        }
        None
    }

    fn through(&self, index: u32) -> Option<u32> {
        let place = index as usize;
        let [one, other] = [0, 1].map(|side: usize| self.trees[side].distance[place]);
        (one != FAR && other != FAR).then(|| one + other - u32::from(self.costs[place]))
    }

    /// A cheap chain of cells from start to goal; `None`: blocked cells part them.
    pub fn chain(&mut self, cells: &Cells) -> Option<Vec<u32>> {
        loop {
            let best = self.meeting();
            let fronts = [self.trees[0].front(), self.trees[1].front()];
            let [Some(one), Some(other)] = fronts else {
                return best.map(|(index, _)| self.chain_through(index));
            };
            if let Some((index, through)) = best
                && one + other + 1 >= through
            {
                return Some(self.chain_through(index));
            }
            self.grow(cells, usize::from(other < one));
        }
    }

    /// Looks at the neighbours of the nearest cell that waits.
    fn grow(&mut self, cells: &Cells, side: usize) {
        let Some(index) = self.trees[side].pop() else {
            return;
        };
        let Some(cell) = cells.get(index) else { return };
        let distance = self.trees[side].distance[index as usize];
        for neighbour in &cell.neighbours {
            if self.trees[side].distance[*neighbour as usize] > distance {
                self.reach(side, *neighbour, index, distance);
            }
        }
    }

    fn chain_through(&self, index: u32) -> Vec<u32> {
        let [there, back] = [0, 1].map(|side: usize| {
            let parent = &self.trees[side].parent;
            core::iter::successors(Some(index), move |at| {
                parent
                    .get(*at as usize)
                    .copied()
                    .filter(|parent| *parent != NOBODY)
            })
        });
        let mut chain: Vec<u32> = there.collect();
        chain.reverse();
        chain.extend(back.skip(1));
        chain
    }

    /// Forgets what hangs on cells that are about to be split.
    pub fn before_splits(&mut self, cells: &Cells, splits: &[u32]) {
        for (tree, lost) in self.trees.iter_mut().zip(&mut self.lost) {
            for index in splits {
                tree.cut_off(cells, *index, lost);
            }
        }
    }

    /// Takes up the parts of cells that were split, and hangs what was forgotten on what is left.
    pub fn after_splits(&mut self, cells: &Cells, splits: &[u32]) {
        let Some(question) = self.question else {
            return;
        };
        let known = self.costs.len();
        self.costs.resize(cells.len(), BLOCKED);
        let fresh = (known as u32..cells.len() as u32).chain(splits.iter().copied());
        for index in fresh.clone() {
            if let Some(cell) = cells.get(index) {
                self.costs[index as usize] = question.cost(cell);
            }
        }
        for tree in &mut self.trees {
            tree.fit(cells.len());
        }
        for side in 0..2 {
            let mut lost = core::mem::take(&mut self.lost[side]);
            lost.extend(fresh.clone());
            for index in lost.drain(..) {
                self.hang(cells, side, index);
            }
            self.lost[side] = lost;
        }
    }

    fn hang(&mut self, cells: &Cells, side: usize, index: u32) {
        let Some(cell) = cells.get(index) else { return };
        if if side == 0 {
            cell.holds_start
        } else {
            cell.holds_goal
        } {
            self.reach(side, index, NOBODY, 0);
        }
        let nearest = cell
            .neighbours
            .iter()
            .map(|neighbour| (self.trees[side].distance[*neighbour as usize], *neighbour))
            .min();
        if let Some((distance, neighbour)) = nearest
            && distance != FAR
        {
            self.reach(side, index, neighbour, distance);
        }
    }
}
