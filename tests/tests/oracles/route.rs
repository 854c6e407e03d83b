//! Ways found by the motion solver, re-checked densely by shapely.

use crate::harness::{ask, list, number};
use serde_json::{Value, json};
use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::moves::{About, Action};
use setdown_rules::motion::{Answer, Options, Solver, file};

/// Poses are looked at every so many inches of movement.
const STEP: f64 = 0.25;
/// Turns are looked at every so many degrees.
const ARC: f64 = 0.1;
/// How far a chord of so much of a turn is from its arc, in inches, 200 in from the point that it is about.
const SAGITTA: f64 = 1e-4;

fn scenes() -> Vec<Value> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/route/scenes");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the scenes are there")
        .map(|entry| entry.expect("a file").path())
        .collect();
    paths.sort();
    let read = |path| std::fs::read_to_string(path).expect("the scene is there");
    paths
        .iter()
        .map(|path| serde_json::from_str(&read(path)).expect("the scene is JSON"))
        .collect()
}

/// The poses of the certified line.
fn line(answer: &Answer) -> Vec<[f64; 3]> {
    let poses = answer.path.iter();
    poses.map(|pose| [pose.x, pose.y, pose.heading]).collect()
}

/// Poses along the moves, so close that straight from one to the next is as good as the arc between them.
fn retold(answer: &Answer, unit: [f64; 2]) -> Vec<[f64; 3]> {
    answer
        .moves
        .iter()
        .flat_map(|one| {
            let (from, to) = (one.from, one.to);
            let Action::Turn { degrees, about } = one.action else {
                return vec![[from.x, from.y, from.heading], [to.x, to.y, to.heading]];
            };
            let [forward, left] = in_body(about, unit);
            let pole = |heading: f64| {
                let (sine, cosine) = heading.to_radians().sin_cos();
                [
                    forward * cosine - left * sine,
                    forward * sine + left * cosine,
                ]
            };
            let before = pole(from.heading);
            let count = (degrees.abs() / ARC).ceil().max(1.0) as u32;
            let poses = (0..=count).map(|part| {
                let heading = from.heading + degrees * f64::from(part) / f64::from(count);
                let after = pole(heading);
                [
                    from.x + before[0] - after[0],
                    from.y + before[1] - after[1],
                    heading,
                ]
            });
            poses.collect()
        })
        .collect()
}

/// A named point in the unit's own axes.
fn in_body(about: About, unit: [f64; 2]) -> [f64; 2] {
    let sign = |positive: bool| if positive { 0.5 } else { -0.5 };
    match about {
        About::Centre => [0.0, 0.0],
        About::Corner { front, left } => [sign(front) * unit[0], sign(left) * unit[1]],
        About::Point { forward, left } => [forward, left],
    }
}

fn request(scene: &Value, poses: &[[f64; 3]]) -> Value {
    let rings: Vec<&Value> = list(&scene["obstacles"])
        .iter()
        .map(|each| &each["poly"])
        .collect();
    json!({"path": poses, "unit": scene["unit"], "obstacles": rings, "bounds": scene["bounds"], "step": STEP})
}

/// Every way and its moves keep the lower bound they come with, and no more than the upper one, at every pose that is looked at.
#[test]
fn ways_keep_their_clearance() {
    let mut requests = Vec::new();
    let mut answers = Vec::new();
    for scene in scenes() {
        let checked = file::read(&scene.to_string()).expect("a good scene");
        for resolution in [0.25, 0.1, 0.02] {
            let options = Options {
                resolution,
                ..Options::default()
            };
            let mut solver = Solver::new(&checked, options);
            solver.solve();
            let answer = Answer::of(&checked, &solver);
            if answer.verdict == Verdict::Route {
                let unit = ["L", "W"].map(|side| number(&scene["unit"][side]));
                for poses in [line(&answer), retold(&answer, unit)] {
                    requests.push(request(&scene, &poses));
                    answers.push((scene["name"].clone(), answer.clone()));
                }
            }
        }
    }
    assert!(answers.len() >= 8 * 3 * 2, "most scenes have a way");
    let measured = ask("route.py", &Value::from(requests));
    for ((name, answer), least) in answers.iter().zip(list(&measured)) {
        let least = number(least);
        let lower = answer.lower.expect("a way has a bound");
        assert!(
            least >= lower - SAGITTA,
            "{name}: shapely finds {least}, proved {lower}"
        );
        // Between the poses looked at, clearance may fall by half a step.
        assert!(
            least <= answer.upper + STEP / 2.0,
            "{name}: shapely finds {least}, at most {}",
            answer.upper
        );
    }
}
