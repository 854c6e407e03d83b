//! Questions about the supply: the panel from outside, the loads of the house, what stands near the water.

use super::AnswerKind::{Attestation, Choice, Choices, Count, Measure, Photo, Slot, Text, YesNo};
use super::{Drawing, Question, Station};
use crate::quantity::Dimension;
use crate::subject::SubjectKind;

/// The loads of a house that a load calculation tells apart.
pub const APPLIANCES: &[&str] = &[
    "range",
    "dryer",
    "water_heater",
    "dishwasher",
    "disposal",
    "vehicle_charger",
    "well_pump",
    "pool_equipment",
    "central_heating",
    "room_heating",
    "heat_pump",
    "heat_pump_supplement",
    "cooling",
    "other",
];

const fn at_panel(key: &'static str, kind: super::AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Power, kind)
}

const fn of_appliance(key: &'static str, kind: super::AnswerKind) -> Question {
    Question::new(key, SubjectKind::Appliance, Station::Power, kind)
}

const fn word_of(key: &'static str) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, Attestation).minutes(10.0)
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    at_panel("panel.photo", Photo)
        .minutes(2.0)
        .homeowner()
        .drawn(Drawing::Panel),
    at_panel("power.appliances", Choices(APPLIANCES))
        .minutes(3.0)
        .homeowner(),
    at_panel("power.setting", Count)
        .minutes(2.0)
        .plausible(1.0, 6.0),
    at_panel("power.existing_run", YesNo),
    at_panel("power.existing_conductors", Count)
        .minutes(5.0)
        .plausible(2.0, 4.0),
    at_panel("power.existing_rating", Measure(Dimension::Current))
        .minutes(5.0)
        .plausible(15.0, 125.0),
    at_panel(
        "power.several_by",
        Choice(&["a_breaker_each", "feeder_with_subpanel"]),
    )
    .minutes(3.0),
    at_panel("panel.service_kind", Choice(&["split_phase", "other"])).drawn(Drawing::Panel),
    at_panel("panel.main_rating", Measure(Dimension::Current))
        .plausible(60.0, 400.0)
        .drawn(Drawing::Panel),
    at_panel("panel.service_rating", Measure(Dimension::Current))
        .minutes(3.0)
        .plausible(60.0, 400.0),
    at_panel("panel.fed_from_other", YesNo),
    at_panel("panel.numbering", Choice(&["odd_left_even_right", "other"])).drawn(Drawing::Panel),
    Question::new("slot.holds", SubjectKind::Slot, Station::Power, Slot)
        .minutes(0.5)
        .drawn(Drawing::Panel),
    at_panel("panel.slots_listed", YesNo).drawn(Drawing::Panel),
    at_panel(
        "power.capacity_method",
        Choice(&["inventory_220_83", "recorded_220_87"]),
    ),
    at_panel("house.area", Measure(Dimension::Area))
        .minutes(3.0)
        .plausible(50.0, 700.0)
        .larger_is_worse(),
    at_panel("house.small_appliance_circuits", Count)
        .minutes(2.0)
        .plausible(2.0, 6.0),
    at_panel("house.laundry_circuits", Count).plausible(1.0, 3.0),
    of_appliance("appliance.present", Text),
    of_appliance("appliance.kind", Choice(APPLIANCES)),
    of_appliance("appliance.rating", Measure(Dimension::Power))
        .minutes(2.0)
        .plausible(300.0, 25_000.0)
        .larger_is_worse(),
    of_appliance("appliance.current", Measure(Dimension::Current))
        .minutes(2.0)
        .plausible(2.0, 100.0)
        .larger_is_worse(),
    of_appliance("appliance.volts", Choice(&["120", "240"])),
    at_panel(
        "power.recording_period",
        Choice(&["year", "thirty_days", "shorter"]),
    )
    .minutes(5.0),
    at_panel("power.solar_or_shaving", YesNo),
    at_panel("power.recorded_demand", Measure(Dimension::Power))
        .minutes(10.0)
        .plausible(2000.0, 60_000.0)
        .larger_is_worse(),
    at_panel("disconnect.in_sight", YesNo),
    at_panel("disconnect.readily_reached", YesNo),
    at_panel("disconnect.from_water", Measure(Dimension::Length)).plausible_inches(12.0, 720.0),
    at_panel("disconnect.from_equipment", Measure(Dimension::Length))
        .plausible_inches(12.0, 720.0)
        .larger_is_worse(),
    at_panel("disconnect.barrier", YesNo).minutes(2.0),
    at_panel("disconnect.working_depth", Measure(Dimension::Length)).plausible_inches(12.0, 120.0),
    at_panel(
        "gfci.kind",
        Choice(&[
            "breaker_at_panel",
            "breaker_at_disconnect",
            "integral_listed",
            "none",
        ]),
    )
    .minutes(3.0),
    at_panel("gfci.each_circuit", YesNo).minutes(2.0),
    at_panel("bonding.per_maker", YesNo).minutes(3.0),
    at_panel("bonding.surface_height", Measure(Dimension::Length))
        .minutes(2.0)
        .plausible_inches(0.0, 48.0)
        .larger_is_worse(),
    at_panel("bonding.metal_near", YesNo),
    at_panel("bonding.ring_planned", YesNo).minutes(3.0),
    at_panel("receptacle.from_water", Measure(Dimension::Length))
        .minutes(2.0)
        .plausible_inches(24.0, 480.0),
    at_panel("receptacle.ground_fault", YesNo),
    word_of("attest.power_capacity"),
    word_of("attest.power_disconnect"),
    word_of("attest.power_gfci"),
    word_of("attest.power_bonding"),
];
