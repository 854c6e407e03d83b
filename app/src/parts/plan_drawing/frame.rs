//! Which part of the yard is on screen: panning, zooming and turning as plain numbers.

use super::extent::Extent;

/// How many pixels wide a drawing is thought to be: what letters and marks are sized by.
pub const NOMINAL: f64 = 360.0;
/// The closest that can be looked, inches across the drawing.
const CLOSEST: f64 = 24.0;
/// How much farther than the whole yard one can go away.
const FARTHEST: f64 = 3.0;

/// The yard turned by quarters, so that a long one fits an upright phone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Turn(u8);

impl Turn {
    /// As it lies best in a field that is `shape` times as high as wide.
    pub fn fitting(extent: Extent, shape: f64) -> Self {
        let lies = extent.width() > extent.height();
        Self(u8::from(
            lies == (shape >= 1.0) && extent.width() != extent.height(),
        ))
    }

    /// A quarter on.
    pub const fn next(self) -> Self {
        Self((self.0 + 1) % 4)
    }

    /// From the yard (y up) to the drawing (y down).
    pub fn place(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [x, y] = match self.0 {
            0 => [x, y],
            1 => [-y, x],
            2 => [-x, -y],
            _ => [y, -x],
        };
        [x, -y]
    }

    /// From the drawing to the yard.
    pub fn back(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (x, y) = (x, -y);
        match self.0 {
            0 => [x, y],
            1 => [y, -x],
            2 => [-x, -y],
            _ => [-y, x],
        }
    }

    /// By how many degrees headings are turned, counter-clockwise.
    pub fn degrees(self) -> f64 {
        90.0 * f64::from(self.0)
    }
}

/// The part of the drawing that is on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Its middle, drawing coordinates.
    pub middle: [f64; 2],
    /// How wide it is, inches of the yard.
    pub width: f64,
    /// How high for its width.
    pub shape: f64,
    /// The width that shows all.
    whole: f64,
}

impl Frame {
    /// Everything in `extent` (drawing coordinates), with room around it.
    pub fn whole(extent: Extent, shape: f64) -> Self {
        let width = (1.16 * extent.width().max(extent.height() / shape)).max(CLOSEST);
        Self {
            middle: extent.middle(),
            width,
            shape,
            whole: width,
        }
    }

    /// Left, top, width and height, as an SVG's `viewBox`.
    pub fn view_box(self) -> String {
        let [x, y] = self.corner();
        format!(
            "{x:.3} {y:.3} {:.3} {:.3}",
            self.width,
            self.shape * self.width
        )
    }

    /// Left and top.
    pub fn corner(self) -> [f64; 2] {
        [
            self.middle[0] - 0.5 * self.width,
            self.middle[1] - 0.5 * self.shape * self.width,
        ]
    }

    /// Inches of the yard to a nominal pixel.
    pub fn scale(self) -> f64 {
        self.width / NOMINAL
    }

    /// The place under a share of the width and of the height.
    pub fn under(self, [across, down]: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.corner();
        [x + across * self.width, y + down * self.shape * self.width]
    }

    /// Moved by shares of the width and of the height: what was under the finger goes along.
    pub fn panned(self, [across, down]: [f64; 2]) -> Self {
        let middle = [
            self.middle[0] - across * self.width,
            self.middle[1] - down * self.shape * self.width,
        ];
        Self { middle, ..self }
    }

    /// Looked at `factor` times as close, with a share of width and height staying where it is.
    pub fn zoomed(self, factor: f64, about: [f64; 2]) -> Self {
        if !(factor.is_finite() && factor > 0.0) {
            return self;
        }
        let width = (self.width / factor).clamp(CLOSEST, FARTHEST * self.whole);
        let stays = self.under(about);
        let middle = [
            stays[0] - (about[0] - 0.5) * width,
            stays[1] - (about[1] - 0.5) * self.shape * width,
        ];
        Self {
            middle,
            width,
            ..self
        }
    }
}
