//! Planes through level readings, and normal quantiles, against scipy, numpy and uncertainties.

use crate::harness::{Draw, ask, list, near, number, numbers};
use serde_json::{Value, json};
use setdown_rules::maths::normal::{probability_below, quantile};
use setdown_rules::maths::plane::{Footprint, LevelPoint, NoPlane, Plane, fit};

struct Case {
    points: Vec<LevelPoint>,
    sigma: f64,
    footprint: Footprint,
}

impl Case {
    fn request(&self) -> Value {
        let points: Vec<_> = self.points.iter().map(|p| [p.x, p.y, p.z]).collect();
        json!({
            "points": points, "sigma": self.sigma, "length": self.footprint.length,
            "width": self.footprint.width, "heading": self.footprint.heading,
        })
    }
}

fn random_case(draw: &mut Draw) -> Case {
    let count = 3 + draw.below(10);
    let (a, b) = (draw.between(-0.05, 0.05), draw.between(-0.05, 0.05));
    let (east, north) = (draw.between(-30.0, 30.0), draw.between(-30.0, 30.0));
    let points = (0..count)
        .map(|_| {
            let (x, y) = (draw.between(0.0, 6.0), draw.between(0.0, 3.0));
            let z = 100.0 + a * x + b * y + draw.between(-0.02, 0.02);
            LevelPoint {
                x: x + east,
                y: y + north,
                z,
            }
        })
        .collect();
    Case {
        points,
        sigma: draw.between(0.001, 0.01),
        footprint: Footprint {
            length: draw.between(3.0, 6.0),
            width: draw.between(2.0, 2.6),
            heading: draw.between(-180.0, 180.0),
        },
    }
}

/// 60 planes: coefficients, covariance, residuals, fall and its spread, departures from level.
#[test]
fn random_planes() {
    let mut draw = Draw::new(2);
    let cases: Vec<Case> = (0..60).map(|_| random_case(&mut draw)).collect();
    let request: Vec<Value> = cases.iter().map(Case::request).collect();
    let answer = ask("plane.py", &Value::from(request));
    assert_eq!(list(&answer).len(), cases.len());
    for (case, theirs) in cases.iter().zip(list(&answer)) {
        assert_eq!(theirs["rank"], 3);
        let plane = fit(&case.points).expect("three points off a line");
        compare(case, &plane, theirs);
    }
}

fn compare(case: &Case, plane: &Plane, theirs: &Value) {
    let coefficients = numbers(&theirs["coefficients"]);
    for (ours, theirs) in [plane.a, plane.b, plane.c].iter().zip(&coefficients) {
        near(*ours, *theirs, 1e-9, "coefficient");
    }
    let rows = list(&theirs["covariance"]);
    for (ours, theirs) in plane.covariance(case.sigma).iter().zip(rows) {
        for (ours, theirs) in ours.iter().zip(numbers(theirs)) {
            near(*ours, theirs, 1e-8, "covariance");
        }
    }
    let residuals = numbers(&theirs["residuals"]);
    assert_eq!(residuals.len(), plane.residuals.len());
    for (ours, theirs) in plane.residuals.iter().zip(&residuals) {
        near(*ours, *theirs, 1e-9, "residual");
    }
    if let Some(scatter) = plane.scatter() {
        near(scatter, number(&theirs["scatter"]), 1e-9, "scatter");
    } else {
        assert_eq!(residuals.len(), 3, "only three points show no scatter");
    }
    let fall = plane
        .fall_across(case.footprint)
        .expect("a sensible footprint");
    near(fall.value, number(&theirs["fall"]), 1e-9, "fall");
    let spread = fall.spread(case.sigma);
    near(
        spread / number(&theirs["fall_sigma"]),
        1.0,
        1e-8,
        "spread of the fall",
    );
    departures(plane, &residuals, &numbers(&theirs["level_residuals"]));
}

fn departures(plane: &Plane, residuals: &[f64], from_level: &[f64]) {
    let lowest = |all: &[f64]| all.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = |all: &[f64]| all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let ours = plane.departures().expect("there are readings");
    near(ours.dip.height.value, lowest(residuals), 1e-9, "dip");
    near(ours.high.height.value, highest(residuals), 1e-9, "high");
    let level = plane.departures_from_level().expect("there are readings");
    near(
        level.dip.height.value,
        lowest(from_level),
        1e-9,
        "dip from level",
    );
    near(
        level.high.height.value,
        highest(from_level),
        1e-9,
        "high from level",
    );
    // A departure is linear in the heights: its gradient times the heights gives it back.
    let again: f64 = ours
        .dip
        .height
        .gradient
        .iter()
        .zip(residuals)
        .map(|(slope, residual)| slope * residual)
        .sum();
    near(again, ours.dip.height.value, 1e-9, "gradient of the dip");
}

/// Points on one line: numpy finds rank 2, and there is no plane.
#[test]
fn points_on_one_line() {
    let mut draw = Draw::new(3);
    let lines: Vec<Case> = (0..20)
        .map(|_| {
            let (dx, dy) = (draw.between(-1.0, 1.0), draw.between(-1.0, 1.0));
            let points = (0..5)
                .map(|k| LevelPoint {
                    x: 7.0 + f64::from(k) * dx,
                    y: -3.0 + f64::from(k) * dy,
                    z: draw.between(0.0, 1.0),
                })
                .collect();
            let footprint = Footprint {
                length: 4.0,
                width: 2.0,
                heading: 0.0,
            };
            Case {
                points,
                sigma: 0.01,
                footprint,
            }
        })
        .collect();
    let request: Vec<Value> = lines.iter().map(Case::request).collect();
    let answer = ask("plane.py", &Value::from(request));
    for (case, theirs) in lines.iter().zip(list(&answer)) {
        assert_eq!(theirs["rank"], 2);
        assert_eq!(fit(&case.points).err(), Some(NoPlane::OnOneLine));
    }
}

/// Too few, all in one place, not finite: a reason each, and no panic.
#[test]
fn no_plane() {
    let point = LevelPoint {
        x: 1.0,
        y: 2.0,
        z: 3.0,
    };
    assert_eq!(fit(&[]).err(), Some(NoPlane::TooFew));
    assert_eq!(fit(&[point, point]).err(), Some(NoPlane::TooFew));
    assert_eq!(fit(&[point, point, point]).err(), Some(NoPlane::OnOneLine));
    let broken = LevelPoint {
        z: f64::NAN,
        ..point
    };
    assert_eq!(fit(&[point, point, broken]).err(), Some(NoPlane::NotFinite));
}

/// Probabilities and quantiles against scipy.stats, far into the tails.
#[test]
fn normal_against_scipy() {
    let below: Vec<f64> = (-80..=80).map(|k| f64::from(k) * 0.1).collect();
    let mut chances: Vec<f64> = (1..200).map(|k| f64::from(k) / 200.0).collect();
    chances.extend([
        1e-300,
        1e-100,
        1e-20,
        1e-12,
        1e-6,
        1e-3,
        0.074,
        0.076,
        0.999,
        1.0 - 1e-9,
    ]);
    let answer = ask("normal.py", &json!({"below": below, "quantile": chances}));
    for (z, theirs) in below.iter().zip(numbers(&answer["below"])) {
        let ours = probability_below(*z);
        assert!(
            (ours / theirs - 1.0).abs() < 1e-12,
            "below {z}: {ours} {theirs}"
        );
    }
    for (p, theirs) in chances.iter().zip(numbers(&answer["quantile"])) {
        near(
            quantile(*p).expect("between 0 and 1"),
            theirs,
            1e-12,
            "quantile",
        );
    }
    for bad in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
        assert_eq!(quantile(bad), None);
    }
    assert_eq!(probability_below(f64::NAN), 0.0);
}

/// Data snooping's constants: 3.2905267 for a test at 0.1 %, and 4.13 with a power of 80 % (survey-software help pages,
/// recomputed).
#[test]
fn snooping_constants() {
    let critical = quantile(0.9995).expect("between 0 and 1");
    near(critical, 3.290_526_7, 1e-8, "3.29");
    let shift = critical + quantile(0.8).expect("between 0 and 1");
    near(shift, 4.13, 0.001, "4.13");
}

/// Which way a plane falls (worked out): 3 % down towards x is 0 degrees, down towards y 90; level has no way.
#[test]
fn falls() {
    let corners = [(0.0, 0.0), (4.0, 0.0), (0.0, 4.0), (4.0, 4.0)];
    let through = |height: fn(f64, f64) -> f64| {
        let points = corners.map(|(x, y)| LevelPoint {
            x,
            y,
            z: height(x, y),
        });
        fit(&points).expect("a square").fall()
    };
    let east = through(|x, _| 1.0 - 0.03 * x);
    near(east.slope, 0.03, 1e-12, "slope");
    near(east.downhill.expect("it falls"), 0.0, 1e-9, "towards x");
    let north_west = through(|x, y| 0.03 * x - 0.04 * y);
    near(north_west.slope, 0.05, 1e-12, "slope");
    let degrees = 180.0 - (4.0f64 / 3.0).atan().to_degrees();
    near(
        north_west.downhill.expect("it falls"),
        degrees,
        1e-9,
        "both ways",
    );
    assert_eq!(through(|_, _| 2.0).downhill, None);
}
