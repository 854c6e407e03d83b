//! Questions about water in and out, steps and guards, the cover and the barrier.

use super::AnswerKind::{Choice, Measure, YesNo};
use super::{AnswerKind, Drawing, Question, Station};
use crate::quantity::Dimension::{Duration, Flow, Length, Volume};
use crate::subject::SubjectKind;

const fn at_tap(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Water, kind)
}

const fn at_entry(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Entry, kind)
}

const LENGTH: AnswerKind = Measure(Length);

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    // Water in and out.
    at_tap("water.source", Choice(&["hose", "delivered"])).homeowner(),
    at_tap("water.bucket", Measure(Volume))
        .plausible(0.007, 0.08)
        .homeowner()
        .drawn(Drawing::Hose),
    at_tap("water.bucket_time", Measure(Duration))
        .minutes(3.0)
        .plausible(10.0, 240.0)
        .larger_is_worse()
        .homeowner()
        .drawn(Drawing::Hose),
    at_tap("water.hose_reaches", YesNo).homeowner(),
    at_tap(
        "water.drain_place",
        Choice(&["lawn_or_bed", "drive", "street", "house_drain", "nowhere"]),
    )
    .homeowner(),
    at_tap("water.drain_runs_away", YesNo).homeowner(),
    at_tap("water.drain_lower", YesNo).homeowner(),
    at_tap("water.pump_planned", YesNo),
    at_tap("water.drain_flow", Measure(Flow))
        .minutes(3.0)
        .plausible(0.000_1, 0.01),
    at_tap("water.drain_allowed", YesNo).minutes(5.0),
    // Steps and guards.
    at_entry("entry.kind", Choice(&["platform", "deck", "steps_only"])).drawn(Drawing::Steps),
    at_entry("entry.rise", LENGTH)
        .minutes(2.0)
        .plausible_inches(0.0, 60.0)
        .larger_is_worse()
        .drawn(Drawing::Steps),
    at_entry("entry.run_available", LENGTH)
        .minutes(2.0)
        .plausible_inches(24.0, 240.0)
        .drawn(Drawing::Steps),
    at_entry("entry.handrail", YesNo).drawn(Drawing::Steps),
    at_entry("entry.step_over", LENGTH)
        .plausible_inches(0.0, 60.0)
        .larger_is_worse()
        .drawn(Drawing::Steps),
    at_entry("entry.handhold", YesNo).drawn(Drawing::Steps),
    at_entry("entry.drop", LENGTH)
        .minutes(2.0)
        .plausible_inches(0.0, 96.0)
        .larger_is_worse()
        .drawn(Drawing::Steps),
    at_entry("entry.guard", YesNo),
    at_entry("entry.guard_height", LENGTH).plausible_inches(24.0, 60.0),
    at_entry("entry.guard_ball_stops", YesNo),
    // The cover and the barrier.
    at_entry(
        "cover.kind",
        Choice(&["sectional", "rolled", "lifting_roof"]),
    )
    .drawn(Drawing::Cover),
    at_entry("cover.dry_place", YesNo)
        .homeowner()
        .drawn(Drawing::Cover),
    at_entry("cover.people", AnswerKind::Count)
        .plausible(1.0, 4.0)
        .homeowner(),
    at_entry("cover.one_person", YesNo),
    at_entry("cover.posts_on_base", YesNo).drawn(Drawing::Cover),
    at_entry("cover.keyed", YesNo),
    at_entry("cover.decided_as", Choice(&["spa", "pool", "not_asked"])).minutes(10.0),
    at_entry(
        "cover.protection",
        Choice(&["lockable_cover", "powered_cover", "barrier"]),
    )
    .minutes(2.0),
    at_entry("barrier.height", LENGTH)
        .minutes(3.0)
        .plausible_inches(36.0, 96.0),
    at_entry("barrier.gap_below", LENGTH)
        .minutes(2.0)
        .plausible_inches(0.0, 8.0)
        .larger_is_worse(),
    at_entry("barrier.ground_soft", YesNo),
    at_entry("barrier.opening", LENGTH)
        .minutes(2.0)
        .plausible_inches(0.0, 8.0)
        .larger_is_worse(),
    at_entry("barrier.rails_close", YesNo),
    at_entry("barrier.gate_opens_outward", YesNo),
    at_entry("barrier.gate_closes_itself", YesNo),
    at_entry("barrier.latch_height", LENGTH).plausible_inches(24.0, 72.0),
    at_entry("barrier.latch_inside", YesNo),
    at_entry("barrier.uses_unit_wall", YesNo),
    at_entry("barrier.steps_locked", YesNo),
    at_entry("barrier.uses_house_wall", YesNo),
    at_entry("barrier.house_alarms", YesNo).minutes(2.0),
];
