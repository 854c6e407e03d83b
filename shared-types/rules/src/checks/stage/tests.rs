//! The hold points' own conditions; today on the test site is 2026-06-01. Common practice, no source, unless stated.

use crate::frame::result::Outcome;
use crate::frame::testing::TestSite;

fn check(site: &TestSite, key: &str, expect: Outcome) {
    assert_eq!(site.outcome(key), expect, "{key}");
}

#[test]
fn nothing_is_clear_on_a_site_of_which_nothing_is_known() {
    let site = TestSite::new();
    for check in super::CHECKS {
        assert_eq!(site.outcome(check.key), Outcome::Open, "{}", check.key);
        assert!(!site.missing(check.key).is_empty(), "{}", check.key);
    }
}

#[test]
fn before_ordering() {
    let key = "stage.way_paid";
    let named = TestSite::new().choice("site", "order.way_paid_by", "shared");
    check(&named, key, Outcome::Open);
    check(
        &named
            .clone()
            .date("site", "order.way_paid_signed_on", 2026, 6, 1),
        key,
        Outcome::Clear,
    );
    check(
        &named.date("site", "order.way_paid_signed_on", 2026, 6, 2),
        key,
        Outcome::Open,
    );

    let key = "stage.permissions_known";
    let known = TestSite::new()
        .choice("site", "permit.building", "applied")
        .choice("site", "permit.electrical", "issued")
        .yes("site", "association.must_approve", false)
        .yes("site", "permit.street_needed", false)
        .yes("site", "neighbour.land_used", false);
    check(&known, key, Outcome::Clear);
    let refused = known.clone().choice("site", "permit.building", "refused");
    check(&refused, key, Outcome::Short);
    let association = known.yes("site", "association.must_approve", true);
    assert_eq!(association.missing(key), ["association.approval"]);
}

#[test]
fn before_digging_and_closing_in() {
    let key = "stage.stub_up";
    let marked = TestSite::new()
        .yes("site", "utilities.digging", true)
        .yes("site", "dig.stub_up_marked", true)
        .yes("site", "dig.conduit_marked", true);
    check(&marked, key, Outcome::Clear);
    check(
        &marked.clone().yes("site", "dig.conduit_marked", false),
        key,
        Outcome::Open,
    );
    check(
        &marked.clone().spa(|spa| spa.stub_up = None),
        key,
        Outcome::Open,
    );
    let no = marked.yes("site", "utilities.digging", false);
    assert_eq!(no.missing(key), ["base.kind", "base.placing"]);
    let on = |kind: &str| {
        no.clone()
            .choice("site", "base.placing", "on_grade")
            .choice("site", "base.kind", kind)
    };
    check(&on("existing_slab"), key, Outcome::NotNeeded);
    check(&on("slab"), key, Outcome::Open);

    let key = "stage.seen";
    let old_run = || TestSite::new().yes("site", "power.existing_run", true);
    let parts = old_run().choices("site", "close_in.parts", &["bonding", "conduit"]);
    let one = parts.photo("site", "close_in.photo_bonding");
    assert_eq!(one.missing(key), ["close_in.photo_conduit"]);
    check(
        &one.photo("site", "close_in.photo_conduit"),
        key,
        Outcome::Clear,
    );
    check(
        &old_run().choices("site", "close_in.parts", &[]),
        key,
        Outcome::Open,
    );
    check(
        &old_run().choices("site", "close_in.parts", &["none"]),
        key,
        Outcome::NotNeeded,
    );
    // "Nothing" does not stand beside a new run and a planned ring.
    let planned = old_run()
        .choices("site", "close_in.parts", &["none"])
        .yes("site", "power.existing_run", false)
        .yes("site", "bonding.ring_planned", true);
    assert_eq!(
        planned.missing(key),
        ["close_in.photo_bonding", "close_in.photo_conduit"]
    );

    let key = "stage.inspected";
    let passed = TestSite::new().choice("site", "close_in.inspection", "passed");
    check(
        &passed
            .clone()
            .date("site", "close_in.inspected_on", 2026, 6, 1),
        key,
        Outcome::Clear,
    );
    check(
        &passed.date("site", "close_in.inspected_on", 2026, 6, 2),
        key,
        Outcome::Open,
    );
    check(
        &TestSite::new().choice("site", "close_in.inspection", "failed"),
        key,
        Outcome::Short,
    );
    check(
        &TestSite::new().choice("site", "close_in.inspection", "not_yet"),
        key,
        Outcome::Open,
    );
}

/// Fourteen days and two days are checks.md's; a photo of the day before is within 48 hours at any hour.
#[test]
fn the_last_look_is_fresh_on_delivery_day() {
    let site = TestSite::new()
        .date("site", "deliver.date", 2026, 5, 30)
        .yes("site", "deliver.way_unchanged", true)
        .photo("site", "deliver.changed_photo");
    for (day, expect) in [
        (15, Outcome::Open),
        (16, Outcome::Clear),
        (30, Outcome::Clear),
        (31, Outcome::Open),
    ] {
        let site = site
            .clone()
            .date("site", "deliver.way_measured_on", 2026, 5, day);
        check(&site, "stage.way_again", expect);
    }
    for (day, expect) in [
        (28, Outcome::Open),
        (29, Outcome::Clear),
        (30, Outcome::Clear),
        (31, Outcome::Open),
    ] {
        let site = site
            .clone()
            .date("site", "deliver.changed_photo_on", 2026, 5, day);
        check(&site, "stage.what_changed", expect);
        // What was fresh on the day of delivery stays so: signatures do not lapse afterwards.
        check(&site.today(2027, 1, 1), "stage.what_changed", expect);
    }
    let changed = site.yes("site", "deliver.way_unchanged", false);
    check(&changed, "stage.way_again", Outcome::Short);
}

#[test]
fn the_way_says_who_is_booked() {
    let day = TestSite::new()
        .date("site", "deliver.date", 2026, 6, 9)
        .yes("site", "deliver.crew_booked", true);
    check(
        &day.clone().choice("site", "way.chain", "rolled"),
        "stage.booked",
        Outcome::Clear,
    );
    let lifted = day.choice("site", "way.chain", "lifted");
    assert_eq!(lifted.missing("stage.booked"), ["deliver.crane_booked"]);
    check(
        &lifted.yes("site", "deliver.crane_booked", false),
        "stage.booked",
        Outcome::Open,
    );
}

#[test]
fn before_filling() {
    // The sheet allows 1/4 in; a level reads to 1/16 in.
    for (fall, expect) in [
        ("1/8 in", Outcome::Clear),
        ("1/4 in", Outcome::Tight),
        ("3/8 in", Outcome::Short),
    ] {
        let site = TestSite::new()
            .measure_within("site", "fill.as_set_fall", fall, "1/16 in")
            .yes("site", "fill.bears_fully", true);
        check(&site, "stage.set_level", expect);
    }
    let word = TestSite::new().attest("fill.power_inspection");
    check(
        &word.clone().yes("site", "fill.power_off", true),
        "stage.power_off",
        Outcome::Clear,
    );
    check(
        &word.yes("site", "fill.power_off", false),
        "stage.power_off",
        Outcome::Short,
    );
    let frost = TestSite::new().yes("site", "fill.frost", true);
    assert_eq!(frost.missing("stage.frost"), ["fill.power_same_day"]);
    check(
        &frost.yes("site", "fill.power_same_day", false),
        "stage.frost",
        Outcome::Short,
    );
    check(
        &TestSite::new().yes("site", "fill.frost", false),
        "stage.frost",
        Outcome::Clear,
    );
}

#[test]
fn filled_then_energised_then_tested() {
    let filled = TestSite::new().date("site", "start.filled_on", 2026, 4, 20);
    check(
        &filled
            .clone()
            .date("site", "start.energised_on", 2026, 4, 19),
        "stage.energised",
        Outcome::Short,
    );
    let live = filled.date("site", "start.energised_on", 2026, 4, 20);
    check(&live, "stage.energised", Outcome::Clear);
    // The test site's attestations are of 2026-05-01.
    check(
        &live.attest("start.ground_fault_test"),
        "stage.ground_fault",
        Outcome::Clear,
    );
    let later = TestSite::new()
        .date("site", "start.energised_on", 2026, 5, 2)
        .attest("start.ground_fault_test");
    check(&later, "stage.ground_fault", Outcome::Open);
}

/// IRC R318.7.5 (was R311.7.5): 7 3/4 in, 3/8 in, 10 in.
#[test]
fn the_entry_as_built() {
    for (largest, smallest, tread, expect) in [
        // Entered the wrong way round: the riser of 9 in is over 7 3/4 in all the same.
        ("6 in", "9 in", "10 1/2 in", Outcome::Short),
        ("7 3/8 in", "7 1/2 in", "10 1/2 in", Outcome::Clear),
        ("7 1/2 in", "7 3/8 in", "10 1/2 in", Outcome::Clear),
        ("8 in", "7 7/8 in", "10 1/2 in", Outcome::Short),
        ("7 1/2 in", "7 in", "10 1/2 in", Outcome::Short),
        ("7 1/2 in", "7 3/8 in", "9 1/2 in", Outcome::Short),
        ("7 3/4 in", "7 3/4 in", "10 1/2 in", Outcome::Tight),
    ] {
        let site = TestSite::new()
            .measure_within("site", "built.largest_riser", largest, "1/16 in")
            .measure_within("site", "built.smallest_riser", smallest, "1/16 in")
            .measure_within("site", "built.smallest_tread", tread, "1/16 in")
            .count("site", "built.risers", 4)
            .yes("site", "built.handrail_and_guard", true);
        check(&site, "stage.entry_built", expect);
    }
}

/// A deck level with the unit's platform has no riser to measure; one step has neither tread nor difference. Neither is
/// believed where the rise asks for more: 31 in are four risers of 7 3/4 in.
#[test]
fn an_entry_with_one_step_or_none_can_be_finished() {
    let key = "stage.entry_built";
    let built = |risers, rise| {
        TestSite::new()
            .count("site", "built.risers", risers)
            .measure("site", "entry.rise", rise)
            .yes("site", "built.handrail_and_guard", true)
    };
    check(&built(0, "0 in"), key, Outcome::Clear);
    check(&built(0, "7 in"), key, Outcome::Open);
    let one = built(1, "7 in");
    assert_eq!(one.missing(key), ["built.largest_riser"]);
    check(
        &one.measure("site", "built.largest_riser", "7 in"),
        key,
        Outcome::Clear,
    );
    let too_few = built(1, "31 in").measure("site", "built.largest_riser", "7 in");
    check(&too_few, key, Outcome::Open);
}

/// Whoever took the photo takes it again: the homeowner, whose question it is.
#[test]
fn a_stale_photo_is_the_homeowners_task() {
    let site = TestSite::new()
        .date("site", "deliver.date", 2026, 5, 30)
        .photo("site", "deliver.changed_photo")
        .date("site", "deliver.changed_photo_on", 2026, 5, 1);
    let check = site.check("stage.what_changed");
    let parties: Vec<_> = check.actions.iter().map(|action| action.party).collect();
    assert_eq!(parties, [setdown_types::party::Party::Homeowner]);
}

/// The table "Hold points" of the design, check by check: what each may not start without.
#[test]
fn each_hold_point_names_what_its_row_says() {
    use crate::frame::result::HoldPoint::{CloseIn, Deliver, Dig, Fill, FirstUse, Order, Start};
    let rows: &[(_, &[&str])] = &[
        (
            Order,
            &[
                "way.chosen",
                "spot.fits",
                "spot.service",
                "power.supply",
                "power.spaces",
                "power.capacity",
                "base.kind",
                "base.ground",
                "cover.kind",
                "vault.assessed",
                "stage.permissions_known",
                "stage.way_paid",
            ],
        ),
        (
            Dig,
            &[
                "base.design",
                "vault.assessed",
                "permission.utilities",
                "entry.steps",
                "entry.guard",
                "cover.kind",
                "cover.safety",
                "stage.stub_up",
                "power.bonding",
            ],
        ),
        (CloseIn, &["stage.seen", "stage.inspected", "power.bonding"]),
        (
            Deliver,
            &[
                "base.level",
                "base.cured",
                "way.chosen",
                "stage.way_again",
                "stage.what_changed",
                "stage.booked",
                "roll.rig",
                "stage.arrival_sheet",
                "stage.weather_rule",
                "permission.street",
                "permission.hours",
                "permission.neighbour",
                "permission.insurance",
            ],
        ),
        (
            Fill,
            &[
                "stage.power_off",
                "stage.barrier_there",
                "base.level",
                "stage.set_level",
                "stage.frost",
            ],
        ),
        (Start, &["stage.energised", "stage.ground_fault"]),
        (
            FirstUse,
            &[
                "power.bonding",
                "cover.safety",
                "stage.cover_locks",
                "entry.steps",
                "entry.guard",
                "stage.entry_built",
                "stage.hand_over",
            ],
        ),
    ];
    for (point, keys) in rows {
        for key in *keys {
            let check = crate::checks::find(key).unwrap_or_else(|| panic!("no check {key}"));
            assert!(check.hold_points.contains(point), "{point:?} {key}");
        }
    }
}
