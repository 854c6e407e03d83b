//! The way in on dollies, answer by answer: `check(answers, expect)`.

mod rolling;
mod room;
mod whole;

use crate::frame::result::{NeedState, Outcome};
use crate::frame::testing::{TestSite, length};
use crate::maths::corner;
use setdown_types::entry::Method;
use setdown_types::quantity::Measure;
use setdown_types::question::{self, AnswerKind};
use setdown_types::spa::Attitude;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use Outcome::{Clear, NotNeeded, Open, Short, Tight};

const FOOT: f64 = 0.3048;
const POUND_FORCE: f64 = 4.448_221_615_260_5;

/// A site whose whole way on dollies is settled but for its plan: a level concrete leg, an opening, a turn, nothing
/// overhead.
fn rolled() -> TestSite {
    TestSite::new()
        .practice("rolling_resistance_small_hard", "40 %")
        .practice("start_extra", "50 %")
        .choice("site", "way.chain", "rolled")
        .yes("site", "way.covers", true)
        .yes("site", "way.openings_listed", true)
        .yes("site", "way.legs_listed", true)
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.overheads_listed", true)
        .choice("site", "way.means", "winch")
        .measure("site", "way.means_pull", "4000 lbf")
        .choice("site", "way.wheels", "small_hard")
        .choice("site", "way.hold_back", "winch")
        .measure("site", "way.hold_back_rated", "4000 lbf")
        .choice("site", "street.rig_access", "backs_in")
        .yes("site", "street.overhead_any", false)
        .choice("site", "street.grade_break", "none")
        .measure("site", "street.unloading_length", "100 ft")
        .measure("opening#1", "opening.width_ankle", "9 ft")
        .measure("opening#1", "opening.width_hip", "9 ft")
        .measure("opening#1", "opening.width_head", "9 ft")
        .measure("leg#1", "leg.width", "10 ft")
        .measure("leg#1", "leg.length", "60 ft")
        .measure("leg#1", "leg.slope_along", "1 %")
        .measure("leg#1", "leg.crossfall", "1.5 %")
        .choice("leg#1", "leg.surface", "concrete")
        .yes("leg#1", "leg.carries", true)
        .yes("leg#1", "leg.steps", false)
        .choices("leg#1", "leg.hollow", &["none"])
        .yes("leg#1", "leg.curb", false)
        .yes("leg#1", "leg.crest", false)
        .choice("turn#1", "turn.angle", "right_angle")
        .measure("turn#1", "turn.width_before", "14 ft")
        .measure("turn#1", "turn.width_after", "14 ft")
        .measure("turn#1", "turn.straight_before", "20 ft")
        .measure("turn#1", "turn.straight_after", "20 ft")
        .yes("turn#1", "turn.level", true)
}

/// The same with the leg after the turn, and a plan of both that is not worked out.
fn planned() -> TestSite {
    let site = rolled()
        .measure("leg#2", "leg.width", "14 ft")
        .measure("leg#2", "leg.length", "40 ft")
        .measure("leg#2", "leg.slope_along", "1 %")
        .measure("leg#2", "leg.crossfall", "1.5 %")
        .choice("leg#2", "leg.surface", "concrete")
        .yes("leg#2", "leg.carries", true)
        .yes("leg#2", "leg.steps", false)
        .choices("leg#2", "leg.hollow", &["none"])
        .yes("leg#2", "leg.curb", false)
        .yes("leg#2", "leg.crest", false)
        .choice("site", "plan.basis", "legs")
        .measure("leg#1", "leg.turn", "90 deg")
        .points("opening#1", "opening.on_leg", &["leg#1"])
        .measure("opening#1", "opening.along", "10 ft")
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    ["leg#1", "leg#2"].into_iter().fold(site, |site, leg| {
        site.measure(leg, "leg.width_left", "7 ft")
            .measure(leg, "leg.width_right", "7 ft")
    })
}

fn check(site: TestSite, key: &str, expect: Outcome) {
    let result = site.check(key);
    let outcome = result.would_be.unwrap_or(result.outcome);
    assert_eq!(
        outcome,
        expect,
        "{key}: {:?} {:?}",
        result.reason,
        site.missing(key)
    );
}

/// The margin of the only item of a check that has one, metres, newtons or a ratio, with its spread.
fn margin(site: &TestSite, key: &str) -> (f64, f64) {
    let result = site.check(key);
    let margin = result
        .items
        .iter()
        .find_map(|item| item.margin)
        .expect("a margin");
    (margin.si, margin.spread)
}
