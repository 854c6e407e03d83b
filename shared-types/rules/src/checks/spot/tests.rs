//! The spot's checks against the standards they name and against measures worked out by hand.

use setdown_types::entry::Method;
use setdown_types::spa::{CoverKind, CoverSheet, Handed};

use crate::frame::result::Outcome;
use crate::frame::testing::{TestSite, length};

fn with_clearances(site: TestSite, foot: &str, others: &str) -> TestSite {
    site.measure("site", "spot.clear_foot", foot)
        .measure("site", "spot.clear_head", others)
        .measure("site", "spot.clear_left", others)
        .measure("site", "spot.clear_right", others)
}

fn facing_the_yard() -> TestSite {
    TestSite::new()
        .choice("site", "spot.service_direction", "away")
        .choices("site", "spot.ends_stay_clear", &["away", "yard_left"])
}

fn check(site: TestSite, key: &str, expect: Outcome) {
    let result = site.check(key);
    assert_eq!(
        result.would_be.unwrap_or(result.outcome),
        expect,
        "{key}: {:?}, missing {:?}",
        result.reason,
        site.missing(key)
    );
}

/// The sheet asks 36 in at the foot; the practice sheet's default for the other sides is 24 in (common practice, no
/// source); a tape's spread is 1/4 in.
#[test]
fn the_service_end_keeps_its_depth() {
    for (foot, others, expect) in [
        ("36 3/8 in", "24 3/8 in", Outcome::Clear),
        ("36 in", "3 ft", Outcome::Tight),
        ("35 5/8 in", "3 ft", Outcome::Short),
        ("4 ft", "23 in", Outcome::Short),
    ] {
        check(
            with_clearances(facing_the_yard(), foot, others),
            "spot.service",
            expect,
        );
    }
}

#[test]
fn a_side_without_equipment_may_be_accepted_and_the_service_end_may_not() {
    let close = with_clearances(facing_the_yard(), "4 ft", "6 in").choices(
        "site",
        "spot.sides_accepted",
        &["head", "left", "right", "foot"],
    );
    check(close.clone(), "spot.service", Outcome::Short);
    let signed = close.attest("spot.side_acceptance");
    check(signed.clone(), "spot.service", Outcome::Clear);
    check(
        signed.measure("site", "spot.clear_foot", "1 ft"),
        "spot.service",
        Outcome::Short,
    );
}

#[test]
fn the_service_end_must_face_where_it_can_stay_empty() {
    let site = with_clearances(facing_the_yard(), "4 ft", "4 ft");
    check(
        site.choice("site", "spot.service_direction", "house"),
        "spot.service",
        Outcome::Short,
    );
}

fn on_the_plat(distance: &str, method: Method) -> TestSite {
    let mut site = TestSite::new()
        .measure_by("site", "spot.setback_required", "5 ft", Method::Document)
        .yes("site", "spot.easement_clear", true)
        .yes("site", "spot.septic_clear", true);
    for side in ["head", "left", "right"] {
        let question = format!("spot.line_{side}");
        site = site.measure_by("site", &question, "30 ft", Method::Document);
    }
    site.measure_by("site", "spot.line_foot", distance, method)
}

/// Setback 5 ft, a document's spread 1 in on each of both.
#[test]
fn a_fence_is_no_property_line() {
    check(
        on_the_plat("6 ft", Method::Document),
        "spot.fits",
        Outcome::Clear,
    );
    check(
        on_the_plat("60 1/2 in", Method::Document),
        "spot.fits",
        Outcome::Tight,
    );
    check(
        on_the_plat("4 ft", Method::Document),
        "spot.fits",
        Outcome::Short,
    );
    let fence = on_the_plat("6 ft", Method::Tape);
    assert_eq!(fence.reason("spot.fits"), "spot.fits.not_from_plat");
    check(fence, "spot.fits", Outcome::Open);
    check(
        on_the_plat("6 ft", Method::Document).yes("site", "spot.easement_clear", false),
        "spot.fits",
        Outcome::Short,
    );
}

/// 42 in to the line keep 6 in over the 36 in before the service end (a plat is good to 1 in), but a setback of 35 in by
/// estimate, ± 12 in, may be 47 in.
#[test]
fn a_setback_known_badly_is_not_hidden_by_the_room() {
    let site = on_the_plat("3 ft 6 in", Method::Document).measure_by(
        "site",
        "spot.setback_required",
        "35 in",
        Method::Estimate,
    );
    check(site, "spot.fits", Outcome::Tight);
}

fn rolled_in(leading: &str, travel: &str) -> TestSite {
    TestSite::new()
        .choice("site", "spot.entry_side", "left")
        .choice("site", "spot.service_direction", "away")
        .choice("site", "spot.leading_end", leading)
        .choice("site", "spot.arrival_direction", travel)
}

/// Rolled away from the house foot first, the foot faces away. The unit ships 15 ft 10 in × 7 ft 10 in: its diagonal,
/// by Pythagoras, is 17 ft 8 in.
#[test]
fn the_end_that_goes_first_decides_where_the_service_end_faces() {
    check(rolled_in("foot", "away"), "spot.handed", Outcome::Clear);
    check(rolled_in("head", "house"), "spot.handed", Outcome::Clear);
    let wrong = rolled_in("head", "away");
    check(wrong.clone(), "spot.handed", Outcome::Open);
    assert_eq!(wrong.missing("spot.handed"), ["spot.turn_room"]);
    for (room, expect) in [("18 ft", Outcome::Clear), ("17 ft", Outcome::Short)] {
        check(
            wrong.clone().measure("site", "spot.turn_room", room),
            "spot.handed",
            expect,
        );
    }
    let lifted = TestSite::new()
        .choice("site", "way.chain", "lifted")
        .choice("site", "spot.entry_side", "left")
        .choice("site", "spot.service_direction", "house");
    check(lifted, "spot.handed", Outcome::Clear);
}

#[test]
fn version_and_entry_side_come_from_the_sheet() {
    let site = rolled_in("foot", "away").spa(|spa| spa.handed = Handed::Left);
    check(
        site.clone().choice("site", "spot.version_needed", "left"),
        "spot.handed",
        Outcome::Clear,
    );
    check(
        site.choice("site", "spot.version_needed", "right"),
        "spot.handed",
        Outcome::Short,
    );
    check(
        rolled_in("foot", "away").choice("site", "spot.entry_side", "foot"),
        "spot.handed",
        Outcome::Short,
    );
}

/// Foot away from the house: the left side is to the yard's right.
#[test]
fn the_entry_side_faces_where_people_come_from() {
    let site = TestSite::new()
        .choice("site", "spot.service_direction", "away")
        .choice("site", "spot.entry_side", "left")
        .choice("site", "spot.people_from", "yard_right")
        .measure("site", "spot.clear_left", "5 ft")
        .measure("site", "spot.steps_depth", "4 ft");
    check(site.clone(), "spot.entry", Outcome::Clear);
    check(
        site.clone().choice("site", "spot.people_from", "house"),
        "spot.entry",
        Outcome::Short,
    );
    check(
        site.clone().measure("site", "spot.steps_depth", "6 ft"),
        "spot.entry",
        Outcome::Short,
    );
    // With equipment behind the left side its 36 in stay free beyond the steps: 4 ft and 3 ft do not go into 5 ft.
    let served = site.spa(|spa| spa.service[0].side = setdown_types::spa::Side::Left);
    check(served, "spot.entry", Outcome::Short);
}

/// The cover stows 24 in deep at the head. Steps of 30 in there leave 54 in to have, unless both stand side by side.
#[test]
fn steps_and_stowed_cover_share_a_side_only_side_by_side() {
    let at = |side: &str, clear: &str| {
        TestSite::new()
            .choice("site", "cover.kind", "sectional")
            .choice("site", "spot.entry_side", side)
            .measure("site", "spot.steps_depth", "30 in")
            .measure("site", "spot.clear_head", clear)
    };
    check(at("left", "3 ft"), "spot.cover", Outcome::Clear);
    let shared = at("head", "3 ft");
    assert_eq!(shared.missing("spot.cover"), ["spot.steps_beside_cover"]);
    for (beside, clear, expect) in [
        (false, "3 ft", Outcome::Short),
        (false, "5 ft", Outcome::Clear),
        (true, "3 ft", Outcome::Clear),
    ] {
        check(
            at("head", clear).yes("site", "spot.steps_beside_cover", beside),
            "spot.cover",
            expect,
        );
    }
}

fn roof() -> CoverSheet {
    CoverSheet {
        kind: CoverKind::LiftingRoof,
        stow_depth: None,
        stow_side: None,
        lift_clearance: Some(length("7 ft")),
        footing: Some(length("10 in")),
        safety: None,
        locks: false,
        powered: false,
        tested_load: None,
    }
}

#[test]
fn a_lifting_roof_needs_height_and_footing() {
    let site = TestSite::new()
        .spa(|spa| spa.covers = vec![roof()])
        .choice("site", "cover.kind", "lifting_roof")
        .choice("site", "spot.cover_side", "head")
        .measure("site", "spot.clear_head", "24 in")
        .measure("site", "spot.height_above_rim", "8 ft");
    check(site.clone(), "spot.cover", Outcome::Clear);
    check(
        site.clone()
            .measure("site", "spot.height_above_rim", "6 ft"),
        "spot.cover",
        Outcome::Short,
    );
    check(
        site.measure("site", "spot.clear_head", "9 in"),
        "spot.cover",
        Outcome::Short,
    );
}

#[test]
fn a_cover_the_sheet_does_not_know_stays_open() {
    let site = TestSite::new().choice("site", "cover.kind", "rolled");
    assert_eq!(site.reason("spot.cover"), "spot.cover.not_on_sheet");
    check(site, "spot.cover", Outcome::Open);
}

fn wire(kind: &str, height: &str, across: &str) -> TestSite {
    TestSite::new()
        .spa(|spa| spa.rim_height = length("4 ft"))
        .yes("site", "spot.overhead_lines", true)
        .choices("site", "spot.overhead_kinds", &[kind])
        .measure_by(
            "site",
            &format!("spot.overhead_height_{kind}"),
            height,
            Method::Laser,
        )
        .measure("site", &format!("spot.overhead_across_{kind}"), across)
}

/// A telephone wire may hang at 14 ft 6 in; the house's service drop above it, at 20 ft, is 16 ft from the rim and needs
/// 22.5 ft (NEC 680.9).
#[test]
fn each_kind_of_wire_is_judged_by_its_own_distance() {
    let low = wire("communications", "14 ft 6 in", "0 ft");
    check(low.clone(), "spot.overhead", Outcome::Clear);
    let both = low.choices(
        "site",
        "spot.overhead_kinds",
        &["communications", "grounded_messenger"],
    );
    assert_eq!(
        both.missing("spot.overhead"),
        [
            "spot.overhead_across_grounded_messenger",
            "spot.overhead_height_grounded_messenger"
        ]
    );
    let drop = both
        .measure_by(
            "site",
            "spot.overhead_height_grounded_messenger",
            "20 ft",
            Method::Laser,
        )
        .measure("site", "spot.overhead_across_grounded_messenger", "0 ft");
    check(drop, "spot.overhead", Outcome::Short);
}

/// 40 ft by eye may be 30 ft: the utility or an instrument says, or a licensed person.
#[test]
fn a_wires_height_is_not_guessed() {
    let height = "spot.overhead_height_communications";
    for method in [Method::Estimate, Method::Seen, Method::Told, Method::Photo] {
        let guessed =
            wire("communications", "40 ft", "0 ft").measure_by("site", height, "40 ft", method);
        check(guessed.clone(), "spot.overhead", Outcome::Tight);
        check(
            guessed.attest("attest.spot_overhead"),
            "spot.overhead",
            Outcome::ClearAttested,
        );
    }
    let unsaid = TestSite::new()
        .yes("site", "spot.overhead_lines", true)
        .choices("site", "spot.overhead_kinds", &[]);
    check(unsaid, "spot.overhead", Outcome::Open);
}

/// NEC 680.9 (read on two pages that agree): bundled conductors on a grounded messenger 22.5 ft in any direction to the
/// water, communications 10 ft above it, within 10 ft sideways. The rim is 4 ft up.
#[test]
fn wires_keep_the_distances_of_nec_680_9() {
    for (kind, height, across, expect) in [
        ("grounded_messenger", "27 ft", "0 ft", Outcome::Clear),
        ("grounded_messenger", "26 ft", "0 ft", Outcome::Short),
        // 18 ft up and 13.5 ft across make 22.5 ft; outside the zone anyway.
        ("grounded_messenger", "20 ft", "12 ft", Outcome::Clear),
        ("grounded_messenger", "20 ft", "9 ft", Outcome::Short),
        ("communications", "14 ft 6 in", "0 ft", Outcome::Clear),
        ("communications", "13 ft", "5 ft", Outcome::Short),
        // Other kinds rest on a remembered table: never clear from it alone.
        ("other", "40 ft", "0 ft", Outcome::Tight),
        ("other", "20 ft", "0 ft", Outcome::Short),
    ] {
        check(wire(kind, height, across), "spot.overhead", expect);
    }
    let none = TestSite::new().yes("site", "spot.overhead_lines", false);
    check(none, "spot.overhead", Outcome::Clear);
}

#[test]
fn glass_near_the_water_is_safety_glass() {
    let site = TestSite::new()
        .yes("site", "spot.egress_blocked", false)
        .yes("site", "spot.glass_near", true);
    check(
        site.clone().yes("site", "spot.glass_safety", true),
        "spot.glazing",
        Outcome::Clear,
    );
    let plain = site.yes("site", "spot.glass_safety", false);
    let far = plain.clone().measure("site", "spot.glass_distance", "8 ft");
    // 60 in is from memory: far enough by it is not clear until the dealer or a licensed person says so.
    check(far.clone(), "spot.glazing", Outcome::Tight);
    check(
        far.clone().practice("glazing_distance", "60 in"),
        "spot.glazing",
        Outcome::Clear,
    );
    check(
        far.attest("attest.spot_glazing"),
        "spot.glazing",
        Outcome::ClearAttested,
    );
    check(
        plain.measure("site", "spot.glass_distance", "3 ft"),
        "spot.glazing",
        Outcome::Short,
    );
}

fn dry_spot(fall: &str) -> TestSite {
    TestSite::new()
        .choice("site", "base.placing", "on_grade")
        .yes("site", "spot.water_stands", false)
        .yes("site", "spot.drip_line", false)
        .yes("site", "spot.runoff_path", false)
        .yes("site", "spot.ground_hard", false)
        .yes("site", "spot.ground_freezes", false)
        .measure("site", "spot.ground_fall", fall)
}

/// IRC R401.3: 6 in in the first 10 ft, 5 %; hard surfaces 2 %. A level's spread is 0.3 %.
#[test]
fn the_ground_falls_away() {
    check(dry_spot("6 %"), "spot.water", Outcome::Clear);
    check(dry_spot("5 %"), "spot.water", Outcome::Tight);
    check(dry_spot("3 %"), "spot.water", Outcome::Short);
    check(
        dry_spot("3 %").yes("site", "spot.ground_hard", true),
        "spot.water",
        Outcome::Clear,
    );
    check(
        dry_spot("6 %").yes("site", "spot.water_stands", true),
        "spot.water",
        Outcome::Short,
    );
    check(
        TestSite::new().choice("site", "base.placing", "raised_deck"),
        "spot.water",
        Outcome::NotNeeded,
    );
}
