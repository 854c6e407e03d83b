//! Sorting that is compiled once. The library's sort is compiled anew for every type and every comparison, four kilobytes
//! each time, and what a phone must load is counted in bytes.

use core::cmp::Ordering;

/// Sorts as `slice::sort_by` does; items that compare equal keep their order.
pub fn sort_by<T>(items: &mut [T], compare: impl Fn(&T, &T) -> Ordering) {
    let by_index = |one: usize, other: usize| match (items.get(one), items.get(other)) {
        (Some(one), Some(other)) => compare(one, other),
        _ => Ordering::Equal,
    };
    let mut from = sorted_indices(items.len(), &by_index);
    // One cycle after the other: every place takes what belongs there.
    for start in 0..items.len() {
        let mut place = start;
        while let Some(next) = from.get(place).copied().filter(|next| *next != start) {
            items.swap(place, next);
            from[place] = place;
            place = next;
        }
        from[place] = place;
    }
}

/// Sorts as `slice::sort_by_key` does.
pub fn sort_by_key<T, K: Ord>(items: &mut [T], key: impl Fn(&T) -> K) {
    sort_by(items, |one, other| key(one).cmp(&key(other)));
}

/// Sorts as `slice::sort` does.
pub fn sort<T: Ord>(items: &mut [T]) {
    sort_by(items, Ord::cmp);
}

fn sorted_indices(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut indices: Vec<usize> = (0..count).collect();
    indices.sort_by(|one, other| compare(*one, *other));
    indices
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Beside the library's own sort, ties included.
        #[test]
        fn the_same_as_the_library(items in prop::collection::vec((0_u8..20, any::<u16>()), 0..200)) {
            let (mut ours, mut theirs) = (items.clone(), items.clone());
            sort_by_key(&mut ours, |item| core::cmp::Reverse(item.0));
            theirs.sort_by_key(|item| core::cmp::Reverse(item.0));
            prop_assert_eq!(&ours, &theirs);
            sort(&mut ours);
            theirs.sort();
            prop_assert_eq!(ours, theirs);
        }
    }
}
