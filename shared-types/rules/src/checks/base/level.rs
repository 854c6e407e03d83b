//! `base.level`: the finished base is dead level and flat within the maker's tolerance.

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use crate::checks::spot;
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity, word};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::maths::plane::{self, ByReading, Footprint, Plane};
use crate::tables::Source;

/// How many points are asked for: the corners and the middle, where four corners cannot see a dip or a hump.
const POINTS: usize = 5;
/// How near the middle of the points the middle one must be, as a share of length and width.
const MIDDLE: f64 = 0.2;
/// The share of length and width that the points must span.
const SPAN: f64 = 0.75;

/// A plane through the level readings: its fall across the footprint, and the worst dip and high of a reading from it,
/// each within the sheet's tolerance. Without a tolerance on the sheet it stays open. Source: spec sheet; least squares.
pub fn level(context: &Context<'_>) {
    context.cite(spot::spec_sheet("level tolerance"));
    context.cite(Source::derived("plane of least squares"));
    context.caution("caution.base_structure");
    context.action(
        Party::Groundworks,
        Line::new("base.level.build_dead_level"),
        10.0,
    );
    flat_and_level(context);
}

/// The points read, judged: also for a floor that is there before anything is ordered.
pub(super) fn flat_and_level(context: &Context<'_>) {
    let mut points = Vec::new();
    let mut heights = Vec::new();
    for subject in context.subjects(SubjectKind::LevelPoint) {
        if let Some((point, height)) = context.level_point(subject) {
            points.push(plane::LevelPoint {
                x: point.along as f64 / 1e9,
                y: point.across as f64 / 1e9,
                z: height.value(),
            });
            heights.push(height);
        }
    }
    let size = context.spa().bare;
    let (length, width) = (size.length.metres(), size.width.metres());
    let gap = gap(&points, length, width);
    if gap.is_some() {
        more_points(context);
    }
    let mut item = context.item(Subject::SITE);
    let counted = i64::try_from(points.len()).unwrap_or(i64::MAX);
    item.line(Line::new("base.level.points").with("count", Arg::Count(counted)));
    let Some(tolerance) = context.spa().level_tolerance else {
        return item.open("base.level.no_tolerance");
    };
    if let Some(gap) = gap {
        return item.open(gap);
    }
    let Ok(plane) = plane::fit(&points) else {
        return item.open("base.level.no_plane");
    };
    let footprint = Footprint {
        length,
        width,
        heading: 0.0,
    };
    let Some(fall) = plane.fall_across(footprint) else {
        return item.open("base.level.no_plane");
    };
    let fall = with_readings(&fall, &heights);
    let margin = tolerance.metres() - &fall;
    item.about("what", word("base.level.fall.what"));
    item.line(
        Line::new("base.level.fall")
            .with("fall", context.arg(&fall, Dimension::Length))
            .with("tolerance", quantity(Dimension::Length, tolerance.metres()))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
    flatness(context, &plane, &heights, tolerance.metres());
}

/// Asks for the points; once somebody has said that there are no more to take yet, taking them is a task.
fn more_points(context: &Context<'_>) {
    if context
        .yes(Subject::SITE, "base.level_points_listed")
        .is_some()
    {
        let line = Line::new("base.level.take_points");
        context.action(Party::Coordinator, line, 15.0);
    }
}

/// The worst dip and the worst high from the plane.
fn flatness(context: &Context<'_>, plane: &Plane, heights: &[Num], tolerance: f64) {
    let Some(worst) = plane.departures() else {
        return context.item(Subject::SITE).open("base.level.no_plane");
    };
    let dip = -with_readings(&worst.dip.height, heights);
    let high = with_readings(&worst.high.height, heights);
    for (key, departure) in [("base.level.dip", dip), ("base.level.high", high)] {
        let mut item: Draft<'_, '_> = context.item(Subject::SITE);
        item.about("what", word(format!("{key}.what")));
        let margin = tolerance - &departure;
        item.line(
            Line::new(key)
                .with("departure", context.arg(&departure, Dimension::Length))
                .with("tolerance", quantity(Dimension::Length, tolerance))
                .with("margin", context.arg(&margin, Dimension::Length)),
        );
        item.margin(&margin, Dimension::Length);
    }
}

fn with_readings(by_reading: &ByReading, heights: &[Num]) -> Num {
    let parts: Vec<(&Num, f64)> = heights
        .iter()
        .zip(by_reading.gradient.iter().copied())
        .collect();
    Num::combine(by_reading.value, &parts)
}

/// What the points leave out, if anything.
fn gap(points: &[plane::LevelPoint], length: f64, width: f64) -> Option<&'static str> {
    if points.len() < POINTS {
        Some("base.level.too_few")
    } else if !spans(points, length, width) {
        Some("base.level.not_covering")
    } else if !sees_the_middle(points, length, width) {
        Some("base.level.middle_unseen")
    } else {
        None
    }
}

fn sees_the_middle(points: &[plane::LevelPoint], length: f64, width: f64) -> bool {
    let middle = |part: fn(&plane::LevelPoint) -> f64| {
        let (low, high) = reach(points, part);
        f64::midpoint(low, high)
    };
    let (x, y) = (middle(|point| point.x), middle(|point| point.y));
    points.iter().any(|point| {
        (point.x - x).abs() <= MIDDLE * length && (point.y - y).abs() <= MIDDLE * width
    })
}

/// The least and the greatest of one coordinate.
fn reach(points: &[plane::LevelPoint], part: fn(&plane::LevelPoint) -> f64) -> (f64, f64) {
    let low = points.iter().map(part).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(part).fold(f64::NEG_INFINITY, f64::max);
    (low, high)
}

fn spans(points: &[plane::LevelPoint], length: f64, width: f64) -> bool {
    let span = |part: fn(&plane::LevelPoint) -> f64| {
        let (low, high) = reach(points, part);
        high - low
    };
    span(|point| point.x) >= SPAN * length && span(|point| point.y) >= SPAN * width
}
