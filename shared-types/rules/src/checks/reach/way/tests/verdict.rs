//! A yard that is taped and worked out: clear, tight, short, and what counts towards it.

use std::sync::Arc;

use super::*;
use crate::frame::result::{Action as Task, Remedy};
use crate::motion::Answer;
use crate::motion::answer::{Limit, Verdict};
use crate::motion::moves::Action;

/// A unit 94 wide: 5 in on either side of a gate of 104, 2 in are needed.
#[test]
fn wide_gate_is_clear() {
    let result = check(&yard(104.0).worked_out(), Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin");
    let inches = margin.si / 0.0254;
    // Worked out: (104 - 94) / 2 - 2; half a tape's 1/4 in, a little less with what checks it.
    assert!((2.89..=3.0).contains(&inches), "{inches}");
    let spread = margin.spread / 0.0254;
    assert!((0.08..=0.13).contains(&spread), "{spread}");
    let said = lines(&result);
    for key in [
        "roll.way.proved",
        "roll.way.bounds",
        "roll.way.pinch",
        "roll.way.spreads",
    ] {
        assert!(said.contains(&key), "{said:?}");
    }
    let pinch = result.items[0]
        .working
        .iter()
        .find(|line| line.key == "roll.way.pinch");
    let against = &pinch.expect("a pinch").args[1].1;
    let fences = "fence beside the garage, fence beside the house";
    assert_eq!(*against, Arg::Text(fences.to_owned()));
}

/// 8 3/4 in on either side: more than the running clearance and what is of interest beyond it, 8 in in all.
#[test]
fn of_more_than_enough_room_only_enough_is_told() {
    let result = check(&yard(111.5).worked_out(), Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((5.89..=6.0).contains(&margin), "{margin}");
    let said = lines(&result);
    assert!(
        said.contains(&"roll.way.bounds_below") && !said.contains(&"roll.way.bounds"),
        "{said:?}"
    );
}

/// Worked out: (98 - 94) / 2 = 2 in, and 2 in are needed; the tape that helps is named.
#[test]
fn gate_with_nothing_to_spare_is_tight() {
    let result = check(&yard(98.0).worked_out(), Outcome::Tight, "roll.way.tight");
    assert!(
        lines(&result).contains(&"roll.way.next_tape"),
        "{:?}",
        lines(&result)
    );
}

#[test]
fn gate_that_leaves_too_little_is_short() {
    let result = check(&yard(96.0).worked_out(), Outcome::Short, "roll.way.short");
    assert!(lines(&result).contains(&"roll.way.proved"));
}

#[test]
fn gate_that_is_too_narrow_is_proved_shut() {
    let result = check(&yard(93.0).worked_out(), Outcome::Short, "roll.way.short");
    assert!(lines(&result).contains(&"roll.way.proved_shut"));
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((-2.51..=-2.39).contains(&margin), "{margin}");
}

/// The carriage stands out an inch on every side: a gate of 104 leaves 4 in, and 2 in are left over.
#[test]
fn carriage_counts() {
    let site = yard(104.0)
        .practice("carriage_overhang", "1 in")
        .worked_out();
    let result = check(&site, Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin").si / 0.0254;
    assert!((1.89..=2.0).contains(&margin), "{margin}");
}

/// The proof takes a carriage that rolls in every direction: round a corner fixed axles are not proved, straight ahead
/// they are, and where nothing gets through neither do they.
#[test]
fn fixed_axles_are_proved_straight_ahead_only() {
    let fixed = |site: TestSite| site.choice("site", "way.steers", "fixed_axle").worked_out();
    let every_way = |site: TestSite| site.choice("site", "way.steers", "every_way").worked_out();
    for (wide, reason) in [(160.0, "roll.way.roomy"), (140.0, "roll.way.clear")] {
        let round = || corner(wide, wide, (190.0, 94.0));
        check(&every_way(round()), Outcome::Clear, reason);
        let result = check(&fixed(round()), Outcome::Tight, "roll.way.fixed_axle");
        assert!(lines(&result).contains(&"roll.way.not_for_fixed_axle"));
        assert_eq!(result.items[0].remedy, Remedy::Doing);
        let task = |action: &Task| action.line.key == "roll.way.go_through_moves";
        assert!(result.actions.iter().any(task));
    }
    let straight = check(&fixed(yard(104.0)), Outcome::Clear, "roll.way.clear");
    assert!(lines(&straight).contains(&"roll.way.straight_throughout"));
    check(&fixed(yard(93.0)), Outcome::Short, "roll.way.short");
}

/// The same site with the solver's answer changed.
fn answered(site: &TestSite, change: impl FnOnce(&mut Answer)) -> TestSite {
    let built = site.build();
    let wanted = ledger::wanted(&site.input(&built)).expect("a question");
    let mut certified = site
        .ways
        .get(&wanted.digest)
        .expect("an answer")
        .as_ref()
        .clone();
    change(&mut certified.answer);
    let mut other = site.clone();
    other.ways = [Arc::new(certified)].into_iter().collect();
    other
}

/// What is not proved is not clear: the solver met its limit before it found anything, and its upper bound is only where
/// more room stops being of interest.
#[test]
fn nothing_proved_below_the_room_of_interest_is_not_clear() {
    let roomy = corner(160.0, 160.0, (190.0, 94.0)).worked_out();
    check(&roomy, Outcome::Clear, "roll.way.roomy");
    let nothing = |answer: &mut Answer| {
        assert_eq!(answer.limited_by, Limit::Cap);
        answer.verdict = Verdict::Undecided;
        answer.lower = None;
        answer.path.clear();
        answer.moves.clear();
        answer.pinches.clear();
    };
    let site = answered(&roomy, nothing);
    let result = check(&site, Outcome::Tight, "roll.way.undecided");
    assert!(lines(&result).contains(&"roll.way.bounds_unknown"));
    // Nothing is said to be there for fixed axles either.
    let fixed = answered(&roomy.choice("site", "way.steers", "fixed_axle"), nothing);
    check(&fixed, Outcome::Tight, "roll.way.undecided");
}

/// A move that goes a hundredth to the side holds its heading in the proof; on fixed axles the unit is turned that much
/// for it, and its corners swing out by a hundredth of half its diagonal.
#[test]
fn fixed_axles_that_drift_lose_what_the_ends_swing_out() {
    let straight = yard(104.0)
        .choice("site", "way.steers", "fixed_axle")
        .worked_out();
    let drifting = |aside: f64| {
        answered(&straight, |answer| {
            for one in &mut answer.moves {
                if let Action::Straight { forward, left } = &mut one.action {
                    *left = aside * forward.abs();
                }
            }
        })
    };
    let margin = |site: &TestSite| {
        let result = check(site, Outcome::Clear, "roll.way.clear");
        result.items[0].margin.expect("a margin").si / 0.0254
    };
    let lost = margin(&drifting(0.0)) - margin(&drifting(0.01));
    let half_diagonal = 0.5 * f64::hypot(190.0, 94.0);
    assert!((lost - 0.01 * half_diagonal).abs() < 0.02, "{lost}");
    check(&drifting(0.011), Outcome::Tight, "roll.way.fixed_axle");
}

/// Nobody said how the carriage rolls: that it is taken to roll every way is told. That nobody knows is no such word.
#[test]
fn how_it_rolls_is_taken_for_granted_aloud() {
    let round = || corner(140.0, 140.0, (190.0, 94.0));
    let unsaid = check(&round().worked_out(), Outcome::Clear, "roll.way.clear");
    assert!(lines(&unsaid).contains(&"roll.way.taken_as_every_way"));
    let unknown = round().dont_know("site", "way.steers").worked_out();
    check(&unknown, Outcome::Tight, "roll.way.fixed_axle");
    let straight = check(&yard(104.0).worked_out(), Outcome::Clear, "roll.way.clear");
    assert!(!lines(&straight).contains(&"roll.way.taken_as_every_way"));
}

/// A roof over the way counts from its underside up: 5 ft 2 in of unit, 8 in of carriage and 2 in of head room need 6 ft.
#[test]
fn roof_counts_where_it_is_low() {
    let corners = ['N', 'S', 'V'].map(name_of);
    let roofed = |underside: &str| {
        let corners = corners.each_ref().map(String::as_str);
        yard(104.0)
            .add("plan_line#9", "carport")
            .choice("plan_line#9", "plan_line.kind", "roof")
            .points("plan_line#9", "plan_line.points", &corners)
            .measure("plan_line#9", "plan_line.underside", underside)
            .worked_out()
    };
    let high = check(&roofed("8 ft"), Outcome::Clear, "roll.way.clear");
    assert!(lines(&high).contains(&"roll.way.passed_under"));
    check(&roofed("5 ft 11 in"), Outcome::Short, "roll.way.short");
    let unmeasured = yard(104.0)
        .add("plan_line#9", "carport")
        .choice("plan_line#9", "plan_line.kind", "roof")
        .points(
            "plan_line#9",
            "plan_line.points",
            &corners.each_ref().map(String::as_str),
        );
    assert_eq!(unmeasured.missing("roll.way"), ["plan_line.underside"]);
}

/// What is lower than nothing the unit carries is passed under, what hangs lower is not.
#[test]
fn wire_counts_where_it_hangs_low() {
    let wired = |height: &str| {
        yard(104.0)
            .add("plan_line#9", "service drop")
            .choice("plan_line#9", "plan_line.kind", "wire")
            .points(
                "plan_line#9",
                "plan_line.points",
                &[&name_of('N'), &name_of('S')],
            )
            .measure("plan_line#9", "plan_line.underside", height)
    };
    let listed = |height: &str| {
        wired(height)
            .add("overhead#1", "service drop")
            .choice("overhead#1", "overhead.kind", "line")
            .worked_out()
    };
    let high = check(&listed("12 ft"), Outcome::Clear, "roll.way.clear");
    assert!(lines(&high).contains(&"roll.way.passed_under"));
    // 5 ft 2 in of unit, 8 in of carriage, 2 in of head room: 6 ft.
    check(&listed("5 ft 11 in"), Outcome::Short, "roll.way.short");
    // Only what is listed overhead has its owner asked.
    let unlisted = wired("12 ft").worked_out();
    check(&unlisted, Outcome::Open, "roll.way.wire_not_listed");
}

/// A post 13 in beside the unit at its spot, taped to within 16 in: far more room than at the gate, and not sure.
#[test]
fn spot_that_is_not_sure_is_not_clear() {
    let post = |spread: &str| {
        let mut site = yard(104.0)
            .add("plan_point#20", "K")
            .add("plan_thing#1", "post")
            .choice("plan_thing#1", "plan_thing.kind", "post")
            .points("plan_thing#1", "plan_thing.centre", &["plan_point#20"])
            .exactly("plan_thing#1", "plan_thing.diameter", "6 in");
        // V at (250, 0), W at (350, 0), B at (400, -300): the post stands at (250, 63).
        for (number, (to, apart)) in [('V', "63 in"), ('W', "118.19 in"), ('B', "392.90 in")]
            .into_iter()
            .enumerate()
        {
            let tie = format!("tie#{}", 60 + number);
            site = site
                .tie(&tie, TieKind::Distance, &["plan_point#20", &name_of(to)])
                .measure_within(&tie, "tie.length", apart, spread);
        }
        site
    };
    let sure = post("1/4 in");
    check(&sure.worked_out(), Outcome::Clear, "roll.way.clear");
    let unsure = check(
        &post("16 in").worked_out(),
        Outcome::Tight,
        "roll.way.tight",
    );
    let said = lines(&unsure);
    assert!(said.contains(&"roll.way.spot_unsure"), "{said:?}");
}

/// A corridor with more room than is of interest, so that no place is narrow; but where the unit shall stand there are 12 in
/// to the wall, known to within 16 in, and nobody can shift it there to where there is more.
#[test]
fn roomy_corridor_is_not_clear_where_the_spot_is_not_sure() {
    let beside = |spread: &str| {
        // Half of 160, less half of 94, less 12.
        corner(160.0, 160.0, (190.0, 94.0))
            .choice("site", "plan.spot_side", "left")
            .measure_within("site", "plan.spot_left", "21 in", spread)
            .worked_out()
    };
    check(&beside("1/2 in"), Outcome::Clear, "roll.way.roomy");
    let unsure = check(&beside("16 in"), Outcome::Tight, "roll.way.tight");
    assert!(lines(&unsure).contains(&"roll.way.spot_unsure"));
    let margin = unsure.items[0].margin.expect("a margin");
    // 12 in, of which 2 are needed.
    assert!((margin.si / 0.0254 - 10.0).abs() < 1e-6, "{margin:?}");
    assert!((margin.spread / 0.0254 - 16.0).abs() < 0.1, "{margin:?}");
}

/// A spot 3 in from the end of the last leg, in a corridor with room: the end limits, and how sure that is hangs on the
/// leg's length and on the spot.
#[test]
fn end_that_limits_counts_with_the_spot() {
    let site = corner(150.0, 150.0, (140.0, 80.0))
        .measure_within("leg#2", "leg.length", "480 in", "0.5 in")
        .measure_within("site", "plan.spot_along", "407 in", "0.5 in")
        .worked_out();
    let result = check(&site, Outcome::Clear, "roll.way.clear");
    let margin = result.items[0].margin.expect("a margin");
    let inches = [margin.si / 0.0254, margin.spread / 0.0254];
    // 480 - 407 - 70 = 3 in, less 2 in; two readings of ±0.5 in, of which what the one tape is off cancels.
    assert!((0.89..=1.001).contains(&inches[0]), "{inches:?}");
    assert!((0.67..0.7072).contains(&inches[1]), "{inches:?}");
    assert!(lines(&result).contains(&"roll.way.pinch_at_spot"));
}
