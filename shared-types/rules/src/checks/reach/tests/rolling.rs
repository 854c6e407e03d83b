//! Rolling it: pull, hold back, crossfall, surface, the rig and the effort.

use super::*;

/// 4500 dry + 200 water + 250 skid + 300 carriage = 5250 lb.
#[test]
fn pull_and_hold_back_follow_statics() {
    // Mechanics: W(sinθ + c·cosθ) at c = 0.4 (small hard wheels, the high end) on 1 %: 5250·(0.01 + 0.4)/√1.0001 =
    // 2152.39 lbf keeps it moving. Starting takes half as much resistance again: 5250·(0.01 + 0.6)/√1.0001 = 3202.34.
    let (spare, _) = margin(&rolled(), "roll.pull");
    assert!(
        (spare / POUND_FORCE - (4000.0 - 3202.34)).abs() < 0.1,
        "{}",
        spare / POUND_FORCE
    );
    let pull = |site: TestSite, expect| check(site, "roll.pull", expect);
    pull(
        rolled().measure("site", "way.means_pull", "2000 lbf"),
        Short,
    );
    // Enough to keep it moving and not to start it.
    pull(
        rolled().measure("site", "way.means_pull", "2500 lbf"),
        Short,
    );
    let unstated = rolled().practice("start_extra", "0 %");
    let (spare, _) = margin(&unstated, "roll.pull");
    assert!((spare / POUND_FORCE - (4000.0 - 2152.39)).abs() < 0.1);
    // Steeper than 2 % the limit for the means decides too, and its default is remembered.
    let steep = || rolled().measure("leg#1", "leg.slope_along", "5 %");
    pull(steep(), Tight);
    pull(steep().practice("slope_limit_winch", "10 %"), Clear);
    pull(steep().practice("slope_limit_winch", "4 %"), Short);
    // W·sinθ at c = 0: 5250·0.05/√1.0025 = 262 lbf.
    let held = |rated| {
        steep()
            .practice("slope_limit_winch", "10 %")
            .measure("site", "way.hold_back_rated", rated)
    };
    pull(held("300 lbf"), Clear);
    pull(held("240 lbf"), Short);
    pull(
        steep()
            .choice("site", "way.hold_back", "hands")
            .count("site", "way.hands", 6),
        Short,
    );
    pull(rolled().yes("turn#1", "turn.level", false), Short);
    // Downhill it pulls less and is held back as hard; a ramp at a curb does not hide the steeper leg.
    let downhill = |site: TestSite| {
        site.practice("slope_limit_winch", "15 %")
            .measure("leg#1", "leg.slope_along", "-10 %")
            .measure("site", "way.hold_back_rated", "450 lbf")
    };
    pull(downhill(rolled()), Short);
    let curb = rolled()
        .yes("leg#1", "leg.curb", true)
        .measure("leg#1", "leg.curb_height", "2 in")
        .measure("leg#1", "leg.ramp_length", "4 ft");
    pull(downhill(curb), Short);
}

#[test]
fn a_measured_pull_beats_any_table() {
    // No value is published for small hard wheels on a dry lawn: only a trial or boards can settle it.
    let lawn = rolled().choice("leg#1", "leg.surface", "lawn_dry");
    check(lawn.clone(), "roll.pull", Open);
    assert!(
        lawn.missing("roll.pull")
            .contains(&"leg.breakaway_pull".to_owned())
    );
    check(
        lawn.clone().yes("leg#1", "leg.mats", true),
        "roll.pull",
        Clear,
    );
    let trial = |pull| {
        lawn.clone()
            .measure("leg#1", "leg.breakaway_pull", pull)
            .measure("leg#1", "leg.breakaway_load", "3000 lb")
    };
    // c = 0.5: 5250·0.51 = 2677 lbf against 4000.
    check(trial("1500 lbf"), "roll.pull", Clear);
    check(trial("2700 lbf"), "roll.pull", Short);
    // A trial with less than half of 5250 lb on the carriage says nothing, whatever it gave.
    let light = trial("500 lbf").measure("leg#1", "leg.breakaway_load", "2600 lb");
    check(light.clone(), "roll.pull", Open);
    assert_eq!(light.reason("roll.pull"), "roll.pull.trial_too_light");
}

/// A workplace safety guide after a study of 1991, one secondary page: 50 lbf to start, 25 lbf sustained, each.
#[test]
fn hands_clear_only_on_limits_that_the_dealer_states() {
    let hands = rolled()
        .choice("site", "way.means", "hands")
        .count("site", "way.hands", 8)
        .choice("site", "way.wheels", "pneumatic")
        .measure("leg#1", "leg.slope_along", "0 %");
    // 5250·0.02 = 105 lbf against 8 × 25, and 158 lbf to start against 8 × 50.
    check(hands.clone(), "roll.pull", Tight);
    assert_eq!(hands.reason("roll.pull"), "frame.remembered");
    let stated = hands
        .practice("hand_pull_start", "50 lbf")
        .practice("hand_pull_sustained", "25 lbf");
    check(stated.clone(), "roll.pull", Clear);
    check(
        stated.clone().count("site", "way.hands", 3),
        "roll.pull",
        Short,
    );
    check(
        stated.choice("site", "way.wheels", "small_hard"),
        "roll.pull",
        Short,
    );
}

/// Track 36 in, centre of gravity 28 + 8 in up: it tips at (18/36) = 50 %, half of that is allowed.
#[test]
fn crossfall_stays_far_from_tipping() {
    let crossfall = |site: TestSite, expect| check(site, "roll.crossfall", expect);
    let (spare, _) = margin(&rolled(), "roll.crossfall");
    assert!((spare - (0.25 - 0.015)).abs() < 1e-9);
    crossfall(rolled().measure("leg#1", "leg.crossfall", "30 %"), Short);
    crossfall(rolled().practice("carriage_track", "1 in"), Short);
    // Without a centre of gravity on the sheet one is guessed, and a guess turns nothing clear.
    crossfall(rolled().spa(|spa| spa.centre_of_gravity = None), Tight);
}

#[test]
fn the_surface_carries_or_is_made_to() {
    let surface = |site: TestSite, expect| check(site, "roll.surface", expect);
    surface(rolled().yes("leg#1", "leg.steps", true), Short);
    surface(
        rolled().choices("leg#1", "leg.hollow", &["septic_lid"]),
        Short,
    );
    surface(rolled().choices("leg#1", "leg.hollow", &[]), Open);
    surface(rolled().yes("leg#1", "leg.carries", false), Short);
    let lawn = rolled().choice("leg#1", "leg.surface", "lawn_soft");
    surface(lawn.clone(), Open);
    surface(lawn.clone().yes("leg#1", "leg.mats", false), Short);
    surface(lawn.clone().yes("leg#1", "leg.mats", true), Clear);
    // Mats on ground that does not carry, or of which nobody has said so, settle nothing.
    let mats = |site: TestSite| site.yes("leg#1", "leg.mats", true);
    surface(mats(lawn.clone()).yes("leg#1", "leg.carries", false), Short);
    surface(mats(lawn).without("leg#1", "leg.carries"), Open);
    // A curb of 6 in at 1 in 12 needs 6 ft.
    let curb = |ramp| {
        rolled()
            .yes("leg#1", "leg.curb", true)
            .measure("leg#1", "leg.curb_height", "6 in")
            .measure("leg#1", "leg.ramp_length", ramp)
    };
    surface(curb("7 ft"), Clear);
    surface(curb("5 ft"), Short);
}

/// Ten per cent down is held back harder than three.
#[test]
fn of_two_slopes_that_disagree_the_steeper_counts() {
    for (first, second) in [("-10 %", "-3 %"), ("-3 %", "-10 %")] {
        let site = rolled()
            .practice("slope_limit_winch", "15 %")
            .measure("site", "way.hold_back_rated", "450 lbf")
            .measure("leg#1", "leg.slope_along", first)
            .repeat("leg#1", "leg.slope_along", second);
        check(site, "roll.pull", Short);
    }
}

/// 60 ft of truck and trailer, 4 ft of tilt, 15 ft 10 in of unit, 10 ft of run-out: 89 ft 10 in. Common practice, no
/// source.
#[test]
fn the_rig_reaches_and_unloads() {
    let rig = |site: TestSite, expect| check(site, "roll.rig", expect);
    rig(
        rolled().measure("site", "street.unloading_length", "91 ft"),
        Clear,
    );
    rig(
        rolled().measure("site", "street.unloading_length", "89 ft"),
        Short,
    );
    // A crane takes it off the trailer: the truck's own length will do.
    let lifted = rolled().choice("site", "way.chain", "lifted");
    rig(
        lifted.measure("site", "street.unloading_length", "61 ft"),
        Clear,
    );
    rig(
        rolled().choice("site", "street.rig_access", "too_tight"),
        Short,
    );
    rig(
        rolled().choice("site", "street.grade_break", "grounds"),
        Short,
    );
    rig(rolled().yes("site", "street.truck_gets_in", true), Clear);
    rig(rolled().yes("site", "street.truck_gets_in", false), Tight);
    let under = |height| {
        rolled().yes("site", "street.overhead_any", true).measure(
            "site",
            "street.overhead_height",
            height,
        )
    };
    rig(under("13 ft 8 in"), Clear);
    rig(under("13 ft 4 in"), Short);
}

/// 60 ft at 20 min for 100 ft and one turn at 30 min: 42 min.
#[test]
fn effort_is_distance_and_turns() {
    let (spare, _) = margin(&rolled(), "roll.effort");
    assert!((spare / 60.0 - (480.0 - 42.0)).abs() < 1e-6);
    check(
        rolled().practice("effort_limit", "30 min"),
        "roll.effort",
        Short,
    );
}
