//! Questions about the ground and what the unit stands on.

use super::AnswerKind::{Attestation, Choice, Date, Level, Measure, YesNo};
use super::{Drawing, Question, Station};
use crate::quantity::Dimension;
use crate::subject::SubjectKind;

/// Kilograms in a pound, exact.
const POUND: f64 = 0.453_592_37;

const fn at_base(key: &'static str, kind: super::AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Base, kind)
}

const fn word_of(key: &'static str) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, Attestation).minutes(10.0)
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    at_base(
        "base.placing",
        Choice(&[
            "on_grade",
            "partly_recessed",
            "vault",
            "raised_deck",
            "indoors",
        ]),
    ),
    at_base(
        "base.kind",
        Choice(&["slab", "existing_slab", "rock", "pad", "deck"]),
    ),
    at_base("base.length", Measure(Dimension::Length))
        .plausible_inches(144.0, 480.0)
        .drawn(Drawing::BaseLevel),
    at_base("base.width", Measure(Dimension::Length))
        .plausible_inches(90.0, 300.0)
        .drawn(Drawing::BaseLevel),
    at_base("base.thickness", Measure(Dimension::Length))
        .minutes(3.0)
        .plausible_inches(3.0, 24.0)
        .larger_is_worse(),
    at_base("base.extra_weight", Measure(Dimension::Mass))
        .minutes(2.0)
        .plausible(0.0, 3000.0 * POUND)
        .larger_is_worse(),
    at_base("base.design_load", Measure(Dimension::Mass))
        .minutes(5.0)
        .plausible(5000.0 * POUND, 60_000.0 * POUND),
    at_base(
        "base.soil",
        Choice(&[
            "crystalline_bedrock",
            "sedimentary_rock",
            "gravel",
            "sand",
            "clay",
            "organic",
            "unprepared_fill",
        ]),
    )
    .minutes(5.0),
    at_base("base.reported_bearing", Measure(Dimension::Pressure))
        .minutes(5.0)
        .plausible(20_000.0, 600_000.0),
    at_base("base.cracks", YesNo).minutes(2.0),
    at_base("base.pour_date", Date),
    at_base("base.truck_drives", YesNo).minutes(5.0),
    at_base("base.proof_rolled", YesNo).minutes(2.0),
    at_base("base.edged", YesNo),
    at_base("base.ground_prepared", YesNo).minutes(2.0),
    at_base("base.built_as_designed", YesNo).minutes(5.0),
    Question::new(
        "level_point.height",
        SubjectKind::LevelPoint,
        Station::Base,
        Level,
    )
    .minutes(2.0)
    .drawn(Drawing::BaseLevel),
    at_base("base.level_points_listed", YesNo)
        .minutes(10.0)
        .drawn(Drawing::BaseLevel),
    at_base("garage.door_width", Measure(Dimension::Length)).plausible_inches(72.0, 240.0),
    at_base("garage.door_height", Measure(Dimension::Length)).plausible_inches(72.0, 168.0),
    at_base("garage.ceiling", Measure(Dimension::Length)).plausible_inches(84.0, 240.0),
    at_base("garage.stand_height", Measure(Dimension::Length))
        .plausible_inches(0.0, 72.0)
        .larger_is_worse(),
    at_base("garage.drain", YesNo),
    at_base("garage.moisture_plan", YesNo).minutes(3.0),
    word_of("attest.base_ground"),
    word_of("attest.base_design"),
    word_of("attest.spot_glazing"),
];
