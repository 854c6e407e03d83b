//! The strokes of a sketch as SVG text: built at once rather than element by element, because a drawing has hundreds of
//! them and none is touched by itself.

use std::fmt::Write;

use setdown_rules::motion::scene::Pose;
use setdown_types::ids::SubjectId;
use setdown_types::quantity::UnitSystem;

use super::contact::contacts;
use super::extent::Extent;
use super::frame::{Frame, Turn};
use super::labels::Word;
use super::marks::{self, Mark};
use super::sketch::{Sketch, Tape};
use super::track::Track;

/// How wide a scale bar may be, nominal pixels.
const BAR: f64 = 100.0;

/// The radius of the circle round a narrow place, nominal pixels.
pub const PINCH: f64 = 12.0;
/// The radius of a point.
pub const DOT: f64 = 4.5;
/// How far the north arrow reaches from its place.
pub const ARROW: f64 = 36.0;

/// A text that may stand in SVG, whatever somebody called a thing.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// Appends to a text, which takes everything.
macro_rules! add {
    ($out:expr, $($part:tt)*) => {
        let _ = write!($out, $($part)*);
    };
}

/// Paths of their classes.
pub fn strokes(marks: Vec<Mark>) -> String {
    let mut out = String::new();
    for mark in marks.iter().filter(|mark| !mark.path.is_empty()) {
        let (class, path) = (mark.class, &mark.path);
        match mark.width {
            // A stroke to scale; all others keep their width whatever the scale.
            Some(width) => {
                add!(
                    out,
                    r#"<path class="{class} to-scale" stroke-width="{width:.2}" d="{path}"/>"#
                );
            }
            None => {
                add!(out, r#"<path class="{class}" d="{path}"/>"#);
            }
        }
    }
    out
}

/// Everything that lies still: areas, what is swept, solids, tapes, and where the unit starts and ends.
pub fn still(sketch: &Sketch, track: &Track, turn: Turn) -> String {
    let mut out = strokes(marks::areas(&sketch.plan, turn));
    if let Some(unit) = sketch.plan.unit.filter(|_| !track.samples.is_empty()) {
        let outline = marks::swept(track, [unit.length, unit.width], turn);
        let middle = marks::followed(track, turn);
        add!(out, r#"<path class="swept-edge" d="{outline}"/>"#);
        add!(out, r#"<path class="swept" d="{outline}"/>"#);
        add!(out, r#"<path class="followed" d="{middle}"/>"#);
    }
    out.push_str(&strokes(marks::solids(&sketch.plan, turn)));
    for opening in &sketch.plan.openings {
        let ends = opening
            .between
            .each_ref()
            .map(|place| turn.place(place.at()));
        let line = marks::path(&ends, false);
        add!(out, r#"<path class="opening" d="{line}"/>"#);
    }
    for tape in &sketch.tapes {
        out.push_str(&dimension(tape, turn));
    }
    out + &stands(sketch, turn)
}

fn dimension(tape: &Tape, turn: Turn) -> String {
    let class = if tape.suspect {
        "tape-line suspect"
    } else {
        "tape-line"
    };
    let line = marks::path(&[turn.place(tape.from), turn.place(tape.to)], false);
    format!(r#"<path class="{class}" d="{line}"/>"#)
}

/// The unit where the truck stands, dashed, and where it shall stand.
fn stands(sketch: &Sketch, turn: Turn) -> String {
    let Some(unit) = sketch.plan.unit else {
        return String::new();
    };
    let size = [unit.length, unit.width];
    let at = |pose: Option<Pose>| {
        let marks = pose.map(|pose| marks::unit(pose, size, &sketch.unit, turn));
        strokes(marks.unwrap_or_default())
    };
    let start = at(sketch.plan.truck_stand.as_ref().map(marks::pose_of));
    let answer = sketch.answer.as_ref();
    let arrives = answer.and_then(|answer| answer.path.last().copied());
    let spot = at(arrives.or(sketch.plan.spot.as_ref().map(marks::pose_of)));
    format!(r#"<g class="stand start">{start}</g><g class="stand spot">{spot}</g>"#)
}

/// The unit where it is while the way is played.
pub fn moving(sketch: &Sketch, pose: Pose, turn: Turn) -> String {
    let unit = sketch.plan.unit;
    let marks = unit.map(|unit| marks::unit(pose, [unit.length, unit.width], &sketch.unit, turn));
    strokes(marks.unwrap_or_default())
}

/// Circles round the narrow places; they keep their size whatever the scale.
pub fn pinches(sketch: &Sketch, turn: Turn, scale: f64) -> String {
    let mut out = String::new();
    let answer = sketch.answer.iter();
    for pinch in answer.flat_map(|answer| &answer.pinches) {
        for place in contacts(&sketch.plan, pinch) {
            let kept = kept_size(turn.place(place), scale);
            add!(
                out,
                r#"<g transform="{kept}"><circle class="pinch" r="{PINCH}"/></g>"#
            );
        }
    }
    out
}

/// The points, marked where they are chosen.
pub fn dots(sketch: &Sketch, turn: Turn, scale: f64, chosen: &[SubjectId]) -> String {
    let mut out = String::new();
    for point in &sketch.points {
        let marked = point.id.is_some_and(|id| chosen.contains(&id));
        let (class, radius) = match (marked, sketch.loose) {
            (true, _) => ("point chosen", 9.0),
            (false, true) => ("point loose", DOT),
            (false, false) => ("point", DOT),
        };
        let kept = kept_size(turn.place(point.at), scale);
        add!(
            out,
            r#"<g transform="{kept}"><circle class="{class}" r="{radius}"/></g>"#
        );
    }
    out
}

/// The words with room, kept at their size.
pub fn written(words: &[Word], scale: f64) -> String {
    let mut out = String::new();
    for word in words {
        let ([x, y], kept) = (word.offset, kept_size(word.at, scale));
        let (slant, class, text) = (word.slant, word.class, escaped(&word.text));
        add!(
            out,
            r#"<g transform="{kept} translate({x:.2} {y:.2}) rotate({slant:.2})"><text class="{class}" text-anchor="middle" dominant-baseline="central">{text}</text></g>"#
        );
    }
    out
}

/// Ellipses drawn larger by a whole number, which the drawing states.
pub fn ellipses(sketch: &Sketch, turn: Turn, times: f64) -> String {
    let mut out = String::new();
    for ellipse in &sketch.ellipses {
        let [x, y] = turn.place(ellipse.at);
        let slant = -(ellipse.heading + turn.degrees());
        let (major, minor) = (times * ellipse.major, times * ellipse.minor);
        add!(
            out,
            r#"<ellipse class="spread" cx="{x:.2}" cy="{y:.2}" rx="{major:.3}" ry="{minor:.3}" transform="rotate({slant:.2} {x:.2} {y:.2})"/>"#
        );
    }
    out
}

/// A bar of a round length at the lower left.
pub fn scale_bar(frame: Frame, system: UnitSystem) -> String {
    let (steps, unit, name): (&[f64], f64, &str) = match system {
        UnitSystem::Us => (&[100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0], 12.0, "ft"),
        UnitSystem::Metric => (&[50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5], 1.0 / 0.0254, "m"),
    };
    let fits = steps
        .iter()
        .find(|step| **step * unit / frame.scale() <= BAR);
    let count = fits.copied().unwrap_or(1.0);
    let pixels = count * unit / frame.scale();
    let kept = kept_size(frame.under([0.04, 0.955]), frame.scale());
    let middle = pixels / 2.0;
    format!(
        r#"<g class="scale-bar" transform="{kept}"><path d="M0 -6V0H{pixels:.2}V-6"/><text x="{middle:.2}" y="-6" text-anchor="middle">{count} {name}</text></g>"#
    )
}

/// Where the north arrow is: at the upper right.
pub fn north_place(frame: Frame) -> [f64; 2] {
    frame.under([0.92, 0.09])
}

/// An arrow to the north.
pub fn north(frame: Frame, turn: Turn, north: f64, letter: &str) -> String {
    // On the drawing y runs down: an arrow that points up is turned clockwise.
    let slant = 90.0 - (north + turn.degrees());
    let kept = kept_size(north_place(frame), frame.scale());
    format!(
        r#"<g class="north" transform="{kept} rotate({slant:.1})"><circle class="plate" r="30" cy="-6"/><path d="M0 20V-16 M-6 -6L0 -18L6 -6"/><text y="-24" text-anchor="middle">{}</text></g>"#,
        escaped(letter)
    )
}

/// Puts what is drawn in nominal pixels at a place of the yard.
pub fn kept_size([x, y]: [f64; 2], scale: f64) -> String {
    format!("translate({x:.3} {y:.3}) scale({scale:.5})")
}

/// The corners of a box as they lie on the drawing.
pub fn turned(extent: Extent, turn: Turn) -> Extent {
    Extent::around(extent.corners().map(|corner| turn.place(corner)))
}
