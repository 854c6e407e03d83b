//! Ways found by the motion solver, re-checked densely by shapely.

use crate::harness::{ask, list, number};
use serde_json::{Value, json};
use setdown_rules::motion::answer::Verdict;
use setdown_rules::motion::{Answer, Options, Solver, file};

/// Poses are looked at every so many inches of movement.
const STEP: f64 = 0.25;

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

fn request(scene: &Value, answer: &Answer) -> Value {
    let poses: Vec<[f64; 3]> = answer
        .path
        .iter()
        .map(|pose| [pose.x, pose.y, pose.heading])
        .collect();
    let rings: Vec<&Value> = list(&scene["obstacles"])
        .iter()
        .map(|each| &each["poly"])
        .collect();
    json!({"path": poses, "unit": scene["unit"], "obstacles": rings, "bounds": scene["bounds"], "step": STEP})
}

/// Every way keeps the lower bound it comes with, and no more than the upper one, at every pose that is looked at.
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
                requests.push(request(&scene, &answer));
                answers.push((scene["name"].clone(), answer));
            }
        }
    }
    assert!(answers.len() >= 8 * 3, "most scenes have a way");
    let measured = ask("route.py", &Value::from(requests));
    for ((name, answer), least) in answers.iter().zip(list(&measured)) {
        let least = number(least);
        let lower = answer.lower.expect("a way has a bound");
        assert!(
            least >= lower - 1e-9,
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
