//! Which answer counts, how well, and what a licensed person's word can and cannot close.

use super::*;

#[test]
fn repeats_that_disagree_use_the_adverse_one_and_are_never_clear() {
    let key = "roll.openings";
    assert_eq!(gate().outcome(key), Outcome::Clear);
    // Within the spreads of two tapes (1/4 in each): 0.354 in.
    let agree = gate().repeat("opening#1", "opening.width_hip", "8 ft 11 11/16 in");
    assert_eq!(agree.outcome(key), Outcome::Clear);
    // Both would be clear by themselves; they disagree.
    let disagree = gate().repeat("opening#1", "opening.width_hip", "8 ft 10 in");
    assert_eq!(disagree.outcome(key), Outcome::Tight);
    assert_eq!(disagree.reason(key), "frame.disputed");
    let result = disagree.check(key);
    assert!(
        result
            .needs
            .iter()
            .any(|need| need.state == NeedState::Disputed)
    );
    let settles: Vec<_> = disagree
        .assess()
        .tasks
        .into_iter()
        .filter(|task| task.line.key == "frame.task.settle")
        .collect();
    assert!(settles.iter().any(|task| {
        task.party == Party::Office
            && task
                .streams
                .iter()
                .any(|stream| stream.question == "opening.width_hip")
    }));
    // The smaller width is the adverse one, whichever came first.
    for (first, second) in [("9 ft", "8 ft"), ("8 ft", "9 ft")] {
        let site = gate()
            .measure("opening#1", "opening.width_hip", first)
            .repeat("opening#1", "opening.width_hip", second);
        assert_eq!(site.outcome(key), Outcome::Short, "{first}, {second}");
    }
    // Where the larger is worse, the larger counts.
    let deck = TestSite::new()
        .measure("site", "entry.drop", "40 in")
        .repeat("site", "entry.drop", "20 in")
        .yes("site", "entry.guard", false);
    assert_eq!(deck.outcome("entry.guard"), Outcome::Short);
}

#[test]
fn an_attestation_closes_what_is_open_but_never_what_is_short() {
    let none = TestSite::new().choice("site", "gfci.kind", "none");
    let none = none.spa(|spa| spa.supply.truncate(1));
    assert_eq!(none.outcome("power.gfci"), Outcome::Short);
    let word = none.attest("attest.power_gfci");
    assert_eq!(word.outcome("power.gfci"), Outcome::Short);
    let open = TestSite::new().attest("attest.power_gfci");
    assert_eq!(open.outcome("power.gfci"), Outcome::ClearAttested);
}

#[test]
fn a_remembered_limit_warns_and_clears_only_once_it_is_stated() {
    let steps = |rim: &str| {
        TestSite::new()
            .choice("site", "entry.kind", "deck")
            .measure("site", "entry.rise", "20 in")
            .measure("site", "entry.run_available", "10 ft")
            .measure("site", "entry.step_over", rim)
            .yes("site", "entry.handhold", true)
    };
    assert_eq!(steps("20 in").outcome("entry.steps"), Outcome::Tight);
    assert_eq!(steps("50 in").outcome("entry.steps"), Outcome::Short);
    let tasks = steps("20 in").assess().tasks;
    assert!(tasks.iter().any(|task| task.party == Party::Office
        && task.line.key == "frame.task.state_limit"
        && task.reason == TaskReason::Check("entry.steps".into())));
    let stated = steps("20 in").practice("step_over_highest", "30 in");
    assert_eq!(stated.outcome("entry.steps"), Outcome::Clear);
}

#[test]
fn the_way_not_chosen_is_worked_out_and_never_counts() {
    let narrow = gate().measure("opening#1", "opening.width_hip", "5 ft");
    let rolled = narrow
        .clone()
        .choice("site", "way.chain", "rolled")
        .assess();
    assert_eq!(
        rolled.check("roll.openings").unwrap().outcome,
        Outcome::Short
    );
    let lifted = narrow.choice("site", "way.chain", "lifted").assess();
    let openings = lifted.check("roll.openings").unwrap();
    assert_eq!(openings.outcome, Outcome::NotNeeded);
    assert_eq!(openings.would_be, Some(Outcome::Short));
    assert!(openings.items.iter().any(|item| item.margin.is_some()));
    let order = point(&lifted, HoldPoint::Order);
    assert!(
        order
            .checks
            .iter()
            .all(|key| !key.starts_with("roll.openings"))
    );
    assert!(order.checks.iter().any(|key| key == "lift.chart"));
    assert!(
        lifted
            .tasks
            .iter()
            .all(|task| task.reason != TaskReason::Check("roll.openings".into()))
    );
    let walked = walk(
        &gate().choice("site", "way.chain", "lifted").build(),
        &lifted.checks,
        Role::Coordinator,
    );
    assert!(
        walked
            .iter()
            .all(|stop| stop.stream.question != "opening.width_head")
    );
}

#[test]
fn every_licensed_check_has_its_question() {
    let all: Vec<&str> = setdown_types::question::all().map(|row| row.key).collect();
    for check in crate::checks::all().filter(|check| check.licensed) {
        let question = check.attestation_question();
        assert!(all.contains(&question.as_str()), "{question}");
    }
}

#[test]
fn facts_that_disagree_settle_nothing() {
    let key = "permission.utilities";
    let on_a_slab_that_is_there = || {
        TestSite::new()
            .choice("site", "base.placing", "on_grade")
            .choice("site", "base.kind", "existing_slab")
    };
    let no_digging = on_a_slab_that_is_there().yes("site", "utilities.digging", false);
    assert_eq!(no_digging.outcome(key), Outcome::NotNeeded);
    let said_yes = on_a_slab_that_is_there()
        .yes("site", "utilities.digging", true)
        .repeat_answer("site", "utilities.digging", Value::YesNo(false));
    assert_eq!(said_yes.outcome(key), Outcome::Tight);
    assert_eq!(said_yes.reason(key), "frame.disputed");
    let agreed = no_digging.repeat_answer("site", "utilities.digging", Value::YesNo(false));
    assert_eq!(agreed.outcome(key), Outcome::NotNeeded);
}

#[test]
fn an_attestation_does_not_cover_up_readings_that_disagree() {
    let site = TestSite::new()
        .choice("site", "cover.decided_as", "spa")
        .choice("site", "cover.protection", "lockable_cover")
        .choice("site", "cover.kind", "sectional")
        .attest("attest.cover_safety");
    assert_eq!(site.outcome("cover.safety"), Outcome::ClearAttested);
    let disputed = site.repeat_answer("site", "cover.decided_as", Value::Choice("spa".to_owned()));
    assert_eq!(disputed.outcome("cover.safety"), Outcome::ClearAttested);
    let disputed = disputed.repeat_answer(
        "site",
        "cover.decided_as",
        Value::Choice("not_asked".to_owned()),
    );
    assert!(!disputed.outcome("cover.safety").settled());
}

/// A level reads to 1/16 in: two readings 1/16 in apart agree, 1/4 in apart they do not.
#[test]
fn level_readings_repeat_within_their_spreads() {
    let level = |height: i64| {
        Value::Level(setdown_types::value::LevelPoint {
            along: 0,
            across: 0,
            height,
            typed: String::new(),
        })
    };
    let once = TestSite::new().answer(
        "level_point#1",
        "level_point.height",
        level(0),
        Method::Level,
    );
    for (height, expect) in [(1_587_500, false), (6_350_000, true)] {
        let site = once
            .clone()
            .repeat_answer("level_point#1", "level_point.height", level(height));
        let disputed = site
            .check("base.level")
            .needs
            .iter()
            .any(|need| need.state == NeedState::Disputed);
        assert_eq!(disputed, expect, "{height}");
    }
}

/// A guess of 60 ft at the practice sheet's 25 % is 15 ft out, of 2 ft at least 12 in; a picture at 5 % of 60 ft is
/// 3 ft out. A class II tape at 200 ft (60.96 m, rounded up 61 m): 0.3 + 0.2·61 = 12.5 mm (2014/32/EU, MI-008).
#[test]
fn a_guess_is_out_by_a_share_of_itself() {
    let practice = setdown_types::practice::PracticeSheet::default();
    let feet = |method, length: f64| {
        let dimension = setdown_types::quantity::Dimension::Length;
        super::super::spread::by_method(&practice, method, dimension, length * 0.3048) / 0.3048
    };
    assert!((feet(Method::Estimate, 60.0) - 15.0).abs() < 1e-9);
    assert!((feet(Method::Told, 60.0) - 15.0).abs() < 1e-9);
    assert!((feet(Method::Estimate, 2.0) - 1.0).abs() < 1e-9);
    assert!((feet(Method::Photo, 60.0) - 3.0).abs() < 1e-9);
    assert!((feet(Method::Photo, 2.0) - 0.25).abs() < 1e-9);
    assert!((feet(Method::Tape, 200.0) * 0.3048 - 0.0125).abs() < 1e-9);
}

/// A spread of nothing stated by hand is that of a class II tape at least: 0.3 + 0.2·3 = 0.9 mm at 8 ft 2 in. What is
/// left over here is 1/32 in, 0.8 mm.
#[test]
fn no_tape_is_without_a_spread() {
    let exact = gate().measure_within("opening#1", "opening.width_hip", "8 ft 2 1/32 in", "0 in");
    assert_eq!(exact.outcome("roll.openings"), Outcome::Tight);
    let drawn = gate().exactly("opening#1", "opening.width_hip", "8 ft 2 1/32 in");
    assert_eq!(drawn.outcome("roll.openings"), Outcome::Clear);
}

/// What arrives of the wrong dimension, below zero, or with a choice that is not on the list says nothing.
#[test]
fn an_answer_that_its_question_does_not_take_is_not_understood() {
    use setdown_types::quantity::{Dimension, Measure};
    let measure = |dimension, base| {
        Value::Measure(Measure {
            dimension,
            base,
            typed: String::new(),
        })
    };
    // 5 kg is no width of 5 m, and there is no width of −9 ft.
    for value in [
        measure(Dimension::Mass, 5_000_000_000),
        measure(Dimension::Length, -2_743_200_000),
    ] {
        let site = gate().forced("opening#1", "opening.width_hip", Some(value));
        assert_eq!(site.outcome("roll.openings"), Outcome::Open);
    }
    let chain = |site: TestSite| {
        let sledge = Value::Choice("sledge".to_owned());
        site.forced("site", "way.chain", Some(sledge))
    };
    let assessment = chain(gate()).assess();
    assert_eq!(
        assessment.check("roll.openings").unwrap().outcome,
        Outcome::Clear,
        "an unknown way leaves the rolled one looked at"
    );
    assert_eq!(
        assessment.check("way.chosen").unwrap().outcome,
        Outcome::Open
    );
    let hollow = TestSite::new()
        .yes("site", "way.legs_listed", true)
        .choice("leg#1", "leg.surface", "concrete")
        .yes("leg#1", "leg.carries", true)
        .yes("leg#1", "leg.steps", false)
        .yes("leg#1", "leg.curb", false)
        .choices("leg#1", "leg.hollow", &["none"]);
    assert_eq!(hollow.outcome("roll.surface"), Outcome::Clear);
    let odd = Value::Choices(vec!["none".to_owned(), "cellar".to_owned()]);
    let odd = hollow.forced("leg#1", "leg.hollow", Some(odd));
    assert_eq!(odd.outcome("roll.surface"), Outcome::Open);
    // A slope runs down as well as up.
    let down = TestSite::new().measure("leg#1", "leg.slope_along", "-4 %");
    assert!(
        !down
            .missing("roll.pull")
            .contains(&"leg.slope_along".to_owned())
    );
}

#[test]
fn a_thing_whose_name_was_taken_out_or_is_argued_about_stays() {
    let narrow = gate()
        .add("opening#2", "back gate")
        .measure("opening#2", "opening.width_ankle", "7 ft")
        .measure("opening#2", "opening.width_hip", "7 ft")
        .measure("opening#2", "opening.width_head", "7 ft");
    assert_eq!(narrow.outcome("roll.openings"), Outcome::Short);
    // Redacted, or written by a newer version.
    let redacted = narrow.clone().forced("opening#2", "opening.present", None);
    assert_eq!(redacted.outcome("roll.openings"), Outcome::Short);
    // One says that it is gone and another that it is there.
    let argued = gate()
        .add("opening#2", "back gate")
        .repeat_answer("opening#2", "opening.present", Value::Absent)
        .measure("opening#2", "opening.width_ankle", "9 ft")
        .measure("opening#2", "opening.width_hip", "9 ft")
        .measure("opening#2", "opening.width_head", "9 ft");
    assert_eq!(argued.outcome("roll.openings"), Outcome::Tight);
    assert_eq!(argued.reason("roll.openings"), "frame.disputed");
    let gone = narrow.forced("opening#2", "opening.present", Some(Value::Absent));
    assert_eq!(gone.outcome("roll.openings"), Outcome::Clear);
}

#[test]
fn a_word_without_a_name_or_of_a_day_to_come_closes_nothing() {
    let word = |person: &str, day: i8| {
        let attestation = setdown_types::value::Attestation {
            person: person.to_owned(),
            licence: "licence 1".to_owned(),
            document: "letter".to_owned(),
            date: jiff::civil::date(2026, 6, day),
        };
        TestSite::new().answer(
            "site",
            "attest.power_gfci",
            Value::Attestation(attestation),
            Method::Document,
        )
    };
    // Today is 1 June.
    assert_eq!(
        word("the electrician", 1).outcome("power.gfci"),
        Outcome::ClearAttested
    );
    assert_eq!(word("  ", 1).outcome("power.gfci"), Outcome::Open);
    assert_eq!(
        word("the electrician", 2).outcome("power.gfci"),
        Outcome::Open
    );
}

/// Where facts disagree the adverse one counts, whichever came last; that somebody did not know settles nothing and
/// disputes nothing.
#[test]
fn the_adverse_fact_counts_and_no_answer_says_nothing() {
    let leg = TestSite::new()
        .yes("site", "way.legs_listed", true)
        .choice("leg#1", "leg.surface", "concrete")
        .yes("leg#1", "leg.carries", true)
        .yes("leg#1", "leg.curb", false)
        .choices("leg#1", "leg.hollow", &["none"]);
    for (first, second) in [(true, false), (false, true)] {
        let site = leg.clone().yes("leg#1", "leg.steps", first).repeat_answer(
            "leg#1",
            "leg.steps",
            Value::YesNo(second),
        );
        assert_eq!(
            site.outcome("roll.surface"),
            Outcome::Short,
            "{first} {second}"
        );
    }
    let measured = gate().dont_know("opening#1", "opening.width_hip").repeat(
        "opening#1",
        "opening.width_hip",
        "9 ft",
    );
    assert_eq!(measured.outcome("roll.openings"), Outcome::Clear);
    let told = leg.dont_know("leg#1", "leg.steps").repeat_answer(
        "leg#1",
        "leg.steps",
        Value::YesNo(false),
    );
    assert_eq!(told.outcome("roll.surface"), Outcome::Clear);
}

/// An instrument's reading is a level's; a guessed height is a guess: 12 in.
#[test]
fn a_level_reading_is_as_good_as_how_it_was_got() {
    let level = |method| {
        let point = setdown_types::value::LevelPoint {
            along: 0,
            across: 0,
            height: 0,
            typed: String::new(),
        };
        let site = TestSite::new().answer(
            "level_point#1",
            "level_point.height",
            Value::Level(point.clone()),
            method,
        );
        // A quarter of an inch away: a level sees it, a guess does not.
        let again = Value::Level(setdown_types::value::LevelPoint {
            height: 6_350_000,
            ..point
        });
        let site = site.repeat_answer("level_point#1", "level_point.height", again);
        let needs = site.check("base.level").needs;
        needs.iter().any(|need| need.state == NeedState::Disputed)
    };
    assert!(level(Method::Level) && level(Method::Instrument) && level(Method::Laser));
    assert!(!level(Method::Told) && !level(Method::Seen) && !level(Method::Unknown));
}
