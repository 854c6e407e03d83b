//! Every unit that can be typed, against pint; and water, against IAPWS-95.

use crate::harness::{ask, list, near, number, numbers};
use serde_json::{Value, json};
use setdown_rules::maths::water::density;
use setdown_rules::tables::units as exact;
use setdown_rules::tables::water_density::DENSITY;
use setdown_types::quantity::{Dimension, unit_table};

/// The size of each unit of the table is pint's.
#[test]
fn units_against_pint() {
    let table = unit_table();
    for dimension in Dimension::ALL {
        let has_one = table.iter().any(|(of, _, _)| *of == dimension);
        assert!(has_one, "{dimension:?} has no unit");
    }
    let request: Vec<Value> = table
        .iter()
        .map(|(dimension, symbol, _)| json!({"dimension": dimension, "symbol": symbol}))
        .collect();
    let answer = ask("units.py", &Value::from(request));
    assert_eq!(list(&answer).len(), table.len());
    for ((dimension, symbol, size), theirs) in table.iter().zip(list(&answer)) {
        assert!(
            !theirs.is_null(),
            "units.py does not know {dimension:?} {symbol:?}: add it there"
        );
        let share = size / number(theirs);
        near(share, 1.0, 4e-15, &format!("{dimension:?} {symbol:?}"));
    }
}

/// The factors that published values are written down with are pint's too.
#[test]
fn factors_against_pint() {
    let factors = [
        ("length", "in", exact::INCH),
        ("length", "ft", exact::FOOT),
        ("mass", "lb", exact::POUND),
        ("force", "lbf", exact::POUND_FORCE),
        ("force", "kgf", exact::KILOGRAM_FORCE),
        ("pressure", "psf", exact::POUND_PER_SQUARE_FOOT),
        ("volume", "gal", exact::US_GALLON),
        ("speed", "mph", exact::MILE_PER_HOUR),
    ];
    let request: Vec<Value> = factors
        .iter()
        .map(|(dimension, symbol, _)| json!({"dimension": dimension, "symbol": symbol}))
        .collect();
    let answer = ask("units.py", &Value::from(request));
    for ((_, symbol, ours), theirs) in factors.iter().zip(numbers(&answer)) {
        near(ours / theirs, 1.0, 4e-15, symbol);
    }
}

/// The published rows lie within 0.05 kg/m³ of IAPWS-95, and the straight lines between them within 0.8.
#[test]
fn water_against_iapws() {
    let rows: Vec<f64> = DENSITY.value.iter().map(|(celsius, _)| *celsius).collect();
    // Just above freezing: the formulation itself calls 0 °C at one atmosphere ice.
    let asked: Vec<f64> = rows.iter().map(|celsius| celsius.max(0.01)).collect();
    let answer = ask("water.py", &json!(asked));
    for ((_, printed), theirs) in DENSITY.value.iter().zip(numbers(&answer)) {
        assert!((printed - theirs).abs() < 0.05, "{printed} {theirs}");
    }
    let between: Vec<f64> = (1..120).map(|k| f64::from(k) * 0.5).collect();
    let answer = ask("water.py", &json!(between));
    for (celsius, theirs) in between.iter().zip(numbers(&answer)) {
        let ours = density(*celsius).expect("inside the table");
        assert!((ours - theirs).abs() < 0.8, "{celsius} °C: {ours} {theirs}");
    }
    assert_eq!(density(-0.1), None);
    assert_eq!(density(60.1), None);
    assert_eq!(density(f64::NAN), None);
}
