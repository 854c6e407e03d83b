//! Finding a way through the cells: the chain from start to goal with the fewest doubtful cells, and the chain whose
//! worst cell is best.

use super::cells::{Cell, Cells};
use std::collections::BinaryHeap;

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

    /// What going through a cell costs; `None`: it is blocked.
    fn cost(&self, cell: &Cell) -> Option<u32> {
        match self.standing(cell) {
            Standing::Free => Some(0),
            Standing::Blocked => None,
            Standing::Doubtful if cell.bounds.estimate >= self.high => Some(1),
            Standing::Doubtful if cell.bounds.estimate >= self.low => Some(2),
            Standing::Doubtful => Some(3),
        }
    }
}

const DEAREST: usize = 3;
const NOBODY: u32 = u32::MAX;

/// Room for searches, kept between them.
#[derive(Clone, Debug, Default)]
pub(super) struct Search {
    distance: Vec<u32>,
    parent: Vec<u32>,
    buckets: [Vec<u32>; DEAREST + 1],
}

impl Search {
    /// The chain of cells from start to goal that costs least; `None` if blocked cells part them.
    pub fn cheapest(&mut self, cells: &Cells, question: Question) -> Option<Vec<u32>> {
        self.distance.clear();
        self.distance.resize(cells.len(), u32::MAX);
        self.parent.clear();
        self.parent.resize(cells.len(), NOBODY);
        for bucket in &mut self.buckets {
            bucket.clear();
        }
        for (index, cell) in cells.iter() {
            if cell.holds_start
                && let Some(cost) = question.cost(cell)
            {
                self.reach(index, NOBODY, cost);
            }
        }
        let mut empty = 0;
        let mut distance = 0u32;
        while empty <= DEAREST {
            let slot = distance as usize % (DEAREST + 1);
            let Some(index) = self.buckets.get_mut(slot)?.pop() else {
                empty += 1;
                distance += 1;
                continue;
            };
            empty = 0;
            if self.distance.get(index as usize) != Some(&distance) {
                continue;
            }
            let cell = cells.get(index)?;
            if cell.holds_goal {
                return Some(self.chain(index));
            }
            for next in &cell.neighbours {
                // A cheap look first: most neighbours were reached already.
                if self
                    .distance
                    .get(*next as usize)
                    .is_some_and(|known| *known <= distance)
                {
                    continue;
                }
                if let Some(cost) = cells.get(*next).and_then(|cell| question.cost(cell)) {
                    self.reach(*next, index, distance + cost);
                }
            }
        }
        None
    }

    fn reach(&mut self, index: u32, from: u32, distance: u32) {
        let slot = distance as usize % (DEAREST + 1);
        let (Some(known), Some(parent)) = (
            self.distance.get_mut(index as usize),
            self.parent.get_mut(index as usize),
        ) else {
            return;
        };
        if distance < *known {
            *known = distance;
            *parent = from;
            if let Some(bucket) = self.buckets.get_mut(slot) {
                bucket.push(index);
            }
        }
    }

    fn chain(&self, end: u32) -> Vec<u32> {
        let mut chain = vec![end];
        let mut at = end;
        while let Some(parent) = self
            .parent
            .get(at as usize)
            .filter(|parent| **parent != NOBODY)
        {
            at = *parent;
            chain.push(at);
        }
        chain.reverse();
        chain
    }
}

/// The best worst upper bound over all chains from start to goal, at most the cells' ceiling: no motion keeps more.
pub(super) fn widest(cells: &Cells) -> f64 {
    let mut reached = vec![false; cells.len()];
    let mut heap = BinaryHeap::new();
    for (index, cell) in cells.iter() {
        if cell.holds_start && cell.bounds.upper >= cells.floor {
            heap.push(Width {
                width: cell.bounds.upper,
                index,
            });
        }
    }
    while let Some(Width { width, index }) = heap.pop() {
        let Some(cell) = cells.get(index) else {
            continue;
        };
        if core::mem::replace(&mut reached[index as usize], true) {
            continue;
        }
        if cell.holds_goal {
            return width.min(cells.interest.ceiling);
        }
        for next in &cell.neighbours {
            if let Some(beside) = cells.get(*next).filter(|_| !reached[*next as usize]) {
                heap.push(Width {
                    width: width.min(beside.bounds.upper),
                    index: *next,
                });
            }
        }
    }
    cells.floor
}

struct Width {
    width: f64,
    index: u32,
}

impl Ord for Width {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        self.width
            .total_cmp(&other.width)
            .then(other.index.cmp(&self.index))
    }
}

impl PartialOrd for Width {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Width {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Width {}
