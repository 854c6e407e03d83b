//! A plane through level readings, and what it says about a rectangular footprint.
//!
//! z = a·x + b·y + c by least squares (derived; checked against an independent solver). Every coefficient is linear
//! in the heights, so the influence of each reading is kept: it carries spreads, also where readings share one.

use super::RADIANS_PER_DEGREE;

/// One level reading: where it was taken and how high the ground is there, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelPoint {
    /// Position along the first axis.
    pub x: f64,
    /// Position along the second axis.
    pub y: f64,
    /// Height, upwards.
    pub z: f64,
}

/// Why no plane can be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPlane {
    /// Fewer than three points.
    TooFew,
    /// All points lie on one line, seen from above: the fall across that line is unknown.
    OnOneLine,
    /// A number is infinite, not a number, or too large to compute with.
    NotFinite,
}

/// A plane z = a·x + b·y + c fitted to level readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Rise along x, rise over run.
    pub a: f64,
    /// Rise along y, rise over run.
    pub b: f64,
    /// Height in metres at x = y = 0.
    pub c: f64,
    /// For each reading, the derivatives of a, b and c by its height.
    pub influence: Vec<[f64; 3]>,
    /// For each reading, its height minus the plane's there, in metres.
    pub residuals: Vec<f64>,
    /// The inverse normal matrix, by a, b, c: the covariance when every height has a standard deviation of 1 m.
    pub cofactors: [[f64; 3]; 3],
    points: Vec<LevelPoint>,
}

/// The smallest ratio of the points' scatter across to along their main direction, squared, that still makes a plane.
const THINNEST: f64 = 1e-10;

/// The least-squares plane through `points`, all weighted alike.
///
/// # Errors
/// [`NoPlane`] says why there is none.
pub fn fit(points: &[LevelPoint]) -> Result<Plane, NoPlane> {
    let finite = |p: &LevelPoint| p.x.is_finite() && p.y.is_finite() && p.z.is_finite();
    if !points.iter().all(finite) {
        return Err(NoPlane::NotFinite);
    }
    if points.len() < 3 {
        return Err(NoPlane::TooFew);
    }
    let count = points.len() as f64;
    let mean = |part: fn(&LevelPoint) -> f64| points.iter().map(part).sum::<f64>() / count;
    let (middle_x, middle_y) = (mean(|p| p.x), mean(|p| p.y));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let (dx, dy) = (point.x - middle_x, point.y - middle_y);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    let determinant = xx * yy - xy * xy;
    let total = xx + yy;
    if !determinant.is_finite() || !total.is_finite() {
        return Err(NoPlane::NotFinite);
    }
    // determinant / total² is at most the ratio of the smaller to the larger eigenvalue.
    if total <= 0.0 || determinant <= THINNEST * total * total {
        return Err(NoPlane::OnOneLine);
    }
    let influence = influences(points, (middle_x, middle_y), [xx, xy, yy], determinant);
    let cofactors = cofactors((middle_x, middle_y), [xx, xy, yy], determinant, count);
    finish(points, influence, cofactors)
}

fn influences(
    points: &[LevelPoint],
    (middle_x, middle_y): (f64, f64),
    [xx, xy, yy]: [f64; 3],
    determinant: f64,
) -> Vec<[f64; 3]> {
    let count = points.len() as f64;
    let each = |point: &LevelPoint| {
        let (dx, dy) = (point.x - middle_x, point.y - middle_y);
        let on_a = (yy * dx - xy * dy) / determinant;
        let on_b = (xx * dy - xy * dx) / determinant;
        [on_a, on_b, 1.0 / count - on_a * middle_x - on_b * middle_y]
    };
    points.iter().map(each).collect()
}

fn cofactors(
    (middle_x, middle_y): (f64, f64),
    [xx, xy, yy]: [f64; 3],
    determinant: f64,
    count: f64,
) -> [[f64; 3]; 3] {
    let (aa, ab, bb) = (yy / determinant, -xy / determinant, xx / determinant);
    let ac = -(aa * middle_x + ab * middle_y);
    let bc = -(ab * middle_x + bb * middle_y);
    let cc = 1.0 / count - ac * middle_x - bc * middle_y;
    [[aa, ab, ac], [ab, bb, bc], [ac, bc, cc]]
}

fn finish(
    points: &[LevelPoint],
    influence: Vec<[f64; 3]>,
    cofactors: [[f64; 3]; 3],
) -> Result<Plane, NoPlane> {
    // Heights are taken from their mean, so that a benchmark of hundreds of metres costs no digits.
    let mean_height = points.iter().map(|p| p.z).sum::<f64>() / points.len() as f64;
    let mut sums = [0.0; 3];
    for (point, weights) in points.iter().zip(&influence) {
        for (sum, weight) in sums.iter_mut().zip(weights) {
            *sum += weight * (point.z - mean_height);
        }
    }
    let [a, b, c_above_mean] = sums;
    let residuals = points
        .iter()
        .map(|p| (p.z - mean_height) - (a * p.x + b * p.y + c_above_mean))
        .collect();
    let plane = Plane {
        a,
        b,
        c: c_above_mean + mean_height,
        influence,
        residuals,
        cofactors,
        points: points.to_vec(),
    };
    if plane.a.is_finite() && plane.b.is_finite() && plane.c.is_finite() {
        Ok(plane)
    } else {
        Err(NoPlane::NotFinite)
    }
}

/// A slope's size and the way it falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// Rise over run along the steepest line, at least zero.
    pub slope: f64,
    /// Degrees from the x axis towards the y axis of the downhill direction, above -180 up to 180; `None` where it is
    /// level.
    pub downhill: Option<f64>,
}

/// A rectangle on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footprint {
    /// Length in metres.
    pub length: f64,
    /// Width in metres.
    pub width: f64,
    /// Degrees from the x axis towards the y axis of the long side.
    pub heading: f64,
}

/// A value read off a fitted plane, with its derivative by the height of each reading, in the readings' order.
#[derive(Clone, Debug, PartialEq)]
pub struct ByReading {
    /// The value, in metres.
    pub value: f64,
    /// The derivative of the value by each reading's height.
    pub gradient: Vec<f64>,
}

impl ByReading {
    /// The spread of the value in metres when every reading independently has `spread` metres.
    pub fn spread(&self, spread: f64) -> f64 {
        let sum: f64 = self.gradient.iter().map(|slope| slope * slope).sum();
        libm::sqrt(sum) * spread.abs()
    }
}

/// The reading that departs most from a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Departure {
    /// Which reading, counted from zero.
    pub reading: usize,
    /// Its height above the surface in metres (negative: below), with the derivative by each reading.
    pub height: ByReading,
}

/// The lowest and the highest reading as seen from a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Departures {
    /// The worst dip.
    pub dip: Departure,
    /// The worst high.
    pub high: Departure,
}

impl Plane {
    /// The plane's height in metres at a position.
    pub fn height_at(&self, x: f64, y: f64) -> f64 {
        self.a * x + self.b * y + self.c
    }

    /// The slope along the steepest line and the downhill direction.
    pub fn fall(&self) -> Fall {
        let slope = libm::sqrt(self.a * self.a + self.b * self.b);
        let downhill = (slope > 0.0).then(|| libm::atan2(-self.b, -self.a) / RADIANS_PER_DEGREE);
        Fall { slope, downhill }
    }

    /// The covariance of a, b and c when every height has the standard deviation `sigma` metres.
    pub fn covariance(&self, sigma: f64) -> [[f64; 3]; 3] {
        self.cofactors
            .map(|row| row.map(|cofactor| cofactor * sigma * sigma))
    }

    /// The standard deviation in metres that the residuals themselves show; `None` with three points, which leave
    /// none.
    pub fn scatter(&self) -> Option<f64> {
        let spare = self.residuals.len().checked_sub(3).filter(|n| *n > 0)?;
        let sum: f64 = self.residuals.iter().map(|r| r * r).sum();
        Some(libm::sqrt(sum / spare as f64))
    }

    /// The plane's highest minus its lowest corner over `footprint`, in metres: |slope along|·length +
    /// |slope across|·width. `None` if the footprint is not finite or has a negative side.
    pub fn fall_across(&self, footprint: Footprint) -> Option<ByReading> {
        let Footprint {
            length,
            width,
            heading,
        } = footprint;
        if !super::all_at_least_zero(&[length, width]) || !heading.is_finite() {
            return None;
        }
        let (sine, cosine) = libm::sincos(heading * RADIANS_PER_DEGREE);
        let along = self.a * cosine + self.b * sine;
        let across = self.b * cosine - self.a * sine;
        let signed_length = if along < 0.0 { -length } else { length };
        let signed_width = if across < 0.0 { -width } else { width };
        let by_a = signed_length * cosine - signed_width * sine;
        let by_b = signed_length * sine + signed_width * cosine;
        let value = super::finite(along.abs() * length + across.abs() * width)?;
        let gradient = self
            .influence
            .iter()
            .map(|[on_a, on_b, _]| by_a * on_a + by_b * on_b)
            .collect();
        Some(ByReading { value, gradient })
    }

    /// The worst dip and the worst high of the readings from this plane.
    pub fn departures(&self) -> Option<Departures> {
        let gradient = |reading: usize| {
            let at = self.points.get(reading);
            let (x, y) = at.map_or((0.0, 0.0), |p| (p.x, p.y));
            self.influence
                .iter()
                .enumerate()
                .map(|(other, [on_a, on_b, on_c])| {
                    let itself = if other == reading { 1.0 } else { 0.0 };
                    itself - (on_a * x + on_b * y + on_c)
                })
                .collect()
        };
        worst(&self.residuals, gradient)
    }

    /// The worst dip and the worst high of the readings from the dead-level plane that fits them best (their mean
    /// height, the least-squares level).
    pub fn departures_from_level(&self) -> Option<Departures> {
        let heights: Vec<f64> = self.points.iter().map(|p| p.z).collect();
        departures_from_level(&heights)
    }
}

/// The worst dip and high of `heights` (metres) from their mean; `None` without heights or if one is not finite.
pub fn departures_from_level(heights: &[f64]) -> Option<Departures> {
    let count = heights.len() as f64;
    let mean = super::finite(heights.iter().sum::<f64>() / count)?;
    let above: Vec<f64> = heights.iter().map(|height| height - mean).collect();
    let gradient = |reading: usize| {
        (0..heights.len())
            .map(|other| if other == reading { 1.0 } else { 0.0 } - 1.0 / count)
            .collect()
    };
    worst(&above, gradient)
}

/// The lowest and highest of `heights`; the first of equals.
fn worst(heights: &[f64], gradient: impl Fn(usize) -> Vec<f64>) -> Option<Departures> {
    let first = *heights.first()?;
    let (mut low, mut high) = ((0, first), (0, first));
    for (reading, height) in heights.iter().copied().enumerate() {
        if height < low.1 {
            low = (reading, height);
        }
        if height > high.1 {
            high = (reading, height);
        }
    }
    let departure = |(reading, value): (usize, f64)| Departure {
        reading,
        height: ByReading {
            value,
            gradient: gradient(reading),
        },
    };
    Some(Departures {
        dip: departure(low),
        high: departure(high),
    })
}
