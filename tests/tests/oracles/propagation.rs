//! The rules' own error propagation against the uncertainties package, on expressions drawn at random.

use crate::harness::{Draw, ask, list, near, number};
use serde_json::{Value, json};
use setdown_rules::frame::Num;
use setdown_rules::frame::spread::{Instrument, Spread, Spreads};
use setdown_types::entry::Method;
use setdown_types::ids::PersonId;

const READINGS: u64 = 4;

/// A random expression: what it is here, and the same in reverse Polish notation for the other side.
struct Expression {
    number: Num,
    program: Vec<Value>,
}

fn leaf(draw: &mut Draw, values: &[f64]) -> Expression {
    if draw.below(5) == 0 {
        let constant = draw.between(0.5, 3.0);
        return Expression {
            number: Num::exact(constant),
            program: vec![json!(constant)],
        };
    }
    let index = draw.below(READINGS);
    let value = values[usize::try_from(index).expect("a small index")];
    Expression {
        number: Num::reading(u32::try_from(index).expect("a small index"), value),
        program: vec![json!({"reading": index})],
    }
}

fn grow(draw: &mut Draw, values: &[f64], depth: u32) -> Expression {
    if depth == 0 {
        return leaf(draw, values);
    }
    let inner = grow(draw, values, depth - 1);
    match draw.below(8) {
        0 => alone(&inner, "sin", Num::sin),
        1 => alone(&inner, "cos", Num::cos),
        2 => alone(&inner, "atan", Num::atan),
        3 if inner.number.value() > 0.1 => alone(&inner, "sqrt", Num::sqrt),
        operation => {
            let other = grow(draw, values, depth - 1);
            let divisible = other.number.value().abs() > 0.3;
            let (word, number) = match operation {
                4 => ("add", &inner.number + &other.number),
                5 => ("subtract", &inner.number - &other.number),
                6 if divisible => ("divide", &inner.number / &other.number),
                _ => ("multiply", &inner.number * &other.number),
            };
            let mut program = inner.program;
            program.extend(other.program);
            program.push(json!(word));
            Expression { number, program }
        }
    }
}

fn alone(inner: &Expression, word: &str, apply: fn(&Num) -> Num) -> Expression {
    let mut program = inner.program.clone();
    program.push(json!(word));
    Expression {
        number: apply(&inner.number),
        program,
    }
}

struct Case {
    number: Num,
    spreads: Spreads,
    request: Value,
}

fn draw_case(draw: &mut Draw) -> Case {
    let values: Vec<f64> = (0..READINGS).map(|_| draw.between(0.5, 4.0)).collect();
    let mut spreads = Spreads::default();
    let mut readings = Vec::new();
    for value in &values {
        let own = draw.between(0.001, 0.02);
        let systematic = draw.between(0.0, 0.02);
        let method = if draw.below(2) == 0 {
            Method::Tape
        } else {
            Method::Laser
        };
        spreads.push(Spread {
            total: (own * own + systematic * systematic).sqrt(),
            systematic,
            instrument: Some(Instrument {
                person: PersonId::NIL,
                method,
            }),
        });
        readings.push(json!([value, own, systematic, format!("{method:?}")]));
    }
    let expression = grow(draw, &values, 4);
    Case {
        number: expression.number,
        spreads,
        request: json!({"readings": readings, "program": expression.program}),
    }
}

/// 300 expressions of up to 16 leaves over four readings that share two instruments.
#[test]
fn random_expressions() {
    let mut draw = Draw::new(4);
    let cases: Vec<Case> = (0..300).map(|_| draw_case(&mut draw)).collect();
    let request: Vec<Value> = cases.iter().map(|case| case.request.clone()).collect();
    let answer = ask("propagation.py", &Value::from(request));
    assert_eq!(list(&answer).len(), cases.len());
    let mut spread_somewhere = 0;
    for (case, theirs) in cases.iter().zip(list(&answer)) {
        let what = case.request["program"].to_string();
        near(case.number.value(), number(&theirs["value"]), 1e-9, &what);
        let ours = case.spreads.of(&case.number);
        near(ours, number(&theirs["sigma"]), 1e-9, &what);
        spread_somewhere += u32::from(ours > 1e-6);
    }
    assert!(
        spread_somewhere > 200,
        "most expressions have a spread to compare"
    );
}

/// A reading used twice counts once: x - x has no spread, x + x twice it; and two readings of one tape keep the shared
/// part out of their difference.
#[test]
fn shared_errors() {
    let tape = Some(Instrument {
        person: PersonId::NIL,
        method: Method::Tape,
    });
    let mut spreads = Spreads::default();
    let spread = Spread {
        total: 0.005,
        systematic: 0.004,
        instrument: tape,
    };
    let (first, second) = (spreads.push(spread), spreads.push(spread));
    let (x, y) = (Num::reading(first, 3.0), Num::reading(second, 2.0));
    near(spreads.of(&(&x - &x)), 0.0, 1e-15, "x - x");
    near(spreads.of(&(&x + &x)), 0.01, 1e-15, "x + x");
    // Own parts 0.003 each; the shared part cancels in the difference and adds in the sum.
    near(spreads.of(&(&x - &y)), 0.003 * 2f64.sqrt(), 1e-12, "x - y");
    near(
        spreads.of(&(&x + &y)),
        (2.0 * 0.003 * 0.003 + 0.008 * 0.008f64).sqrt(),
        1e-12,
        "x + y",
    );
}
