//! Questions about the spot: what is round it, which way the unit faces, what is over it.

use super::AnswerKind::{Attestation, Choice, Choices, Measure, Photo, YesNo};
use super::{Drawing, Question, Station};
use crate::quantity::Dimension;
use crate::subject::SubjectKind;

/// The unit's four sides, the service end being the foot.
const SIDES: &[&str] = &["foot", "head", "left", "right"];
/// Where something faces, seen from the house and looking out.
const FACINGS: &[&str] = &["house", "away", "yard_left", "yard_right"];

const fn at_spot(key: &'static str, kind: super::AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Spot, kind)
}

const fn clear(key: &'static str) -> Question {
    at_spot(key, Measure(Dimension::Length))
        .plausible_inches(0.0, 240.0)
        .drawn(Drawing::SpotClearances)
}

const fn to_line(key: &'static str) -> Question {
    at_spot(key, Measure(Dimension::Length))
        .minutes(3.0)
        .plausible_inches(0.0, 1200.0)
}

const fn wire_height(key: &'static str) -> Question {
    at_spot(key, Measure(Dimension::Length))
        .minutes(4.0)
        .plausible_inches(96.0, 600.0)
        .drawn(Drawing::OverheadLine)
}

const fn wire_across(key: &'static str) -> Question {
    at_spot(key, Measure(Dimension::Length))
        .minutes(2.0)
        .plausible_inches(0.0, 600.0)
        .drawn(Drawing::OverheadLine)
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    at_spot("spot.ends_stay_clear", Choices(FACINGS))
        .homeowner()
        .drawn(Drawing::ServiceEnd),
    at_spot("spot.people_from", Choice(FACINGS))
        .homeowner()
        .drawn(Drawing::EntrySide),
    at_spot("spot.water_stands", YesNo).homeowner(),
    at_spot("spot.plat", Photo).minutes(5.0).homeowner(),
    at_spot("spot.service_direction", Choice(FACINGS)).drawn(Drawing::ServiceEnd),
    clear("spot.clear_foot"),
    clear("spot.clear_head"),
    clear("spot.clear_left"),
    clear("spot.clear_right"),
    at_spot("spot.sides_accepted", Choices(SIDES)).minutes(5.0),
    at_spot("spot.side_acceptance", Attestation).minutes(10.0),
    at_spot("spot.entry_side", Choice(SIDES)).drawn(Drawing::EntrySide),
    at_spot("spot.steps_depth", Measure(Dimension::Length))
        .minutes(2.0)
        .plausible_inches(12.0, 144.0)
        .larger_is_worse()
        .drawn(Drawing::EntrySide),
    at_spot("spot.version_needed", Choice(&["left", "right"])).minutes(3.0),
    at_spot("spot.leading_end", Choice(&["foot", "head"])),
    at_spot("spot.arrival_direction", Choice(FACINGS)),
    at_spot("spot.turn_room", Measure(Dimension::Length))
        .minutes(3.0)
        .plausible_inches(120.0, 360.0),
    at_spot("spot.cover_side", Choice(SIDES)).drawn(Drawing::Cover),
    at_spot("spot.steps_beside_cover", YesNo).drawn(Drawing::Cover),
    at_spot("spot.height_above_rim", Measure(Dimension::Length))
        .minutes(2.0)
        .plausible_inches(12.0, 400.0)
        .drawn(Drawing::Cover),
    at_spot("spot.overhead_lines", YesNo).drawn(Drawing::OverheadLine),
    at_spot(
        "spot.overhead_kinds",
        Choices(&[
            "grounded_messenger",
            "communications",
            "other",
            "over_15_kilovolt",
        ]),
    )
    .minutes(3.0)
    .drawn(Drawing::OverheadLine),
    wire_height("spot.overhead_height_grounded_messenger"),
    wire_across("spot.overhead_across_grounded_messenger"),
    wire_height("spot.overhead_height_communications"),
    wire_across("spot.overhead_across_communications"),
    wire_height("spot.overhead_height_other"),
    wire_across("spot.overhead_across_other"),
    wire_height("spot.overhead_height_over_15_kilovolt"),
    wire_across("spot.overhead_across_over_15_kilovolt"),
    at_spot("spot.glass_near", YesNo),
    at_spot("spot.glass_distance", Measure(Dimension::Length)).plausible_inches(0.0, 144.0),
    at_spot("spot.glass_safety", YesNo).minutes(3.0),
    at_spot("spot.egress_blocked", YesNo),
    at_spot("spot.drip_line", YesNo),
    at_spot("spot.runoff_path", YesNo),
    at_spot("spot.ground_hard", YesNo),
    at_spot("spot.ground_fall", Measure(Dimension::Slope))
        .minutes(3.0)
        .plausible(-0.05, 0.1)
        .drawn(Drawing::Slope),
    at_spot("spot.ground_freezes", YesNo),
    at_spot("spot.frost_in_design", YesNo).minutes(3.0),
    to_line("spot.line_foot"),
    to_line("spot.line_head"),
    to_line("spot.line_left"),
    to_line("spot.line_right"),
    at_spot("spot.setback_required", Measure(Dimension::Length))
        .minutes(10.0)
        .plausible_inches(0.0, 600.0)
        .larger_is_worse(),
    at_spot("spot.easement_clear", YesNo).minutes(5.0),
    at_spot("spot.septic_clear", YesNo).minutes(5.0),
    Question::new(
        "attest.spot_overhead",
        SubjectKind::Site,
        Station::Papers,
        Attestation,
    )
    .minutes(10.0),
];
