//! The text form of a slope taken with a level and a tape: `1.5:48`, with a minus in front where it falls the other way.

/// A gap under a level, as far as it has been typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SlopeText {
    /// Whether it falls the other way.
    pub minus: bool,
    /// The gap as typed.
    pub gap: String,
    /// The length of the level as typed; `None` where nobody has touched it, and the usual one is meant.
    pub level: Option<String>,
}

impl SlopeText {
    /// Reads a draft; what an instrument shows says nothing of a gap.
    pub fn read(text: &str) -> Self {
        let (minus, size) = match text.trim().strip_prefix('-') {
            Some(size) => (true, size),
            None => (false, text),
        };
        match size.split_once(':') {
            Some((gap, level)) => Self {
                minus,
                gap: gap.trim().to_owned(),
                level: Some(level.trim().to_owned()),
            },
            None => Self {
                minus,
                ..Self::default()
            },
        }
    }

    /// The draft with this gap: a minus typed with it counts, one chosen before stays.
    pub fn with_gap(mut self, typed: &str, usual_level: &str) -> String {
        let size = typed.trim().strip_prefix('-');
        self.minus |= size.is_some();
        self.gap = size.unwrap_or(typed).trim().to_owned();
        self.write(usual_level)
    }

    /// The draft with this length of the level; it may be empty on the way to another one.
    pub fn with_level(mut self, typed: &str, usual_level: &str) -> String {
        self.level = Some(typed.trim().to_owned());
        self.write(usual_level)
    }

    /// The length of the level as its field shows it.
    pub fn level_shown(&self, usual_level: &str) -> String {
        self.level.clone().unwrap_or_else(|| usual_level.to_owned())
    }

    fn write(&self, usual_level: &str) -> String {
        let sign = if self.minus { "-" } else { "" };
        let level = self.level_shown(usual_level);
        // A usual length alone has not been typed.
        if self.gap.is_empty() && level == usual_level {
            sign.to_owned()
        } else {
            format!("{sign}{}:{level}", self.gap)
        }
    }
}

/// The same slope the other way: with a minus in front, or without.
pub fn turned(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.contains(|letter: char| letter == ':' || letter.is_ascii_digit()) => {
            rest.to_owned()
        }
        // A minus alone, or before a unit.
        Some(_) => String::new(),
        None => format!("-{text}"),
    }
}

#[cfg(test)]
mod tests {
    use setdown_types::quantity::UnitSystem;
    use setdown_types::question;

    use super::*;
    use crate::parts::answer::{Typed, understand};

    /// What a person does to the form: each step with the draft after it.
    fn typed(steps: &[(&str, &str)]) -> Vec<String> {
        let mut text = String::new();
        steps
            .iter()
            .map(|(what, typed)| {
                let now = SlopeText::read(&text);
                text = match *what {
                    "gap" => now.with_gap(typed, "48"),
                    "level" => now.with_level(typed, "48"),
                    _ => turned(&text),
                };
                text.clone()
            })
            .collect()
    }

    #[test]
    fn a_length_that_was_cleared_stays_clear_until_another_is_typed() {
        let steps = [
            ("gap", "1.5"),
            ("level", "4"),
            ("level", ""),
            ("level", "24"),
        ];
        assert_eq!(typed(&steps), ["1.5:48", "1.5:4", "1.5:", "1.5:24"]);
        assert_eq!(SlopeText::read("1.5:").level_shown("48"), "");
        let before_the_gap = [("level", "4"), ("level", ""), ("level", "24"), ("gap", "1")];
        assert_eq!(typed(&before_the_gap), [":4", ":", ":24", "1:24"]);
        assert_eq!(SlopeText::read(":").level_shown("48"), "");
        assert_eq!(SlopeText::read("").level_shown("48"), "48");
        assert_eq!(typed(&[("gap", "1"), ("gap", "")]), ["1:48", ""]);
    }

    #[test]
    fn a_minus_counts_before_the_gap_and_after_it() {
        let before = [("minus", ""), ("gap", "1"), ("gap", "1.5"), ("level", "24")];
        assert_eq!(typed(&before), ["-", "-1:48", "-1.5:48", "-1.5:24"]);
        let after = [("gap", "1.5"), ("minus", ""), ("minus", "")];
        assert_eq!(typed(&after), ["1.5:48", "-1.5:48", "1.5:48"]);
        assert_eq!(typed(&[("gap", "-"), ("gap", "1.5")]), ["-", "-1.5:48"]);
        assert_eq!(SlopeText::read("-1.5:48").gap, "1.5");
        assert_eq!(
            (turned("- %"), turned("-2 %")),
            (String::new(), "2 %".to_owned())
        );
    }

    #[test]
    fn what_is_half_typed_is_no_answer() {
        let question = question::find("spot.ground_fall").expect("a question of the spot");
        for half in ["-", ":", ":24", "1.5:", "-1.5:"] {
            let typed = understand(question, half, UnitSystem::Us);
            assert!(!matches!(typed, Typed::Answer(_)), "{half}: {typed:?}");
        }
        let whole = understand(question, "-1.5:24", UnitSystem::Us);
        assert!(whole.answer().is_some(), "{whole:?}");
    }
}
