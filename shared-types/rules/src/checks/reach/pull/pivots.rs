//! `roll.pull` where the unit is turned, as listed and on the proved way: the ground must be level there.

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::about;
use super::stretches::Proved;
use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::motion::moves::{Action, Move};
use crate::motion::scene::Pose;
use crate::plan::Ground;
use crate::tables::units::INCH;

/// Turning to and fro by no more degrees than this is steering, not turning: the solver leads a unit through a gate a
/// little askew, the crew follows the line. Common practice, no source.
const STEERING: f64 = 5.0;

/// A move that turns the unit.
struct Turning {
    /// Metres along the way where it begins.
    after: f64,
    /// Counter-clockwise; negative: clockwise.
    degrees: f64,
    /// How the ground there slopes, in several ways; `None` where that is not known.
    slopes: Option<Vec<Num>>,
}

/// Every turn that is listed.
pub(super) fn listed(context: &Context<'_>) {
    for turn in context.subjects(SubjectKind::Turn) {
        pivot(context, turn);
    }
}

fn pivot(context: &Context<'_>, turn: Subject) {
    let item = context.item(turn);
    match context.yes(turn, "turn.level") {
        None => item.wait(),
        Some(true) => item.holds(true, "roll.pull.level_turn"),
        Some(false) => item.holds(false, "roll.pull.pivot_on_slope"),
    }
}

/// Every move that turns, against the slope that is still level; one where the ground is not known must be listed as a
/// turn, whose ground is asked for.
pub(super) fn proved(context: &Context<'_>, proved: &Proved) {
    let turnings = turnings(proved);
    known(context, &turnings);
    unknown(context, &turnings);
}

fn turnings(proved: &Proved) -> Vec<Turning> {
    let mut after = 0.0;
    let mut found = Vec::new();
    for step in proved.moves() {
        if let Some(degrees) = turned(step.action) {
            found.push(Turning {
                after: after * INCH,
                degrees,
                slopes: slopes(proved, step),
            });
        }
        after += libm::hypot(step.to.x - step.from.x, step.to.y - step.from.y);
    }
    let is_small = |turning: &Turning| turning.degrees.abs() <= STEERING;
    let small = found.iter().filter(|turning| is_small(turning));
    if is_steering(small.map(|turning| turning.degrees)) {
        found.retain(|turning| !is_small(turning));
    }
    found
}

/// Whether the heading stays about the same, one turning after the other.
fn is_steering(turned: impl Iterator<Item = f64>) -> bool {
    let (mut heading, mut least, mut most) = (0.0_f64, 0.0_f64, 0.0_f64);
    for degrees in turned {
        heading += degrees;
        (least, most) = (least.min(heading), most.max(heading));
    }
    most - least <= STEERING
}

const fn turned(action: Action) -> Option<f64> {
    match action {
        Action::Turn { degrees, .. } | Action::Together { degrees, .. } => Some(degrees),
        Action::Straight { .. } => None,
    }
}

/// The slopes under the middle of the unit before, during and after a move.
fn slopes(proved: &Proved, step: &Move) -> Option<Vec<Num>> {
    let ground = proved.ground()?;
    let halfway = |from: f64, to: f64| 0.5 * (from + to);
    let middle = [
        halfway(step.from.x, step.to.x),
        halfway(step.from.y, step.to.y),
    ];
    let at = |pose: Pose| [pose.x, pose.y];
    let mut found = Vec::new();
    for place in [at(step.from), middle, at(step.to)] {
        found.extend(slopes_at(proved, &ground, place)?);
    }
    Some(found)
}

/// Along both axes, and where it is steepest and across that: each with its own spread, also on level ground.
fn slopes_at(proved: &Proved, ground: &Ground<'_>, at: [f64; 2]) -> Option<Vec<Num>> {
    let along = |way: [f64; 2]| Some(proved.slope(&ground.grade(at, way)?)?.abs());
    let rise = |way: [f64; 2]| Some(ground.grade(at, way)?.rise);
    let (x, y) = (rise([1.0, 0.0])?, rise([0.0, 1.0])?);
    let steepest = libm::hypot(x, y);
    let mut ways = vec![[1.0, 0.0], [0.0, 1.0]];
    if steepest > 0.0 {
        let up = [x / steepest, y / steepest];
        ways.extend([up, [-up[1], up[0]]]);
    }
    ways.into_iter().map(along).collect()
}

fn known(context: &Context<'_>, turnings: &[Turning]) {
    let mut margins = Vec::new();
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.pull.of_turn");
    for turning in turnings {
        let Some(slopes) = &turning.slopes else {
            continue;
        };
        let limit = context.limit("slope_level");
        let steepest = slopes.iter().cloned().reduce(Num::max).unwrap_or_default();
        item.line(
            Line::new("roll.pull.turned")
                .with("angle", quantity(Dimension::Angle, turning.degrees.abs()))
                .with("after", quantity(Dimension::Length, turning.after))
                .with("slope", context.arg(&steepest, Dimension::Slope))
                .with("limit", quantity(Dimension::Slope, limit)),
        );
        margins.extend(slopes.iter().map(|slope| limit - slope));
    }
    if !margins.is_empty() {
        item.margins(&margins, Dimension::Slope);
    }
}

fn unknown(context: &Context<'_>, turnings: &[Turning]) {
    let unknown: Vec<&Turning> = (turnings.iter())
        .filter(|turning| turning.slopes.is_none())
        .collect();
    if unknown.is_empty() || are_listed(context, &unknown) {
        return;
    }
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.pull.of_turn");
    for turning in unknown {
        item.line(
            Line::new("roll.pull.turned_unknown")
                .with("angle", quantity(Dimension::Angle, turning.degrees.abs()))
                .with("after", quantity(Dimension::Length, turning.after)),
        );
    }
    item.open("roll.pull.turn_not_known");
}

/// Whether turns are listed that can be these: between legs every corner is one; of a yard that was taped each move that
/// turns must have its own.
fn are_listed(context: &Context<'_>, turnings: &[&Turning]) -> bool {
    let listed = context.subjects(SubjectKind::Turn).len();
    let basis = context.optionally(|| context.choice(Subject::SITE, "plan.basis"));
    if basis.as_deref() == Some("legs") {
        return listed > 0;
    }
    listed >= turnings.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steering_goes_to_and_fro() {
        assert!(is_steering([].into_iter()));
        assert!(is_steering([4.0, -4.0, 4.0, -4.0].into_iter()));
        assert!(!is_steering([2.0, 2.0, 2.0].into_iter()), "a bend");
        assert!(!is_steering([-4.0, 6.0].into_iter()), "to the other side");
    }
}
