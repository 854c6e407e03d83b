//! Water: filling by a measured flow, and where the water goes.

use crate::frame::result::Outcome;
use crate::frame::testing::TestSite;

/// The published arithmetic: 1,500 gal at 9 gal/min is 2.78 h (values.md section 5, fill time). 9 gal in 60 s.
#[test]
fn fifteen_hundred_gallons_at_nine_a_minute() {
    let site = TestSite::new()
        .spa(|spa| {
            spa.water = crate::frame::testing::typed(
                setdown_types::quantity::Dimension::Volume,
                "1500 gal",
            );
        })
        .choice("site", "water.source", "hose")
        .yes("site", "water.hose_reaches", true)
        .measure("site", "water.bucket", "9 gal")
        .measure("site", "water.bucket_time", "60 s");
    let result = site.check("water.fill");
    assert_eq!(result.outcome, Outcome::Clear);
    let margin = result.items.iter().find_map(|item| item.margin).unwrap();
    let hours = 24.0 - margin.si / 3600.0;
    assert!((hours - 2.78).abs() < 0.005, "{hours}");
}

#[test]
fn a_slow_tap_a_short_hose_and_a_truck() {
    let slow = TestSite::new()
        .choice("site", "water.source", "hose")
        .yes("site", "water.hose_reaches", true)
        .measure("site", "water.bucket", "5 gal");
    assert_eq!(slow.missing("water.fill"), ["water.bucket_time"]);
    // 1,800 gal: 24 h at 1.25 gal/min, so 5 gal in 4 min.
    for (time, expect) in [
        ("200 s", Outcome::Clear),
        ("240 s", Outcome::Tight),
        ("300 s", Outcome::Short),
        ("0 s", Outcome::Open),
    ] {
        let site = slow
            .clone()
            .measure_within("site", "water.bucket_time", time, "5 s");
        assert_eq!(site.outcome("water.fill"), expect, "{time}");
    }
    let no_bucket = slow
        .clone()
        .measure("site", "water.bucket", "0 gal")
        .measure("site", "water.bucket_time", "60 s");
    assert_eq!(no_bucket.reason("water.fill"), "frame.not_computable");
    let short_hose = slow.clone().yes("site", "water.hose_reaches", false);
    assert_eq!(short_hose.outcome("water.fill"), Outcome::Short);
    let truck = short_hose.choice("site", "water.source", "delivered");
    assert_eq!(truck.outcome("water.fill"), Outcome::Clear);
}

#[test]
fn emptying_needs_a_place_that_is_lower_or_a_pump() {
    let place = TestSite::new()
        .choice("site", "water.drain_place", "lawn_or_bed")
        .yes("site", "water.drain_runs_away", true)
        .yes("site", "water.drain_allowed", true)
        .yes("site", "water.drain_lower", true);
    assert_eq!(place.outcome("water.empty"), Outcome::Clear);
    let uphill = place.clone().yes("site", "water.drain_lower", false);
    assert_eq!(uphill.missing("water.empty"), ["water.pump_planned"]);
    for (question, answer) in [
        ("water.pump_planned", false),
        ("water.drain_allowed", false),
        ("water.drain_runs_away", false),
    ] {
        let site = uphill.clone().yes("site", question, answer);
        assert_eq!(site.outcome("water.empty"), Outcome::Short, "{question}");
    }
    let pump = uphill.yes("site", "water.pump_planned", true).measure(
        "site",
        "water.drain_flow",
        "30 gal/min",
    );
    assert_eq!(pump.outcome("water.empty"), Outcome::Clear);
    let nowhere = place.choice("site", "water.drain_place", "nowhere");
    assert_eq!(nowhere.outcome("water.empty"), Outcome::Short);
}
