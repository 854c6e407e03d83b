//! Dual numbers: a value with its gradient by reading, so that a reading used twice counts once.

use std::collections::BTreeMap;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A value in SI units with its first derivative by each reading it came from.
///
/// Readings are named by their index in the context's list. Arithmetic follows the chain rule to
/// first order; the spread of the result is worked out by [`super::spread::Spreads::of`].
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Num {
    value: f64,
    gradient: BTreeMap<u32, f64>,
}

impl Num {
    /// A number known exactly.
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            gradient: BTreeMap::new(),
        }
    }

    /// The reading with this index, as it was read.
    pub fn reading(index: u32, value: f64) -> Self {
        Self {
            value,
            gradient: BTreeMap::from([(index, 1.0)]),
        }
    }

    /// The value.
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// The derivative by each reading.
    pub const fn gradient(&self) -> &BTreeMap<u32, f64> {
        &self.gradient
    }

    /// `f(self)` given its value and derivative here.
    pub fn chain(&self, value: f64, derivative: f64) -> Self {
        let gradient = self
            .gradient
            .iter()
            .map(|(&index, &slope)| (index, slope * derivative))
            .collect();
        Self { value, gradient }
    }

    /// `f(parts…)` given its value and its partial derivative by each part.
    pub fn combine(value: f64, parts: &[(&Self, f64)]) -> Self {
        let mut gradient = BTreeMap::new();
        for (part, partial) in parts {
            for (&index, &slope) in &part.gradient {
                *gradient.entry(index).or_insert(0.0) += slope * partial;
            }
        }
        Self { value, gradient }
    }

    /// The smaller of two, with its gradient; the first when equal.
    pub fn min(self, other: Self) -> Self {
        if other.value < self.value {
            other
        } else {
            self
        }
    }

    /// The larger of two, with its gradient; the first when equal.
    pub fn max(self, other: Self) -> Self {
        if other.value > self.value {
            other
        } else {
            self
        }
    }

    /// Sine of an angle in radians.
    pub fn sin(&self) -> Self {
        self.chain(libm::sin(self.value), libm::cos(self.value))
    }

    /// Cosine of an angle in radians.
    pub fn cos(&self) -> Self {
        self.chain(libm::cos(self.value), -libm::sin(self.value))
    }

    /// Arc tangent, radians.
    pub fn atan(&self) -> Self {
        self.chain(
            libm::atan(self.value),
            1.0 / (1.0 + self.value * self.value),
        )
    }

    /// Square root; the derivative at zero is taken as zero.
    pub fn sqrt(&self) -> Self {
        let root = libm::sqrt(self.value);
        self.chain(root, if root > 0.0 { 0.5 / root } else { 0.0 })
    }

    /// Absolute value.
    pub fn abs(&self) -> Self {
        if self.value < 0.0 {
            -self.clone()
        } else {
            self.clone()
        }
    }

    /// Whether the value and every derivative are finite.
    pub fn is_finite(&self) -> bool {
        self.value.is_finite() && self.gradient.values().all(|slope| slope.is_finite())
    }
}

impl From<f64> for Num {
    fn from(value: f64) -> Self {
        Self::exact(value)
    }
}

impl Neg for Num {
    type Output = Self;
    fn neg(self) -> Self {
        self.chain(0.0 - self.value, -1.0)
    }
}

macro_rules! arithmetic {
    ($trait:ident, $method:ident, $value:expr, $left:expr, $right:expr) => {
        impl $trait<&Num> for &Num {
            type Output = Num;
            fn $method(self, other: &Num) -> Num {
                let (a, b) = (self.value, other.value);
                Num::combine($value(a, b), &[(self, $left(a, b)), (other, $right(a, b))])
            }
        }
        impl $trait<Num> for Num {
            type Output = Num;
            fn $method(self, other: Num) -> Num {
                $trait::$method(&self, &other)
            }
        }
        impl $trait<&Num> for Num {
            type Output = Num;
            fn $method(self, other: &Num) -> Num {
                $trait::$method(&self, other)
            }
        }
        impl $trait<Num> for &Num {
            type Output = Num;
            fn $method(self, other: Num) -> Num {
                $trait::$method(self, &other)
            }
        }
        impl $trait<f64> for Num {
            type Output = Num;
            fn $method(self, other: f64) -> Num {
                $trait::$method(&self, &Num::exact(other))
            }
        }
        impl $trait<f64> for &Num {
            type Output = Num;
            fn $method(self, other: f64) -> Num {
                $trait::$method(self, &Num::exact(other))
            }
        }
        impl $trait<Num> for f64 {
            type Output = Num;
            fn $method(self, other: Num) -> Num {
                $trait::$method(&Num::exact(self), &other)
            }
        }
        impl $trait<&Num> for f64 {
            type Output = Num;
            fn $method(self, other: &Num) -> Num {
                $trait::$method(&Num::exact(self), other)
            }
        }
    };
}

arithmetic!(Add, add, |a: f64, b: f64| a + b, |_, _| 1.0, |_, _| 1.0);
arithmetic!(Sub, sub, |a: f64, b: f64| a - b, |_, _| 1.0, |_, _| -1.0);
arithmetic!(
    Mul,
    mul,
    |a: f64, b: f64| a * b,
    |_, b: f64| b,
    |a: f64, _| a
);
arithmetic!(
    Div,
    div,
    |a: f64, b: f64| a / b,
    |_, b: f64| 1.0 / b,
    |a: f64, b: f64| -a / (b * b)
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_used_twice_counts_once() {
        let width = Num::reading(0, 3.0);
        let twice = &width + &width;
        assert_eq!(twice.gradient()[&0], 2.0);
        let gone = &width - &width;
        assert_eq!(gone.gradient()[&0], 0.0);
    }

    #[test]
    fn quotient_rule() {
        let ratio = Num::reading(0, 1.0) / Num::reading(1, 2.0);
        assert_eq!(ratio.gradient()[&0], 0.5);
        assert_eq!(ratio.gradient()[&1], -0.25);
    }
}
