//! The chain of cells whose worst cell is best: what no motion can beat.

use super::cells::Cells;
use std::collections::BinaryHeap;

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
