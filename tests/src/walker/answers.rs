//! What there is at a site, by question and thing: the table that a walker answers from.

use std::path::PathBuf;

use jiff::ToSpan;
use jiff::civil::Date;

/// One panel position.
#[derive(Debug, Clone, Copy)]
pub struct Slot {
    /// As printed at the panel.
    pub position: u16,
    /// The key of what sits there: `space`, `one_pole`, …
    pub holds: &'static str,
    /// Amperes on the handle; 0 where there is none.
    pub rating: u16,
    /// The label as written.
    pub label: &'static str,
}

/// One height of the base.
#[derive(Debug, Clone, Copy)]
pub struct Point {
    /// The key of the place: `foot_left`, `centre`, …
    pub place: &'static str,
    /// The height, as the keypad writes it.
    pub height: &'static str,
}

/// The table.
///
/// An answer is written as drafts are: `yes`, the key of a choice, keys with commas between (`-` for none of them), a
/// quantity with its unit, words, `?` for "don't know", `!` for "can't measure"; a date as days from today (`+30`,
/// `-4`); a licensed person's word as `person | licence | document | -4`; `photo` for a picture.
pub struct Answers {
    /// Today at the site.
    pub today: Date,
    /// A picture on this machine.
    pub photo: PathBuf,
    /// Question, thing (empty for the site itself), answer.
    pub rows: &'static [(&'static str, &'static str, &'static str)],
    /// Question that asks for a list, kind of thing, names of those to be added.
    pub added: &'static [(&'static str, &'static str, &'static [&'static str])],
    /// The panel.
    pub slots: &'static [Slot],
    /// The base.
    pub points: &'static [Point],
}

impl Answers {
    /// The answer to `question` about `thing`.
    pub fn get(&self, question: &str, thing: &str) -> Option<&'static str> {
        self.rows
            .iter()
            .find(|row| row.0 == question && row.1 == thing)
            .map(|row| row.2)
    }

    /// The kind and names of the things that `question` wants to be listed.
    pub fn things(&self, question: &str) -> Option<(&'static str, &'static [&'static str])> {
        self.added
            .iter()
            .find(|row| row.0 == question)
            .map(|row| (row.1, row.2))
    }

    /// The date that is so many days from today.
    pub fn date(&self, days: &str) -> Option<Date> {
        let days: i64 = days.trim().parse().ok()?;
        self.today.checked_add(days.days()).ok()
    }
}
