//! The reader of route files: good files are taken, bad ones refused with the key named, none of them panics.

use crate::random::Draw;
use crate::turning::scene;
use serde_json::{Value, json};
use setdown_rules::motion::{Answer, Options, Solver, file};

fn fault(change: impl FnOnce(&mut Value)) -> String {
    let mut yard = scene("s05_narrow_gate_posts");
    change(&mut yard);
    file::read(&yard.to_string()).expect_err("a bad scene").key
}

#[test]
fn faults_name_their_key() {
    assert_eq!(fault(|yard| yard["unit"]["L"] = json!(0.0)), "unit.L");
    assert_eq!(fault(|yard| yard["unit"]["W"] = json!(-3)), "unit.W");
    assert_eq!(fault(|yard| yard["unit"] = json!(3)), "unit");
    assert_eq!(fault(|yard| yard["units"] = json!("mm")), "units");
    assert_eq!(fault(|yard| yard["bounds"] = json!([0, 0, 0, 5])), "bounds");
    assert_eq!(fault(|yard| yard["bounds"] = json!([0, 0, 5])), "bounds");
    assert_eq!(fault(|yard| yard["start"] = json!([0, 0])), "start");
    assert_eq!(fault(|yard| yard["goal"][2] = json!("north")), "goal[2]");
    assert_eq!(fault(|yard| yard["goal"][0] = json!(1e300)), "goal[0]");
    assert_eq!(
        fault(|yard| yard["goal_symmetric"] = json!(1)),
        "goal_symmetric"
    );
    assert_eq!(fault(|yard| yard["obstacles"] = json!({})), "obstacles");
    assert_eq!(
        fault(|yard| yard["obstacles"][1]["id"] = json!("")),
        "obstacles[1].id"
    );
    assert_eq!(
        fault(|yard| yard["obstacles"][2]["poly"][3][1] = json!(null)),
        "obstacles[2].poly[3][1]"
    );
    assert_eq!(
        fault(|yard| yard["obstacles"][2]["cost"] = json!(-1)),
        "obstacles[2].cost"
    );
    assert_eq!(
        fault(|yard| yard["obstacles"][0]["z"] = json!([5, 2])),
        "obstacles[0].z"
    );
    let bow_tie = json!([[0, 0], [10, 10], [10, 0], [0, 10]]);
    assert_eq!(
        fault(|yard| yard["obstacles"][0]["poly"] = bow_tie),
        "obstacles[0].poly"
    );
    let flat = json!([[0, 0], [10, 10], [20, 20]]);
    assert_eq!(
        fault(|yard| yard["obstacles"][0]["poly"] = flat),
        "obstacles[0].poly"
    );
    let many: Vec<[f64; 2]> = (0..30_000)
        .map(|k| [f64::from(k).cos(), f64::from(k).sin()])
        .collect();
    assert_eq!(
        fault(|yard| yard["obstacles"][0]["poly"] = json!(many)),
        "obstacles"
    );
    assert_eq!(file::read("{").expect_err("no JSON").key, "file");
    assert_eq!(file::read("[]").expect_err("no object").key, "file");
    let huge = format!("{{\"name\": \"{}\"}}", "x".repeat(file::LONGEST_FILE));
    assert_eq!(file::read(&huge).expect_err("too long").key, "file");
}

/// A closed ring and repeated corners are taken as meant.
#[test]
fn repeated_corners_are_tidied() {
    let mut yard = scene("s05_narrow_gate_posts");
    let ring = &mut yard["obstacles"][0]["poly"];
    let first = ring[0].clone();
    let list = ring.as_array_mut().expect("a ring");
    list.insert(0, first.clone());
    list.push(first);
    let read = file::read(&yard.to_string()).expect("a good scene");
    assert_eq!(read.parts().obstacles[0].ring.len(), 4);
}

/// Every number and key of a scene in turn is replaced by odd ones; whatever is taken is also solved, within bounds.
#[test]
fn odd_files_do_no_harm() {
    let odd = [
        json!(null),
        json!(0),
        json!(-1e5),
        json!(1e-300),
        json!(99_999.0),
        json!([]),
        json!({}),
        json!("x"),
        json!(true),
        json!([[0, 0]]),
    ];
    let mut draw = Draw(9);
    for _ in 0..300 {
        let mut yard = scene("s11_full_yard");
        for _ in 0..1 + draw.between(0.0, 3.0) as usize {
            let value = odd[draw.between(0.0, 10.0) as usize].clone();
            spoil(&mut yard, &mut draw, value);
        }
        let Ok(read) = file::read(&yard.to_string()) else {
            continue;
        };
        let options = Options {
            resolution: 0.5,
            most_cells: 2_000,
            ..Options::default()
        };
        let mut solver = Solver::new(&read, options);
        solver.solve();
        let answer = Answer::of(&read, &solver);
        assert!(
            answer.lower.is_none_or(|lower| lower <= answer.upper),
            "{yard}"
        );
        assert!(!answer.to_json().to_string().contains("NaN"));
    }
}

/// Puts the value somewhere into the tree.
fn spoil(tree: &mut Value, draw: &mut Draw, value: Value) {
    let count = match tree {
        Value::Array(list) => list.len(),
        Value::Object(map) => map.len(),
        _ => 0,
    };
    if count == 0 || draw.between(0.0, 1.0) < 0.1 {
        *tree = value;
        return;
    }
    let place = draw.between(0.0, count as f64) as usize;
    let next = match tree {
        Value::Array(list) => list.get_mut(place),
        Value::Object(map) => map.values_mut().nth(place),
        _ => None,
    };
    if let Some(next) = next {
        spoil(next, draw, value);
    }
}
