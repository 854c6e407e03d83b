//! Questions of the delivery day and after: bookings, the last look at the way in, filling, starting, handing over.

use super::AnswerKind::{Attestation, Count, Date, Measure, Photo, YesNo};
use super::{AnswerKind, Drawing, Question, Station};
use crate::quantity::Dimension::Length;
use crate::subject::SubjectKind;

const fn on_day(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Day, kind)
}

const fn built(key: &'static str) -> Question {
    on_day(key, Measure(Length)).drawn(Drawing::Steps)
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    // Delivery.
    on_day("deliver.date", Date),
    on_day("deliver.crane_booked", YesNo).minutes(5.0),
    on_day("deliver.crew_booked", YesNo).minutes(5.0),
    on_day("deliver.way_measured_on", Date).minutes(30.0),
    on_day("deliver.way_unchanged", YesNo),
    on_day("deliver.changed_photo", Photo)
        .minutes(3.0)
        .homeowner(),
    on_day("deliver.changed_photo_on", Date).homeowner(),
    on_day("deliver.arrival_sheet", YesNo).minutes(3.0),
    on_day("deliver.weather_rule", YesNo).minutes(5.0),
    // Filling.
    on_day("fill.as_set_fall", Measure(Length))
        .minutes(5.0)
        .plausible_inches(0.0, 1.0)
        .larger_is_worse()
        .drawn(Drawing::BaseLevel),
    on_day("fill.bears_fully", YesNo).minutes(3.0),
    on_day("fill.power_inspection", Attestation).minutes(5.0),
    on_day("fill.power_off", YesNo),
    on_day("fill.barrier_in_place", YesNo),
    on_day("fill.frost", YesNo),
    on_day("fill.power_same_day", YesNo).minutes(5.0),
    // Starting.
    on_day("start.filled_on", Date),
    on_day("start.energised_on", Date),
    on_day("start.ground_fault_test", Attestation).minutes(5.0),
    // First use.
    on_day("built.risers", Count)
        .plausible(0.0, 10.0)
        .drawn(Drawing::Steps),
    built("built.largest_riser")
        .minutes(2.0)
        .plausible_inches(4.0, 10.0)
        .larger_is_worse(),
    built("built.smallest_riser").plausible_inches(4.0, 10.0),
    built("built.smallest_tread").plausible_inches(6.0, 18.0),
    on_day("built.handrail_and_guard", YesNo),
    on_day("first_use.cover_locks", YesNo),
    on_day("first_use.hand_over_on", Date).minutes(5.0),
];
