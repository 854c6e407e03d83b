//! What stands, hangs or lies in the yard: lines and areas through points, things, heights and removal, widths of gates.

use serde_json::{Value, json};
use setdown_types::subject::{Subject, SubjectKind};

use super::super::SKY;
use super::writer::{Taken, Writer, put};

/// How thick a wall or fence is where nobody says, inches: it was taped to the face that the unit passes.
const FACE: f64 = 0.1;

/// The questions for underside and top of a thing.
pub(super) const THING_HEIGHTS: [&str; 2] = ["plan_thing.underside", "plan_thing.height"];

/// The widths of a gate at ankle, hip and head.
pub(super) fn widths(writer: &Writer<'_, '_>, opening: Subject) -> Option<[Taken; 3]> {
    let ankle = writer.length(opening, "opening.width_ankle");
    let hip = writer.length(opening, "opening.width_hip");
    let head = writer.length(opening, "opening.width_head");
    Some([ankle?, hip?, head?])
}

/// Lines and things of a plan made of tapes.
pub(super) fn write(writer: &mut Writer<'_, '_>) {
    for subject in writer.context.subjects(SubjectKind::PlanLine) {
        line(writer, subject);
    }
    for subject in writer.context.subjects(SubjectKind::PlanThing) {
        round_thing(writer, subject);
    }
}

fn line(writer: &mut Writer<'_, '_>, subject: Subject) -> Option<()> {
    let kind = writer.context.choice(subject, "plan_line.kind");
    let points = writer.context.points(subject, "plan_line.points");
    let (kind, points) = (kind?, writer.all_named(&points?)?);
    let place = Line { subject, points };
    match kind.as_str() {
        "edge" => place.edge(writer),
        "wall" => place.barrier(writer, "walls"),
        "fence" => place.barrier(writer, "fences"),
        "house" => place.house(writer),
        "shed" if place.points.len() > 2 => place.area(writer, "shed", None),
        "shed" => place.barrier(writer, "walls"),
        "roof" => place.roof(writer),
        "wire" => place.wire(writer),
        "buried" => place.plain(writer, "marks", "line", "buried"),
        "bed" => place.plain(writer, "zones", "ring", "beds"),
        area => place.plain(writer, "zones", "ring", area),
    }
}

struct Line {
    subject: Subject,
    points: Vec<String>,
}

impl Line {
    const POINTS: &'static str = "plan_line.points";

    fn plain(
        self,
        writer: &mut Writer<'_, '_>,
        list: &str,
        corners: &str,
        kind: &str,
    ) -> Option<()> {
        let id = writer.name(self.subject, &[]);
        let mut entry = json!({ "id": id, "kind": kind });
        put(&mut entry, corners, json!(self.points));
        writer.push(list, self.subject, Self::POINTS, entry);
        Some(())
    }

    /// The edge of the ground that was looked at: closed, at every height, and there to stay.
    fn edge(self, writer: &mut Writer<'_, '_>) -> Option<()> {
        let id = writer.name(self.subject, &[]);
        let mut ring = self.points;
        if ring.len() > 2 {
            ring.extend(ring.first().cloned());
        }
        let entry = json!({ "id": id, "line": ring, "thickness": FACE });
        writer.push("walls", self.subject, Self::POINTS, entry);
        Some(())
    }

    /// A wall or fence. What can be removed is written panel by panel.
    fn barrier(self, writer: &mut Writer<'_, '_>, list: &str) -> Option<()> {
        let thickness = writer.optional_length(self.subject, "plan_line.thickness");
        let mut entry =
            json!({ "thickness": thickness.map_or(FACE, |t| (t.is + t.spread).max(FACE)) });
        let tall = heights(writer, self.subject, None, "plan_line.height");
        let removal = removal(
            writer,
            self.subject,
            ["plan_line.removable", "plan_line.trouble"],
        )?;
        tall.write(&mut entry);
        let id = writer.name(self.subject, &[]);
        if removal.is_none() || self.points.len() == 2 {
            put(&mut entry, "id", json!(id));
            put(&mut entry, "line", json!(self.points));
            removed(&mut entry, removal);
            self.push_tall(writer, list, entry);
            return Some(());
        }
        for (place, panel) in self.points.windows(2).enumerate() {
            let mut entry = entry.clone();
            let id = writer.piece_name(&format!("{id} {}", place + 1), self.subject);
            put(&mut entry, "id", json!(id));
            put(&mut entry, "line", json!(panel));
            removed(&mut entry, removal);
            self.push_tall(writer, list, entry);
        }
        Some(())
    }

    /// Adds what has heights.
    fn push_tall(&self, writer: &mut Writer<'_, '_>, list: &str, entry: Value) {
        let path = writer.next_path(list);
        let questions = ["plan_line.underside", "plan_line.height"];
        lead_heights(writer, &path, self.subject, questions);
        writer.push(list, self.subject, Self::POINTS, entry);
    }

    /// A house: a ring with its eaves; of which only one wall was taped, that wall, and its eave to both sides.
    fn house(self, writer: &mut Writer<'_, '_>) -> Option<()> {
        let overhang = writer.optional_length(self.subject, "plan_line.overhang");
        let overhang = overhang.filter(|overhang| overhang.is >= 0.1);
        let underside = match &overhang {
            Some(_) => Some(writer.length(self.subject, "plan_line.underside")?),
            None => None,
        };
        let ridge = writer.optional_length(self.subject, "plan_line.height");
        let eave = overhang.zip(underside);
        if self.points.len() < 3 {
            return self.house_wall(writer, eave);
        }
        let id = writer.name(self.subject, &["eave"]);
        let mut entry = json!({ "id": id, "kind": "house", "ring": self.points });
        if let Some((overhang, underside)) = eave {
            let spread = overhang.spread.max(underside.spread);
            let eave = json!({ "overhang": overhang.is, "height": underside.is, "spread": spread });
            put(&mut entry, "eave", eave);
        }
        if let Some(ridge) = ridge {
            put(&mut entry, "ridge", json!(ridge.is + ridge.spread));
        }
        writer.push("zones", self.subject, Self::POINTS, entry);
        Some(())
    }

    fn house_wall(self, writer: &mut Writer<'_, '_>, eave: Option<(Taken, Taken)>) -> Option<()> {
        let id = writer.name(self.subject, &["eave"]);
        let entry = json!({ "id": id, "line": self.points, "thickness": FACE });
        writer.push("walls", self.subject, Self::POINTS, entry);
        if let Some((overhang, underside)) = eave {
            let entry = json!({
                "id": format!("{id} eave"), "kind": "eave", "line": self.points,
                "height": underside.is, "spread": underside.spread,
                "keep_off": (overhang.is + overhang.spread).max(0.5),
            });
            writer.push("lines", self.subject, "plan_line.underside", entry);
        }
        Some(())
    }

    /// A roof, balcony or arbour over the way: an area from its underside up. Its posts are things of their own.
    fn roof(self, writer: &mut Writer<'_, '_>) -> Option<()> {
        let underside = writer.length(self.subject, "plan_line.underside");
        self.area(writer, "roof", Some(underside?))
    }

    /// Something solid over an area, from `underside` or the ground up.
    fn area(self, writer: &mut Writer<'_, '_>, kind: &str, underside: Option<Taken>) -> Option<()> {
        let mut tall = heights(writer, self.subject, None, "plan_line.height");
        tall.low = underside;
        let removal = removal(
            writer,
            self.subject,
            ["plan_line.removable", "plan_line.trouble"],
        )?;
        let id = writer.name(self.subject, &[]);
        let mut entry = json!({ "id": id, "kind": kind, "ring": self.points });
        tall.write(&mut entry);
        removed(&mut entry, removal);
        self.push_tall(writer, "obstacles", entry);
        Some(())
    }

    fn wire(self, writer: &mut Writer<'_, '_>) -> Option<()> {
        let lowest = writer.length(self.subject, "plan_line.underside")?;
        let id = writer.name(self.subject, &[]);
        let entry = json!({
            "id": id, "kind": "wire", "line": self.points,
            "height": lowest.is, "spread": lowest.spread,
        });
        writer.push("lines", self.subject, "plan_line.underside", entry);
        Some(())
    }
}

/// A thing whose middle is a point.
fn round_thing(writer: &mut Writer<'_, '_>, subject: Subject) -> Option<()> {
    let centre = writer.context.points(subject, "plan_thing.centre");
    let path = writer.next_path("obstacles");
    let diameter = writer.traced(&format!("{path}.diameter"), subject, "plan_thing.diameter");
    let mut entry = thing(writer, subject)?;
    let names = writer.all_named(&centre?)?;
    put(&mut entry, "at", json!(names.first()?));
    put(&mut entry, "diameter", diameter?.written());
    lead_heights(writer, &path, subject, THING_HEIGHTS);
    writer.push("obstacles", subject, "plan_thing.present", entry);
    Some(())
}

/// Name, kind, heights and removal of a thing, wherever it stands.
pub(super) fn thing(writer: &mut Writer<'_, '_>, subject: Subject) -> Option<Value> {
    let kind = writer.context.choice(subject, "plan_thing.kind");
    let [underside, height] = THING_HEIGHTS;
    let tall = heights(writer, subject, Some(underside), height);
    let questions = ["plan_thing.removable", "plan_thing.trouble"];
    let removal = removal(writer, subject, questions)?;
    let kind = kind?;
    let id = writer.name(subject, &[]);
    let mut entry = json!({ "id": id, "kind": kind });
    tall.write(&mut entry);
    removed(&mut entry, removal);
    Some(entry)
}

/// From what height to what height, where somebody says.
struct Tall {
    low: Option<Taken>,
    high: Option<Taken>,
}

impl Tall {
    fn write(&self, entry: &mut Value) {
        let spread = |taken: &Option<Taken>| taken.as_ref().map_or(0.0, |taken| taken.spread);
        if self.low.is_none() && self.high.is_none() {
            return;
        }
        let low = self.low.as_ref().map_or(0.0, |low| low.is);
        let high = self.high.as_ref().map_or(SKY, |high| high.is);
        put(entry, "z", json!([low, high]));
        let spread = spread(&self.low).max(spread(&self.high)).min(120.0);
        put(entry, "z_spread", json!(spread));
    }
}

/// Heights at a path that make no sense lead to these questions: a top below the underside to the top.
pub(super) fn lead_heights(
    writer: &mut Writer<'_, '_>,
    path: &str,
    subject: Subject,
    [underside, height]: [&str; 2],
) {
    writer.leads(&format!("{path}.z"), subject, height);
    writer.leads(&format!("{path}.z[0]"), subject, underside);
}

/// Underside and top, both of which may be left open.
fn heights(
    writer: &Writer<'_, '_>,
    subject: Subject,
    underside: Option<&str>,
    height: &str,
) -> Tall {
    Tall {
        low: underside.and_then(|question| writer.optional_length(subject, question)),
        high: writer.optional_length(subject, height),
    }
}

/// The trouble of removing it, where it can be removed: `None` inside where it stays, outside while that is missing.
fn removal(
    writer: &Writer<'_, '_>,
    subject: Subject,
    [removable, trouble]: [&str; 2],
) -> Option<Option<u32>> {
    let can = writer
        .context
        .optionally(|| writer.context.yes(subject, removable));
    if can == Some(true) {
        Some(Some(writer.context.count(subject, trouble)?))
    } else {
        Some(None)
    }
}

fn removed(entry: &mut Value, trouble: Option<u32>) {
    if let Some(trouble) = trouble {
        put(entry, "removable", json!(true));
        put(entry, "trouble", json!(trouble));
    }
}
