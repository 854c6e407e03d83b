//! Which way a side faces: the four directions as seen from the house, looking out.

use setdown_types::spa::Side;

/// A direction in the yard, clockwise seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Facing {
    /// Away from the house.
    Away,
    /// To the right of somebody who looks out from the house.
    YardRight,
    /// Towards the house.
    House,
    /// To the left of somebody who looks out from the house.
    YardLeft,
}

impl Facing {
    const CLOCKWISE: [Self; 4] = [Self::Away, Self::YardRight, Self::House, Self::YardLeft];

    /// The direction with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::CLOCKWISE
            .into_iter()
            .find(|facing| facing.key() == key)
    }

    /// Its key, as in the choices of the questions.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Away => "away",
            Self::YardRight => "yard_right",
            Self::House => "house",
            Self::YardLeft => "yard_left",
        }
    }

    /// The direction after this many quarter turns clockwise.
    pub const fn turned(self, quarters: usize) -> Self {
        let place = match self {
            Self::Away => 0,
            Self::YardRight => 1,
            Self::House => 2,
            Self::YardLeft => 3,
        };
        match (place + quarters) % 4 {
            0 => Self::Away,
            1 => Self::YardRight,
            2 => Self::House,
            _ => Self::YardLeft,
        }
    }

    /// Where `side` faces when the foot faces here. Left and right are those of somebody who stands at the foot and
    /// looks to the head.
    pub const fn of_side(self, side: Side) -> Self {
        self.turned(match side {
            Side::Foot => 0,
            Side::Left => 1,
            Side::Head => 2,
            Side::Right => 3,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by standing in a yard: the foot towards the house means looking away from it, so left is left.
    #[test]
    fn sides_follow_the_foot() {
        let sides = |foot: Facing| Side::ALL.map(|side| foot.of_side(side).key());
        assert_eq!(
            sides(Facing::House),
            ["house", "away", "yard_left", "yard_right"]
        );
        assert_eq!(
            sides(Facing::Away),
            ["away", "house", "yard_right", "yard_left"]
        );
        assert_eq!(
            sides(Facing::YardLeft),
            ["yard_left", "yard_right", "away", "house"]
        );
    }
}
