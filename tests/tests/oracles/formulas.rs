//! The small formulas and their spreads against the uncertainties package, on numbers drawn from plausible ranges.

use crate::harness::{Draw, ask, list, near, number};
use serde_json::{Value, json};
use setdown_rules::maths::{Graded, bearing, corner, crane, roll, sling, tip};

/// One formula: its name on the Python side, the ranges of its inputs, ours, and how near the spreads must be.
struct Formula<const N: usize> {
    name: &'static str,
    ranges: [(f64, f64); N],
    ours: fn([f64; N]) -> Option<Graded<N>>,
    near: f64,
}

const ROUNDS: usize = 40;

impl<const N: usize> Formula<N> {
    fn check(&self, seed: u64) {
        let mut draw = Draw::new(seed);
        let mut cases = Vec::new();
        for _ in 0..ROUNDS {
            let inputs = self.ranges.map(|(low, high)| draw.between(low, high));
            let spreads = self
                .ranges
                .map(|(low, high)| draw.between(0.0, 0.02) * (high - low));
            cases.push((inputs, spreads));
        }
        let request: Vec<Value> = cases.iter().map(|case| self.request(case)).collect();
        let answer = ask("formulas.py", &Value::from(request));
        assert_eq!(list(&answer).len(), ROUNDS);
        for ((inputs, spreads), theirs) in cases.iter().zip(list(&answer)) {
            let what = format!("{} of {inputs:?}", self.name);
            let ours = (self.ours)(*inputs).unwrap_or_else(|| panic!("{what}: no answer"));
            near(ours.value, number(&theirs["value"]), 1e-9, &what);
            let share = ours.spread(*spreads) / number(&theirs["sigma"]);
            near(share, 1.0, self.near, &format!("spread of {what}"));
        }
    }

    fn request(&self, (inputs, spreads): &([f64; N], [f64; N])) -> Value {
        let pairs: Vec<_> = inputs
            .iter()
            .zip(spreads)
            .map(|(value, sigma)| [*value, *sigma])
            .collect();
        json!({"name": self.name, "inputs": pairs})
    }
}

/// The corner's gradient by the envelope theorem against numerical differentiation of scipy's minimum.
#[test]
fn longest_turn_spread() {
    Formula {
        name: "longest_turn",
        ranges: [(2.6, 5.0), (2.6, 5.0), (2.0, 2.5)],
        ours: |[a, b, w]| corner::longest_turn(a, b, w).map(|turn| turn.length),
        near: 1e-4,
    }
    .check(11);
}

#[test]
fn slings() {
    Formula {
        name: "leg_tension",
        ranges: [(5e3, 3e4), (20.0, 89.0)],
        ours: |[weight, angle]| sling::leg_tension(weight, 4, angle),
        near: 1e-9,
    }
    .check(12);
    Formula {
        name: "rim_squeeze",
        ranges: [(5e3, 3e4), (20.0, 89.0)],
        ours: |[share, angle]| sling::rim_squeeze(share, angle),
        near: 1e-9,
    }
    .check(13);
    let share = |which: usize| {
        move |[weight, span, x]: [f64; 3]| {
            let shares = sling::two_point_shares(weight, span, x)?;
            shares.get(which).copied()
        }
    };
    let ranges = [(1e4, 3e4), (3.0, 5.0), (0.5, 2.5)];
    check_share("first_share", ranges, share(0), 14);
    check_share("second_share", ranges, share(1), 15);
}

fn check_share(
    name: &'static str,
    ranges: [(f64, f64); 3],
    ours: impl Fn([f64; 3]) -> Option<Graded<3>>,
    seed: u64,
) {
    let mut draw = Draw::new(seed);
    let inputs = ranges.map(|(low, high)| draw.between(low, high));
    let spreads = ranges.map(|(low, high)| 0.01 * (high - low));
    let pairs: Vec<_> = inputs
        .iter()
        .zip(&spreads)
        .map(|(value, sigma)| [*value, *sigma])
        .collect();
    let answer = ask("formulas.py", &json!([{"name": name, "inputs": pairs}]));
    let theirs = &list(&answer)[0];
    let ours = ours(inputs).expect("the centre lies between the points");
    near(ours.value, number(&theirs["value"]), 1e-9, name);
    near(
        ours.spread(spreads) / number(&theirs["sigma"]),
        1.0,
        1e-9,
        name,
    );
}

#[test]
fn rolling() {
    Formula {
        name: "pull",
        ranges: [(1e4, 3e4), (-0.1, 0.3), (0.0, 0.4)],
        ours: |[weight, slope, c]| roll::pull(weight, slope, c),
        near: 1e-9,
    }
    .check(16);
    Formula {
        name: "hold_back",
        ranges: [(1e4, 3e4), (0.1, 0.3), (0.0, 0.09)],
        ours: |[weight, slope, c]| roll::hold_back(weight, slope, c),
        near: 1e-9,
    }
    .check(17);
    Formula {
        name: "pitch_rise",
        ranges: [(3.0, 6.0), (0.01, 0.4)],
        ours: |[length, slope]| roll::pitch_rise(length, slope),
        near: 1e-9,
    }
    .check(18);
    Formula {
        name: "crest_rise",
        ranges: [(1.0, 4.0), (1.0, 30.0)],
        ours: |[wheelbase, change]| roll::crest_rise(wheelbase, change),
        near: 1e-9,
    }
    .check(19);
    Formula {
        name: "tipping_slope",
        ranges: [(0.6, 2.0), (0.0, 0.25), (0.3, 1.2)],
        ours: |[track, offset, height]| tip::tipping_slope(track, offset, height),
        near: 1e-9,
    }
    .check(20);
}

#[test]
fn ground() {
    Formula {
        name: "pressure",
        ranges: [(1e4, 3e5), (0.2, 12.0)],
        ours: |[force, area]| bearing::pressure(force, area),
        near: 1e-9,
    }
    .check(21);
    Formula {
        name: "pressure_under_slab",
        ranges: [(5e3, 2e4), (8.0, 20.0), (0.1, 0.2), (2200.0, 2500.0)],
        ours: |[mass, area, thickness, density]| {
            bearing::pressure_under_slab(mass, area, thickness, density)
        },
        near: 1e-9,
    }
    .check(22);
    Formula {
        name: "filled_mass",
        ranges: [
            (1500.0, 2500.0),
            (4.0, 9.0),
            (990.0, 1000.0),
            (0.0, 800.0),
            (0.0, 300.0),
        ],
        ours: |[dry, volume, density, people, other]| {
            bearing::filled_mass(dry, volume, density, people, other)
        },
        near: 1e-9,
    }
    .check(23);
}

#[test]
fn cranes() {
    Formula {
        name: "boom_clearance",
        ranges: [
            (2.0, 12.0),
            (0.0, 2.0),
            (2.0, 9.0),
            (1.0, 3.0),
            (20.0, 80.0),
        ],
        ours: |[x, e, h, h0, angle]| crane::boom_clearance(x, e, h, h0, angle),
        near: 1e-9,
    }
    .check(24);
    Formula {
        name: "outrigger_load",
        ranges: [(1e5, 4e5), (2e3, 1e4), (1e4, 3e4), (0.6, 0.9)],
        ours: |[crane, rigging, load, share]| crane::outrigger_load(crane, rigging, load, share),
        near: 1e-9,
    }
    .check(25);
    Formula {
        name: "wind_force",
        ranges: [(2.0, 15.0), (1.0, 2.0), (4.0, 12.0)],
        ours: |[speed, drag, area]| crane::wind_force(speed, drag, area),
        near: 1e-9,
    }
    .check(26);
}
