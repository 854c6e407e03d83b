//! Questions about the way in: the street, the route on dollies, the lift.

use super::AnswerKind::{Attestation, Choice, Choices, Count, Measure, Photo, Text, YesNo};
use super::{AnswerKind, Drawing, Question, Station};
use crate::quantity::Dimension::{
    Angle, Area, Force, Length, Mass, Pressure, Slope, Speed, Voltage,
};
use crate::subject::SubjectKind;

/// Before leaving.
const fn start(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Start, kind)
}

/// In the street.
const fn street(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Street, kind).drawn(Drawing::TruckAccess)
}

/// About the route as a whole.
const fn way(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Way, kind)
}

const fn opening(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Opening, Station::Way, kind)
        .homeowner()
        .drawn(Drawing::Gate)
}

const fn leg(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Leg, Station::Way, kind).drawn(Drawing::Leg)
}

const fn turn(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Turn, Station::Way, kind).drawn(Drawing::Turn)
}

const fn overhead(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Overhead, Station::Way, kind).drawn(Drawing::Headroom)
}

/// About the lift as a whole; most come from the operator.
const fn lift(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Lift, kind).drawn(Drawing::Lift)
}

const fn obstacle(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Obstacle, Station::Lift, kind).drawn(Drawing::Lift)
}

const fn line(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Line, Station::Lift, kind).drawn(Drawing::OverheadLine)
}

/// A licensed person's word about one check.
const fn word_of(key: &'static str) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, Attestation).minutes(10.0)
}

const LENGTH: AnswerKind = Measure(Length);

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    // Before leaving: the way.
    start(
        "way.chain",
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
    start("way.covers", YesNo).minutes(2.0),
    start("way.change_over", Text).minutes(2.0),
    start("way.attitude", Choice(&["flat", "on_edge"])),
    start("way.carrier_allows_edge", YesNo).minutes(5.0),
    start("way.means", Choice(&["hands", "winch", "powered_mover"])),
    start("way.hands", Count).plausible(2.0, 10.0),
    start("way.means_pull", Measure(Force))
        .plausible(1_000.0, 60_000.0)
        .minutes(3.0),
    start("way.wheels", Choice(&["small_hard", "pneumatic"])),
    start("way.steers", Choice(&["every_way", "fixed_axle"])),
    start("way.hold_back", Choice(&["winch", "brake", "hands"])),
    start("way.hold_back_rated", Measure(Force))
        .plausible(1_000.0, 60_000.0)
        .minutes(3.0),
    // The street.
    street("street.truck_gets_in", YesNo).homeowner(),
    street("street.photo_left", Photo).homeowner(),
    street("street.photo_right", Photo).homeowner(),
    street(
        "street.rig_access",
        Choice(&["drives_through", "backs_in", "too_tight"]),
    )
    .minutes(5.0),
    street("street.overhead_any", YesNo),
    street("street.overhead_height", LENGTH)
        .plausible_inches(120.0, 360.0)
        .minutes(3.0),
    street(
        "street.grade_break",
        Choice(&["none", "carrier_passes", "grounds"]),
    )
    .minutes(2.0),
    street("street.unloading_length", LENGTH)
        .plausible_inches(360.0, 2_400.0)
        .minutes(3.0),
    // The route: gates and gaps.
    way("way.openings_listed", YesNo).minutes(2.0),
    opening("opening.present", Text),
    opening("opening.width_ankle", LENGTH).plausible_inches(30.0, 240.0),
    opening("opening.width_hip", LENGTH).plausible_inches(30.0, 240.0),
    opening("opening.width_head", LENGTH).plausible_inches(30.0, 240.0),
    opening("opening.photo", Photo),
    // The route: legs.
    way("way.legs_listed", YesNo).minutes(2.0),
    leg("leg.present", Text).homeowner(),
    leg("leg.width", LENGTH)
        .plausible_inches(48.0, 480.0)
        .homeowner(),
    leg("leg.length", LENGTH)
        .plausible_inches(60.0, 3_600.0)
        .larger_is_worse(),
    leg("leg.slope_along", Measure(Slope))
        .plausible(-0.15, 0.15)
        .larger_is_worse()
        .minutes(2.0)
        .drawn(Drawing::Slope),
    leg("leg.crossfall", Measure(Slope))
        .plausible(-0.1, 0.1)
        .larger_is_worse()
        .minutes(2.0)
        .drawn(Drawing::Slope),
    leg(
        "leg.surface",
        Choice(&[
            "concrete",
            "asphalt",
            "pavers",
            "gravel_packed",
            "gravel_loose",
            "lawn_dry",
            "lawn_soft",
            "sand",
        ]),
    ),
    leg("leg.carries", YesNo).minutes(2.0),
    leg("leg.mats", YesNo),
    leg("leg.steps", YesNo).homeowner(),
    leg(
        "leg.hollow",
        Choices(&[
            "septic_lid",
            "tank",
            "window_well",
            "vault_lid",
            "drain_grate",
            "none",
        ]),
    )
    .minutes(3.0),
    leg("leg.curb", YesNo),
    leg("leg.curb_height", LENGTH)
        .plausible_inches(1.0, 12.0)
        .larger_is_worse(),
    leg("leg.ramp_length", LENGTH).plausible_inches(24.0, 240.0),
    leg("leg.crest", YesNo),
    leg("leg.crest_change", Measure(Angle))
        .plausible(1.0, 20.0)
        .larger_is_worse()
        .minutes(3.0)
        .drawn(Drawing::Slope),
    leg("leg.breakaway_pull", Measure(Force))
        .plausible(50.0, 20_000.0)
        .larger_is_worse()
        .minutes(15.0),
    leg("leg.breakaway_load", Measure(Mass))
        .plausible(1_200.0, 5_000.0)
        .minutes(2.0),
    leg("leg.photo", Photo).homeowner(),
    // The route: turns.
    way("way.turns_listed", YesNo).minutes(2.0),
    turn("turn.present", Text),
    turn("turn.angle", Choice(&["right_angle", "other"])),
    turn("turn.width_before", LENGTH).plausible_inches(60.0, 480.0),
    turn("turn.width_after", LENGTH).plausible_inches(60.0, 480.0),
    turn("turn.straight_before", LENGTH).plausible_inches(60.0, 1_200.0),
    turn("turn.straight_after", LENGTH).plausible_inches(60.0, 1_200.0),
    turn("turn.sideways_possible", YesNo).minutes(3.0),
    turn("turn.level", YesNo),
    // The route: overhead.
    way("way.overheads_listed", YesNo).minutes(2.0),
    overhead("overhead.present", Text),
    overhead(
        "overhead.kind",
        Choice(&["eave", "branch", "line", "door_head", "other"]),
    ),
    overhead("overhead.utility_word", Attestation).minutes(30.0),
    overhead("overhead.height", LENGTH).plausible_inches(60.0, 300.0),
    overhead("overhead.near_ramp", YesNo),
    overhead("overhead.ramp_slope", Measure(Slope))
        .plausible(0.0, 0.25)
        .larger_is_worse()
        .minutes(2.0)
        .drawn(Drawing::Slope),
    way("way.laying_down_open_sky", YesNo),
    way("way.laying_down_height", LENGTH)
        .plausible_inches(96.0, 360.0)
        .drawn(Drawing::Headroom),
    // The lift: what hangs on the hook.
    lift("lift.block_weight", Measure(Mass))
        .plausible(20.0, 1_000.0)
        .larger_is_worse(),
    lift("lift.spreader_weight", Measure(Mass))
        .plausible(20.0, 1_000.0)
        .larger_is_worse(),
    lift("lift.slings_weight", Measure(Mass))
        .plausible(5.0, 300.0)
        .larger_is_worse(),
    lift("lift.extra_weight", Measure(Mass))
        .plausible(0.0, 500.0)
        .larger_is_worse(),
    // The lift: the crane and its chart.
    lift("lift.radius", LENGTH)
        .plausible_inches(120.0, 2_400.0)
        .larger_is_worse()
        .minutes(5.0),
    lift("lift.boom_length", LENGTH)
        .plausible_inches(240.0, 3_600.0)
        .minutes(3.0),
    lift("lift.on_chart", YesNo).minutes(3.0),
    lift("lift.chart_configuration", YesNo).minutes(3.0),
    lift("lift.chart_radius", LENGTH)
        .plausible_inches(120.0, 2_400.0)
        .minutes(3.0),
    lift("lift.chart_boom", LENGTH)
        .plausible_inches(240.0, 3_600.0)
        .minutes(3.0),
    lift("lift.chart_capacity", Measure(Mass))
        .plausible(500.0, 50_000.0)
        .minutes(3.0),
    lift("lift.pivot_height", LENGTH)
        .plausible_inches(36.0, 144.0)
        .minutes(3.0),
    lift("lift.pivot_behind", LENGTH)
        .plausible_inches(0.0, 120.0)
        .minutes(3.0),
    lift("lift.boom_depth", LENGTH)
        .plausible_inches(8.0, 48.0)
        .larger_is_worse()
        .minutes(3.0),
    lift("lift.rigging_height", LENGTH)
        .plausible_inches(48.0, 480.0)
        .larger_is_worse()
        .minutes(3.0),
    // The lift: what it passes.
    lift("lift.obstacles_listed", YesNo).minutes(2.0),
    obstacle("obstacle.present", Text),
    obstacle(
        "obstacle.kind",
        Choice(&["roof_edge", "ridge", "tree", "fence", "wall", "other"]),
    ),
    obstacle("obstacle.distance", LENGTH)
        .plausible_inches(60.0, 2_400.0)
        .minutes(3.0),
    obstacle("obstacle.height", LENGTH)
        .plausible_inches(24.0, 1_200.0)
        .larger_is_worse()
        .minutes(5.0),
    obstacle("obstacle.load_passes", YesNo),
    // The lift: lines.
    lift("lift.lines_listed", YesNo)
        .minutes(3.0)
        .drawn(Drawing::OverheadLine),
    line("line.present", Text),
    line(
        "line.kind",
        Choice(&["service_drop", "distribution", "transmission", "unknown"]),
    ),
    line("line.distance", LENGTH)
        .plausible_inches(0.0, 1_800.0)
        .minutes(5.0),
    line("line.voltage_known", YesNo),
    line("line.voltage", Measure(Voltage))
        .plausible(100.0, 765_000.0)
        .larger_is_worse()
        .minutes(10.0),
    line("line.utility_word", Attestation).minutes(30.0),
    // The lift: the stand.
    lift("lift.crane_weight", Measure(Mass))
        .plausible(5_000.0, 100_000.0)
        .larger_is_worse()
        .minutes(3.0),
    lift("lift.maker_reaction", Measure(Force))
        .plausible(10_000.0, 1_000_000.0)
        .larger_is_worse()
        .minutes(10.0),
    lift("lift.pad_area", Measure(Area))
        .plausible(0.2, 6.0)
        .minutes(2.0),
    lift(
        "lift.soil",
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
    lift("lift.reported_bearing", Measure(Pressure))
        .plausible(20_000.0, 600_000.0)
        .minutes(10.0),
    lift("lift.stand_level", YesNo).minutes(3.0),
    lift("lift.buried_near", YesNo).minutes(5.0),
    lift("lift.cut_near", YesNo).minutes(2.0),
    // The lift: rigging.
    lift("lift.uses", Choice(&["straps_under_frame", "makers_eyes"])).minutes(2.0),
    lift("lift.at_makers_points", YesNo).minutes(2.0),
    lift("lift.hung", Choice(&["plumb", "sloping"])).minutes(2.0),
    lift("lift.spreader_width", LENGTH)
        .plausible_inches(60.0, 240.0)
        .minutes(2.0),
    lift("lift.strap_angle", Measure(Angle)).plausible(20.0, 90.0),
    lift("lift.strap_rated", Measure(Mass))
        .plausible(500.0, 20_000.0)
        .minutes(2.0),
    lift("lift.bridle_legs", Count).plausible(1.0, 4.0),
    lift("lift.bridle_angle", Measure(Angle))
        .plausible(20.0, 90.0)
        .minutes(2.0),
    lift("lift.bridle_leg_rated", Measure(Mass))
        .plausible(500.0, 20_000.0)
        .minutes(2.0),
    lift("lift.spreader_marked", YesNo).minutes(2.0),
    lift("lift.edge_protection", YesNo),
    lift("lift.straps_come_out", YesNo).minutes(2.0),
    // The lift: wind and people.
    lift("lift.wind_limit", Measure(Speed))
        .plausible(2.0, 15.0)
        .minutes(2.0),
    lift("lift.swing_clear", YesNo).minutes(3.0),
    lift("lift.rooms_empty", YesNo).minutes(3.0),
    lift("lift.tag_lines", YesNo),
    lift(
        "lift.permissions_needed",
        Choices(&["street", "neighbour", "airspace", "none"]),
    )
    .minutes(5.0),
    lift(
        "lift.permissions_held",
        Choices(&["street", "neighbour", "airspace"]),
    )
    .minutes(5.0),
    // Words of licensed people.
    word_of("attest.lift_load"),
    word_of("attest.lift_chart"),
    word_of("attest.lift_clear"),
    word_of("attest.lift_lines"),
    word_of("attest.lift_stand"),
    word_of("attest.lift_rigging"),
    word_of("attest.lift_wind"),
    word_of("attest.lift_people"),
];
