//! Scenes as JSON: read from `tests/data/route`, turned, mirrored, with bounds made into walls.

use serde_json::{Value, json};
use setdown_rules::motion::{Answer, Options, Solver, file};
use std::path::{Path, PathBuf};

/// The data, from whichever crate of the workspace this file is part of.
fn folder() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.ancestors()
        .map(|folder| folder.join("tests/data/route"))
        .find(|folder| folder.is_dir())
        .expect("the data is there")
}

pub fn expected() -> Value {
    let text = std::fs::read_to_string(folder().join("expected.json")).expect("the data is there");
    serde_json::from_str(&text).expect("the data is JSON")
}

pub fn scene(name: &str) -> Value {
    let path = folder().join("scenes").join(format!("{name}.json"));
    let text = std::fs::read_to_string(path).expect("the scene is there");
    serde_json::from_str(&text).expect("the scene is JSON")
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

pub fn pair(value: &Value) -> [f64; 2] {
    [number(&value[0]), number(&value[1])]
}

/// The scene turned about the origin by `degrees`, then moved; bounds become four walls of 20 in.
pub fn turned(scene: &Value, degrees: f64, by: [f64; 2]) -> Value {
    let mut scene = walled(scene);
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let turn = |[x, y]: [f64; 2]| [x * cosine - y * sine + by[0], x * sine + y * cosine + by[1]];
    each_corner(&mut scene, turn);
    for key in ["start", "goal"] {
        let [x, y] = turn(pair(&scene[key]));
        scene[key] = json!([x, y, number(&scene[key][2]) + degrees]);
    }
    scene
}

/// The scene mirrored in the y axis.
pub fn mirrored(scene: &Value) -> Value {
    let mut scene = walled(scene);
    each_corner(&mut scene, |[x, y]| [-x, y]);
    for key in ["start", "goal"] {
        let [x, y] = pair(&scene[key]);
        scene[key] = json!([-x, y, 180.0 - number(&scene[key][2])]);
    }
    scene
}

fn each_corner(scene: &mut Value, change: impl Fn([f64; 2]) -> [f64; 2]) {
    let obstacles = scene["obstacles"].as_array_mut().expect("a list");
    for obstacle in obstacles {
        for corner in obstacle["poly"].as_array_mut().expect("a ring") {
            *corner = json!(change(pair(corner)));
        }
    }
}

fn walled(scene: &Value) -> Value {
    let mut scene = scene.clone();
    let Some(bounds) = scene
        .as_object_mut()
        .and_then(|object| object.remove("bounds"))
    else {
        return scene;
    };
    let [x0, y0, x1, y1] = [0, 1, 2, 3].map(|index| number(&bounds[index]));
    let thick = 20.0;
    let walls = [
        [x0 - thick, y0 - thick, x1 + thick, y0],
        [x0 - thick, y1, x1 + thick, y1 + thick],
        [x0 - thick, y0 - thick, x0, y1 + thick],
        [x1, y0 - thick, x1 + thick, y1 + thick],
    ];
    for (place, [x0, y0, x1, y1]) in walls.iter().enumerate() {
        let poly = json!([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
        let wall = json!({"id": format!("bounds{place}"), "poly": poly});
        scene["obstacles"]
            .as_array_mut()
            .expect("a list")
            .push(wall);
    }
    scene
}

/// The finished answer to a scene.
pub fn solved(scene: &Value, options: Options) -> Answer {
    let scene = file::read(&scene.to_string()).expect("a good scene");
    let mut solver = Solver::new(&scene, options);
    let progress = solver.solve();
    assert!(progress.finished);
    Answer::of(&scene, &solver)
}
