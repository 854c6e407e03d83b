//! Names for the plan file: what people called a thing, made unique in one and the same way everywhere.

use std::collections::{BTreeMap, BTreeSet};

/// The longest part of a name that is kept, in bytes: endings are added to it.
const LONGEST: usize = 56;

/// The names given so far.
#[derive(Debug, Default)]
pub(super) struct Names {
    taken: BTreeSet<String>,
    /// The number that was given last to a name.
    numbered: BTreeMap<String, u32>,
}

impl Names {
    /// This name, or with a number where it is taken. The plan adds `endings` to names by itself, so nothing else may
    /// be called so either.
    pub fn take(&mut self, wanted: &str, endings: &[&str]) -> String {
        let short = shortened(wanted.trim());
        let mut name = short.to_owned();
        let mut again = self.numbered.get(short).copied().unwrap_or(1);
        while self.is_taken(&name, endings) {
            again += 1;
            name = format!("{short} ({again})");
        }
        self.numbered.insert(short.to_owned(), again);
        let with_endings = endings.iter().map(|ending| format!("{name} {ending}"));
        self.taken.extend(with_endings);
        self.taken.insert(name.clone());
        name
    }

    fn is_taken(&self, name: &str, endings: &[&str]) -> bool {
        self.taken.contains(name)
            || endings
                .iter()
                .any(|ending| self.taken.contains(&format!("{name} {ending}")))
    }
}

fn shortened(name: &str) -> &str {
    let mut end = name.len().min(LONGEST);
    while !name.is_char_boundary(end) {
        end -= 1;
    }
    name.get(..end).unwrap_or_default().trim_end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_numbered_where_they_are_taken() {
        let mut names = Names::default();
        assert_eq!(names.take(" shed ", &["left"]), "shed");
        assert_eq!(names.take("shed", &[]), "shed (2)");
        assert_eq!(names.take("shed left", &[]), "shed left (2)");
        assert_eq!(names.take("x right", &[]), "x right");
        assert_eq!(names.take("x", &["right"]), "x (2)");
    }

    #[test]
    fn long_names_are_cut_between_letters() {
        let name = Names::default().take(&"ä".repeat(100), &[]);
        assert_eq!(name, "ä".repeat(LONGEST / 2));
    }
}
