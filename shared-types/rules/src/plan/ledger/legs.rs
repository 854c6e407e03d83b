//! The legs of a plan, with the gates across them and the things beside them; where the unit comes off and shall stand.

use serde_json::{Value, json};
use setdown_types::ids::SubjectId;
use setdown_types::subject::{Subject, SubjectKind};

use super::features::{THING_HEIGHTS, lead_heights, thing, widths};
use super::unit::Carried;
use super::writer::{Taken, Writer, inches, put};
use crate::motion::largest::Ends;

/// What the plan adds to the name of a leg: its walls and ends.
const WALLS: &[&str] = &["left", "right", "start", "end"];
/// What it adds to the name of a gate.
const POSTS: &[&str] = &["left post", "right post", "head"];

/// One leg in the making.
struct Leg {
    subject: Subject,
    name: String,
    /// Along it, inches.
    length: Option<f64>,
    written: Option<Value>,
    gates: Vec<Value>,
    things: Vec<Value>,
}

/// The `legs` of the file, with `truck_stand` and `spot`.
pub(super) fn write(writer: &mut Writer<'_, '_>, unit: &Carried) {
    writer.context.yes(Subject::SITE, "way.legs_listed");
    let named = writer.name_all(SubjectKind::Leg, WALLS);
    let last = named.len().saturating_sub(1);
    let mut legs: Vec<Leg> = Vec::new();
    for (place, (subject, name)) in named.into_iter().enumerate() {
        legs.push(leg(writer, (subject, name), place, place == last));
    }
    for opening in writer.context.subjects(SubjectKind::Opening) {
        gate(writer, opening, &mut legs);
    }
    for subject in writer.context.subjects(SubjectKind::PlanThing) {
        thing_on_leg(writer, subject, &mut legs);
    }
    stands(writer, unit, &legs);
    let whole = legs.iter().all(|leg| leg.written.is_some());
    let mut written: Vec<Value> = legs.into_iter().map_while(Leg::written).collect();
    if !whole {
        // A leg that is not measured yet leaves the spot nothing to lie on, and nothing to turn into before it.
        writer.file.remove("spot");
        if let Some(last) = written.last_mut().and_then(Value::as_object_mut) {
            last.remove("turn");
        }
    }
    writer.file.insert("legs".to_owned(), json!(written));
}

impl Leg {
    fn written(self) -> Option<Value> {
        let mut written = self.written?;
        put(&mut written, "gates", json!(self.gates));
        put(&mut written, "things", json!(self.things));
        Some(written)
    }
}

fn leg(
    writer: &mut Writer<'_, '_>,
    (subject, name): (Subject, String),
    place: usize,
    last: bool,
) -> Leg {
    let path = format!("legs[{place}]");
    writer.leads(&path, subject, "leg.present");
    let mut part =
        |key: &str, question: &str| writer.traced(&format!("{path}.{key}"), subject, question);
    let left = part("left", "leg.width_left");
    let right = part("right", "leg.width_right");
    let length = part("length", "leg.length");
    let turn = if last {
        None
    } else {
        turn(writer, &format!("{path}.turn"), subject)
    };
    let along = length.as_ref().map(|length| length.is);
    let written = left.zip(right).zip(length).map(|((left, right), length)| {
        json!({
            "id": name,
            "left": left.written(), "right": right.written(), "length": length.written(),
        })
    });
    let written = match (written, turn, last) {
        (Some(mut written), Some(turn), false) => {
            put(&mut written, "turn", turn);
            Some(written)
        }
        (written, None, true) => written,
        _ => None,
    };
    Leg {
        subject,
        name,
        length: along,
        written,
        gates: Vec::new(),
        things: Vec::new(),
    }
}

/// The turn at the end of a leg, in degrees.
fn turn(writer: &mut Writer<'_, '_>, path: &str, subject: Subject) -> Option<Value> {
    let number = writer.context.measure(subject, "leg.turn")?;
    let written = json!({ "is": number.value(), "spread": writer.context.spread(&number) });
    writer.angle_source(path, subject, "leg.turn", number);
    Some(written)
}

/// The place of the leg that an answer names.
fn on_leg(
    writer: &Writer<'_, '_>,
    legs: &[Leg],
    subject: Subject,
    question: &str,
) -> Option<usize> {
    let ids: Vec<SubjectId> = writer.context.points(subject, question)?;
    let id = ids.first()?;
    legs.iter().position(|leg| leg.subject.id == *id)
}

/// A gate: its narrowest width, from its left post or in the middle between the walls.
fn gate(writer: &mut Writer<'_, '_>, subject: Subject, legs: &mut [Leg]) -> Option<()> {
    let widths = widths(writer, subject);
    let leg = on_leg(writer, legs, subject, "opening.on_leg");
    let along = writer.length(subject, "opening.along");
    let left = writer.optional_length(subject, "opening.left");
    let (widths, leg, along) = (widths?, leg?, along?);
    let id = writer.name(subject, POSTS);
    let gates = &mut legs.get_mut(leg)?.gates;
    let path = format!("legs[{leg}].gates[{}]", gates.len());
    writer.leads(&path, subject, "opening.on_leg");
    let mut written = json!({ "id": id });
    let (question, narrowest) = narrowest(widths);
    let parts = [
        ("along", "opening.along", Some(along)),
        ("left", "opening.left", left),
        ("width", question, Some(narrowest)),
    ];
    for (key, question, taken) in parts {
        if let Some(taken) = taken {
            put(&mut written, key, taken.written());
            writer.source(&format!("{path}.{key}"), subject, question, taken.number);
        }
    }
    gates.push(written);
    Some(())
}

fn narrowest([ankle, hip, head]: [Taken; 3]) -> (&'static str, Taken) {
    let others = [("opening.width_hip", hip), ("opening.width_head", head)];
    let first = ("opening.width_ankle", ankle);
    let narrower = |best: (&'static str, Taken), other: (&'static str, Taken)| {
        if other.1.is < best.1.is { other } else { best }
    };
    others.into_iter().fold(first, narrower)
}

/// Something beside the line of a leg: round with its middle measured, or a box from one station to another.
fn thing_on_leg(writer: &mut Writer<'_, '_>, subject: Subject, legs: &mut [Leg]) -> Option<()> {
    let leg = on_leg(writer, legs, subject, "plan_thing.leg");
    let along = writer.length(subject, "plan_thing.along");
    let side = writer.context.choice(subject, "plan_thing.side");
    let left = writer.length(subject, "plan_thing.left");
    let kind = writer.context.choice(subject, "plan_thing.kind");
    let is_round = matches!(kind.as_deref(), Some("tree" | "post"));
    let diameter = if is_round {
        writer.length(subject, "plan_thing.diameter")
    } else {
        writer.optional_length(subject, "plan_thing.diameter")
    };
    let far = if is_round || diameter.is_some() {
        None
    } else {
        let along_to = writer.length(subject, "plan_thing.along_to");
        along_to.zip(writer.length(subject, "plan_thing.left_to"))
    };
    let mut entry = thing(writer, subject)?;
    let (leg, along, left) = (leg?, along?, left?);
    let (near, far_side) = match side?.as_str() {
        "right" => (true, true),
        "across" => (false, true),
        _ => (false, false),
    };
    let left = if near { left.negative() } else { left };
    let things = &mut legs.get_mut(leg)?.things;
    let path = format!("legs[{leg}].things[{}]", things.len());
    writer.leads(&path, subject, "plan_thing.present");
    for (key, question) in [("along", "plan_thing.along"), ("left", "plan_thing.left")] {
        writer.leads(&format!("{path}.{key}"), subject, question);
    }
    lead_heights(writer, &path, subject, THING_HEIGHTS);
    let mut numbers = Vec::new();
    match (diameter, far) {
        (Some(diameter), _) => {
            put(&mut entry, "along", along.written());
            put(&mut entry, "left", left.written());
            put(&mut entry, "diameter", diameter.written());
            numbers.push(("along".to_owned(), "plan_thing.along", along));
            numbers.push(("left".to_owned(), "plan_thing.left", left));
            numbers.push(("diameter".to_owned(), "plan_thing.diameter", diameter));
        }
        (None, Some((along_to, left_to))) => {
            let stations = [
                ("plan_thing.along", along),
                ("plan_thing.along_to", along_to),
            ];
            numbers.extend(ordered(&mut entry, "along", stations));
            let left_to = if far_side {
                left_to.negative()
            } else {
                left_to
            };
            let offsets = [("plan_thing.left", left), ("plan_thing.left_to", left_to)];
            numbers.extend(ordered(&mut entry, "left", offsets));
        }
        (None, None) => return None,
    }
    things.push(entry);
    for (key, question, taken) in numbers {
        writer.source(&format!("{path}.{key}"), subject, question, taken.number);
    }
    Some(())
}

/// Two numbers of a box, the smaller one first, with their paths.
fn ordered(
    entry: &mut Value,
    key: &str,
    mut pair: [(&'static str, Taken); 2],
) -> [(String, &'static str, Taken); 2] {
    if pair[1].1.is < pair[0].1.is {
        pair.swap(0, 1);
    }
    let [(near_question, near), (far_question, far)] = pair;
    put(entry, key, json!([near.written(), far.written()]));
    [
        (format!("{key}[0]"), near_question, near),
        (format!("{key}[1]"), far_question, far),
    ]
}

/// Where the unit comes off the truck: on the first leg with its tail just inside. Where it shall stand: as measured on
/// the last leg, else with its head just inside that leg's end.
fn stands(writer: &mut Writer<'_, '_>, unit: &Carried, legs: &[Leg]) {
    let room = end_room(writer);
    let half = 0.5 * unit.length;
    let along = writer.optional_length(Subject::SITE, "plan.spot_along");
    let left = spot_left(writer);
    let (Some(first), Some(last)) = (legs.first(), legs.last()) else {
        return;
    };
    let from = json!({
        "at": { "leg": first.name, "along": exact(half + room) },
        "heading": { "leg": first.name },
    });
    writer.file.insert("truck_stand".to_owned(), from);
    writer.leads("truck_stand", first.subject, "leg.length");
    writer.drawn.ends = Ends {
        tail_at_start: true,
        head_at_goal: along.is_none(),
    };
    let mut at = json!({ "leg": last.name });
    match (along, last.length) {
        (Some(along), _) => {
            put(&mut at, "along", along.written());
            let path = spot_path("along");
            writer.source(&path, Subject::SITE, "plan.spot_along", along.number);
        }
        (None, Some(length)) => put(&mut at, "along", exact(length - half - room)),
        (None, None) => return,
    }
    if let Some(left) = left {
        put(&mut at, "left", left.written());
        let path = spot_path("left");
        writer.source(&path, Subject::SITE, "plan.spot_left", left.number);
    }
    let spot = json!({ "at": at, "heading": { "leg": last.name } });
    writer.file.insert("spot".to_owned(), spot);
    writer.leads("spot", Subject::SITE, "plan.spot_along");
}

/// The path of a number in where the spot is.
fn spot_path(key: &str) -> String {
    ["spot", "at", key].join(".")
}

/// How far left of the last leg's line the middle of the spot lies, below 0 to the right; on it where nobody says.
fn spot_left(writer: &Writer<'_, '_>) -> Option<Taken> {
    let off = writer.optional_length(Subject::SITE, "plan.spot_left")?;
    let side = writer.context.choice(Subject::SITE, "plan.spot_side")?;
    Some(if side == "right" { off.negative() } else { off })
}

/// Inside the two ends the unit has this room: the clearance that is preferred, so that the ends, where nothing was
/// measured, do not decide.
fn end_room(writer: &Writer<'_, '_>) -> f64 {
    let required = writer.context.limit("running_clearance_required");
    let preferred = writer.context.limit("running_clearance_preferred");
    inches(preferred.max(2.0 * required))
}

fn exact(value: f64) -> Value {
    json!({ "is": value, "spread": 0.0 })
}
