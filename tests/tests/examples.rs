//! The worked examples: each file reads, folds and assesses to what its first lines tell, in whole sentences; a bad
//! file is refused with the place that is wrong.
//!
//! The figures expected are sums a reader can do by hand from the file (shown beside each); the limits in them are
//! common practice, no source.

#[path = "examples/yards.rs"]
mod yards;

use std::path::{Path, PathBuf};

use setdown_app::words;
use setdown_rules::Assessment;
use setdown_rules::frame::result::{
    Arg, CheckResult, HoldPoint, HoldPointResult, HoldState, Line, Outcome,
};
use setdown_server::cli::assess::{Choices, assess};
use setdown_server::cli::{route, sheets};
use setdown_server::survey::{Survey, practice_file, spa_file};
use setdown_types::practice::{FIELDS, Standing};
use setdown_types::quantity::UnitSystem;

const SURVEYS: [&str; 6] = [
    "rolled-slab",
    "craned-slab",
    "over-the-fence",
    "garage",
    "short-at-the-gate",
    "taped-yard",
];
const INCH: f64 = 0.0254;

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

fn assessed(name: &str) -> Assessment {
    let path = examples().join(format!("{name}.toml"));
    match Survey::read(&path) {
        Ok(survey) => survey.assess(),
        Err(error) => panic!("{error}"),
    }
}

fn check<'a>(assessment: &'a Assessment, key: &str) -> &'a CheckResult {
    let mut checks = assessment.checks.iter();
    checks
        .find(|check| check.key == key)
        .unwrap_or_else(|| panic!("no check {key}"))
}

fn order(assessment: &Assessment) -> &HoldPointResult {
    let mut points = assessment.hold_points.iter();
    points
        .find(|point| point.hold_point == HoldPoint::Order)
        .unwrap()
}

/// State, score and worst check of `order`.
fn headline(name: &str, state: HoldState, worst: Option<&str>) -> Assessment {
    let assessment = assessed(name);
    let point = order(&assessment);
    assert_eq!(point.state, state, "{name}");
    assert_eq!(point.worst.as_deref(), worst, "{name}");
    assessment
}

#[test]
fn rolled_onto_a_slab_is_ready_to_order() {
    let assessment = headline("rolled-slab", HoldState::ReadyToSign, None);
    let point = order(&assessment);
    assert_eq!((point.score, point.settled), (100, point.named));
    assert_eq!(
        check(&assessment, "power.capacity").outcome,
        Outcome::ClearAttested
    );
    // Nothing is dug, delivered or filled on the strength of it.
    for other in &assessment.hold_points {
        if other.hold_point != HoldPoint::Order {
            assert!(other.to_measure > 0, "{:?}", other.hold_point);
            assert_ne!(other.state, HoldState::ReadyToSign);
        }
    }
}

/// The gate is 109 in wide at the ankle and 1/2 in less at the hip; the unit is 94 in: (108 1/2 - 94) / 2 = 7 1/4 in on
/// either side, and 2 in are needed.
#[test]
fn a_taped_yard_is_proved_through_its_gate() {
    let assessment = headline("taped-yard", HoldState::ReadyToSign, None);
    let way = check(&assessment, "roll.way");
    assert_eq!(way.outcome, Outcome::Clear);
    let margin = way.items[0].margin.unwrap();
    let inches = margin.si / INCH;
    assert!((5.1..=5.3).contains(&inches), "{inches}");
    assert!((0.05..0.3).contains(&(margin.spread / INCH)));
    assert_eq!(check(&assessment, "roll.turns").outcome, Outcome::NotNeeded);
}

#[test]
fn lifted_by_a_crane_is_ready_on_the_operators_word() {
    let assessment = headline("craned-slab", HoldState::ReadyToSign, None);
    assert_eq!(order(&assessment).score, 100);
    for key in ["lift.load", "lift.chart", "lift.clear", "lift.rigging"] {
        assert_eq!(
            check(&assessment, key).outcome,
            Outcome::ClearAttested,
            "{key}"
        );
    }
    assert_eq!(
        check(&assessment, "roll.openings").outcome,
        Outcome::NotNeeded
    );
}

#[test]
fn over_the_fence_is_stopped_by_a_line_of_unknown_voltage() {
    // 35 ft, voltage unknown: inside the 50 ft of 29 CFR 1926.1409, so stop and settle it first. The 50 ft come from a
    // secondary reading: the table of rules has them as not verified against the regulation itself.
    let assessment = headline("over-the-fence", HoldState::Stopped, Some("way.chosen"));
    assert_eq!(check(&assessment, "lift.lines").outcome, Outcome::Short);
    assert_eq!(check(&assessment, "roll.openings").outcome, Outcome::Clear);
}

#[test]
fn the_garage_floor_falls_too_much() {
    let assessment = headline("garage", HoldState::ToPutRight, Some("base.garage"));
    // Its floor is 1 1/2 in higher at the far end; the sheet allows 1/2 in: short by 1 in.
    let margins: Vec<f64> = check(&assessment, "base.garage")
        .items
        .iter()
        .filter(|item| item.outcome == Outcome::Short)
        .filter_map(|item| item.margin.map(|margin| margin.si))
        .collect();
    assert_eq!(margins.len(), 1);
    assert!((margins[0] + INCH).abs() < 1e-9, "{margins:?}");
}

#[test]
fn the_narrow_gate_stops_the_order() {
    let assessment = headline("short-at-the-gate", HoldState::Stopped, Some("way.chosen"));
    let gate = check(&assessment, "roll.openings");
    assert_eq!(gate.outcome, Outcome::Short);
    // 7 ft 9 1/2 in − 7 ft 10 in − 2 × 2 in = −4 1/2 in.
    let margin = gate.items[0].margin.unwrap();
    assert!((margin.si + 4.5 * INCH).abs() < 1e-9, "{margin:?}");
}

#[test]
fn the_practice_sheet_states_all_that_must_be_stated() {
    let sheet = practice_file::read(&examples().join("practice/our-practice.toml")).unwrap();
    for field in FIELDS {
        let must = field.standing == Standing::MustBeStated;
        assert_eq!(sheet.stated.contains_key(field.key), must, "{}", field.key);
    }
}

/// A share of a crane's chart is at most the whole of it, and days run forwards.
#[test]
fn a_limit_that_makes_no_sense_is_refused_with_its_name() {
    let refused = |line: &str| {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("practice.toml");
        std::fs::write(&path, line).unwrap();
        practice_file::read(&path).unwrap_err().to_string()
    };
    assert!(refused("crane_chart_share = \"750 %\"").contains("crane_chart_share"));
    assert!(refused("cure_days = -5").contains("cure_days"));
    assert!(refused("outrigger_share = \"10 %\"").contains("outrigger_share"));
}

#[test]
fn every_spa_sheet_reads_and_is_told_in_words() {
    for name in ["long-two-zone", "mid-swim-zone", "short-one-zone"] {
        let path = examples().join(format!("spas/{name}.toml"));
        let sheet = spa_file::read(&path).unwrap();
        let told = sheets::spa(&path).unwrap();
        assert!(
            told.contains(&sheet.name) && told.contains("ships as"),
            "{told}"
        );
    }
}

/// Every key of a message and of the words among its arguments.
fn keys(line: &Line) -> Vec<String> {
    let words = line.args.iter().filter_map(|(_, arg)| match arg {
        Arg::Word(key) => Some(key.to_string()),
        _ => None,
    });
    words.chain([line.key.to_string()]).collect()
}

fn emitted(assessment: &Assessment) -> Vec<String> {
    let mut all = Vec::new();
    for check in &assessment.checks {
        all.push(format!("check.{}", check.key));
        all.extend(keys(&check.reason));
        all.extend(check.cautions.iter().map(ToString::to_string));
        all.extend(check.actions.iter().flat_map(|action| keys(&action.line)));
        for item in &check.items {
            all.extend(keys(&item.reason));
            all.extend(item.working.iter().flat_map(keys));
        }
    }
    all.extend(assessment.tasks.iter().flat_map(|task| keys(&task.line)));
    all
}

#[test]
fn every_message_has_words() {
    for name in SURVEYS {
        let assessment = assessed(name);
        let mut missing: Vec<String> = emitted(&assessment)
            .into_iter()
            .filter(|key| !words::has(key))
            .collect();
        missing.sort();
        missing.dedup();
        assert!(missing.is_empty(), "{name}: {missing:?}");
    }
}

/// The first key in brackets or unfilled `{name}` of a text.
fn unworded(text: &str) -> Option<&str> {
    text.lines().find(|line| {
        let bracketed = line.split('[').skip(1).any(|rest| {
            rest.split_once(']').is_some_and(|(key, _)| {
                key.contains('.')
                    && key
                        .chars()
                        .all(|one| one.is_ascii_lowercase() || "._-".contains(one))
            })
        });
        bracketed || line.contains('{')
    })
}

#[test]
fn the_report_is_in_whole_words_in_both_units() {
    for name in SURVEYS {
        for units in [UnitSystem::Us, UnitSystem::Metric] {
            let choices = Choices {
                json: false,
                all: true,
                units,
            };
            let text = assess(&examples().join(format!("{name}.toml")), choices).unwrap();
            assert_eq!(unworded(&text), None, "{name}");
        }
    }
    assert!(unworded("  [state.unknown] here").is_some());
    assert!(unworded("too wide by {margin}").is_some());
}

#[test]
fn the_json_reads_back_as_the_same_assessment() {
    let choices = Choices {
        json: true,
        all: false,
        units: UnitSystem::Us,
    };
    for name in SURVEYS {
        let text = assess(&examples().join(format!("{name}.toml")), choices).unwrap();
        let read: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(
            read,
            serde_json::to_value(assessed(name)).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn a_bad_file_is_refused_with_the_place() {
    let good = std::fs::read_to_string(examples().join("short-at-the-gate.toml")).unwrap();
    let folder = examples();
    let good = good.replace("spas/", &format!("{}/spas/", folder.display()));
    let good = good.replace("practice/", &format!("{}/practice/", folder.display()));
    let scratch = tempfile::tempdir().unwrap();
    let path = scratch.path().join("survey.toml");
    std::fs::write(&path, &good).unwrap();
    Survey::read(&path).unwrap();
    for (from, to, place) in [
        ("7 ft 9 1/2 in", "7 ft 9 1/2 lb", "opening 1, width_hip"),
        ("width_hip", "width_hipp", "opening 1, width_hipp"),
        ("[[opening]]", "[[opeing]]", "opeing"),
        ("\"rolled\"", "\"pushed\"", "site, way.chain"),
        ("survey = 1", "survey = 9", "survey"),
        ("2026-11-25", "the 25th", "date"),
        ("\"laser\"", "\"eye\"", "opening 1, width_head"),
        ("name = \"side gate\"", "", "opening 1, name"),
        ("survey = 1", "survey = ", "not a TOML file"),
        ("mid-swim-zone", "no-such-unit", "no-such-unit.toml"),
    ] {
        assert!(good.contains(from), "{from}");
        std::fs::write(&path, good.replace(from, to)).unwrap();
        let error = Survey::read(&path).unwrap_err().to_string();
        assert!(error.contains(place), "{to}: {error}");
    }
}

/// Analytic answers of the reference scenes: a gate of the unit's width and 2.5 in more leaves half of that on each
/// side; one an inch too narrow is short by half an inch.
#[test]
fn the_route_command_proves_both_ways() {
    let scenes = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/route/scenes");
    for (name, verdict, best) in [
        ("s01_side_yard_gate.json", "route", 1.25),
        ("s08_gate_minus1.json", "no_route", -0.5),
    ] {
        let choices = |json| route::Choices {
            json,
            resolution: 0.1,
            units: UnitSystem::Us,
        };
        let text = route::route(&scenes.join(name), choices(true)).expect("a scene");
        let answer: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(answer["verdict"], verdict, "{name}");
        let bound = |key: &str| answer["clearance"][key].as_f64().expect("a bound");
        assert!(
            bound("lower") <= best && best <= bound("upper"),
            "{name}: {answer}"
        );
        assert!(bound("upper") - bound("lower") <= 0.1, "{name}: {answer}");
        let told = route::route(&scenes.join(name), choices(false)).expect("a scene");
        assert_eq!(unworded(&told), None, "{name}: {told}");
    }
}

#[test]
fn a_bad_route_file_is_refused_with_its_key_on_one_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("bad.json");
    let text =
        r#"{"unit": {"L": 190, "W": 0}, "start": [0, 0, 0], "goal": [9, 0, 0], "obstacles": []}"#;
    std::fs::write(&path, text).expect("a file");
    let choices = route::Choices {
        json: true,
        resolution: 0.1,
        units: UnitSystem::Us,
    };
    let told = route::route(&path, choices)
        .expect_err("no width")
        .to_string();
    assert!(told.contains("unit.W") && !told.contains('\n'), "{told}");
}
