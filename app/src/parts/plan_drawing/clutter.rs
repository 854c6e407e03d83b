//! What words on the drawing should leave free: walls, outlines, circles, the north arrow, and all beyond its edges.

use setdown_rules::plan::{Place, Plan, Shape, ZoneKind};

use super::contact::contacts;
use super::frame::{Frame, Turn};
use super::layers::{ARROW, DOT, PINCH};
use super::sketch::Sketch;

/// How bad it is to lie across a line.
const LINE: u32 = 1;
/// Across a circle, which is small and says where.
const CIRCLE: u32 = 2;
/// Under the arrow, where nothing can be read.
const HIDDEN: u32 = 8;

/// Lines and circles, drawing coordinates.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clutter {
    lines: Vec<[[f64; 2]; 2]>,
    circles: Vec<Circle>,
    /// The corners of the whole drawing, where it has edges.
    edges: Option<[[f64; 2]; 2]>,
}

/// A circle, of which one part of the radius grows with the scale and one does not.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Circle {
    at: [f64; 2],
    inches: f64,
    pixels: f64,
}

/// A box around a word, nominal pixels.
#[derive(Clone, Copy, Debug)]
pub struct Area {
    /// Its middle.
    pub middle: [f64; 2],
    /// Half its width and half its height.
    pub reach: [f64; 2],
}

impl Clutter {
    /// What a sketch has.
    pub fn of(sketch: &Sketch, turn: Turn) -> Self {
        let mut clutter = Self::default();
        clutter.draw(&sketch.plan, turn);
        let dots = sketch.points.iter().map(|point| (point.at, DOT));
        let pinches = sketch.answer.iter().flat_map(|answer| &answer.pinches);
        let pinched = pinches.flat_map(|pinch| contacts(&sketch.plan, pinch));
        for (at, pixels) in dots.chain(pinched.map(|at| (at, PINCH))) {
            let at = turn.place(at);
            clutter.circles.push(Circle {
                at,
                inches: 0.0,
                pixels,
            });
        }
        clutter
    }

    /// The same on a drawing that ends at the edges of a frame.
    pub fn within(self, frame: Frame) -> Self {
        let low = frame.corner();
        let high = [low[0] + frame.width, low[1] + frame.shape * frame.width];
        let edges = Some([low, high]);
        Self { edges, ..self }
    }

    fn draw(&mut self, plan: &Plan, turn: Turn) {
        for barrier in &plan.barriers {
            self.line(&barrier.line, false, turn);
        }
        for zone in plan
            .zones
            .iter()
            .filter(|zone| zone.kind == ZoneKind::House)
        {
            self.line(&zone.ring, true, turn);
        }
        for opening in &plan.openings {
            self.line(&opening.between, false, turn);
        }
        for wire in &plan.lines {
            self.line(&wire.line, false, turn);
        }
        for thing in &plan.obstacles {
            match &thing.shape {
                Shape::Ring(ring) => self.line(ring, true, turn),
                Shape::Round { centre, radius } => self.circles.push(Circle {
                    at: turn.place(centre.at()),
                    inches: radius.value,
                    pixels: 0.0,
                }),
            }
        }
    }

    fn line(&mut self, places: &[Place], closed: bool, turn: Turn) {
        let mut placed: Vec<[f64; 2]> = places.iter().map(|place| turn.place(place.at())).collect();
        placed.extend(placed.first().copied().filter(|_| closed));
        let pairs = placed.array_windows().copied();
        self.lines.extend(pairs);
    }

    /// How bad it is for a word to lie there; 0: it covers nothing. `arrow`: where the north arrow is, if it is drawn.
    pub fn covered(&self, area: Area, scale: f64, arrow: Option<[f64; 2]>) -> u32 {
        let pixels = |[x, y]: [f64; 2]| [x / scale, y / scale];
        let lines = self
            .lines
            .iter()
            .filter(|line| area.is_crossed(line.map(pixels)));
        let circles = self.circles.iter().filter(|circle| {
            let radius = circle.inches / scale + circle.pixels;
            let [near, far] = area.distances(pixels(circle.at));
            near <= radius && radius <= far
        });
        let hidden = arrow.is_some_and(|at| area.distances(pixels(at))[0] <= ARROW);
        let cut = self
            .edges
            .map_or(0.0, |edges| area.beyond(edges.map(pixels)));
        let count = |found: usize| u32::try_from(found).unwrap_or(u32::MAX / 4);
        let crossed = LINE * count(lines.count()) + CIRCLE * count(circles.count());
        crossed + cut.ceil() as u32 + if hidden { HIDDEN } else { 0 }
    }
}

impl Area {
    /// Whether any of a line lies inside: what is left of it between the two sides, and between top and bottom.
    fn is_crossed(self, [from, to]: [[f64; 2]; 2]) -> bool {
        let mut left = [0.0_f64, 1.0];
        for axis in 0..2 {
            let way = to[axis] - from[axis];
            let ends =
                [-1.0, 1.0].map(|side| self.middle[axis] + side * self.reach[axis] - from[axis]);
            if way == 0.0 {
                if ends[0] > 0.0 || ends[1] < 0.0 {
                    return false;
                }
                continue;
            }
            let [one, other] = ends.map(|end| end / way);
            left = [left[0].max(one.min(other)), left[1].min(one.max(other))];
        }
        left[0] <= left[1]
    }

    /// By how many pixels it sticks out beyond two corners.
    fn beyond(self, [low, high]: [[f64; 2]; 2]) -> f64 {
        let axes = [0, 1].map(|axis: usize| {
            let (middle, reach) = (self.middle[axis], self.reach[axis]);
            (low[axis] - (middle - reach)).max(middle + reach - high[axis])
        });
        axes.into_iter().map(|out| out.max(0.0)).sum()
    }

    /// How far its nearest and its farthest place are from a point.
    fn distances(self, point: [f64; 2]) -> [f64; 2] {
        let off = [0, 1].map(|axis| (point[axis] - self.middle[axis]).abs());
        let near = [0, 1].map(|axis| (off[axis] - self.reach[axis]).max(0.0));
        let far = [0, 1].map(|axis| off[axis] + self.reach[axis]);
        [near[0].hypot(near[1]), far[0].hypot(far[1])]
    }
}
