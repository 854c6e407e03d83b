//! Lists of points and what ties them: how one taped distance, right angle or offset says where points of the plan are.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::ids::SubjectId;

/// The most points that one answer names.
pub const MOST_POINTS: usize = 64;

/// Why points are no list, or no tie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PointsError {
    /// None, or more than [`MOST_POINTS`].
    #[error("{0} points; name from 1 to {MOST_POINTS}")]
    Count(usize),
    /// One is named twice.
    #[error("a point is named twice; name each once (a ring closes by itself)")]
    Twice,
    /// Not as many as a tie of this kind takes.
    #[error("{0} points do not make this tie; name {1} to {2}")]
    Tie(usize, usize, usize),
}

/// From 1 to [`MOST_POINTS`] things by their ids, in order, none of them twice.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "Vec<SubjectId>", into = "Vec<SubjectId>")]
pub struct PointList(Vec<SubjectId>);

impl PointList {
    /// A list of these.
    ///
    /// # Errors
    /// None, too many, or one of them twice.
    pub fn new(points: Vec<SubjectId>) -> Result<Self, PointsError> {
        if points.is_empty() || points.len() > MOST_POINTS {
            return Err(PointsError::Count(points.len()));
        }
        let repeated = |(place, point): (usize, &SubjectId)| {
            points.iter().skip(place + 1).any(|other| other == point)
        };
        if points.iter().enumerate().any(repeated) {
            return Err(PointsError::Twice);
        }
        Ok(Self(points))
    }

    /// The ids, in order.
    pub fn ids(&self) -> &[SubjectId] {
        &self.0
    }
}

impl TryFrom<Vec<SubjectId>> for PointList {
    type Error = PointsError;

    fn try_from(points: Vec<SubjectId>) -> Result<Self, PointsError> {
        Self::new(points)
    }
}

impl From<PointList> for Vec<SubjectId> {
    fn from(list: PointList) -> Self {
        list.0
    }
}

/// How points are tied. A kind of a newer version makes the whole value one that is kept and not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TieKind {
    /// A taped distance from the first to the second.
    Distance,
    /// A right angle at the first, between the second and the third.
    Square,
    /// All lie on one straight line, in this order.
    Straight,
    /// The first lies so far along the line from the second towards the third.
    Along,
    /// The first lies so far left of the line from the second to the third.
    Left,
    /// The first lies so far right of the line from the second to the third.
    Right,
    /// Standing at the second and looking to the third, the first is to the left.
    SideLeft,
    /// Standing at the second and looking to the third, the first is to the right.
    SideRight,
}

impl TieKind {
    /// Every kind, in the order in which they are offered.
    pub const ALL: [Self; 8] = [
        Self::Distance,
        Self::Square,
        Self::Straight,
        Self::Along,
        Self::Left,
        Self::Right,
        Self::SideLeft,
        Self::SideRight,
    ];

    /// The kind as used in files and words.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Distance => "distance",
            Self::Square => "square",
            Self::Straight => "straight",
            Self::Along => "along",
            Self::Left => "left",
            Self::Right => "right",
            Self::SideLeft => "side_left",
            Self::SideRight => "side_right",
        }
    }

    /// The kind with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// Fewest and most points.
    pub const fn points(self) -> (usize, usize) {
        match self {
            Self::Distance => (2, 2),
            Self::Straight => (3, MOST_POINTS),
            _ => (3, 3),
        }
    }

    /// Whether a length was taped for it.
    pub const fn is_measured(self) -> bool {
        matches!(
            self,
            Self::Distance | Self::Along | Self::Left | Self::Right
        )
    }
}

/// What one tape, right angle, straight line, offset or side ties together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "WrittenTie", into = "WrittenTie")]
pub struct Tie {
    kind: TieKind,
    points: PointList,
}

impl Tie {
    /// A tie of these points.
    ///
    /// # Errors
    /// Not as many points as the kind takes.
    pub fn new(kind: TieKind, points: PointList) -> Result<Self, PointsError> {
        let count = points.ids().len();
        let (fewest, most) = kind.points();
        if (fewest..=most).contains(&count) {
            Ok(Self { kind, points })
        } else {
            Err(PointsError::Tie(count, fewest, most))
        }
    }

    /// How they are tied.
    pub const fn kind(&self) -> TieKind {
        self.kind
    }

    /// Which points, in the order that the kind explains.
    pub fn points(&self) -> &[SubjectId] {
        self.points.ids()
    }
}

#[derive(Serialize, Deserialize)]
struct WrittenTie {
    kind: TieKind,
    points: PointList,
}

impl TryFrom<WrittenTie> for Tie {
    type Error = PointsError;

    fn try_from(written: WrittenTie) -> Result<Self, PointsError> {
        Self::new(written.kind, written.points)
    }
}

impl From<Tie> for WrittenTie {
    fn from(tie: Tie) -> Self {
        Self {
            kind: tie.kind,
            points: tie.points,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::value::Value;
    use uuid::Uuid;

    fn ids(count: u128) -> Vec<SubjectId> {
        (1..=count)
            .map(|id| SubjectId(Uuid::from_u128(id)))
            .collect()
    }

    fn text(kind: &str, count: u128) -> String {
        let points = serde_json::to_string(&ids(count)).unwrap();
        format!(r#"{{"tie":{{"kind":"{kind}","points":{points}}}}}"#)
    }

    #[test]
    fn ties_are_read_back_as_written() {
        for kind in TieKind::ALL {
            let count = kind.points().0 as u128;
            let tie = Tie::new(kind, PointList::new(ids(count)).unwrap()).unwrap();
            let value = Value::Tie(tie);
            let written = serde_json::to_string(&value).unwrap();
            assert_eq!(written, text(kind.key(), count));
            assert_eq!(serde_json::from_str::<Value>(&written).unwrap(), value);
            assert_eq!(TieKind::from_key(kind.key()), Some(kind));
        }
    }

    #[test]
    fn what_is_no_tie_is_not_read() {
        let read = |text: &str| serde_json::from_str::<Value>(text).is_ok();
        assert!(read(&text("straight", 64)));
        assert!(!read(&text("straight", 65)));
        assert!(!read(&text("distance", 3)));
        assert!(!read(&text("square", 2)));
        assert!(!read(&text("never_heard_of", 2)));
        assert!(!read(r#"{"points":[]}"#));
        let twice = [ids(2), ids(1)].concat();
        assert_eq!(PointList::new(twice), Err(PointsError::Twice));
    }
}
