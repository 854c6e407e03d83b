//! Numbers that remember how they move with every reading they came from.

/// Something that can be off on its own: a reading, or what all readings of a tape share.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// What it is called.
    pub name: String,
    /// Its spread, in its own unit; what its slopes are counted in is one σ of it.
    pub spread: f64,
}

/// A value with its slopes: how far it moves when one source is off by one σ of its own.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Traced {
    /// The value.
    pub value: f64,
    /// Source and slope, by rising source.
    pub slopes: Vec<(u32, f64)>,
}

/// A place whose coordinates are traced, inches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// x.
    pub x: Traced,
    /// y.
    pub y: Traced,
}

impl Traced {
    /// A number that cannot be off.
    pub fn exact(value: f64) -> Self {
        Self {
            value,
            slopes: Vec::new(),
        }
    }

    /// The half-width that holds the truth 19 times in 20.
    pub fn spread(&self) -> f64 {
        let variance: f64 = self.slopes.iter().map(|(_, slope)| slope * slope).sum();
        libm::sqrt(variance) * crate::frame::spread::SPREADS_PER_SIGMA
    }

    /// A function of this number: its value and its derivative are given.
    fn chained(&self, value: f64, derivative: f64) -> Self {
        let scaled = |(source, slope): &(u32, f64)| (*source, slope * derivative);
        Self {
            value,
            slopes: self.slopes.iter().map(scaled).collect(),
        }
    }

    /// This times a number.
    pub fn times(&self, factor: f64) -> Self {
        self.chained(self.value * factor, factor)
    }

    /// The sum.
    pub fn plus(&self, other: &Self) -> Self {
        combined(self, 1.0, other, 1.0, self.value + other.value)
    }

    /// The difference.
    pub fn minus(&self, other: &Self) -> Self {
        combined(self, 1.0, other, -1.0, self.value - other.value)
    }

    /// The product.
    pub fn product(&self, other: &Self) -> Self {
        let value = self.value * other.value;
        combined(self, other.value, other, self.value, value)
    }

    /// The quotient; 0 where the divisor is.
    pub fn over(&self, other: &Self) -> Self {
        if other.value == 0.0 {
            return Self::default();
        }
        let value = self.value / other.value;
        combined(self, 1.0 / other.value, other, -value / other.value, value)
    }

    /// The square root; 0 of anything not above it.
    pub fn root(&self) -> Self {
        if self.value <= 0.0 {
            return Self::default();
        }
        let value = libm::sqrt(self.value);
        self.chained(value, 0.5 / value)
    }

    /// Cosine and sine of an angle in degrees.
    pub fn direction(&self) -> Place {
        let radians = core::f64::consts::PI / 180.0;
        let (sine, cosine) = sine_and_cosine(self.value);
        Place {
            x: self.chained(cosine, -sine * radians),
            y: self.chained(sine, cosine * radians),
        }
    }
}

/// Sine and cosine of degrees, exact for quarter turns.
pub(super) fn sine_and_cosine(degrees: f64) -> (f64, f64) {
    let turned = degrees - 360.0 * libm::floor(degrees / 360.0);
    match turned {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        _ => libm::sincos(turned * core::f64::consts::PI / 180.0),
    }
}

/// a·first + b·second in the slopes, by merging two rising lists.
fn combined(first: &Traced, a: f64, second: &Traced, b: f64, value: f64) -> Traced {
    let mut slopes = Vec::with_capacity(first.slopes.len() + second.slopes.len());
    let (mut one, mut other) = (
        first.slopes.iter().peekable(),
        second.slopes.iter().peekable(),
    );
    loop {
        match (one.peek(), other.peek()) {
            (Some((source, slope)), Some((source_2, slope_2))) if source == source_2 => {
                slopes.push((*source, a * slope + b * slope_2));
                one.next();
                other.next();
            }
            (Some((source, slope)), Some((source_2, _))) if source < source_2 => {
                slopes.push((*source, a * slope));
                one.next();
            }
            (_, Some((source, slope))) => {
                slopes.push((*source, b * slope));
                other.next();
            }
            (Some((source, slope)), None) => {
                slopes.push((*source, a * slope));
                one.next();
            }
            (None, None) => return Traced { value, slopes },
        }
    }
}

impl Place {
    /// A place that cannot be off.
    pub fn exact(x: f64, y: f64) -> Self {
        Self {
            x: Traced::exact(x),
            y: Traced::exact(y),
        }
    }

    /// Where it is.
    pub fn at(&self) -> [f64; 2] {
        [self.x.value, self.y.value]
    }

    /// This place and a way from it.
    pub fn plus(&self, way: &Self) -> Self {
        Self {
            x: self.x.plus(&way.x),
            y: self.y.plus(&way.y),
        }
    }

    /// The way here from another place.
    pub fn minus(&self, other: &Self) -> Self {
        Self {
            x: self.x.minus(&other.x),
            y: self.y.minus(&other.y),
        }
    }

    /// A way, so many times as long.
    pub fn product(&self, factor: &Traced) -> Self {
        Self {
            x: self.x.product(factor),
            y: self.y.product(factor),
        }
    }

    /// A way, so many times as long.
    pub fn times(&self, factor: f64) -> Self {
        Self {
            x: self.x.times(factor),
            y: self.y.times(factor),
        }
    }

    /// A way turned left by a right angle.
    pub fn turned_left(&self) -> Self {
        Self {
            x: self.y.times(-1.0),
            y: self.x.clone(),
        }
    }

    /// A way's length.
    pub fn length(&self) -> Traced {
        self.x
            .product(&self.x)
            .plus(&self.y.product(&self.y))
            .root()
    }

    /// A way of length 1 in the same direction; nothing where it has none.
    pub fn unit(&self) -> Self {
        let length = self.length();
        Self {
            x: self.x.over(&length),
            y: self.y.over(&length),
        }
    }

    /// The place a share of the way to another one.
    pub fn towards(&self, other: &Self, share: f64) -> Self {
        self.plus(&other.minus(self).times(share))
    }
}

/// How far two places lie apart.
pub fn distance(one: &Place, other: &Place) -> Traced {
    other.minus(one).length()
}
