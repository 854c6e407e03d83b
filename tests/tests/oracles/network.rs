//! Tape networks: reference cases, scipy's least squares, numpy's singular values, scipy's chi-square.

use crate::harness::{Draw, ask, list, near, number, numbers};
use serde_json::{Map, Value, json};
use setdown_rules::maths::chi_square::probability_above;
use setdown_rules::maths::matrix::{Matrix, least_squares, singular};
use setdown_rules::network::{
    Adjustment, Answer, Measured, TapeNetwork, adjust, answer, gap, next_tapes, read,
};

/// Inches in a foot: the reference file is in feet.
const FOOT: f64 = 12.0;
/// A spread of one σ.
const SPREADS_PER_SIGMA: f64 = 1.959_963_984_540_054;

fn reference() -> Map<String, Value> {
    let text = include_str!("../../data/tape_network.json");
    serde_json::from_str(text).expect("the file is JSON")
}

/// The network file of a reference case: its readings, with the second point along x.
fn file_of(case: &Value, observations: &Value, without: Option<&Value>) -> Value {
    let points: Vec<String> = case["coords"]
        .as_object()
        .expect("coordinates")
        .keys()
        .cloned()
        .collect();
    let distances: Vec<Value> = list(observations)
        .iter()
        .filter(|o| without.is_none_or(|pair| [&o[0], &o[1]] != [&pair[0], &pair[1]]))
        .map(|o| {
            json!({
                "from": o[0], "to": o[1], "is": number(&o[2]) * FOOT,
                "spread": number(&o[3]) * FOOT * SPREADS_PER_SIGMA,
            })
        })
        .collect();
    json!({ "points": points, "distances": distances })
}

fn network_of(file: &Value) -> TapeNetwork {
    read(&file.to_string()).unwrap_or_else(|complaint| panic!("{complaint}"))
}

/// Column numbers of the file (`B.x`) as point and axis.
fn coordinate(network: &TapeNetwork, parameter: &str) -> (usize, usize) {
    let (point, axis) = parameter.split_once('.').expect("point.axis");
    let index = network.parts().points.iter().position(|name| name == point);
    (
        index.expect("a point of the file"),
        usize::from(axis == "y"),
    )
}

fn within(ours: f64, theirs: f64, allowed: f64, what: &str) {
    assert!(
        (ours - theirs).abs() <= allowed,
        "{what}: {ours} here, {theirs} there"
    );
}

fn compare(name: &str, case: &Value, network: &TapeNetwork, ours: &Adjustment) {
    assert_eq!(ours.rank as f64, number(&case["rank"]), "{name}: rank");
    assert_eq!(
        ours.unknowns as f64,
        number(&case["n_params"]),
        "{name}: unknowns"
    );
    for (index, point) in network.parts().points.iter().enumerate() {
        let theirs = numbers(&case["coords"][point.as_str()]);
        for (here, there) in ours.places[index].iter().zip(theirs) {
            within(
                *here,
                there * FOOT,
                1.1e-6 * FOOT,
                &format!("{name}: {point}"),
            );
        }
    }
    for (here, there) in ours
        .singular_values
        .iter()
        .zip(numbers(&case["singular_values"]))
    {
        near(
            *here,
            there / FOOT,
            1e-8,
            &format!("{name}: singular value"),
        );
    }
    compare_readings(name, case, ours);
    compare_covariance(name, case, network, ours);
    if case["dof"] != json!(0) {
        near(
            ours.chi_square,
            number(&case["vTPv"]),
            1e-8,
            &format!("{name}: vTPv"),
        );
        assert_eq!(
            f64::from(ours.degrees),
            number(&case["dof"]),
            "{name}: degrees"
        );
        let passes = ours.fit >= 0.05;
        assert_eq!(
            json!(passes),
            case["global_test"]["pass_"],
            "{name}: global test"
        );
    }
}

fn compare_readings(name: &str, case: &Value, ours: &Adjustment) {
    for (index, checked) in ours.readings.iter().enumerate() {
        let checked = checked.expect("nothing was set aside");
        let what = format!("{name}: reading {index}");
        within(
            checked.residual,
            number(&case["residual_ft"][index]) * FOOT,
            0.6e-6 * FOOT,
            &what,
        );
        within(
            checked.redundancy,
            number(&case["redundancy"][index]),
            0.6e-6,
            &what,
        );
        match &case["w"][index] {
            Value::Null => assert_eq!(checked.normalised, None, "{what}"),
            theirs => {
                let ours = checked.normalised.expect("it is checked");
                within(ours, number(theirs), 0.6e-4, &what);
                let excess = checked.excess.expect("it is checked");
                let there = number(&case["est_blunder_ft"][index]) * FOOT;
                within(excess, there, 0.6e-4 * FOOT, &what);
                let detectable = checked.detectable.expect("it is checked");
                // The reference uses 4.13, rounded; here the quantiles.
                near(
                    detectable,
                    number(&case["mdb_ft"][index]) * FOOT,
                    2e-3,
                    &what,
                );
            }
        }
    }
}

fn compare_covariance(name: &str, case: &Value, network: &TapeNetwork, ours: &Adjustment) {
    let parameters: Vec<(usize, usize)> = list(&case["params"])
        .iter()
        .map(|p| coordinate(network, p.as_str().expect("a text")))
        .collect();
    for (row, one) in list(&case["Q"]).iter().zip(&parameters) {
        for (theirs, other) in list(row).iter().zip(&parameters) {
            let here = ours.covariance_of(*one, *other) / (FOOT * FOOT);
            within(
                here,
                number(theirs),
                1.1e-10,
                &format!("{name}: covariance"),
            );
        }
    }
    let ellipses = case["ellipses_1sigma_ft"].as_object().expect("ellipses");
    for (point, theirs) in ellipses {
        let (index, _) = coordinate(network, &format!("{point}.x"));
        let here = ours.ellipse(index);
        let what = format!("{name}: ellipse of {point}");
        if let Some(deviation) = theirs.get("sd") {
            within(here.major, number(deviation) * FOOT, 0.6e-6 * FOOT, &what);
            assert_eq!(here.minor, 0.0, "{what}");
        } else {
            within(
                here.major,
                number(&theirs["a"]) * FOOT,
                0.6e-6 * FOOT,
                &what,
            );
            within(
                here.minor,
                number(&theirs["b"]) * FOOT,
                0.6e-6 * FOOT,
                &what,
            );
            within(
                here.heading,
                number(&theirs["az_major_deg_from_x"]),
                0.6e-3,
                &what,
            );
            within(
                here.major * here.to_95,
                number(&theirs["a95"]) * FOOT,
                1.1e-6 * FOOT,
                &what,
            );
        }
    }
}

/// `tests/data/tape_network.json`: every figure of every determined case, to the file's last digit.
#[test]
fn reference_cases() {
    let reference = reference();
    let mut compared = 0;
    for (name, case) in &reference {
        if name == "C_underdetermined_quad" {
            continue;
        }
        let source = name.strip_suffix("_after_reject").unwrap_or(name);
        let observations = &reference[source]["observations"];
        let network = network_of(&file_of(case, observations, case.get("rejected")));
        compare(name, case, &network, &adjust(&network, &[]));
        compared += 1;
    }
    assert_eq!(compared, 9, "the file has its cases");
}

fn answer_of(name: &str) -> Answer {
    let reference = reference();
    let case = &reference[name];
    answer(&network_of(&file_of(case, &case["observations"], None)))
}

/// Names of all suspects of a case's first mistake.
fn suspects(answer: &Answer) -> Vec<&str> {
    let first = answer.mistaped.first().expect("a mistake is found");
    first
        .suspects
        .iter()
        .map(|suspect| suspect.id.as_str())
        .collect()
}

/// Six tapes on four points have one redundancy: a mistake shows, and any of the six can be it.
#[test]
fn braced_quadrilateral_finds_but_cannot_place() {
    let answer = answer_of("A2_blunder_AC_plus2ft");
    assert_eq!(suspects(&answer).len(), 6);
    let first = &answer.mistaped[0];
    assert!(first.sure && !first.set_aside && !answer.settled);
    let of_ac = first
        .suspects
        .iter()
        .find(|s| s.id == "A-C")
        .expect("A-C is one");
    near(of_ac.excess, 24.0, 0.01, "2 ft too long");
    assert_eq!((of_ac.slips[0].kind, of_ac.slips[0].count), ("feet", 2));
}

/// With a tied fifth point the tape is named, 2 ft too long, and set aside; what is left is the reference's.
#[test]
fn fifth_point_places_the_mistake() {
    let answer = answer_of("B2_blunder_AC_plus2ft");
    assert_eq!(suspects(&answer), ["A-C"]);
    let first = &answer.mistaped[0];
    assert!(first.sure && first.set_aside && answer.mistaped.len() == 1);
    within(first.suspects[0].normalised, -68.7107, 0.6e-4, "w");
    // Without the tape the others put A and C where they were drawn from: 51.629 ft to a thousandth.
    near(first.suspects[0].excess, 24.0, 1e-3, "2 ft too long");
    let slips = &first.suspects[0].slips;
    assert_eq!((slips[0].kind, slips[0].count), ("feet", 2));
    let after = &reference()["B2_blunder_AC_plus2ft_after_reject"]["coords"]["C"];
    let c = &answer.points[2];
    within(c.x, number(&after[0]) * FOOT, 1.2e-5, "C after");
    within(c.y, number(&after[1]) * FOOT, 1.2e-5, "C after");
}

/// 59.87 against 59.27: two tapes to the fifth point show the same thing, so both are named.
#[test]
fn inseparable_pair_names_both() {
    let answer = answer_of("B3_blunder_CE_minus2ft");
    assert_eq!(suspects(&answer), ["C-E", "A-E"]);
    assert!(!answer.mistaped[0].set_aside || answer.mistaped[0].suspects.len() == 2);
}

/// Sound networks accuse nobody.
#[test]
fn clean_cases_accuse_nobody() {
    for name in ["A1_clean", "B1_clean", "D2_gap_with_direct_tape"] {
        assert_eq!(answer_of(name).mistaped, [], "{name}");
    }
}

/// Four tapes round a quadrilateral: rank 4 of 5, C and D swing together, a diagonal ties them.
#[test]
fn quadrilateral_without_diagonal() {
    let case = &reference()["C_underdetermined_quad"];
    // The file gives no readings for this case; they follow from its coordinates.
    let place = |name: &str| numbers(&case["coords"][name]);
    let sides = [("A", "B"), ("B", "C"), ("C", "D"), ("D", "A")];
    let observations: Vec<Value> = sides
        .iter()
        .map(|(a, b)| {
            let (p, q) = (place(a), place(b));
            json!([a, b, libm_distance(&p, &q), 0.02])
        })
        .collect();
    let network = network_of(&file_of(case, &Value::from(observations), None));
    let answer = answer(&network);
    assert_eq!(answer.rank as f64, number(&case["rank"]));
    assert_eq!(answer.unknowns as f64, number(&case["n_params"]));
    let [loose] = answer.loose.as_slice() else {
        panic!("one loose movement: {:?}", answer.loose)
    };
    let mut points = loose.points.clone();
    points.sort();
    assert_eq!(points, ["C", "D"]);
    let fix = loose.fix.clone().expect("a tape ties it");
    assert!(
        [["A", "C"], ["B", "D"]]
            .iter()
            .any(|d| fix.each_ref().map(String::as_str) == *d),
        "{fix:?}"
    );
    assert_eq!(answer.findings[0].key, "network.loose");
}

fn libm_distance(p: &[f64], q: &[f64]) -> f64 {
    (p[0] - q[0]).hypot(p[1] - q[1])
}

/// The gap between P and Q and its spread with and without its own tape, and the advice to tape it.
#[test]
fn gap_halved_by_its_own_tape() {
    let reference = reference();
    for name in ["D1_gap_no_direct_tape", "D2_gap_with_direct_tape"] {
        let case = &reference[name];
        let mut file = file_of(case, &case["observations"], None);
        file["clearances"] = json!([{ "id": "gap", "from": "P", "to": "Q" }]);
        file["spread"] = json!(0.02 * FOOT * SPREADS_PER_SIGMA);
        let network = network_of(&file);
        let adjusted = adjust(&network, &[]);
        let clearance = &network.parts().clearances[0];
        let ours = gap(&network, &adjusted, clearance).expect("the network is tied");
        near(ours.value, number(&case["gap_ft"]) * FOOT, 1e-9, name);
        let spread = number(&case["gap_sd_ft"]) * FOOT * SPREADS_PER_SIGMA;
        near(ours.spread, spread, 1e-9, name);
        if name.starts_with("D1") {
            let best = next_tapes(&network, &adjusted, clearance)[0];
            let pair = [best.from, best.to].map(|p| network.point_name(p));
            assert_eq!(pair, ["P", "Q"]);
            // What it promises is what the other case has, but for the slightly different places.
            let other = number(&reference["D2_gap_with_direct_tape"]["gap_sd_ft"]);
            near(
                best.spread,
                other * FOOT * SPREADS_PER_SIGMA,
                1e-4,
                "promise",
            );
            assert_eq!(
                ours.unchecked.len(),
                5,
                "nothing checks any of the five tapes"
            );
        }
    }
}

/// Every reading moves the gap as its slope says: each is changed by a little and the network adjusted again.
#[test]
fn slopes_against_differences() {
    let reference = reference();
    let case = &reference["D2_gap_with_direct_tape"];
    let mut file = file_of(case, &case["observations"], None);
    file["clearances"] = json!([{ "id": "gap", "from": "P", "to": ["A", "Q"] }]);
    let size = |file: &Value| {
        let network = network_of(file);
        let adjusted = adjust(&network, &[]);
        gap(&network, &adjusted, &network.parts().clearances[0]).expect("tied")
    };
    let ours = size(&file);
    for index in 0..6 {
        let mut moved = [0.0; 2];
        for (value, step) in moved.iter_mut().zip([-0.01, 0.01]) {
            let mut changed = file.clone();
            let read = number(&changed["distances"][index]["is"]);
            changed["distances"][index]["is"] = json!(read + step);
            *value = size(&changed).value;
        }
        let by_inch = (moved[1] - moved[0]) / 0.02;
        let sigma = 0.02 * FOOT;
        within(
            ours.slopes[index],
            by_inch * sigma,
            1e-5,
            &format!("slope {index}"),
        );
    }
}

/// 60 random networks with tapes of two kinds, right angles, lines and offsets against scipy's least squares.
#[test]
fn random_networks_against_scipy() {
    let mut draw = Draw::new(3);
    let mut networks = Vec::new();
    let mut requests = Vec::new();
    for _ in 0..60 {
        let file = random_network(&mut draw);
        let network = network_of(&file);
        let adjusted = adjust(&network, &[]);
        requests.push(request_of(&network, &adjusted));
        networks.push((network, adjusted));
    }
    let answers = ask("network.py", &Value::from(requests));
    for ((network, ours), theirs) in networks.iter().zip(list(&answers)) {
        near(ours.chi_square, number(&theirs["chi_square"]), 1e-6, "χ²");
        let count = network.parts().points.len();
        for (index, place) in list(&theirs["places"]).iter().enumerate() {
            for (here, there) in ours.places[index].iter().zip(numbers(place)) {
                within(*here, there, 1e-4, "place");
            }
        }
        let columns = list(&theirs["covariance"]);
        assert_eq!(columns.len(), 2 * count);
        let theirs_at = |row: usize, column: usize| number(&columns[row][column]);
        for (row, line) in columns.iter().enumerate() {
            for (column, there) in numbers(line).into_iter().enumerate() {
                let here = ours.covariance_of((row / 2, row % 2), (column / 2, column % 2));
                // Correlating the readings and giving the tape unknowns differ in second order of its scale.
                let size = (theirs_at(row, row) * theirs_at(column, column)).sqrt();
                within(here, there, 2e-3 * size + 1e-12, "covariance");
            }
        }
    }
}

/// A yard of five to nine points, every pair taped with some gaps, and two tapes with errors of their own.
fn random_network(draw: &mut Draw) -> Value {
    let count = 5 + draw.below(5) as usize;
    let mut truth: Vec<[f64; 2]> = vec![[0.0, 0.0], [480.0, 0.0]];
    while truth.len() < count {
        truth.push([draw.between(-200.0, 700.0), draw.between(60.0, 600.0)]);
    }
    let names: Vec<String> = (0..count).map(|k| format!("P{k}")).collect();
    let mut distances = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if a > 1 && draw.below(4) == 0 {
                continue;
            }
            let true_length = libm_distance(&truth[a], &truth[b]);
            distances.push(json!({
                "from": names[a], "to": names[b], "is": true_length + draw.between(-0.4, 0.4),
                "tape": if draw.below(2) == 0 { "steel" } else { "cloth" },
            }));
        }
    }
    let across = truth[3][1];
    json!({
        "points": names,
        "tapes": [
            { "id": "steel", "spread": 0.4, "zero_spread": 0.1 },
            { "id": "cloth", "spread": 0.7, "zero_spread": 0.2, "scale_spread": 0.002 },
        ],
        "distances": distances,
        "offsets": [{ "point": "P3", "from": "P0", "to": "P1", "along": truth[3][0], "left": across, "spread": 1.0, "tape": "cloth" }],
        "straights": [{ "points": ["P0", "P4", "P2"], "spread": 400 }],
        "squares": [{ "at": "P2", "between": ["P0", "P1"], "spread": 30 }],
    })
}

fn request_of(network: &TapeNetwork, start: &Adjustment) -> Value {
    let parts = network.parts();
    let readings: Vec<Value> = (parts.readings.iter())
        .map(|reading| {
            let kind = match reading.measured {
                Measured::Distance { .. } => "distance",
                Measured::Square { .. } => "square",
                Measured::Straight { .. } => "straight",
                Measured::Along { .. } => "along",
                Measured::Across { .. } => "across",
            };
            json!({
                "kind": kind, "points": reading.measured.points(), "value": reading.value,
                "spread": reading.spread, "tape": reading.tape,
            })
        })
        .collect();
    let tapes: Vec<Value> = (parts.tapes.iter())
        .map(|tape| json!({ "zero": tape.zero_spread, "scale": tape.scale_spread }))
        .collect();
    // scipy starts an inch or two away.
    let places: Vec<[f64; 2]> = start
        .places
        .iter()
        .map(|[x, y]| [x + 1.5, y - 1.1])
        .collect();
    json!({ "readings": readings, "tapes": tapes, "start": places })
}

/// 40 random matrices against numpy: solutions and singular values, also of matrices with a doubled column.
#[test]
fn matrices_against_numpy() {
    let mut draw = Draw::new(4);
    let mut ours = Vec::new();
    let mut requests = Vec::new();
    for k in 0..40 {
        let (rows, columns) = (6 + draw.below(20) as usize, 1 + draw.below(6) as usize);
        let mut matrix = Matrix::zeros(rows, columns);
        for row in 0..rows {
            for column in 0..columns {
                matrix.set(row, column, draw.between(-5.0, 5.0));
            }
            if k % 5 == 0 && columns > 1 {
                matrix.set(row, columns - 1, 2.0 * matrix.at(row, 0));
            }
        }
        let right: Vec<f64> = (0..rows).map(|_| draw.between(-5.0, 5.0)).collect();
        let lines: Vec<Vec<f64>> = (0..rows)
            .map(|row| (0..columns).map(|column| matrix.at(row, column)).collect())
            .collect();
        requests.push(json!({ "matrix": lines, "right": right }));
        ours.push((
            singular(&matrix),
            least_squares(matrix, right),
            k % 5 == 0 && columns > 1,
        ));
    }
    let answers = ask("matrix.py", &Value::from(requests));
    for ((svd, solution, doubled), theirs) in ours.iter().zip(list(&answers)) {
        for (here, there) in svd.values.iter().zip(numbers(&theirs["values"])) {
            within(
                *here,
                there,
                1e-12 * (1.0 + svd.values[0]),
                "singular value",
            );
        }
        if !doubled {
            let solution = solution.as_ref().expect("the columns differ");
            for (here, there) in solution.iter().zip(numbers(&theirs["solution"])) {
                near(*here, there, 1e-9, "solution");
            }
        }
    }
}

/// The chi-square tail against scipy, from one degree of freedom to 300, down to 1e-12.
#[test]
fn chi_square_against_scipy() {
    let mut cases = Vec::new();
    for degrees in [1_u32, 2, 3, 5, 10, 30, 100, 300] {
        for share in [0.01, 0.2, 0.7, 1.0, 1.3, 2.0, 4.0] {
            cases.push((share * f64::from(degrees), degrees));
        }
        cases.push((f64::from(degrees) + 50.0, degrees));
    }
    let request: Vec<Value> = cases.iter().map(|(x, d)| json!([x, d])).collect();
    let answers = ask("chi_square.py", &Value::from(request));
    for ((value, degrees), theirs) in cases.iter().zip(numbers(&answers)) {
        let ours = probability_above(*value, *degrees);
        let allowed = 1e-10 * theirs + 1e-15;
        within(ours, theirs, allowed, &format!("χ² {value} {degrees}"));
    }
}
