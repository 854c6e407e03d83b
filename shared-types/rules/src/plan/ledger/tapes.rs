//! The tape network of a plan: points, what was taped between them, and what the tapes share.

use std::collections::BTreeMap;

use serde_json::{Value, json};
use setdown_types::entry::Method;
use setdown_types::ids::PersonId;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Tie, TieKind};

use super::writer::{Taken, Writer, inches, put};
use crate::frame::spread::Instrument;

/// What all readings of one class II tape share, metres: at most 0.3 mm + 0.2 mm for each metre begun, which is at
/// most 0.5 mm, and 0.2 mm a metre. Source: as [`crate::frame::spread::tape_systematic`].
const ZERO: f64 = 0.0005;
/// The part of the length.
const SCALE: f64 = 0.0002;
/// The least part of a reading's spread that is its own and no other's.
const LEAST_OWN: f64 = 0.5;

/// The `network` of the file, and where the unit comes off the truck and shall stand.
pub(super) fn write(writer: &mut Writer<'_, '_>) {
    let points = writer.name_all(SubjectKind::PlanPoint, &[]);
    let mut network = Network::default();
    for tie in writer.context.subjects(SubjectKind::Tie) {
        network.tie(writer, tie);
    }
    for opening in writer.context.subjects(SubjectKind::Opening) {
        network.opening(writer, opening);
    }
    let names: Vec<&str> = points.iter().map(|(_, name)| name.as_str()).collect();
    let usual = writer.context.practice().limit("spread_tape");
    let file = json!({
        "points": names,
        "spread": inches(usual.map_or(0.0, |limit| limit.si)).max(crate::network::LEAST_SPREAD),
        "tapes": network.tapes(),
        "distances": network.distances,
        "squares": network.squares,
        "straights": network.straights,
        "offsets": network.offsets,
        "sides": network.sides,
    });
    writer.file.insert("network".to_owned(), file);
    heights(writer, &points);
    for (key, question) in [("truck_stand", "plan.stand"), ("spot", "plan.spot")] {
        stand(writer, key, question);
    }
}

fn heights(writer: &mut Writer<'_, '_>, points: &[(Subject, String)]) {
    for (point, name) in points {
        let question = "plan_point.height";
        let Some(height) = writer.optional_length(*point, question) else {
            continue;
        };
        let path = format!("{}.height", writer.next_path("levels"));
        writer.source(&path, *point, question, height.number.clone());
        let entry = json!({ "at": name, "height": height.written() });
        writer.push("levels", *point, question, entry);
    }
}

fn stand(writer: &mut Writer<'_, '_>, key: &str, question: &str) {
    let named = writer.context.points(Subject::SITE, question);
    let Some(names) = named.and_then(|ids| writer.all_named(&ids)) else {
        return;
    };
    if let [at, towards] = names.as_slice() {
        let stand = json!({ "at": at, "towards": towards });
        writer.file.insert(key.to_owned(), stand);
        writer.leads(key, Subject::SITE, question);
    }
}

/// The lists of a network in the making.
#[derive(Default)]
struct Network {
    distances: Vec<Value>,
    squares: Vec<Value>,
    straights: Vec<Value>,
    offsets: Vec<Value>,
    sides: Vec<Value>,
    /// The tapes used, by whose hand, with their names.
    hands: BTreeMap<(PersonId, &'static str), String>,
}

impl Network {
    fn tapes(&self) -> Vec<Value> {
        let tape =
            |id: &String| json!({ "id": id, "zero_spread": inches(ZERO), "scale_spread": SCALE });
        self.hands.values().map(tape).collect()
    }

    /// The name of the tape of a reading, where it has one.
    fn tape_of(&mut self, instrument: Option<Instrument>) -> Option<String> {
        let Instrument { person, method } = instrument?;
        let kind = if method == Method::HomeTape {
            "home tape"
        } else {
            "tape"
        };
        let next = format!("{kind} {}", self.hands.len() + 1);
        Some(self.hands.entry((person, kind)).or_insert(next).clone())
    }

    fn tie(&mut self, writer: &mut Writer<'_, '_>, subject: Subject) -> Option<()> {
        let tie = writer.context.tie(subject)?;
        let length = if tie.kind().is_measured() {
            Some(writer.length(subject, "tie.length")?)
        } else {
            None
        };
        let names = writer.all_named(tie.points())?;
        match (tie.kind(), length) {
            (TieKind::Square, _) => self.square(writer, subject, &names),
            (TieKind::Straight, _) => self.straight(writer, subject, &names),
            (TieKind::SideLeft | TieKind::SideRight, _) => self.side(writer, subject, &tie, &names),
            (TieKind::Distance, Some(length)) => {
                let taken = (length, "tie.length");
                self.distance(writer, subject, &names, taken);
            }
            (kind, Some(length)) => self.offset(writer, subject, (kind, &names), length),
            _ => {}
        }
        Some(())
    }

    fn distance(
        &mut self,
        writer: &mut Writer<'_, '_>,
        subject: Subject,
        names: &[String],
        (taken, question): (Taken, &str),
    ) {
        let [from, to] = names else { return };
        let id = writer.reading_name(&format!("{from}-{to}"), subject, question);
        let mut entry = json!({ "id": id, "from": from, "to": to, "is": taken.is });
        self.own_spread(writer, &mut entry, &taken);
        writer.source(&id, subject, question, taken.number);
        let path = format!("network.distances[{}]", self.distances.len());
        writer.leads(&path, subject, question);
        self.distances.push(entry);
    }

    /// What a reading's spread is besides what its tape shares, and which tape that is.
    fn own_spread(&mut self, writer: &Writer<'_, '_>, entry: &mut Value, taken: &Taken) {
        let parts = writer.context.spread_parts(&taken.number);
        let systematic = parts.map_or(0.0, |parts| inches(parts.systematic));
        let own = libm::sqrt((taken.spread * taken.spread - systematic * systematic).max(0.0));
        let own = own.max(LEAST_OWN * taken.spread);
        put(
            entry,
            "spread",
            json!(own.max(crate::network::LEAST_SPREAD)),
        );
        if let Some(tape) = self.tape_of(parts.and_then(|parts| parts.instrument)) {
            put(entry, "tape", json!(tape));
        }
    }

    fn square(&mut self, writer: &mut Writer<'_, '_>, subject: Subject, names: &[String]) {
        let [at, first, second] = names else { return };
        let (question, spread) = ("tie.present", writer.context.limit("spread_square"));
        let id = writer.reading_name(&format!("{first}-{at}-{second}"), subject, question);
        let number = writer.context.stated(subject, question, 90.0, spread);
        writer.angle_source(&id, subject, question, number);
        let path = format!("network.squares[{}]", self.squares.len());
        writer.leads(&path, subject, "tie.present");
        self.squares.push(json!({
            "id": id, "at": at, "between": [first, second],
            "spread": spread.clamp(crate::network::LEAST_SPREAD, 45.0),
        }));
    }

    fn straight(&mut self, writer: &mut Writer<'_, '_>, subject: Subject, names: &[String]) {
        let (question, spread) = ("tie.present", writer.context.limit("spread_straight"));
        let id = writer.reading_name(&names.join("-"), subject, question);
        for between in names.iter().skip(1).take(names.len().saturating_sub(2)) {
            // The reader makes one reading of each point between.
            let number = writer.context.stated(subject, question, 0.0, spread);
            writer.source(&format!("{id} {between}"), subject, question, number);
        }
        let path = format!("network.straights[{}]", self.straights.len());
        writer.leads(&path, subject, "tie.present");
        self.straights.push(json!({
            "id": id, "points": names,
            "spread": inches(spread).max(crate::network::LEAST_SPREAD),
        }));
    }

    fn offset(
        &mut self,
        writer: &mut Writer<'_, '_>,
        subject: Subject,
        (kind, names): (TieKind, &[String]),
        taken: Taken,
    ) {
        let [point, from, to] = names else { return };
        let question = "tie.length";
        let id = writer.reading_name(&format!("{point}/{from}-{to}"), subject, question);
        let mut entry = json!({
            "id": id, "point": point, "from": from, "to": to,
        });
        put(&mut entry, kind.key(), json!(taken.is));
        self.own_spread(writer, &mut entry, &taken);
        let ending = if kind == TieKind::Along {
            "along"
        } else {
            "across"
        };
        writer.source(&format!("{id} {ending}"), subject, question, taken.number);
        let path = format!("network.offsets[{}]", self.offsets.len());
        writer.leads(&path, subject, question);
        self.offsets.push(entry);
    }

    fn side(&mut self, writer: &mut Writer<'_, '_>, subject: Subject, tie: &Tie, names: &[String]) {
        let [point, from, to] = names else { return };
        let side = if tie.kind() == TieKind::SideLeft {
            "left"
        } else {
            "right"
        };
        let path = format!("network.sides[{}]", self.sides.len());
        writer.leads(&path, subject, "tie.present");
        self.sides
            .push(json!({ "point": point, "from": from, "to": to, "side": side }));
    }

    /// A gate between two points: its width at the ankle ties them, and where it is narrower further up, both posts lean
    /// in by half of that. Which of them does only shifts the gate, by no more than that half.
    fn opening(&mut self, writer: &mut Writer<'_, '_>, subject: Subject) -> Option<()> {
        let widths = super::features::widths(writer, subject);
        let between = writer.context.points(subject, "opening.between");
        let [ankle, hip, head] = widths?;
        let names = writer.all_named(&between?)?;
        let [from, to] = names.as_slice() else {
            return None;
        };
        let id = writer.name(subject, &["left post", "right post", "head"]);
        let narrowest = if hip.is < head.is { &hip } else { &head };
        let leaning = inches_less(&ankle, narrowest);
        writer.push(
            "openings",
            subject,
            "opening.between",
            json!({ "id": id, "between": [from, to] }),
        );
        if leaning > 0.0 {
            for (word, from, to) in [("left post", from, to), ("right post", to, from)] {
                let ring = post(from, to, 0.5 * leaning);
                let entry = json!({ "id": format!("{id} {word}"), "kind": "gate", "ring": ring });
                writer.push("obstacles", subject, "opening.between", entry);
            }
        }
        self.distance(writer, subject, &names, (ankle, "opening.width_ankle"));
        Some(())
    }
}

/// By how much the narrowest width is less than the one that ties the points; nothing where it is not.
fn inches_less(ankle: &Taken, narrowest: &Taken) -> f64 {
    let less = ankle.is - narrowest.is;
    if less > 0.0 { less } else { 0.0 }
}

/// A post that reaches so far from one point towards the other.
fn post(from: &str, to: &str, reach: f64) -> Value {
    /// Half the depth of a post, inches: nobody measures it.
    const HALF_DEPTH: f64 = 2.0;
    let corner = |along: f64, left: f64| {
        let exact = |value: f64| json!({ "is": value, "spread": 0.0 });
        json!({ "from": from, "to": to, "along": exact(along), "left": exact(left) })
    };
    json!([
        corner(0.0, -HALF_DEPTH),
        corner(reach, -HALF_DEPTH),
        corner(reach, HALF_DEPTH),
        corner(0.0, HALF_DEPTH),
    ])
}
