//! Points of the yard plan as draft texts: ids with spaces between, and for a tie its kind before them. Half-made lists
//! have a form too, so that a draft keeps them.

use setdown_types::ids::SubjectId;
use setdown_types::value::{PointList, Tie, TieKind, Value};

/// A list of points being made, with the kind of tie where it is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointsText {
    /// How they are tied; `None`: a plain list.
    pub kind: Option<TieKind>,
    /// The points so far.
    pub ids: Vec<SubjectId>,
}

impl PointsText {
    /// Reads a draft; what is not understood is left out.
    pub fn read(text: &str) -> Self {
        let mut words = text.split_whitespace().peekable();
        let kind = words.peek().and_then(|word| TieKind::from_key(word));
        Self {
            kind,
            ids: words.filter_map(SubjectId::parse).collect(),
        }
    }

    /// The draft.
    pub fn write(&self) -> String {
        let kind = self.kind.map(|kind| kind.key().to_owned());
        let ids = self.ids.iter().map(ToString::to_string);
        kind.into_iter().chain(ids).collect::<Vec<_>>().join(" ")
    }

    /// Of a list that stands.
    pub fn of_points(points: &PointList) -> Self {
        Self {
            kind: None,
            ids: points.ids().to_vec(),
        }
    }

    /// Of a tie that stands.
    pub fn of_tie(tie: &Tie) -> Self {
        Self {
            kind: Some(tie.kind()),
            ids: tie.points().to_vec(),
        }
    }

    /// With a point put on the end, or taken out where it is in; a full list gives up its last.
    pub fn toggled(mut self, id: SubjectId, most: usize) -> Self {
        if let Some(place) = self.ids.iter().position(|known| *known == id) {
            self.ids.remove(place);
        } else {
            self.ids.truncate(most.saturating_sub(1));
            self.ids.push(id);
        }
        self
    }

    /// The list as an answer, where it has as many points as are asked for.
    pub fn points(&self, fewest: usize, most: usize) -> Option<Value> {
        let list = PointList::new(self.ids.clone()).ok()?;
        (fewest..=most)
            .contains(&self.ids.len())
            .then_some(Value::Points(list))
    }

    /// The tie as an answer, where it is whole.
    pub fn tie(&self) -> Option<Value> {
        let list = PointList::new(self.ids.clone()).ok()?;
        Some(Value::Tie(Tie::new(self.kind?, list).ok()?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: &str = "0190b3c4-0000-7000-8000-00000000000a";
    const B: &str = "0190b3c4-0000-7000-8000-00000000000b";

    #[test]
    fn what_is_written_is_read_back() {
        for text in [
            format!("distance {A} {B}"),
            format!("{B} {A}"),
            format!("square {A}"),
            String::new(),
        ] {
            assert_eq!(PointsText::read(&text).write(), text);
        }
    }

    #[test]
    fn a_tie_is_an_answer_only_when_it_is_whole() {
        assert_eq!(PointsText::read(&format!("distance {A}")).tie(), None);
        assert!(
            PointsText::read(&format!("distance {A} {B}"))
                .tie()
                .is_some()
        );
        assert_eq!(PointsText::read(&format!("{A} {B}")).tie(), None);
        assert_eq!(PointsText::read(&format!("{A} {A}")).points(2, 2), None);
        assert!(PointsText::read(&format!("{A} {B}")).points(2, 2).is_some());
    }

    #[test]
    fn a_point_goes_on_the_end_out_again_or_in_place_of_the_last() {
        let (a, b) = (PointsText::read(A).ids[0], PointsText::read(B).ids[0]);
        let both = PointsText::read("distance").toggled(a, 2).toggled(b, 2);
        assert_eq!(both.ids, [a, b]);
        assert_eq!(both.clone().toggled(a, 2).ids, [b]);
        let other = PointsText::read(&A.replace("0a", "0c")).ids[0];
        assert_eq!(both.toggled(other, 2).ids, [a, other]);
    }
}
