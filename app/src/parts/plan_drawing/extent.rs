//! The box around everything that is drawn.

use setdown_rules::plan::{Place, Plan, Shape};

use super::sketch::Sketch;

/// A box, never empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    low: [f64; 2],
    high: [f64; 2],
}

/// What is shown of a yard of which nothing is known: 20 ft.
const NOTHING: f64 = 240.0;

impl Extent {
    /// Around all of these; a room of 20 ft where there are none.
    pub fn around(places: impl IntoIterator<Item = [f64; 2]>) -> Self {
        let mut found: Option<Self> = None;
        for [x, y] in places {
            let grown = match found {
                None => Self {
                    low: [x, y],
                    high: [x, y],
                },
                Some(known) => Self {
                    low: [known.low[0].min(x), known.low[1].min(y)],
                    high: [known.high[0].max(x), known.high[1].max(y)],
                },
            };
            found = Some(grown);
        }
        found.unwrap_or(Self {
            low: [0.0, 0.0],
            high: [NOTHING, NOTHING],
        })
    }

    /// Around all that a sketch shows.
    pub fn of(sketch: &Sketch) -> Self {
        let mut places: Vec<[f64; 2]> = corners(&sketch.plan);
        places.extend(sketch.points.iter().map(|point| point.at));
        if let Some(unit) = sketch.plan.unit {
            let reach = 0.5 * unit.length.hypot(unit.width);
            let stands = [&sketch.plan.truck_stand, &sketch.plan.spot];
            let stands = stands.into_iter().flatten().map(|stand| stand.at.at());
            let poses = sketch.answer.iter().flat_map(|answer| &answer.path);
            for [x, y] in stands.chain(poses.map(|pose| [pose.x, pose.y])) {
                places.extend([[x - reach, y - reach], [x + reach, y + reach]]);
            }
        }
        Self::around(places)
    }

    /// How wide.
    pub fn width(self) -> f64 {
        self.high[0] - self.low[0]
    }

    /// How high.
    pub fn height(self) -> f64 {
        self.high[1] - self.low[1]
    }

    /// The middle.
    pub fn middle(self) -> [f64; 2] {
        [0, 1].map(|axis| 0.5 * (self.low[axis] + self.high[axis]))
    }

    /// The four corners.
    pub fn corners(self) -> [[f64; 2]; 4] {
        let ([left, low], [right, high]) = (self.low, self.high);
        [[left, low], [right, low], [right, high], [left, high]]
    }
}

fn corners(plan: &Plan) -> Vec<[f64; 2]> {
    let lines = plan.barriers.iter().map(|barrier| &barrier.line);
    let lines = lines.chain(plan.zones.iter().map(|zone| &zone.ring));
    let lines = lines.chain(plan.lines.iter().map(|line| &line.line));
    let lines = lines.chain(plan.marks.iter().map(|mark| &mark.line));
    let mut places: Vec<[f64; 2]> = lines.flatten().map(Place::at).collect();
    places.extend(plan.points.iter().map(|point| point.at.at()));
    places.extend(
        plan.openings
            .iter()
            .flat_map(|opening| opening.between.iter().map(Place::at)),
    );
    for obstacle in &plan.obstacles {
        match &obstacle.shape {
            Shape::Ring(ring) => places.extend(ring.iter().map(Place::at)),
            Shape::Round { centre, radius } => {
                let ([x, y], reach) = (centre.at(), radius.value);
                places.extend([[x - reach, y - reach], [x + reach, y + reach]]);
            }
        }
    }
    places
}
