//! Exact fractions, just enough to turn written numbers into whole base units.

/// A fraction of two whole numbers, the lower one above zero. Every operation is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Exact {
    numerator: i128,
    denominator: i128,
}

impl Exact {
    /// `None` if the denominator is not above zero.
    pub fn new(numerator: i128, denominator: i128) -> Option<Self> {
        if denominator <= 0 {
            return None;
        }
        let divisor = greatest_common_divisor(numerator.unsigned_abs(), denominator.unsigned_abs());
        let divisor = i128::try_from(divisor).ok()?;
        Some(Self {
            numerator: numerator / divisor,
            denominator: denominator / divisor,
        })
    }

    pub fn whole(number: i64) -> Self {
        Self {
            numerator: i128::from(number),
            denominator: 1,
        }
    }

    pub fn add(self, other: Self) -> Option<Self> {
        let left = self.numerator.checked_mul(other.denominator)?;
        let right = other.numerator.checked_mul(self.denominator)?;
        Self::new(
            left.checked_add(right)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }

    pub fn multiply(self, other: Self) -> Option<Self> {
        Self::new(
            self.numerator.checked_mul(other.numerator)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }

    pub fn divide(self, other: Self) -> Option<Self> {
        let numerator = self.numerator.checked_mul(other.denominator)?;
        let denominator = self.denominator.checked_mul(other.numerator)?;
        if denominator < 0 {
            return Self::new(numerator.checked_neg()?, denominator.checked_neg()?);
        }
        Self::new(numerator, denominator)
    }

    pub fn negate(self) -> Option<Self> {
        Some(Self {
            numerator: self.numerator.checked_neg()?,
            denominator: self.denominator,
        })
    }

    pub fn is_zero(self) -> bool {
        self.numerator == 0
    }

    pub fn is_whole(self) -> bool {
        self.denominator == 1
    }

    /// Whether this is at least the whole number `limit`, which is at most a few thousand.
    pub fn at_least(self, limit: i64) -> bool {
        self.denominator
            .checked_mul(i128::from(limit))
            .is_some_and(|scaled| self.numerator >= scaled)
    }

    /// The nearest whole number, halves away from zero; `None` if it does not fit.
    pub fn round(self) -> Option<i64> {
        let quotient = self.numerator / self.denominator;
        let remainder = (self.numerator % self.denominator).abs();
        let up = remainder >= self.denominator - remainder;
        let rounded = match (up, self.numerator < 0) {
            (false, _) => quotient,
            (true, false) => quotient.checked_add(1)?,
            (true, true) => quotient.checked_sub(1)?,
        };
        i64::try_from(rounded).ok()
    }

    /// The nearest `f64`, to within a few units in the last place.
    pub fn approximate(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }
}

fn greatest_common_divisor(left: u128, right: u128) -> u128 {
    let (mut larger, mut smaller) = (left, right);
    while smaller != 0 {
        (larger, smaller) = (smaller, larger % smaller);
    }
    larger.max(1)
}

#[cfg(test)]
mod tests {
    use super::Exact;

    #[test]
    fn rounds_halves_away_from_zero() {
        for (numerator, denominator, expect) in [
            (1, 2, 1),
            (-1, 2, -1),
            (1, 3, 0),
            (2, 3, 1),
            (-5, 2, -3),
            (7, 1, 7),
        ] {
            let exact = Exact::new(numerator, denominator).and_then(Exact::round);
            assert_eq!(exact, Some(expect), "{numerator}/{denominator}");
        }
    }

    #[test]
    fn refuses_what_does_not_fit() {
        assert_eq!(Exact::new(1, 0), None);
        assert_eq!(Exact::new(i128::MAX, 1).and_then(Exact::round), None);
        let large = Exact::new(i128::MAX, 1);
        assert_eq!(large.and_then(|value| value.add(value)), None);
    }
}
