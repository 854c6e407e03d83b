//! The text form of a half-entered level point: a place without a height yet, or a height without a place.

use serde::{Deserialize, Serialize};
use setdown_types::value::LevelPoint;

/// A level point as far as it has been entered.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct LevelText {
    /// Along and across the footprint, nanometres.
    pub place: Option<(i64, i64)>,
    /// The height as typed.
    pub typed: String,
}

impl LevelText {
    /// Reads a draft, whole or half; anything else is nothing yet.
    pub fn read(text: &str) -> Self {
        match serde_json::from_str::<LevelPoint>(text) {
            Ok(point) => Self {
                place: Some((point.along, point.across)),
                typed: point.typed,
            },
            Err(_) => serde_json::from_str(text).unwrap_or_default(),
        }
    }

    /// The draft: the point where it is whole (`height` is what its typed text means), else as far as it has come.
    pub fn write(&self, height: Option<i64>) -> String {
        let written = match (self.place, height) {
            (Some((along, across)), Some(height)) => serde_json::to_string(&LevelPoint {
                along,
                across,
                height,
                typed: self.typed.clone(),
            }),
            _ if *self == Self::default() => Ok(String::new()),
            _ => serde_json::to_string(self),
        };
        written.unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use setdown_types::quantity::UnitSystem;
    use setdown_types::question;

    use super::*;
    use crate::parts::answer::{Typed, understand};

    fn point(place: Option<(i64, i64)>, typed: &str) -> LevelText {
        LevelText {
            place,
            typed: typed.to_owned(),
        }
    }

    #[test]
    fn nothing_entered_is_lost_on_the_way_through_a_draft() {
        for (form, height) in [
            (point(None, ""), None),
            (point(None, "12 1/16 in"), Some(306_387_500)),
            (point(Some((0, 0)), ""), None),
            (point(Some((1, -2)), "twelve"), None),
            (point(Some((1, -2)), "12 in"), Some(304_800_000)),
        ] {
            assert_eq!(LevelText::read(&form.write(height)), form);
        }
    }

    #[test]
    fn half_a_point_is_no_answer_and_a_whole_one_is() {
        let question = question::find("level_point.height").expect("a question of the base");
        let typed = |text: &str| understand(question, text, UnitSystem::Us);
        let half = point(Some((1, 2)), "").write(None);
        assert!(matches!(typed(&half), Typed::Unclear(_)), "{half}");
        let whole = point(Some((1, 2)), "12 in").write(Some(304_800_000));
        assert!(typed(&whole).answer().is_some(), "{whole}");
    }
}
