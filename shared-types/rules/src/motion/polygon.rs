//! Convex polygons of at most eight corners: where the centre of the unit may be within one cell.

/// Most corners of a polygon.
pub(super) const MOST: usize = 8;
/// Polygons nearer than this many inches are taken to touch. Larger than any rounding of their corners.
pub(super) const TOUCHING: f64 = 1e-8;

/// A convex polygon, corners counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Polygon {
    corners: [[f64; 2]; MOST],
    count: u8,
}

impl Polygon {
    /// The polygon with these corners, counter-clockwise; corners beyond the eighth are left out.
    pub fn new(corners: &[[f64; 2]]) -> Self {
        let mut polygon = Polygon {
            corners: [[0.0; 2]; MOST],
            count: 0,
        };
        for corner in corners {
            polygon.push(*corner);
        }
        polygon
    }

    fn push(&mut self, corner: [f64; 2]) -> bool {
        let place = usize::from(self.count);
        match self.corners.get_mut(place) {
            Some(slot) => {
                *slot = corner;
                self.count += 1;
                true
            }
            None => false,
        }
    }

    /// The corners, counter-clockwise.
    pub fn corners(&self) -> &[[f64; 2]] {
        &self.corners[..usize::from(self.count)]
    }

    /// Least and greatest of the corners along a direction.
    pub fn extent(&self, direction: [f64; 2]) -> [f64; 2] {
        let mut low = f64::INFINITY;
        let mut high = f64::NEG_INFINITY;
        for corner in self.corners() {
            let along = corner[0] * direction[0] + corner[1] * direction[1];
            low = low.min(along);
            high = high.max(along);
        }
        [low, high]
    }

    /// Whether the point lies inside or within `slack` inches of every side's line.
    pub fn holds(&self, point: [f64; 2], slack: f64) -> bool {
        self.sides().all(|(p, q)| {
            let step = [q[0] - p[0], q[1] - p[1]];
            let left = step[0] * (point[1] - p[1]) - step[1] * (point[0] - p[0]);
            left >= -slack * (step[0].abs() + step[1].abs())
        })
    }

    fn sides(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
        let corners = self.corners();
        let next = corners.iter().skip(1).chain(corners.first());
        corners.iter().copied().zip(next.copied())
    }

    /// The parts below and above `place` along `direction`. The two share the corners of the cut to the bit. `None`
    /// if a part would be empty or have too many corners.
    pub fn cut(&self, direction: [f64; 2], place: f64) -> Option<(Polygon, Polygon)> {
        let mut below = Polygon::new(&[]);
        let mut above = below;
        let mut room = true;
        for (p, q) in self.sides() {
            let at_p = p[0] * direction[0] + p[1] * direction[1] - place;
            let at_q = q[0] * direction[0] + q[1] * direction[1] - place;
            if at_p <= 0.0 {
                room &= below.push(p);
            }
            if at_p >= 0.0 {
                room &= above.push(p);
            }
            if (at_p < 0.0 && at_q > 0.0) || (at_p > 0.0 && at_q < 0.0) {
                let share = at_p / (at_p - at_q);
                let crossing = [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])];
                room &= below.push(crossing) && above.push(crossing);
            }
        }
        (room && below.count >= 3 && above.count >= 3).then_some((below, above))
    }

    /// The two parts on either side of the chord between the first corner and the one opposite.
    pub fn halve(&self) -> Option<(Polygon, Polygon)> {
        let corners = self.corners();
        let opposite = corners.len() / 2;
        if corners.len() < 4 {
            return None;
        }
        let one = Polygon::new(&corners[..=opposite]);
        let mut other = Polygon::new(&corners[opposite..]);
        other.push(corners[0]);
        Some((one, other))
    }

    /// Whether the two polygons touch or come within [`TOUCHING`]. May say yes for polygons slightly further apart
    /// where corners are sharp; never says no for polygons that touch.
    pub fn touches(&self, other: &Polygon) -> bool {
        !self.parts_from(other) && !other.parts_from(self)
    }

    /// Whether a side of this polygon has all of the other beyond it.
    fn parts_from(&self, other: &Polygon) -> bool {
        self.sides().any(|(p, q)| {
            let step = [q[0] - p[0], q[1] - p[1]];
            let slack = -TOUCHING * (step[0].abs() + step[1].abs());
            other
                .corners()
                .iter()
                .all(|c| step[0] * (c[1] - p[1]) - step[1] * (c[0] - p[0]) < slack)
        })
    }

    /// The corners of what the two polygons have in common, each allowed `slack` inches beyond its sides. Empty if
    /// they have nothing in common.
    pub fn common(&self, other: &Polygon, slack: f64) -> Vec<[f64; 2]> {
        let mut region: Vec<[f64; 2]> = self.corners().to_vec();
        for (p, q) in other.sides() {
            let step = [q[0] - p[0], q[1] - p[1]];
            let length = libm::sqrt(step[0] * step[0] + step[1] * step[1]);
            let inside =
                |c: [f64; 2]| step[0] * (c[1] - p[1]) - step[1] * (c[0] - p[0]) + slack * length;
            region = clip(&region, inside);
        }
        region
    }
}

/// What is left of a convex polygon where `inside` (linear in the point) is at least zero.
fn clip(region: &[[f64; 2]], inside: impl Fn([f64; 2]) -> f64) -> Vec<[f64; 2]> {
    let mut kept = Vec::with_capacity(region.len() + 1);
    let next = region.iter().skip(1).chain(region.first());
    for (p, q) in region.iter().zip(next) {
        let (at_p, at_q) = (inside(*p), inside(*q));
        if at_p >= 0.0 {
            kept.push(*p);
        }
        if (at_p < 0.0 && at_q > 0.0) || (at_p > 0.0 && at_q < 0.0) {
            let share = at_p / (at_p - at_q);
            kept.push([p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])]);
        }
    }
    kept
}
