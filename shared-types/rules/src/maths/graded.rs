//! A value together with how it moves with each of its inputs.

/// A value and its partial derivative by each of `N` inputs, in the order the function that made it names.
///
/// The gradient is what carries spreads: an input that is off by a little moves the value by the derivative times
/// that little.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Graded<const N: usize> {
    /// The value, in the unit its function names.
    pub value: f64,
    /// The derivative of the value by each input.
    pub gradient: [f64; N],
}

impl<const N: usize> Graded<N> {
    /// A value with its derivatives, or `None` if any of them overflowed.
    pub fn new(value: f64, gradient: [f64; N]) -> Option<Self> {
        let sound = value.is_finite() && gradient.iter().all(|slope| slope.is_finite());
        sound.then_some(Graded { value, gradient })
    }

    /// The spread of the value when its inputs have these `spreads` and are independent of each other: the root of
    /// the sum of squares (first order).
    pub fn spread(&self, spreads: [f64; N]) -> f64 {
        let mut sum = 0.0;
        for (slope, spread) in self.gradient.iter().zip(spreads) {
            sum += (slope * spread) * (slope * spread);
        }
        libm::sqrt(sum)
    }
}
