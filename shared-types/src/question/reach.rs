//! Questions about the way in: the street, the route on dollies, the lift.

use super::AnswerKind::{Choice, Measure, Photo, Text, YesNo};
use super::{Drawing, Question, Station};
use crate::quantity::Dimension;
use crate::subject::SubjectKind;

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    Question::new(
        "way.chain",
        SubjectKind::Site,
        Station::Start,
        Choice(&[
            "rolled",
            "lifted",
            "lifted_then_rolled",
            "rolled_then_lifted",
            "carried",
            "none",
        ]),
    )
    .minutes(3.0),
    Question::new(
        "way.openings_listed",
        SubjectKind::Site,
        Station::Way,
        YesNo,
    )
    .minutes(2.0),
    Question::new("opening.present", SubjectKind::Opening, Station::Way, Text)
        .homeowner()
        .drawn(Drawing::Gate),
    Question::new(
        "opening.width_ankle",
        SubjectKind::Opening,
        Station::Way,
        Measure(Dimension::Length),
    )
    .plausible_inches(30.0, 240.0)
    .homeowner()
    .drawn(Drawing::Gate),
    Question::new(
        "opening.width_hip",
        SubjectKind::Opening,
        Station::Way,
        Measure(Dimension::Length),
    )
    .plausible_inches(30.0, 240.0)
    .homeowner()
    .drawn(Drawing::Gate),
    Question::new(
        "opening.width_head",
        SubjectKind::Opening,
        Station::Way,
        Measure(Dimension::Length),
    )
    .plausible_inches(30.0, 240.0)
    .homeowner()
    .drawn(Drawing::Gate),
    Question::new("opening.photo", SubjectKind::Opening, Station::Way, Photo)
        .homeowner()
        .drawn(Drawing::Gate),
];
