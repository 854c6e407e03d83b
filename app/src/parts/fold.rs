//! Folds that stay as somebody put them while what is inside is built anew.

use std::collections::BTreeMap;

use leptos::prelude::*;

/// Which folds of a screen stand open, by a key of their own; a token for closures.
#[derive(Clone, Copy, Default)]
pub struct Folds(StoredValue<BTreeMap<String, bool>>);

impl Folds {
    /// Whether the fold stands open: as it was put, else as `first` says.
    pub fn is_open(self, key: &str, first: bool) -> bool {
        self.0
            .with_value(|folds| folds.get(key).copied().unwrap_or(first))
    }

    /// Remembers how it was put.
    pub fn put(self, key: &str, open: bool) {
        self.0.update_value(|folds| {
            folds.insert(key.to_owned(), open);
        });
    }
}
