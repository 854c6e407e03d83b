//! Slings, straps and the maker's points.

use super::*;

/// Source: US Navy Seabee manual 14080, bridle hitch: 1000 lb on two legs gives 500 lb at 90°, 577 at 60°, 707 at 45°,
/// 1000 at 30°; four legs on a rigid load count as two.
#[test]
fn bridle_tension_agrees_with_the_published_table() {
    for (angle, pounds) in [
        ("90°", 500.0),
        ("60°", 577.0),
        ("45°", 707.0),
        ("30°", 1000.0),
    ] {
        for legs in [2, 4] {
            let site = thousand_pounds()
                .count("site", "lift.bridle_legs", legs)
                .measure("site", "lift.bridle_angle", angle);
            let spare = margin_of(&site, "lift.rigging", "of_bridle") / POUND_FORCE;
            assert!(
                (6000.0 - spare - pounds).abs() < 0.5,
                "{angle} {legs}: {spare}"
            );
        }
    }
}

/// 1000 lb below the hook, its centre of gravity midway between the lift points.
fn thousand_pounds() -> TestSite {
    let pounds =
        |text| crate::frame::testing::typed(setdown_types::quantity::Dimension::Mass, text);
    lifted()
        .spa(|spa| {
            spa.dry_weight = pounds("980 lb");
            spa.lifting.as_mut().unwrap().skid_weight = Some(pounds("0 lb"));
        })
        .practice("water_left", "0 lb")
        .practice("lift_load_allowance", "0 %")
        .measure("site", "lift.spreader_weight", "20 lb")
}

#[test]
fn rigging_follows_the_maker_and_refuses_flat_slings() {
    let rigging = |site: TestSite, expect| check(site, "lift.rigging", expect);
    let at = |angle| lifted().measure("site", "lift.bridle_angle", angle);
    rigging(at("29°"), Short);
    rigging(at("40°"), Tight);
    rigging(at("46°"), Clear);
    rigging(lifted().choice("site", "lift.uses", "makers_eyes"), Short);
    rigging(
        lifted().measure("site", "lift.spreader_width", "7 ft"),
        Short,
    );
    rigging(lifted().yes("site", "lift.edge_protection", false), Short);
    rigging(
        lifted().measure("site", "lift.strap_rated", "2000 lb"),
        Short,
    );
    rigging(lifted().spa(|spa| spa.lifting = None), Open);
    rigging(lifted().spa(|spa| spa.centre_of_gravity = None), Open);
    // The centre of gravity outside the lift points: it would tip.
    let tips = lifted().spa(|spa| {
        let centre = spa.centre_of_gravity.as_mut().unwrap();
        centre.from_service_end = crate::frame::testing::length("13 ft");
    });
    rigging(tips, Short);
    // Off-centre by moments: 9 ft 9 in is three quarters of the way from 3 ft to 12 ft, so one end takes 3/4.
    let off_centre = lifted().spa(|spa| {
        let centre = spa.centre_of_gravity.as_mut().unwrap();
        centre.from_service_end = crate::frame::testing::length("9 ft 9 in");
    });
    let spare = margin_of(&off_centre, "lift.rigging", "of_straps") / POUND_FORCE;
    assert!((6000.0 - spare - 0.75 * 5197.5).abs() < 0.5, "{spare}");
}

/// Statics: half of the heavier end on each side; squeeze V/tanα: at 46° 0.96569 of the share.
#[test]
fn sloping_straps_squeeze_the_rim() {
    let sloping = || {
        lifted()
            .choice("site", "lift.hung", "sloping")
            .measure("site", "lift.strap_angle", "46°")
    };
    // The maker gives no limit: it stays open until the maker is asked.
    check(sloping(), "lift.rigging", Open);
    let limited = |limit| {
        sloping().spa(|spa| {
            let force = setdown_types::quantity::Dimension::Force;
            let limit = crate::frame::testing::typed(force, limit);
            spa.lifting.as_mut().unwrap().rim_squeeze_limit = Some(limit);
        })
    };
    check(limited("1500 lbf"), "lift.rigging", Clear);
    check(limited("1000 lbf"), "lift.rigging", Short);
    let spare = margin_of(&limited("1500 lbf"), "lift.rigging", "of_squeeze") / POUND_FORCE;
    assert!(
        (1500.0 - spare - 0.25 * 0.965_69 * 5197.5).abs() < 0.5,
        "{spare}"
    );
    // A foot off centre on 7 ft 9 in: 0.5 + 1/7.75 = 0.62903 of the end on one side, half of 5197.5 lb on that end.
    let off = limited("1500 lbf").spa(|spa| {
        let centre = spa.centre_of_gravity.as_mut().unwrap();
        centre.off_centre = crate::frame::testing::length("1 ft");
    });
    let spare = margin_of(&off, "lift.rigging", "of_squeeze") / POUND_FORCE;
    let squeeze = 0.629_03 * 0.5 * 0.965_69 * 5197.5;
    assert!((1500.0 - spare - squeeze).abs() < 0.5, "{spare}");
    check(off, "lift.rigging", Short);
    // Beyond the edge it would tip off the straps.
    let beyond = limited("1500 lbf").spa(|spa| {
        let centre = spa.centre_of_gravity.as_mut().unwrap();
        centre.off_centre = crate::frame::testing::length("4 ft");
    });
    check(beyond, "lift.rigging", Short);
    // Sloping straps are held to the angles of a bridle: below 45° flat, below 30° refused.
    let at = |angle| limited("9000 lbf").measure("site", "lift.strap_angle", angle);
    check(at("40°"), "lift.rigging", Tight);
    check(at("29°"), "lift.rigging", Short);
    check(at("46°"), "lift.rigging", Clear);
}

#[test]
fn the_maker_is_asked_once() {
    let result = lifted().spa(|spa| spa.lifting = None).check("lift.rigging");
    let asked = result.actions.iter().map(|action| &action.line.key);
    assert_eq!(
        asked.filter(|key| *key == "lift.rigging.ask_maker").count(),
        1
    );
}
