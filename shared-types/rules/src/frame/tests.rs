//! The frame itself, apart from any one rule: state and score, signatures, repeats, remembered values, the way not
//! chosen, what to measure next, tasks by party. What is expected is checks.md's and the words of the types.

mod answers;
mod asking;
mod score;
mod tasks;

use setdown_types::entry::Method;
use setdown_types::party::{Party, Role};
use setdown_types::value::{Signature, Value};

use super::result::{
    Assessment, CheckResult, HoldPoint, HoldPointResult, HoldState, NeedState, Outcome, TaskReason,
};
use super::testing::TestSite;
use super::walk::{Stop, waiting_for_delivery, walk};

fn point(assessment: &Assessment, point: HoldPoint) -> &HoldPointResult {
    assessment
        .hold_points
        .iter()
        .find(|result| result.hold_point == point)
        .unwrap()
}

fn gate() -> TestSite {
    TestSite::new()
        .yes("site", "way.openings_listed", true)
        .measure("opening#1", "opening.width_ankle", "9 ft")
        .measure("opening#1", "opening.width_hip", "9 ft")
        .measure("opening#1", "opening.width_head", "9 ft")
}
