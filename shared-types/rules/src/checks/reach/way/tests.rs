//! `roll.way` on yards taped and walked: every outcome, and what it says.

mod examples;
mod pull;
mod unsettled;
mod verdict;

use serde_json::{Value, json};
use setdown_types::entry::Method;
use setdown_types::site::{Head, StreamKey};
use setdown_types::value::TieKind;

use crate::frame::assess::{Input, assess_check};
use crate::frame::result::{Arg, CheckResult, Outcome};
use crate::frame::testing::{TestSite, length, subject};
use crate::plan::ledger;

/// Points of a walled yard, 800 by 600, with a fence across it and a gate in the fence; inches.
fn points(gate: f64) -> [(&'static str, f64, f64); 12] {
    let half = 0.5 * gate;
    [
        ("A", -400.0, -300.0),
        ("B", 400.0, -300.0),
        ("C", 400.0, 300.0),
        ("D", -400.0, 300.0),
        ("P", 0.0, half),
        ("Q", 0.0, -half),
        ("N", 0.0, 300.0),
        ("S", 0.0, -300.0),
        ("T", -250.0, 0.0),
        ("U", -100.0, 0.0),
        ("V", 250.0, 0.0),
        ("W", 350.0, 0.0),
    ]
}

/// What was taped: 25 distances.
const TAPED: [&str; 25] = [
    "AB", "BC", "CD", "DA", "AC", "BD", "NP", "PQ", "QS", "NS", "NC", "ND", "SA", "SB", "TP", "TQ",
    "TA", "TD", "UP", "UQ", "UT", "VB", "VC", "VP", "WV",
];

fn name_of(letter: char) -> String {
    let place = points(0.0)
        .iter()
        .position(|(name, _, _)| name.starts_with(letter));
    format!("plan_point#{}", place.expect("a point") + 1)
}

fn taped(site: TestSite, number: usize, pair: &str, gate: f64) -> TestSite {
    let at = |letter: char| {
        let (_, x, y) = points(gate)[points(gate)
            .iter()
            .position(|p| p.0.starts_with(letter))
            .unwrap()];
        [x, y]
    };
    let mut letters = pair.chars();
    let (from, to) = (letters.next().unwrap(), letters.next().unwrap());
    let ([x, y], [u, v]) = (at(from), at(to));
    let apart = libm::sqrt((x - u) * (x - u) + (y - v) * (y - v));
    let tie = format!("tie#{number}");
    site.tie(&tie, TieKind::Distance, &[&name_of(from), &name_of(to)])
        .measure(&tie, "tie.length", &format!("{apart:.6} in"))
}

/// The yard as it is taped, everything answered, nothing worked out.
fn yard(gate: f64) -> TestSite {
    let mut site = TestSite::new()
        .choice("site", "way.chain", "rolled")
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.openings_listed", true)
        .choice("site", "plan.basis", "tapes");
    for (name, _, _) in points(gate) {
        site = site.add(&name_of(name.chars().next().unwrap()), name);
    }
    for (place, pair) in TAPED.iter().enumerate() {
        site = taped(site, place + 1, pair, gate);
    }
    let named = |letters: &str| -> Vec<String> { letters.chars().map(name_of).collect() };
    let lines = [
        ("edge", "ABCD", "edge of the yard"),
        ("fence", "NP", "fence beside the garage"),
        ("fence", "SQ", "fence beside the house"),
    ];
    for (place, (kind, letters, called)) in lines.into_iter().enumerate() {
        let line = format!("plan_line#{}", place + 1);
        let names = named(letters);
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        site = site
            .add(&line, called)
            .choice(&line, "plan_line.kind", kind)
            .points(&line, "plan_line.points", &names);
    }
    site = site
        .tie(
            "tie#40",
            TieKind::SideLeft,
            &[&name_of('D'), &name_of('A'), &name_of('B')],
        )
        .tie(
            "tie#41",
            TieKind::SideLeft,
            &[&name_of('W'), &name_of('P'), &name_of('Q')],
        )
        .tie(
            "tie#42",
            TieKind::Straight,
            &[&name_of('T'), &name_of('U'), &name_of('V'), &name_of('W')],
        )
        .points("site", "plan.stand", &[&name_of('T'), &name_of('U')])
        .points("site", "plan.spot", &[&name_of('V'), &name_of('W')])
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    site
}

fn check(site: &TestSite, outcome: Outcome, reason: &str) -> CheckResult {
    let result = site.check("roll.way");
    assert_eq!(
        (result.outcome, result.reason.key.as_ref()),
        (outcome, reason),
        "{:#?}",
        result.items
    );
    result
}

fn lines(result: &CheckResult) -> Vec<&str> {
    let items = result.items.iter().flat_map(|item| &item.working);
    items.map(|line| line.key.as_ref()).collect()
}

/// The corridor of a worked right-angle corner.
fn corner(a: f64, b: f64, unit: (f64, f64)) -> TestSite {
    let inches = |value: f64| format!("{value} in");
    let mut site = TestSite::new()
        .spa(|spa| {
            spa.shipping.length = length(&inches(unit.0));
            spa.shipping.width = length(&inches(unit.1));
        })
        .practice("running_clearance_preferred", "20 in")
        .yes("site", "way.turns_listed", true)
        .yes("site", "way.openings_listed", true)
        .yes("site", "way.legs_listed", true)
        .choice("site", "plan.basis", "legs")
        .yes("site", "plan.either_end", true)
        .yes("site", "plan.complete", true);
    for (leg, width, called) in [("leg#1", a, "in"), ("leg#2", b, "on")] {
        site = site
            .add(leg, called)
            .exactly(leg, "leg.width_left", &inches(0.5 * width))
            .exactly(leg, "leg.width_right", &inches(0.5 * width))
            .exactly(leg, "leg.length", "480 in");
    }
    site.exactly("leg#1", "leg.turn", "90 deg")
}
