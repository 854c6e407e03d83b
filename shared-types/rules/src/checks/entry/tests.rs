//! Steps and guard at the limits of IRC R318.7 (was R311.7) and R321.1 (was R312), read in the text.

use crate::frame::result::{Arg, Outcome};
use crate::frame::testing::TestSite;

fn site(rise: &str, room: &str) -> TestSite {
    TestSite::new()
        .practice("step_over_highest", "30 in")
        .choice("site", "entry.kind", "deck")
        .exactly("site", "entry.rise", rise)
        .measure("site", "entry.run_available", room)
        .yes("site", "entry.handrail", true)
        .measure("site", "entry.step_over", "20 in")
        .yes("site", "entry.handhold", true)
}

fn risers(site: &TestSite, key: &str) -> Option<i64> {
    let result = site.check("entry.steps");
    let lines = result.items.iter().flat_map(|item| &item.working);
    let mut counts = lines
        .filter(|line| line.key == key)
        .flat_map(|line| &line.args)
        .filter_map(|(name, arg)| match arg {
            Arg::Count(count) if name == "risers" => Some(*count),
            _ => None,
        });
    counts.next()
}

/// Risers of at most 7 3/4 in: 31 in is four, a hair more is five.
#[test]
fn risers_are_counted_up() {
    for (rise, expect) in [
        ("7 3/4 in", 1),
        ("23 1/4 in", 3),
        ("31 in", 4),
        ("31 1/16 in", 5),
    ] {
        let site = site(rise, "20 ft");
        assert_eq!(risers(&site, "entry.steps.flight"), Some(expect), "{rise}");
        assert_eq!(site.outcome("entry.steps"), Outcome::Clear, "{rise}");
    }
}

/// A tape's spread can ask for one riser more: that one counts for the room.
#[test]
fn the_high_end_of_the_rise_counts() {
    let taped = site("31 in", "20 ft").measure("site", "entry.rise", "31 in");
    assert_eq!(risers(&taped, "entry.steps.flight"), Some(4));
    assert_eq!(risers(&taped, "entry.steps.flight_high"), Some(5));
}

/// Four risers have three treads of 10 in: 30 in; a platform adds a landing of 36 in (R318.7.6).
#[test]
fn the_flight_needs_room() {
    for (room, expect) in [
        ("31 in", Outcome::Clear),
        ("30 in", Outcome::Tight),
        ("29 in", Outcome::Short),
    ] {
        assert_eq!(site("31 in", room).outcome("entry.steps"), expect, "{room}");
    }
    for (room, expect) in [("67 in", Outcome::Clear), ("65 in", Outcome::Short)] {
        let platform = site("31 in", room).choice("site", "entry.kind", "platform");
        assert_eq!(platform.outcome("entry.steps"), expect, "{room}");
    }
}

/// A handrail from four risers on (R318.7.8, was R311.7.8).
#[test]
fn four_risers_ask_for_a_handrail() {
    let four = site("31 in", "20 ft").without("site", "entry.handrail");
    assert_eq!(four.missing("entry.steps"), ["entry.handrail"]);
    let three = site("23 1/4 in", "20 ft").without("site", "entry.handrail");
    assert_eq!(three.outcome("entry.steps"), Outcome::Clear);
    let none = four.yes("site", "entry.handrail", false);
    assert_eq!(none.outcome("entry.steps"), Outcome::Short);
}

/// The step over the rim is judged by itself, and clears only by a limit that the dealer states.
#[test]
fn the_step_over_stands_apart() {
    let high = site("31 in", "20 ft").measure("site", "entry.step_over", "40 in");
    assert_eq!(high.outcome("entry.steps"), Outcome::Short);
    let mut unstated = site("31 in", "20 ft");
    unstated.practice.stated.clear();
    assert_eq!(unstated.outcome("entry.steps"), Outcome::Tight);
    assert_eq!(unstated.reason("entry.steps"), "frame.remembered");
    let no_hold = site("31 in", "20 ft").yes("site", "entry.handhold", false);
    assert_eq!(no_hold.outcome("entry.steps"), Outcome::Short);
}

/// More than 30 in needs a guard of at least 36 in that stops a 4 in ball (R321.1.1 to .3, was R312).
#[test]
fn a_guard_above_thirty_inches() {
    let drop = |text| TestSite::new().measure("site", "entry.drop", text);
    assert_eq!(drop("29 1/2 in").outcome("entry.guard"), Outcome::Clear);
    assert_eq!(drop("30 in").missing("entry.guard"), ["entry.guard"]);
    let without = |text| drop(text).yes("site", "entry.guard", false);
    assert_eq!(without("30 in").outcome("entry.guard"), Outcome::Tight);
    assert_eq!(without("31 in").outcome("entry.guard"), Outcome::Short);
    for (height, ball, expect) in [
        ("37 in", true, Outcome::Clear),
        ("36 in", true, Outcome::Tight),
        ("35 in", true, Outcome::Short),
        ("37 in", false, Outcome::Short),
    ] {
        let site = drop("40 in")
            .yes("site", "entry.guard", true)
            .measure("site", "entry.guard_height", height)
            .yes("site", "entry.guard_ball_stops", ball);
        assert_eq!(site.outcome("entry.guard"), expect, "{height} {ball}");
    }
}
