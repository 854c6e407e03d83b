//! Questions about the yard plan: points and the tapes between them, walls and things, the legs as they are walked.

use super::AnswerKind::{Choice, Count, Measure, Points, Text, Tie, YesNo};
use super::{AnswerKind, Question, Station};
use crate::quantity::Dimension::{Angle, Length};
use crate::subject::SubjectKind;
use crate::value::MOST_POINTS;

const fn asked(key: &'static str, subject: SubjectKind, kind: AnswerKind) -> Question {
    Question::new(key, subject, Station::Way, kind)
}

/// About the plan as a whole.
const fn plan(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::Site, kind)
}

const fn point(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::PlanPoint, kind)
}

const fn tie(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::Tie, kind)
}

const fn line(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::PlanLine, kind)
}

const fn thing(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::PlanThing, kind)
}

const fn opening(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::Opening, kind)
}

const fn leg(key: &'static str, kind: AnswerKind) -> Question {
    asked(key, SubjectKind::Leg, kind)
}

const LENGTH: AnswerKind = Measure(Length);

/// This many points of the plan.
const fn points(fewest: usize, most: usize) -> AnswerKind {
    Points {
        of: SubjectKind::PlanPoint,
        fewest,
        most,
    }
}

/// One leg.
const ONE_LEG: AnswerKind = Points {
    of: SubjectKind::Leg,
    fewest: 1,
    most: 1,
};

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    plan("plan.basis", Choice(&["legs", "tapes"])),
    // The legs as they are walked.
    leg("leg.width_left", LENGTH).plausible_inches(12.0, 360.0),
    leg("leg.width_right", LENGTH).plausible_inches(12.0, 360.0),
    leg("leg.turn", Measure(Angle))
        .plausible(-150.0, 150.0)
        .minutes(2.0),
    // Points and what ties them.
    point("plan_point.present", Text),
    tie("tie.present", Tie),
    tie("tie.length", LENGTH).plausible_inches(12.0, 1_200.0),
    point("plan_point.height", LENGTH)
        .plausible_inches(0.0, 240.0)
        .larger_is_worse()
        .minutes(3.0),
    // Walls, areas, wires.
    line("plan_line.present", Text),
    line(
        "plan_line.kind",
        Choice(&[
            "edge", "wall", "fence", "house", "shed", "roof", "bed", "lawn", "patio", "drive",
            "street", "easement", "septic", "wire", "buried",
        ]),
    ),
    line("plan_line.points", points(2, MOST_POINTS)),
    line("plan_line.thickness", LENGTH)
        .plausible_inches(0.5, 24.0)
        .larger_is_worse(),
    line("plan_line.height", LENGTH)
        .plausible_inches(6.0, 240.0)
        .larger_is_worse(),
    line("plan_line.underside", LENGTH).plausible_inches(60.0, 360.0),
    line("plan_line.overhang", LENGTH)
        .plausible_inches(0.0, 48.0)
        .larger_is_worse(),
    line("plan_line.removable", YesNo),
    line("plan_line.trouble", Count).plausible(5.0, 600.0),
    // Things.
    thing("plan_thing.present", Text),
    thing(
        "plan_thing.kind",
        Choice(&[
            "tree",
            "post",
            "shed",
            "unit_outdoor",
            "meter",
            "steps",
            "other",
        ]),
    ),
    thing("plan_thing.centre", points(1, 1)),
    thing("plan_thing.leg", ONE_LEG),
    thing("plan_thing.along", LENGTH).plausible_inches(0.0, 1_200.0),
    thing("plan_thing.along_to", LENGTH)
        .plausible_inches(0.0, 1_200.0)
        .larger_is_worse(),
    thing("plan_thing.side", Choice(&["left", "right", "across"])),
    thing("plan_thing.left", LENGTH).plausible_inches(0.0, 360.0),
    thing("plan_thing.left_to", LENGTH)
        .plausible_inches(0.0, 360.0)
        .larger_is_worse(),
    thing("plan_thing.diameter", LENGTH)
        .plausible_inches(1.0, 72.0)
        .larger_is_worse(),
    thing("plan_thing.height", LENGTH)
        .plausible_inches(6.0, 240.0)
        .larger_is_worse(),
    thing("plan_thing.underside", LENGTH).plausible_inches(0.0, 240.0),
    thing("plan_thing.removable", YesNo),
    thing("plan_thing.trouble", Count).plausible(5.0, 600.0),
    // Gates on the plan.
    opening("opening.between", points(2, 2)),
    opening("opening.on_leg", ONE_LEG),
    opening("opening.along", LENGTH).plausible_inches(0.0, 1_200.0),
    opening("opening.left", LENGTH).plausible_inches(0.0, 360.0),
    // Where the unit comes off the truck, and where it shall stand.
    plan("plan.stand", points(2, 2)),
    plan("plan.spot", points(2, 2)),
    plan("plan.spot_along", LENGTH).plausible_inches(60.0, 1_200.0),
    plan("plan.spot_left", LENGTH).plausible_inches(0.0, 240.0),
    plan("plan.spot_side", Choice(&["left", "right"])),
    plan("plan.either_end", YesNo),
    plan("plan.bearing_line", points(2, 2)),
    plan("plan.bearing", Measure(Angle))
        .plausible(0.0, 360.0)
        .minutes(2.0),
    plan("plan.complete", YesNo).minutes(2.0),
];
