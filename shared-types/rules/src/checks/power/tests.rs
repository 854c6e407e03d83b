//! The supply's checks against published load calculations and the distances of NEC article 680.

use std::collections::BTreeMap;

use setdown_types::entry::Method;
use setdown_types::quantity::Dimension;
use setdown_types::value::SlotHolds;

use super::spaces::{Room, Wanted};
use crate::frame::result::{Arg, Outcome};
use crate::frame::testing::{TestSite, length, typed};

fn check(site: TestSite, key: &str, expect: Outcome) {
    let result = site.check(key);
    assert_eq!(
        result.outcome,
        expect,
        "{key}: {:?}, missing {:?}",
        result.reason,
        site.missing(key)
    );
}

fn panel() -> TestSite {
    TestSite::new()
        .choice("site", "panel.service_kind", "split_phase")
        .choice("site", "panel.numbering", "odd_left_even_right")
        .choice("site", "power.several_by", "a_breaker_each")
        .yes("site", "panel.fed_from_other", false)
        .measure("site", "panel.main_rating", "200 A")
        .measure("site", "panel.service_rating", "200 A")
}

#[test]
fn an_old_run_of_three_wires_does_not_serve_four() {
    let one = || {
        TestSite::new().spa(|spa| {
            for setting in &mut spa.supply {
                setting.circuits.truncate(1);
            }
        })
    };
    check(
        one().yes("site", "power.existing_run", false),
        "power.supply",
        Outcome::Clear,
    );
    let old = one().yes("site", "power.existing_run", true);
    check(
        old.clone().count("site", "power.existing_conductors", 3),
        "power.supply",
        Outcome::Short,
    );
    let four = old.count("site", "power.existing_conductors", 4);
    assert_eq!(four.missing("power.supply"), ["power.existing_rating"]);
    // The sheet asks a breaker of 50 A: wires and breaker of 30 A do not serve it.
    for (rating, expect) in [
        ("30 A", Outcome::Short),
        ("50 A", Outcome::Clear),
        ("60 A", Outcome::Clear),
    ] {
        check(
            four.clone()
                .measure("site", "power.existing_rating", rating),
            "power.supply",
            expect,
        );
    }
    check(
        four.measure_by("site", "power.existing_rating", "50 A", Method::Estimate),
        "power.supply",
        Outcome::Tight,
    );
    let two = TestSite::new()
        .yes("site", "power.existing_run", true)
        .count("site", "power.existing_conductors", 4);
    assert_eq!(
        two.reason("power.supply"),
        "power.supply.one_run_for_several"
    );
    let silent = TestSite::new().spa(|spa| spa.supply.clear());
    assert_eq!(silent.reason("power.supply"), "power.supply.not_on_sheet");
}

fn room(spaces: &[u16]) -> Room {
    let schedule: BTreeMap<u16, SlotHolds> = spaces
        .iter()
        .map(|position| (*position, SlotHolds::Space))
        .collect();
    Room::of(&schedule)
}

/// How split-phase panels are built: positions one above the other on a side are on opposite legs (common practice, no
/// source).
#[test]
fn two_poles_need_two_positions_one_above_the_other() {
    assert_eq!(room(&[1, 2]).pairs, 0);
    assert_eq!(room(&[1, 3]).pairs, 1);
    assert_eq!(room(&[1, 3, 5]).pairs, 1);
    assert_eq!(room(&[1, 3, 5, 7, 2, 6]).pairs, 2);
    assert_eq!(room(&[65_535, 65_533]).pairs, 1);
    let two_and_one = Wanted {
        pairs: 2,
        singles: 1,
    };
    assert!(!room(&[1, 3, 5, 7]).takes(two_and_one));
    assert!(room(&[1, 3, 5, 7, 2]).takes(two_and_one));
}

/// The two-zone unit asks two circuits of 240 V.
#[test]
fn a_tandem_gives_no_240_volts() {
    let full = panel()
        .slot(1, SlotHolds::Tandem, Some("20 A"))
        .slot(3, SlotHolds::Tandem, Some("20 A"))
        .slot(2, SlotHolds::Space, None)
        .slot(4, SlotHolds::Space, None);
    check(full.clone(), "power.spaces", Outcome::Open);
    let listed = full.yes("site", "panel.slots_listed", true);
    check(listed.clone(), "power.spaces", Outcome::Short);
    check(
        listed
            .clone()
            .choice("site", "power.several_by", "feeder_with_subpanel"),
        "power.spaces",
        Outcome::Clear,
    );
    check(
        listed
            .slot(6, SlotHolds::Space, None)
            .slot(8, SlotHolds::Space, None),
        "power.spaces",
        Outcome::Clear,
    );
}

fn load(site: &TestSite) -> f64 {
    let result = site.check("power.capacity");
    let mut lines = result.items.iter().flat_map(|item| &item.working);
    let line = lines
        .find(|line| line.key == "power.capacity.formula")
        .unwrap_or_else(|| panic!("{:?} {:?}", result.reason, site.missing("power.capacity")));
    match line.args.iter().find(|(name, _)| name == "load").unwrap().1 {
        Arg::Quantity { si, .. } | Arg::Measured { si, .. } => si,
        _ => panic!("no quantity"),
    }
}

/// An inventory that sums to 21,500 VA: 1500 ft² × 3 + 3 circuits × 1500 + 12,500.
fn existing_house(spa: &str) -> TestSite {
    let demand = typed(Dimension::Power, spa);
    panel()
        .spa(|sheet| {
            for setting in &mut sheet.supply {
                setting.maximum_demand = demand;
            }
        })
        .choice("site", "power.capacity_method", "inventory_220_83")
        .measure("site", "house.area", "1500 ft2")
        .count("site", "house.small_appliance_circuits", 2)
        .count("site", "house.laundry_circuits", 1)
        .choices("site", "power.appliances", &["range", "water_heater"])
        .choice("appliance#1", "appliance.kind", "range")
        .measure("appliance#1", "appliance.rating", "8000 VA")
        .choice("appliance#2", "appliance.kind", "water_heater")
        .measure("appliance#2", "appliance.rating", "4500 VA")
        .measure("site", "panel.main_rating", "100 A")
        .measure("site", "panel.service_rating", "100 A")
}

/// NEC 220.83(A), example of a householder (homeownershub.com 599409, method read elsewhere too): 21,500 VA give
/// 8000 + 0.4 × 13,500 = 13,400 VA; with 11,200 VA more, 17,880 VA and 74.5 A on a 100 A service.
#[test]
fn the_existing_dwelling_example_comes_out() {
    let before = existing_house("0 VA");
    assert!((load(&before) - 13_400.0).abs() < 1e-6, "{}", load(&before));
    let after = existing_house("11200 VA");
    assert!((load(&after) - 17_880.0).abs() < 1e-6, "{}", load(&after));
    let margin = after.check("power.capacity").items[0].margin.unwrap();
    assert!((margin.si - 25.5).abs() < 1e-6, "{}", margin.si);
    check(after.clone(), "power.capacity", Outcome::Clear);
    check(
        after.measure("site", "panel.main_rating", "70 A"),
        "power.capacity",
        Outcome::Short,
    );
}

/// Each rating is judged with its own spread: a main breaker of 80 A read off its handle does not hide a service of 85 A
/// by estimate. 17,880 VA are 74.5 A: 5.5 A under the one, and 10.5 A under the other whose spread is a quarter, 21 A.
#[test]
fn a_rating_known_badly_is_not_hidden_by_the_other() {
    let site = existing_house("11200 VA")
        .measure_by("site", "panel.main_rating", "80 A", Method::Seen)
        .measure_by("site", "panel.service_rating", "85 A", Method::Estimate);
    check(site, "power.capacity", Outcome::Tight);
}

/// NEC 210.11(C), from memory: two small-appliance circuits and one for the laundry at least, 1,500 VA each. With none
/// entered the house of 21,500 VA is still that house: 13,400 VA.
#[test]
fn a_dwelling_has_its_least_circuits() {
    let none = existing_house("0 VA")
        .count("site", "house.small_appliance_circuits", 0)
        .count("site", "house.laundry_circuits", 0);
    assert!((load(&none) - 13_400.0).abs() < 1e-6, "{}", load(&none));
}

/// The larger of heating and cooling counts in full inside the sum: 15,000 VA of heating over 6,960 VA of cooling
/// (the loads of the training example for 220.82, jadelearning.com, taken by 220.83: 21,500 + 15,000 = 36,500 VA,
/// 8000 + 0.4 × 28,500 = 19,400 VA).
#[test]
fn the_larger_of_heating_and_cooling_counts() {
    let site = existing_house("0 VA")
        .choice("appliance#3", "appliance.kind", "central_heating")
        .measure("appliance#3", "appliance.rating", "15000 VA")
        .choice("appliance#4", "appliance.kind", "cooling")
        .measure("appliance#4", "appliance.current", "29 A")
        .choice("appliance#4", "appliance.volts", "240");
    assert!((load(&site) - 19_400.0).abs() < 1e-6, "{}", load(&site));
}

#[test]
fn what_is_ticked_must_be_listed() {
    let site = existing_house("11200 VA").choices(
        "site",
        "power.appliances",
        &["range", "water_heater", "dryer"],
    );
    assert_eq!(site.reason("power.capacity"), "power.capacity.not_listed");
    check(site, "power.capacity", Outcome::Open);
}

/// NEC 220.87: the greatest demand at 125 % (from memory) and the spa in full; a 30-day record is barred with solar or
/// peak shaving. 10,000 × 1.25 + 19,200 = 31,700 VA, 132.1 A.
#[test]
fn recorded_demand_needs_an_electricians_word() {
    let site = panel()
        .choice("site", "power.capacity_method", "recorded_220_87")
        .choice("site", "power.recording_period", "thirty_days")
        .yes("site", "power.solar_or_shaving", false)
        .measure("site", "power.recorded_demand", "10000 VA");
    assert!((load(&site) - 31_700.0).abs() < 1e-6);
    check(site.clone(), "power.capacity", Outcome::Tight);
    check(
        site.clone().attest("attest.power_capacity"),
        "power.capacity",
        Outcome::ClearAttested,
    );
    let solar = site.yes("site", "power.solar_or_shaving", true);
    assert_eq!(
        solar.reason("power.capacity"),
        "power.capacity.recording_barred"
    );
}

fn switch(water: &str, equipment: &str) -> TestSite {
    TestSite::new()
        .practice("within_sight", "50 ft")
        .practice("working_depth", "36 in")
        .yes("site", "disconnect.in_sight", true)
        .yes("site", "disconnect.readily_reached", true)
        .measure("site", "disconnect.from_water", water)
        .measure("site", "disconnect.from_equipment", equipment)
        .measure("site", "disconnect.working_depth", "4 ft")
}

/// NEC 680.13 (680.12 up to 2014), read on two pages that agree: within sight, at least 5 ft from the inside wall unless
/// a barrier gives that reach path.
#[test]
fn the_disconnect_stands_in_sight_and_out_of_reach() {
    check(switch("6 ft", "8 ft"), "power.disconnect", Outcome::Clear);
    let near = switch("4 ft", "8 ft");
    assert_eq!(near.missing("power.disconnect"), ["disconnect.barrier"]);
    for (barrier, expect) in [(true, Outcome::Clear), (false, Outcome::Short)] {
        check(
            near.clone().yes("site", "disconnect.barrier", barrier),
            "power.disconnect",
            expect,
        );
    }
    check(switch("6 ft", "60 ft"), "power.disconnect", Outcome::Short);
    check(
        switch("6 ft", "8 ft").yes("site", "disconnect.in_sight", false),
        "power.disconnect",
        Outcome::Short,
    );
    // Readily accessible, in the same row: no ladder, no lock, nothing to move.
    check(
        switch("6 ft", "8 ft").yes("site", "disconnect.readily_reached", false),
        "power.disconnect",
        Outcome::Short,
    );
    let mut remembered = switch("6 ft", "8 ft");
    remembered.practice.stated.clear();
    check(remembered, "power.disconnect", Outcome::Tight);
}

#[test]
fn ground_fault_protection_is_closed_by_an_electrician() {
    let kind = |kind: &str| TestSite::new().choice("site", "gfci.kind", kind);
    let each = kind("breaker_at_disconnect").yes("site", "gfci.each_circuit", true);
    check(each.clone(), "power.gfci", Outcome::Tight);
    check(
        each.attest("attest.power_gfci"),
        "power.gfci",
        Outcome::ClearAttested,
    );
    check(kind("none"), "power.gfci", Outcome::Short);
    check(kind("integral_listed"), "power.gfci", Outcome::Short);
}

fn on_grade(surface: &str) -> TestSite {
    TestSite::new()
        .spa(|spa| spa.rim_height = length("40 in"))
        .choice("site", "base.placing", "on_grade")
        .yes("site", "bonding.per_maker", true)
        .yes("site", "bonding.metal_near", false)
        .measure("site", "bonding.surface_height", surface)
}

/// NEC 680.42(B), read on two pages that agree: every condition, with the rim at least 28 in above all surfaces within
/// 30 in. The rim here is 40 in up.
#[test]
fn each_condition_of_the_exemption_counts() {
    check(on_grade("0 in"), "power.bonding", Outcome::Clear);
    check(on_grade("11 3/4 in"), "power.bonding", Outcome::Clear);
    check(on_grade("12 in"), "power.bonding", Outcome::Tight);
    let high = on_grade("16 in");
    assert_eq!(high.missing("power.bonding"), ["bonding.ring_planned"]);
    check(
        high.yes("site", "bonding.ring_planned", false),
        "power.bonding",
        Outcome::Short,
    );
    for placing in ["raised_deck", "vault", "partly_recessed", "indoors"] {
        let site = on_grade("0 in")
            .choice("site", "base.placing", placing)
            .yes("site", "bonding.ring_planned", true);
        check(site.clone(), "power.bonding", Outcome::Open);
        check(
            site.attest("attest.power_bonding"),
            "power.bonding",
            Outcome::ClearAttested,
        );
    }
    check(
        on_grade("0 in")
            .spa(|spa| spa.listing.indoor_only = true)
            .yes("site", "bonding.ring_planned", false),
        "power.bonding",
        Outcome::Short,
    );
    check(
        on_grade("0 in").yes("site", "bonding.metal_near", true),
        "power.bonding",
        Outcome::Open,
    );
}

/// NEC 680.22(A)(1): 6 to 20 ft; 680.43(A)(1), indoors: 6 to 10 ft.
#[test]
fn one_receptacle_stands_in_the_right_distance() {
    let at = |distance: &str, placing: &str| {
        TestSite::new()
            .choice("site", "base.placing", placing)
            .measure("site", "receptacle.from_water", distance)
            .yes("site", "receptacle.ground_fault", true)
    };
    for (distance, placing, expect) in [
        ("6 ft 1 in", "on_grade", Outcome::Clear),
        ("6 ft", "on_grade", Outcome::Tight),
        ("5 ft", "on_grade", Outcome::Short),
        ("19 ft", "on_grade", Outcome::Clear),
        ("21 ft", "on_grade", Outcome::Short),
        ("9 ft", "indoors", Outcome::Clear),
        ("12 ft", "indoors", Outcome::Short),
    ] {
        check(at(distance, placing), "power.receptacle", expect);
    }
}
