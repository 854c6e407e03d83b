//! The yard plan out of the ledger: reads points, tapes, legs, lines and things through the tracing reader and writes the
//! plan file of `tests/examples/route/README.md`, with a map from every name in it back to the question it came from.

use std::collections::BTreeMap;

use setdown_types::ids::SubjectId;
use setdown_types::site::StreamKey;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use setdown_types::subject::{Subject, SubjectKind};

use super::{Derived, Scene, Traced, read};
use crate::document::{Complaint, Problem};
use crate::frame::assess::Input;
use crate::frame::context::Context;
use crate::frame::item::word;
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::frame::spread::SPREADS_PER_SIGMA;
use crate::motion::certified::{RESOLUTION, canonical_text, scene_digest};
use crate::motion::largest::{Ends, Measured, Sought, of_length};
use crate::motion::scene::{Fault, Parts, Pose};
use crate::motion::{self, file};
use crate::tables::units::INCH;

mod features;
mod legs;
mod names;
mod next_tape;
mod planned;
mod tapes;
mod unit;
mod writer;

pub(crate) use planned::{Planned, Recent};
pub(crate) use unit::Steers;
use writer::Writer;

/// What a plan file has besides its points, tapes and legs.
const FEATURES: [&str; 10] = [
    "walls",
    "fences",
    "openings",
    "obstacles",
    "zones",
    "lines",
    "marks",
    "levels",
    "truck_stand",
    "spot",
];

/// The plan as it can be drawn from what is recorded.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawn {
    /// The plan file. While something is missing it holds what is there, as far as that can be drawn.
    pub document: String,
    /// Whether nothing is missing: only then does a check derive anything from it.
    pub complete: bool,
    /// What every name in the file and every source of error came from: points, readings, features.
    pub origins: BTreeMap<String, StreamKey>,
    /// Where the unit starts and ends when another length is tried.
    pub ends: Ends,
    /// Where the compass was held to the plan, if it was.
    pub bearing: Option<Bearing>,
    /// The readings themselves, by the name of their source of error; only the context that read them can tell their
    /// spreads.
    pub(crate) readings: BTreeMap<String, Reading>,
}

/// A line of the plan and what the compass shows along it. No check rests on it: it turns the north arrow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    /// From the first point to the second; `None`: along the first leg.
    pub points: Option<[SubjectId; 2]>,
    /// Degrees clockwise from north.
    pub degrees: f64,
}

impl Bearing {
    /// Nothing while people disagree about it: which way north is must not make the way in disputed.
    fn of(context: &Context<'_>, basis: &str) -> Option<Self> {
        let mut asked = ["plan.bearing", "plan.bearing_line"].into_iter();
        if asked.any(|question| context.is_disputed(Subject::SITE, question)) {
            return None;
        }
        let points = match basis {
            "legs" => None,
            _ => match context.points(Subject::SITE, "plan.bearing_line")?[..] {
                [from, to] => Some([from, to]),
                _ => return None,
            },
        };
        let degrees = context.measure(Subject::SITE, "plan.bearing")?.value();
        Some(Self { points, degrees })
    }

    /// Where north is in the plan, degrees counter-clockwise from +x. `along`: the line's two points there.
    pub fn north(&self, along: [[f64; 2]; 2]) -> f64 {
        let [from, to] = along;
        libm::atan2(to[1] - from[1], to[0] - from[0]).to_degrees() + self.degrees
    }
}

/// A reading behind a source of error.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Reading {
    /// The reading, SI.
    pub number: Num,
    /// SI units in one unit of the file.
    pub unit: f64,
}

impl Drawn {
    /// The plan derived from the file.
    ///
    /// # Errors
    /// [`Complaint`] names what in the file does not go together.
    pub fn derive(&self) -> Result<Derived, Complaint> {
        read(&self.document)
    }

    /// The points and tapes, or the legs, alone: what can still be drawn where something else does not go together.
    pub fn derive_without_features(&self) -> Option<Derived> {
        let mut file: Value = serde_json::from_str(&self.document).ok()?;
        let entries = file.as_object_mut()?;
        for key in FEATURES {
            entries.remove(key);
        }
        let legs = entries.get_mut("legs").and_then(Value::as_array_mut);
        for leg in legs.into_iter().flatten().filter_map(Value::as_object_mut) {
            leg.remove("gates");
            leg.remove("things");
        }
        read(&file.to_string()).ok()
    }

    /// What a name or path in the file, in the scene or in a finding came from; pieces of one wall and posts of one
    /// gate lead to the wall and the gate.
    pub fn origin(&self, name: &str) -> Option<&StreamKey> {
        let piece_of = |whole: &&String| {
            let rest = name.strip_prefix(whole.as_str());
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '.', '[']))
        };
        self.origins.get(name).or_else(|| {
            let longest = self
                .origins
                .keys()
                .filter(piece_of)
                .max_by_key(|whole| whole.len())?;
            self.origins.get(longest)
        })
    }

    /// What in the plan does not go together, and whose answer that is.
    pub fn fault(&self, complaint: &Complaint) -> Line {
        let key = match complaint.problem {
            Problem::Senseless(_) if complaint.place.ends_with(".ring") => "roll.way.ring_crosses",
            Problem::Count { .. } => "roll.way.too_few_or_many",
            Problem::BeyondEnds => "roll.way.beyond_leg",
            Problem::BehindWalls => "roll.way.behind_wall",
            Problem::InCorner => "roll.way.gate_in_corner",
            _ => return self.no_sense_in(&complaint.place),
        };
        self.line_about(key, &complaint.place)
    }

    /// That something of this name does not go with the rest.
    pub(crate) fn no_sense_in(&self, name: &str) -> Line {
        self.line_about("roll.way.makes_no_sense", name)
    }

    fn line_about(&self, key: &'static str, name: &str) -> Line {
        let (thing, question) = self.told(name);
        Line::new(key)
            .with("thing", thing)
            .with("question", question)
    }

    /// The thing and the question behind a name in the plan.
    pub(crate) fn told(&self, name: &str) -> (Arg, Arg) {
        let Some(stream) = self.origin(name) else {
            return (Arg::Subject(Subject::SITE), word("roll.way.the_plan"));
        };
        let thing = match stream.subject.kind {
            // A tie has no name of its own but that of its points.
            SubjectKind::Tie => Arg::Text(name.to_owned()),
            _ => Arg::Subject(stream.subject),
        };
        (thing, word(format!("question.{}", stream.question)))
    }

    /// A length out of the plan as a number of this check: it moves with the readings as the plan's does, and what
    /// readings of one tape share counts as the frame has it.
    pub(crate) fn number(&self, derived: &super::Plan, traced: &Traced) -> Num {
        let mut number = Num::exact(traced.value * INCH);
        for (source, slope) in &traced.slopes {
            let Some(source) = derived.sources.get(*source as usize) else {
                continue;
            };
            let Some(reading) = self.readings.get(&source.name) else {
                continue;
            };
            let sigma = source.spread / SPREADS_PER_SIGMA;
            let by_reading = slope / sigma * INCH / reading.unit;
            let value = number.value();
            number = Num::combine(value, &[(&number, 1.0), (&reading.number, by_reading)]);
        }
        number
    }
}

/// What the solver must work out for the check of the way in.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The name of the question: see [`crate::motion::scene_digest`].
    pub digest: String,
    /// The route file.
    pub scene_text: String,
    /// The largest difference between the bounds, inches.
    pub resolution: f64,
    /// Where the unit starts and ends when another length is tried.
    pub ends: Ends,
    /// What other sizes are held against.
    pub demanded: Demanded,
}

/// What is demanded of a way beside that there is one.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Demanded {
    /// The running clearance, inches.
    pub clearance: f64,
    /// Whether the carriage may roll forward and back only: nothing that passes is proved for it.
    pub fixed_axle: bool,
}

/// The plan of a site as a check reads it. `None`: no plan is begun, or it is not said what it is made of.
pub fn drawn(context: &Context<'_>) -> Option<Drawn> {
    let missing_before = context.missing();
    let basis = context.choice(Subject::SITE, "plan.basis")?;
    let mut writer = Writer::new(context);
    let unit = unit::Carried::of(context);
    writer.file.insert("unit".to_owned(), unit.written());
    let enough = required(context) + MORE_THAN_ENOUGH;
    writer.file.insert("enough".to_owned(), json!(enough));
    context.yes(Subject::SITE, "way.openings_listed");
    if basis == "legs" {
        legs::write(&mut writer, &unit);
    } else {
        tapes::write(&mut writer);
        features::write(&mut writer);
    }
    let either = context.yes(Subject::SITE, "plan.either_end");
    let symmetric = json!(either == Some(true));
    writer.file.insert("goal_symmetric".to_owned(), symmetric);
    let Writer {
        file, mut drawn, ..
    } = writer;
    drawn.document = canonical_text(&file.into());
    drawn.complete = context.missing() == missing_before;
    drawn.bearing = context.optionally(|| Bearing::of(context, &basis));
    Some(drawn)
}

/// The running clearance that is demanded, inches.
fn required(context: &Context<'_>) -> f64 {
    writer::inches(context.limit("running_clearance_required"))
}

/// Whether somebody has begun a plan: said what it is made of, or added a point, tie, line or thing.
pub fn begun(context: &Context<'_>) -> bool {
    let kinds = [
        SubjectKind::PlanPoint,
        SubjectKind::Tie,
        SubjectKind::PlanLine,
        SubjectKind::PlanThing,
    ];
    let basis = context.optionally(|| context.choice(Subject::SITE, "plan.basis"));
    basis.is_some()
        || kinds
            .into_iter()
            .any(|kind| !context.subjects(kind).is_empty())
}

/// Whether the edge of the ground that was looked at is drawn: a ring that no way leaves.
pub(crate) fn has_edge(context: &Context<'_>) -> bool {
    let lines = context.subjects(SubjectKind::PlanLine);
    lines.into_iter().any(|line| {
        let kind = context.choice(line, "plan_line.kind");
        let points = context.points(line, "plan_line.points");
        kind.as_deref() == Some("edge") && points.is_some_and(|points| points.len() > 2)
    })
}

/// The same without a check being run: for screens, files and the command line.
pub fn document(input: &Input<'_>) -> Option<Drawn> {
    drawn(&Context::new(input, CHECK))
}

/// What the solver must work out; `None` while the plan is incomplete, loose, mirrored or mistaped.
pub fn wanted(input: &Input<'_>) -> Option<Wanted> {
    let context = Context::new(input, CHECK);
    let drawn = drawn(&context).filter(|drawn| drawn.complete)?;
    let wanted = input.ways.planned(&drawn.document).wanted.clone()?;
    Some(Wanted {
        ends: drawn.ends,
        demanded: Demanded {
            clearance: required(&context),
            fixed_axle: Steers::of(&context) == Steers::FixedAxle,
        },
        ..wanted
    })
}

impl Wanted {
    /// The question about a scene.
    pub fn of(scene: &Scene) -> Self {
        let scene_text = canonical_text(&scene.file);
        Self {
            digest: scene_digest(&scene_text, RESOLUTION),
            scene_text,
            resolution: RESOLUTION,
            ends: Ends::default(),
            demanded: Demanded::default(),
        }
    }

    /// The limit of one side that is told of this question.
    pub const fn sought(&self, side: Measured) -> Sought {
        Sought {
            side,
            ends: self.ends,
            keeps: self.demanded.clearance,
        }
    }

    /// The same question for a unit of another length.
    ///
    /// # Errors
    /// What of the length cannot be worked out.
    pub fn with_length(&self, inches: f64) -> Result<Self, Fault> {
        let scene = file::read(&self.scene_text)?;
        let resized = motion::Scene::new(of_length(scene.parts(), inches, self.ends))?;
        let mut file: Value = serde_json::from_str(&self.scene_text)
            .map_err(|why| Fault::new("file", why.to_string()))?;
        if let Some(file) = file.as_object_mut() {
            let pose = |pose: Pose| json!([pose.x, pose.y, pose.heading]);
            let Parts {
                width, start, goal, ..
            } = resized.parts();
            file.insert("unit".to_owned(), json!({ "L": inches, "W": width }));
            file.insert("start".to_owned(), pose(*start));
            file.insert("goal".to_owned(), pose(*goal));
        }
        let scene_text = canonical_text(&file);
        Ok(Self {
            digest: scene_digest(&scene_text, self.resolution),
            scene_text,
            ..self.clone()
        })
    }
}

/// How much more than the running clearance is of interest, inches: no survey is less sure than that, and a yard with
/// many ways as good as each other would take long to tell apart.
const MORE_THAN_ENOUGH: f64 = 6.0;

/// The check that reads the plan.
pub const CHECK: &str = "roll.way";
/// The check that judges slope, pull and holding along it.
pub const GROUND_CHECK: &str = "roll.pull";
