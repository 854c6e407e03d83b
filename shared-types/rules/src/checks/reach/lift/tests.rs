//! The way in by lift, answer by answer: `check(answers, expect)`.

mod lines;
mod rigging;

use super::super::CHECKS;
use crate::frame::result::{NeedState, Outcome};
use crate::frame::testing::TestSite;
use setdown_types::subject::Subject;

use Outcome::{Clear, ClearAttested, NotNeeded, Open, Short, Tight};

const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;

/// A lift over a fence that is settled from end to end.
pub(in crate::checks::reach) fn lifted() -> TestSite {
    TestSite::new()
        .choice("site", "way.chain", "lifted")
        .yes("site", "way.covers", true)
        .choice("site", "street.rig_access", "backs_in")
        .yes("site", "street.overhead_any", false)
        .choice("site", "street.grade_break", "none")
        .measure("site", "street.unloading_length", "80 ft")
        .measure("site", "lift.block_weight", "400 lb")
        .measure("site", "lift.spreader_weight", "350 lb")
        .measure("site", "lift.slings_weight", "150 lb")
        .measure("site", "lift.extra_weight", "0 lb")
        .measure("site", "lift.radius", "45 ft")
        .measure("site", "lift.boom_length", "80 ft")
        .yes("site", "lift.on_chart", true)
        .yes("site", "lift.chart_configuration", true)
        .measure("site", "lift.chart_radius", "50 ft")
        .measure("site", "lift.chart_boom", "85 ft")
        .measure("site", "lift.chart_capacity", "14000 lb")
        .measure("site", "lift.pivot_height", "7 ft")
        .measure("site", "lift.pivot_behind", "4 ft")
        .measure("site", "lift.boom_depth", "24 in")
        .measure("site", "lift.rigging_height", "15 ft")
        .yes("site", "lift.obstacles_listed", true)
        .choice("obstacle#1", "obstacle.kind", "fence")
        .measure("obstacle#1", "obstacle.distance", "30 ft")
        .measure("obstacle#1", "obstacle.height", "6 ft")
        .yes("obstacle#1", "obstacle.load_passes", true)
        .yes("site", "lift.lines_listed", true)
        .measure("site", "lift.maker_reaction", "40000 lbf")
        .measure("site", "lift.pad_area", "25 sq ft")
        .choice("site", "lift.soil", "gravel")
        .yes("site", "lift.stand_level", true)
        .yes("site", "lift.buried_near", false)
        .yes("site", "lift.cut_near", false)
        .choice("site", "lift.uses", "straps_under_frame")
        .yes("site", "lift.at_makers_points", true)
        .choice("site", "lift.hung", "plumb")
        .measure("site", "lift.spreader_width", "8 ft 6 in")
        .measure("site", "lift.strap_rated", "6000 lb")
        .count("site", "lift.bridle_legs", 4)
        .measure("site", "lift.bridle_angle", "60°")
        .measure("site", "lift.bridle_leg_rated", "6000 lb")
        .yes("site", "lift.spreader_marked", true)
        .yes("site", "lift.edge_protection", true)
        .yes("site", "lift.straps_come_out", true)
        .measure("site", "lift.wind_limit", "20 mph")
        .yes("site", "lift.swing_clear", true)
        .yes("site", "lift.rooms_empty", true)
        .yes("site", "lift.tag_lines", true)
        .choices("site", "lift.permissions_needed", &["none"])
}

fn check(site: TestSite, key: &str, expect: Outcome) {
    let result = site.check(key);
    let outcome = result.would_be.unwrap_or(result.outcome);
    assert_eq!(
        outcome,
        expect,
        "{key}: {:?} {:?}",
        result.reason,
        site.missing(key)
    );
}

/// Margins of a check in the order of its items, with the word for what each is about.
fn margins(site: &TestSite, key: &str) -> Vec<(String, f64)> {
    let result = site.check(key);
    let what = |item: &crate::frame::result::Item| {
        let args = &item.reason.args;
        args.iter()
            .find(|(name, _)| name == "what")
            .map_or(String::new(), |(_, arg)| format!("{arg:?}"))
    };
    result
        .items
        .iter()
        .filter_map(|item| item.margin.map(|margin| (what(item), margin.si)))
        .collect()
}

fn margin_of(site: &TestSite, key: &str, about: &str) -> f64 {
    margins(site, key)
        .into_iter()
        .find(|(what, _)| what.contains(about))
        .map(|(_, si)| si)
        .expect("a margin about it")
}

#[test]
fn a_settled_lift_is_clear_from_end_to_end() {
    let site = lifted();
    for check in &site.assess().checks {
        if check.key.starts_with("lift.") || check.key == "way.chosen" {
            let missing = site.missing(&check.key);
            assert_eq!(
                check.outcome, Clear,
                "{}: {:?} {missing:?}",
                check.key, check.reason
            );
            assert!(
                !check.cautions.is_empty() || check.key == "way.chosen",
                "{}",
                check.key
            );
        }
        if check.key.starts_with("roll.") && check.key != "roll.rig" {
            assert_eq!(check.outcome, NotNeeded, "{}", check.key);
        }
    }
}

#[test]
fn every_answer_that_is_needed_is_missed_when_it_is_taken_away() {
    let site = lifted();
    for row in CHECKS.iter().filter(|row| row.key.starts_with("lift.")) {
        for need in site.check(row.key).needs {
            if need.optional || need.state != NeedState::Answered {
                continue;
            }
            let name = match need.stream.subject {
                Subject::SITE => "site".to_owned(),
                thing => format!("{}#1", thing.kind.key()),
            };
            let question = need.stream.question.clone();
            let outcome = site.clone().without(&name, &question).outcome(row.key);
            assert_eq!(outcome, Open, "{}: {question}", row.key);
        }
    }
}

#[test]
fn a_licensed_person_closes_what_is_open_and_never_what_is_short() {
    for row in CHECKS.iter().filter(|row| row.licensed) {
        let word = row.attestation_question();
        check(TestSite::new().attest(&word), row.key, ClearAttested);
    }
    let off = lifted().yes("site", "lift.on_chart", false);
    check(off.attest("attest.lift_chart"), "lift.chart", Short);
}

/// Source: a provincial crane safety body's load chart quiz: gross 18,300 lb less 380 + 338 + 930 + 220 = 16,432 lb.
#[test]
fn deductions_agree_with_the_published_net_capacity() {
    let site = lifted()
        .spa(|spa| {
            let lifting = spa.lifting.as_mut().unwrap();
            lifting.skid_weight = Some(crate::frame::testing::typed(
                setdown_types::quantity::Dimension::Mass,
                "0 lb",
            ));
        })
        .practice("water_left", "0 lb")
        .practice("lift_load_allowance", "0 %")
        .practice("crane_chart_share", "100 %")
        .measure("site", "lift.chart_capacity", "18300 lb")
        .measure("site", "lift.block_weight", "380 lb")
        .measure("site", "lift.spreader_weight", "338 lb")
        .measure("site", "lift.slings_weight", "930 lb")
        .measure("site", "lift.extra_weight", "220 lb");
    let net = margin_of(&site, "lift.chart", "of_capacity") / POUND + 4500.0;
    assert!((net - 16_432.0).abs() < 1e-6, "{net}");
}

#[test]
fn the_chart_is_never_interpolated() {
    let chart = |site: TestSite, expect| check(site, "lift.chart", expect);
    // Load (4500 + 200 + 250)·1.05 = 5197.5 and rigging 900: 6097.5 lb; 75 % of 8,200 lb is 6,150 lb.
    chart(
        lifted().measure("site", "lift.chart_capacity", "8200 lb"),
        Clear,
    );
    chart(
        lifted().measure("site", "lift.chart_capacity", "8000 lb"),
        Short,
    );
    chart(
        lifted().measure("site", "lift.chart_radius", "40 ft"),
        Short,
    );
    chart(lifted().measure("site", "lift.chart_boom", "75 ft"), Short);
    // Read off the chart it is exact; told or with a spread it is not: 8,200 lb ± 25 %, a row of 45 ft ± 1 ft.
    let by = setdown_types::entry::Method::Estimate;
    chart(
        lifted().measure_by("site", "lift.chart_capacity", "8200 lb", by),
        Tight,
    );
    chart(
        lifted().measure_within("site", "lift.chart_capacity", "8200 lb", "100 lb"),
        Tight,
    );
    chart(
        lifted().measure_within("site", "lift.chart_radius", "45 ft 6 in", "1 ft"),
        Tight,
    );
    chart(lifted().yes("site", "lift.on_chart", false), Short);
    chart(
        lifted().yes("site", "lift.chart_configuration", false),
        Short,
    );
}

/// Geometry (values.md §3, derived): R + e = 49 ft on an 80 ft boom: rise √(80² − 49²) = 63.238 ft, tip at 70.238 ft.
#[test]
fn boom_and_load_clear_the_obstacle() {
    let clear = |site: TestSite, expect| check(site, "lift.clear", expect);
    let site = lifted();
    // (30 + 4)·63.238/80 − (6 − 7)·49/80 − 1 ft half depth − 2 ft margin = 24.489 ft.
    let boom = margin_of(&site, "lift.clear", "of_boom") / FOOT;
    assert!((boom - 24.488_8).abs() < 1e-3, "{boom}");
    // 70.238 − 6 reserve − 15 rigging − 5.1667 load − 6 fence − 2 margin = 36.072 ft.
    let load = margin_of(&site, "lift.clear", "of_load") / FOOT;
    assert!((load - 36.071_6).abs() < 1e-3, "{load}");
    let ridge = |height| lifted().measure("obstacle#1", "obstacle.height", height);
    clear(ridge("30 ft"), Clear);
    clear(ridge("44 ft"), Short);
    clear(lifted().measure("site", "lift.boom_length", "45 ft"), Short);
    // A tree 3 in beyond a radius of 45 ft, 100 ft high: half of 15 ft 10 in hangs out past it.
    let tree = ridge("100 ft")
        .measure("obstacle#1", "obstacle.distance", "45 ft 3 in")
        .yes("obstacle#1", "obstacle.load_passes", false);
    clear(tree.clone(), Open);
    assert_eq!(tree.reason("lift.clear"), "lift.clear.load_end_reaches");
    clear(tree.yes("obstacle#1", "obstacle.load_passes", true), Short);
    // 45 + 7.917 + 2 = 54.917 ft: an inch more by tape is beyond, a guess of 60 ft ± 15 ft is not.
    let beside = |distance| {
        ridge("100 ft")
            .measure("obstacle#1", "obstacle.distance", distance)
            .yes("obstacle#1", "obstacle.load_passes", false)
    };
    clear(beside("55 ft"), Clear);
    clear(beside("54 ft 11 in"), Open);
    let guess = setdown_types::entry::Method::Estimate;
    clear(
        beside("60 ft").measure_by("obstacle#1", "obstacle.distance", "60 ft", guess),
        Open,
    );
    // Beyond the load the boom passes over nothing; a load that does not pass needs no height there.
    let behind = ridge("60 ft")
        .measure("obstacle#1", "obstacle.distance", "60 ft")
        .yes("obstacle#1", "obstacle.load_passes", false);
    clear(behind, Clear);
    clear(lifted().yes("site", "lift.obstacles_listed", false), Open);
}

/// Source: outrigger pad handout attributed to an OSHA alliance: 62,800 lb on 36 × 36 in = 48.5 psi (6,978 psf).
/// Read on one secondary page, recomputed.
#[test]
fn pad_pressure_agrees_with_the_published_example() {
    let site = lifted()
        .measure("site", "lift.maker_reaction", "62800 lbf")
        .measure("site", "lift.pad_area", "9 sq ft")
        .measure("site", "lift.reported_bearing", "10000 psf")
        .attest("attest.lift_stand");
    let spare = margin_of(&site, "lift.stand", "of_ground");
    let psf = 10_000.0 - spare / (POUND_FORCE / (FOOT * FOOT));
    assert!((psf - 6_978.0).abs() < 0.5, "{psf}");
    assert!((psf / 144.0 - 48.5).abs() < 0.05);
    check(site, "lift.stand", ClearAttested);
}

/// Source of bearing: IBC Table 1806.2 (2012): gravel 3,000 psf, clay 1,500 psf; fill and peat none without a report.
#[test]
fn the_ground_carries_the_outrigger() {
    let stand = |site: TestSite, expect| check(site, "lift.stand", expect);
    // 40,000 lbf on 25 sq ft: 1,600 psf.
    stand(lifted(), Clear);
    stand(lifted().choice("site", "lift.soil", "clay"), Short);
    stand(
        lifted().choice("site", "lift.soil", "unprepared_fill"),
        Open,
    );
    // A figure counts with the name of whoever answers for it; from anybody it can only make things worse.
    let reported = |soil, figure| {
        lifted()
            .choice("site", "lift.soil", soil)
            .measure("site", "lift.reported_bearing", figure)
    };
    stand(reported("unprepared_fill", "5000 psf"), Open);
    stand(reported("clay", "5000 psf"), Short);
    stand(reported("gravel", "1000 psf"), Short);
    let named = |site: TestSite| site.attest("attest.lift_stand");
    stand(
        named(reported("unprepared_fill", "2500 psf")),
        ClearAttested,
    );
    stand(named(reported("unprepared_fill", "1500 psf")), Short);
    stand(lifted().yes("site", "lift.buried_near", true), Short);
    stand(lifted().yes("site", "lift.cut_near", true), Short);
    stand(lifted().yes("site", "lift.stand_level", false), Short);
    // Without the maker's figure a remembered share is used: it warns, and turns nothing clear until it is stated.
    let by_share = lifted().without("site", "lift.maker_reaction").measure(
        "site",
        "lift.crane_weight",
        "50000 lb",
    );
    stand(by_share.clone(), Tight);
    assert_eq!(by_share.reason("lift.stand"), "frame.remembered");
    stand(by_share.clone().practice("outrigger_share", "85 %"), Clear);
    stand(
        by_share.measure("site", "lift.crane_weight", "100000 lb"),
        Short,
    );
}

#[test]
fn the_operators_wind_limit_clears_and_the_formula_never_does() {
    check(lifted(), "lift.wind", Clear);
    check(
        lifted().without("site", "lift.wind_limit"),
        "lift.wind",
        Open,
    );
    check(
        lifted().measure("site", "lift.wind_limit", "0 mph"),
        "lift.wind",
        Open,
    );
    // No operator stops at 200 mph, and a guess is no operator's limit.
    check(
        lifted().measure("site", "lift.wind_limit", "200 mph"),
        "lift.wind",
        Open,
    );
    let guess = setdown_types::entry::Method::Estimate;
    check(
        lifted().measure_by("site", "lift.wind_limit", "20 mph", guess),
        "lift.wind",
        Open,
    );
}

#[test]
fn people_are_out_of_the_swing_and_permissions_in_hand() {
    let people = |site: TestSite, expect| check(site, "lift.people", expect);
    people(lifted().yes("site", "lift.swing_clear", false), Short);
    people(lifted().yes("site", "lift.rooms_empty", false), Short);
    people(lifted().yes("site", "lift.tag_lines", false), Short);
    // Nothing ticked is not "none".
    people(
        lifted().choices("site", "lift.permissions_needed", &[]),
        Open,
    );
    let needs = || lifted().choices("site", "lift.permissions_needed", &["neighbour", "street"]);
    people(needs(), Open);
    people(
        needs().choices("site", "lift.permissions_held", &["street"]),
        Open,
    );
    people(
        needs().choices("site", "lift.permissions_held", &["neighbour", "street"]),
        Clear,
    );
}
