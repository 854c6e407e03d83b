//! Cover and barrier: ASTM F1346 loads (485 lb wider than 8 ft, else 275 lb; read on two pages) and ISPSC 305.

use setdown_types::quantity::Dimension;

use crate::frame::result::Outcome;
use crate::frame::testing::{TestSite, length, typed};

fn covered(width: &str, tested: &str) -> TestSite {
    TestSite::new()
        .spa(|spa| {
            spa.bare.width = length(width);
            spa.covers[0].tested_load = Some(typed(Dimension::Mass, tested));
        })
        .choice("site", "cover.decided_as", "spa")
        .choice("site", "cover.protection", "lockable_cover")
        .choice("site", "cover.kind", "sectional")
}

/// F1346 7.1, 7.1.1, 9.1.1: eight feet exactly still takes the smaller load.
#[test]
fn wider_than_eight_feet_takes_the_larger_load() {
    for (width, tested, expect) in [
        ("8 ft", "275 lb", Outcome::Clear),
        ("8 ft", "274 lb", Outcome::Short),
        ("8 ft 1/16 in", "275 lb", Outcome::Short),
        ("8 ft 1/16 in", "485 lb", Outcome::Clear),
        ("8 ft 1/16 in", "484 lb", Outcome::Short),
    ] {
        let site = covered(width, tested);
        assert_eq!(site.outcome("cover.safety"), expect, "{width} {tested}");
    }
}

#[test]
fn the_official_and_the_sheet_decide() {
    let site = covered("7 ft 9 in", "275 lb");
    for (decided, protection, expect) in [
        ("spa", "lockable_cover", Outcome::Clear),
        // The sheet's sections are carried by hand.
        ("spa", "powered_cover", Outcome::Short),
        ("pool", "powered_cover", Outcome::Short),
        ("pool", "lockable_cover", Outcome::Short),
        ("not_asked", "lockable_cover", Outcome::Open),
    ] {
        let site = site
            .clone()
            .choice("site", "cover.decided_as", decided)
            .choice("site", "cover.protection", protection);
        assert_eq!(
            site.outcome("cover.safety"),
            expect,
            "{decided} {protection}"
        );
    }
    let powered = site
        .clone()
        .spa(|spa| spa.covers[0].powered = true)
        .choice("site", "cover.decided_as", "pool")
        .choice("site", "cover.protection", "powered_cover");
    assert_eq!(powered.outcome("cover.safety"), Outcome::Clear);
    let unlocked = site.clone().spa(|spa| spa.covers[0].locks = false);
    assert_eq!(unlocked.outcome("cover.safety"), Outcome::Short);
    let other = site
        .clone()
        .spa(|spa| spa.covers[0].safety = Some(setdown_types::spa::CoverStandard::Other));
    assert_eq!(other.outcome("cover.safety"), Outcome::Short);
    let silent = site.spa(|spa| {
        spa.covers[0].safety = None;
        spa.covers[0].tested_load = None;
    });
    assert_eq!(silent.outcome("cover.safety"), Outcome::Open);
    let word = silent.attest("attest.cover_safety");
    assert_eq!(word.outcome("cover.safety"), Outcome::ClearAttested);
}

fn fenced() -> TestSite {
    TestSite::new()
        .choice("site", "cover.decided_as", "pool")
        .choice("site", "cover.protection", "barrier")
        .measure("site", "barrier.height", "49 in")
        .measure("site", "barrier.gap_below", "1 in")
        .yes("site", "barrier.ground_soft", true)
        .measure("site", "barrier.opening", "3 in")
        .yes("site", "barrier.rails_close", false)
        .yes("site", "barrier.gate_opens_outward", true)
        .yes("site", "barrier.gate_closes_itself", true)
        .measure("site", "barrier.latch_height", "55 in")
        .yes("site", "barrier.uses_unit_wall", false)
        .yes("site", "barrier.uses_house_wall", false)
}

/// ISPSC 305.2 and 305.3 (read on two pages): 48 in, 2 or 4 in below, 4 or 1 3/4 in wide, latch 54 in.
#[test]
fn each_part_of_the_barrier_can_fail() {
    assert_eq!(fenced().outcome("cover.safety"), Outcome::Clear);
    for (question, text, expect) in [
        ("barrier.height", "48 in", Outcome::Tight),
        ("barrier.height", "47 in", Outcome::Short),
        ("barrier.gap_below", "3 in", Outcome::Short),
        ("barrier.opening", "4 1/2 in", Outcome::Short),
        ("barrier.latch_height", "50 in", Outcome::Open),
    ] {
        let site = fenced().measure("site", question, text);
        assert_eq!(site.outcome("cover.safety"), expect, "{question} {text}");
    }
    for (question, answer, expect) in [
        ("barrier.ground_soft", false, Outcome::Clear),
        ("barrier.rails_close", true, Outcome::Short),
        // ISPSC 305.3 (read on two pages): gates open outward.
        ("barrier.gate_opens_outward", false, Outcome::Short),
        ("barrier.gate_closes_itself", false, Outcome::Short),
        ("barrier.uses_unit_wall", true, Outcome::Open),
        ("barrier.uses_house_wall", true, Outcome::Open),
    ] {
        let site = fenced().yes("site", question, answer);
        assert_eq!(site.outcome("cover.safety"), expect, "{question}");
    }
    let stricter = fenced().practice("barrier_height", "60 in");
    assert_eq!(stricter.outcome("cover.safety"), Outcome::Short);
    let laxer =
        fenced()
            .practice("barrier_height", "36 in")
            .measure("site", "barrier.height", "40 in");
    assert_eq!(laxer.outcome("cover.safety"), Outcome::Short);
    for question in ["barrier.height", "barrier.opening", "barrier.ground_soft"] {
        let site = fenced().without("site", question);
        assert_eq!(site.missing("cover.safety"), [question]);
        assert_eq!(site.outcome("cover.safety"), Outcome::Open);
    }
}

/// The unit's wall is held to the barrier's 48 in, from the highest surface beside it.
#[test]
fn the_units_wall_is_as_high_as_a_barrier() {
    let wall = |rim: &str, surface: &str| {
        fenced()
            .spa(|spa| spa.rim_height = length(rim))
            .measure("site", "barrier.height", "60 in")
            .yes("site", "barrier.uses_unit_wall", true)
            .yes("site", "barrier.steps_locked", true)
            .measure("site", "bonding.surface_height", surface)
    };
    for (rim, surface, expect) in [
        ("38 in", "0 in", Outcome::Short),
        ("49 in", "0 in", Outcome::Clear),
        ("58 in", "12 in", Outcome::Short),
        ("48 in", "0 in", Outcome::Tight),
    ] {
        assert_eq!(wall(rim, surface).outcome("cover.safety"), expect, "{rim}");
    }
    let unmeasured = wall("58 in", "0 in").without("site", "bonding.surface_height");
    assert_eq!(
        unmeasured.missing("cover.safety"),
        ["bonding.surface_height"]
    );
}

#[test]
fn the_cover_can_be_handled() {
    let sections = TestSite::new()
        .choice("site", "cover.kind", "sectional")
        .yes("site", "cover.dry_place", true)
        .count("site", "cover.people", 2);
    assert_eq!(sections.outcome("cover.kind"), Outcome::Clear);
    let alone = sections.clone().count("site", "cover.people", 1);
    assert_eq!(alone.outcome("cover.kind"), Outcome::Short);
    let wet = sections.clone().yes("site", "cover.dry_place", false);
    assert_eq!(wet.outcome("cover.kind"), Outcome::Short);
    let rolled = sections.choice("site", "cover.kind", "rolled");
    assert_eq!(rolled.reason("cover.kind"), "cover.kind.not_on_sheet");
    let rolled = rolled.spa(|spa| spa.covers[0].kind = setdown_types::spa::CoverKind::Rolled);
    assert_eq!(rolled.missing("cover.kind"), ["cover.one_person"]);
    let roof = rolled
        .spa(|spa| spa.covers[0].kind = setdown_types::spa::CoverKind::LiftingRoof)
        .choice("site", "cover.kind", "lifting_roof");
    assert_eq!(
        roof.missing("cover.kind"),
        ["cover.keyed", "cover.posts_on_base"]
    );
}
