//! The frame itself, apart from any one rule: state and score, signatures, repeats, remembered values, the way not
//! chosen, what to measure next, tasks by party. What is expected is checks.md's and the words of the types.

use setdown_types::entry::Method;
use setdown_types::party::{Party, Role};
use setdown_types::value::{Signature, Value};

use super::result::{
    Assessment, CheckResult, HoldPoint, HoldPointResult, HoldState, NeedState, Outcome, TaskReason,
};
use super::testing::TestSite;
use super::walk::{Stop, waiting_for_delivery, walk};

fn point(assessment: &Assessment, point: HoldPoint) -> &HoldPointResult {
    assessment
        .hold_points
        .iter()
        .find(|result| result.hold_point == point)
        .unwrap()
}

/// Everything that the start needs of its own and of the supply.
fn startable() -> TestSite {
    TestSite::new()
        .choice("site", "base.placing", "on_grade")
        .date("site", "start.filled_on", 2026, 4, 20)
        .date("site", "start.energised_on", 2026, 4, 20)
        .attest("start.ground_fault_test")
        .attest("attest.power_gfci")
        .measure("site", "receptacle.from_water", "10 ft")
        .yes("site", "receptacle.ground_fault", true)
}

fn sign(site: TestSite, which: HoldPoint) -> TestSite {
    let assessment = site.assess();
    let result = point(&assessment, which);
    let signature = Signature {
        hold_point: which.key().to_owned(),
        digest: result.digest.clone(),
        rules: assessment.rules.to_string(),
        spa: assessment.spa.clone(),
        practice: assessment.practice.clone(),
        date: assessment.date,
        name: "the office".to_owned(),
        findings: result.findings.clone(),
    };
    site.answer(
        "site",
        which.question(),
        Value::Signature(signature),
        Method::Document,
    )
}

#[test]
fn every_hold_point_names_checks_and_no_empty_site_is_ready() {
    let assessment = TestSite::new().assess();
    for result in &assessment.hold_points {
        assert!(result.named > 0, "{:?}", result.hold_point);
        assert_eq!(
            result.state,
            HoldState::Unmeasured,
            "{:?}",
            result.hold_point
        );
        assert!(result.worst.is_some(), "{:?}", result.hold_point);
    }
}

/// Score = weight settled over weight named, tight counting half, rounded down; stoppers weigh 3.
#[test]
fn the_score_adds_up_from_the_checks_it_names() {
    for site in [
        TestSite::new(),
        startable(),
        startable().yes("site", "receptacle.ground_fault", false),
    ] {
        let assessment = site.assess();
        for result in &assessment.hold_points {
            let named: Vec<&CheckResult> = result
                .checks
                .iter()
                .map(|key| assessment.check(key).unwrap())
                .collect();
            let mut total = 0.0;
            let mut settled = 0.0;
            for check in &named {
                let weight = if check.stopper { 3.0 } else { 1.0 };
                total += weight;
                settled += match check.outcome {
                    Outcome::Clear | Outcome::ClearAttested => weight,
                    Outcome::Tight => weight / 2.0,
                    _ => 0.0,
                };
            }
            assert_eq!(result.score, (100.0 * settled / total) as u32);
            assert_eq!(
                result.settled + result.tight + result.to_measure + result.stopped,
                result.named
            );
        }
    }
}

#[test]
fn a_short_stopper_stops_and_another_short_check_is_to_put_right() {
    let ready = startable();
    assert_eq!(
        point(&ready.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    assert_eq!(point(&ready.assess(), HoldPoint::Start).score, 100);
    let near = ready.clone().yes("site", "receptacle.ground_fault", false);
    let assessment = near.assess();
    let start = point(&assessment, HoldPoint::Start);
    assert_eq!(start.state, HoldState::ToPutRight);
    assert_eq!(start.worst.as_deref(), Some("power.receptacle"));
    let early = ready.date("site", "start.energised_on", 2026, 4, 1);
    assert_eq!(
        point(&early.assess(), HoldPoint::Start).state,
        HoldState::Stopped
    );
}

#[test]
fn a_signature_holds_until_what_was_signed_changes() {
    let signed = sign(startable(), HoldPoint::Start);
    let assessment = signed.assess();
    assert_eq!(
        point(&assessment, HoldPoint::Start).state,
        HoldState::Signed
    );
    // Nothing that was signed has changed: another day, an answer that no named check reads.
    let other = signed
        .clone()
        .today(2026, 8, 1)
        .text("site", "site.note", "gate is stiff");
    assert_eq!(
        point(&other.assess(), HoldPoint::Start).state,
        HoldState::Signed
    );
    // A margin that moved, though it still holds.
    let moved = signed
        .clone()
        .measure("site", "receptacle.from_water", "11 ft");
    let assessment = moved.assess();
    let start = point(&assessment, HoldPoint::Start);
    assert_eq!(start.state, HoldState::ReadyToSign);
    let signature = start.signature.as_ref().unwrap();
    assert!(!signature.holds);
    assert_eq!(signature.changed, ["power.receptacle"]);
    // Another spa sheet or practice sheet.
    let spa = signed.clone().spa(|spa| spa.people = 6);
    assert_eq!(
        point(&spa.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    let practice = signed.clone().practice("head_room", "3 in");
    assert_eq!(
        point(&practice.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    // Signed, and then something is short: stopped, not signed.
    let short = signed.date("site", "start.energised_on", 2026, 4, 1);
    assert_eq!(
        point(&short.assess(), HoldPoint::Start).state,
        HoldState::Stopped
    );
}

#[test]
fn a_signature_of_one_hold_point_opens_no_other() {
    let site = startable();
    let assessment = site.assess();
    let start = point(&assessment, HoldPoint::Start);
    let signature = Signature {
        hold_point: "fill".to_owned(),
        digest: start.digest.clone(),
        rules: assessment.rules.to_string(),
        spa: assessment.spa.clone(),
        practice: assessment.practice.clone(),
        date: assessment.date,
        name: "the office".to_owned(),
        findings: start.findings.clone(),
    };
    let signed = site.answer(
        "site",
        "sign.start",
        Value::Signature(signature),
        Method::Document,
    );
    assert_eq!(
        point(&signed.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
}

fn gate() -> TestSite {
    TestSite::new()
        .yes("site", "way.openings_listed", true)
        .measure("opening#1", "opening.width_ankle", "9 ft")
        .measure("opening#1", "opening.width_hip", "9 ft")
        .measure("opening#1", "opening.width_head", "9 ft")
}

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
fn what_somebody_has_no_answer_to_is_asked_further_up_and_not_of_them_again() {
    let stream = gate().dont_know("opening#1", "opening.width_head");
    let (site, assessment) = (stream.build(), stream.assess());
    let wanted = |role: Role| {
        walk(&site, &assessment.checks, role)
            .iter()
            .any(|stop| stop.stream.question == "opening.width_head" && stop.wanted())
    };
    // The test site's answers are a coordinator's.
    assert!(!wanted(Role::Homeowner));
    assert!(!wanted(Role::Coordinator));
    assert!(wanted(Role::Office));
    assert_eq!(
        assessment.check("roll.openings").unwrap().outcome,
        Outcome::Open
    );
}

#[test]
fn what_to_measure_next_falls_in_gain_a_minute_and_is_still_open() {
    let assessment = gate().without("opening#1", "opening.width_head").assess();
    assert!(!assessment.next.is_empty());
    let rates: Vec<f64> = assessment
        .next
        .iter()
        .map(|next| next.gain / next.minutes)
        .collect();
    assert!(rates.windows(2).all(|pair| pair[0] >= pair[1]), "{rates:?}");
    for next in &assessment.next {
        assert!(next.minutes > 0.0 && next.gain.is_finite());
        for key in &next.checks {
            let check = assessment.check(key).unwrap();
            assert!(check.needs.iter().any(|need| need.stream == next.stream
                && need.state == NeedState::Missing
                && !need.optional));
        }
    }
    // The last missing width of a stopper promises something.
    let last = assessment
        .next
        .iter()
        .find(|next| next.stream.question == "opening.width_head")
        .unwrap();
    assert!(last.gain > 0.0);
}

#[test]
fn tasks_go_to_whoever_can_do_them_and_each_question_is_asked_once() {
    let assessment = TestSite::new().assess();
    let mut asked = std::collections::BTreeSet::new();
    for task in assessment
        .tasks
        .iter()
        .filter(|task| task.line.key == "frame.task.measure")
    {
        for stream in &task.streams {
            assert!(asked.insert(stream.clone()), "{stream:?} twice");
            let row = setdown_types::question::find(&stream.question).unwrap();
            if task.party == Party::Homeowner {
                assert!(row.may_answer(Role::Homeowner), "{}", stream.question);
            }
        }
    }
    for party in [Party::Homeowner, Party::Coordinator] {
        assert!(
            assessment.tasks.iter().any(|task| task.party == party),
            "{party:?}"
        );
    }
    // Who could not say is not asked again: somebody further up is.
    let unknown = TestSite::new()
        .dont_know("site", "water.hose_reaches")
        .assess();
    let again = unknown
        .tasks
        .iter()
        .find(|task| {
            task.streams
                .iter()
                .any(|stream| stream.question == "water.hose_reaches")
        })
        .unwrap();
    // The test site's answers are the coordinator's: the check's owner is next.
    assert_eq!(again.party, Party::Homeowner);
    let stoppers_first: Vec<bool> = assessment.tasks.iter().map(|task| !task.stopper).collect();
    assert!(stoppers_first.is_sorted());
}

#[test]
fn a_signed_hold_point_has_no_standing_task() {
    let standing = |site: &TestSite| {
        site.assess()
            .tasks
            .iter()
            .any(|task| task.reason == TaskReason::Standing(HoldPoint::Start))
    };
    assert!(standing(&startable()));
    assert!(!standing(&sign(startable(), HoldPoint::Start)));
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
        super::spread::by_method(&practice, method, dimension, length * 0.3048) / 0.3048
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

/// A short fact holds nothing at all; a limit that is only remembered takes nothing from what was measured; margins on
/// the same reading hold together, so that two checks of one reading are as likely as the less likely of them.
#[test]
fn the_chance_counts_facts_once_and_readings_once() {
    use super::chance::{Bet, joint};
    let steps = TestSite::new()
        .choice("site", "entry.kind", "deck")
        .measure("site", "entry.rise", "20 in")
        .measure("site", "entry.run_available", "10 ft")
        .measure("site", "entry.step_over", "20 in")
        .yes("site", "entry.handhold", true)
        .check("entry.steps");
    assert_eq!(steps.reason.key, "frame.remembered");
    assert_eq!(steps.chance, 1.0);
    let stream = |question: &str| {
        setdown_types::site::StreamKey::new(setdown_types::subject::Subject::SITE, question)
    };
    let bet = |margin: f64, on: &[&str]| Bet {
        readings: on.iter().map(|question| stream(question)).collect(),
        margin,
        spread: super::spread::SPREADS_PER_SIGMA,
    };
    // Normal table: Φ(0) = 0.5, Φ(1) = 0.841345 (any printed table).
    let close = |chance: f64, expect: f64| assert!((chance - expect).abs() < 1e-6, "{chance}");
    close(
        joint(&[bet(0.0, &["a.a"]), bet(1.0, &["b.b"])]),
        0.5 * 0.841_345,
    );
    close(joint(&[bet(0.0, &["a.a"]), bet(1.0, &["a.a", "b.b"])]), 0.5);
    close(
        joint(&[
            bet(1.0, &["a.a"]),
            bet(1.0, &["b.b"]),
            bet(1.0, &["a.a", "b.b"]),
        ]),
        0.841_345,
    );
    let short_fact =
        TestSite::new()
            .spa(|spa| spa.attitudes.clear())
            .yes("site", "spot.easement_clear", false);
    assert_eq!(short_fact.check("spot.fits").chance, 0.0);
}

#[test]
fn what_the_homeowner_may_not_answer_is_never_theirs() {
    for owner_check in super::super::checks::all().filter(|check| check.owner == Party::Homeowner) {
        let site = TestSite::new();
        for need in site.check(owner_check.key).needs {
            let row = setdown_types::question::find(&need.stream.question).unwrap();
            if row.may_answer(Role::Homeowner) {
                continue;
            }
            let tasks = site.clone().dont_know("site", row.key).assess().tasks;
            let theirs = tasks.iter().any(|task| {
                task.party == Party::Homeowner
                    && task.streams.iter().any(|stream| stream.question == row.key)
            });
            assert!(!theirs, "{}", row.key);
        }
    }
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

fn stops_of(site: &TestSite) -> (Vec<Stop>, Assessment) {
    let assessment = site.assess();
    let stops = walk(&site.build(), &assessment.checks, Role::Coordinator);
    (stops, assessment)
}

/// Order, dig and close-in come before the delivery; what only later hold points name waits, and all else does not.
#[test]
fn what_no_hold_point_before_the_delivery_reads_waits_for_that_day() {
    let (stops, assessment) = stops_of(&TestSite::new().choice("site", "way.chain", "rolled"));
    let waiting = waiting_for_delivery(&stops, &assessment.checks, &assessment.hold_points);
    let before = |stop: &&Stop| {
        stop.checks.iter().any(|key| {
            let check = assessment.check(key).unwrap();
            let early = [HoldPoint::Order, HoldPoint::Dig, HoldPoint::CloseIn];
            early.iter().any(|point| check.hold_points.contains(point))
        })
    };
    let (now, later): (Vec<&Stop>, Vec<&Stop>) = stops.iter().partition(before);
    assert!(
        now.len() > 20 && later.len() > 5,
        "{} and {}",
        now.len(),
        later.len()
    );
    assert!(now.iter().all(|stop| !waiting.contains(&stop.stream)));
    assert!(later.iter().all(|stop| waiting.contains(&stop.stream)));
    let questions = |stops: &[&Stop]| -> Vec<String> {
        stops
            .iter()
            .map(|stop| stop.stream.question.clone())
            .collect()
    };
    assert!(questions(&now).contains(&"way.chain".to_owned()));
    assert!(questions(&later).contains(&"fill.as_set_fall".to_owned()));
}

#[test]
fn with_the_delivery_next_nothing_waits_for_it() {
    let (stops, assessment) = stops_of(&TestSite::new());
    let mut points = assessment.hold_points.clone();
    for point in points
        .iter_mut()
        .filter(|point| point.hold_point < HoldPoint::Deliver)
    {
        point.state = HoldState::Signed;
    }
    assert!(waiting_for_delivery(&stops, &assessment.checks, &points).is_empty());
}
