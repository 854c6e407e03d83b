//! The certified way in: time to the verdict and peak memory over every reference scene turned by eight angles, how both
//! grow, and a sampling planner on the tight scenes in the same run.
//!
//! The scenes come from `tests/data/route` (their answers are checked by the tests of the rules). The planner is
//! RRT-Connect of OMPL from the Python package index, with shapely's prepared geometry as its collision test.

use std::error::Error;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use setdown_rules::motion::largest::{Ends, Measured, Sought, largest_unit};
use setdown_rules::motion::{Answer, Options, Scene, Solver, file};
use setdown_tests::scenes::{ANGLES, folder, names, scene, turned};

use super::ALLOCATED;
use super::measure::{median, milliseconds, ratio};

/// Milliseconds for a verdict, by resolution in inches.
const GOALS: [(f64, f64); 2] = [(0.1, 300.0), (0.25, 100.0)];
/// Bytes that a verdict may take.
const MEMORY_GOAL: f64 = 16.0 * 1024.0 * 1024.0;
/// Cells split between two looks at the bounds.
const SPLITS: usize = 20;
/// Milliseconds to prove the yard of near misses impossible.
const NEAR_MISS_GOAL: f64 = 500.0;
/// The scenes on which sampling is slow, and how many times faster the verdict should be.
const TIGHT: [&str; 4] = [
    "s02a_L_corner_plus1",
    "s05_narrow_gate_posts",
    "s07_gate_plus1",
    "s11_full_yard",
];
const TIGHT_GOAL: f64 = 20.0;
/// Seconds after which the sampling planner is stopped, and how often it runs.
const CAP: f64 = 45.0;
const RUNS: usize = 2;

/// Prints the tables.
pub fn run() -> Result<(), Box<dyn Error>> {
    let names = names()?;
    every_scene(&names)?;
    near_misses()?;
    growth()?;
    longest(&names)
}

/// What one verdict took.
struct Took {
    answer: Answer,
    time: Duration,
    bytes: usize,
}

fn verdict(scene: &Scene, resolution: f64) -> Took {
    let options = Options {
        resolution,
        ..Options::default()
    };
    let before = ALLOCATED.current_usage();
    ALLOCATED.reset_peak_usage();
    let begun = Instant::now();
    let mut solver = Solver::new(scene, options);
    solver.solve();
    let answer = Answer::of(scene, &solver);
    Took {
        answer,
        time: begun.elapsed(),
        bytes: ALLOCATED.peak_usage().saturating_sub(before),
    }
}

/// The slowest angle of every scene, at both resolutions.
fn every_scene(names: &[String]) -> Result<(), Box<dyn Error>> {
    println!(
        "\nThe way in, {} angles a scene, slowest and largest angle",
        ANGLES.len()
    );
    println!(
        "scene                        verdict     lower    upper    0.1 in ms  0.25 in ms      MiB"
    );
    let mut worst = [Duration::ZERO; 2];
    let mut most_bytes = 0;
    for name in names {
        let plain = scene(name);
        let mut slowest = [Duration::ZERO; 2];
        let mut bytes = 0;
        let mut shown = None;
        for angle in ANGLES {
            let turned = file::read(&turned(&plain, angle, [0.0, 0.0]).to_string())?;
            for (place, (resolution, _)) in GOALS.iter().enumerate() {
                let took = verdict(&turned, *resolution);
                slowest[place] = slowest[place].max(took.time);
                bytes = bytes.max(took.bytes);
                if place == 0 && angle == 0.0 {
                    shown = Some(took.answer);
                }
            }
        }
        let answer = shown.ok_or("no angle")?;
        println!(
            "{name:27}  {:9}  {:>7}  {:7.3}  {:11.1}  {:10.1}  {:7.2}",
            format!("{:?}", answer.verdict),
            answer
                .lower
                .map_or("none".to_owned(), |lower| format!("{lower:.3}")),
            answer.upper,
            milliseconds(slowest[0]),
            milliseconds(slowest[1]),
            mebibytes(bytes),
        );
        for place in [0, 1] {
            worst[place] = worst[place].max(slowest[place]);
        }
        most_bytes = most_bytes.max(bytes);
    }
    for ((resolution, goal), worst) in GOALS.iter().zip(worst) {
        let share = milliseconds(worst) / goal;
        println!("worst at {resolution} in: {share:.2} of the goal of {goal} ms");
    }
    println!(
        "most memory: {:.2} of the goal of 16 MiB",
        most_bytes as f64 / MEMORY_GOAL
    );
    Ok(())
}

fn mebibytes(bytes: usize) -> f64 {
    bytes as f64 / (1024.0 * 1024.0)
}

/// A wall with 18 gates, each half an inch too narrow, and posts behind it: 100 things in all.
fn near_miss_yard(degrees: f64) -> Value {
    let (width, gates) = (94.0, 18);
    let pitch = width + 60.0;
    let across = f64::from(gates) * pitch;
    let mut things = Vec::new();
    let mut box_at = |x: f64, y: f64, wide: f64, deep: f64| {
        let id = format!("t{}", things.len());
        let poly = json!([[x, y], [x + wide, y], [x + wide, y + deep], [x, y + deep]]);
        things.push(json!({ "id": id, "poly": poly }));
    };
    let opening = width - 0.5;
    box_at(-60.0, 400.0, 60.0 + 30.0, 6.0);
    for gate in 0..gates {
        let from = f64::from(gate) * pitch + 30.0 + opening;
        box_at(from, 400.0, pitch - opening, 6.0);
    }
    for post in 0..81 {
        let (column, row) = (f64::from(post % 27), f64::from(post / 27));
        box_at(40.0 + column * 100.0, 640.0 + row * 220.0, 6.0, 6.0);
    }
    let scene = json!({
        "name": "near misses", "units": "in", "angle_units": "deg",
        "bounds": [0.0, 0.0, across, 1_400.0], "unit": { "L": 190.0, "W": width },
        "start": [across / 2.0, 150.0, 0.0], "goal": [across / 2.0, 540.0, 0.0],
        "goal_symmetric": true, "obstacles": things,
    });
    turned(&scene, degrees, [0.0, 0.0])
}

/// Time until it is proved that there is no way; how short it is takes longer. `None`: it was never proved.
fn proved_impossible(scene: &Scene) -> Option<Duration> {
    let begun = Instant::now();
    let mut solver = Solver::new(scene, Options::default());
    loop {
        let progress = solver.step(SPLITS);
        if progress.upper < 0.0 {
            return Some(begun.elapsed());
        }
        if progress.finished {
            return None;
        }
    }
}

fn near_misses() -> Result<(), Box<dyn Error>> {
    println!(
        "\n100 things, 18 gates half an inch too narrow: until proved impossible, and until known to 0.1 in"
    );
    println!("angle  verdict   upper  proved ms  of the goal  in all ms      MiB");
    for angle in ANGLES {
        let scene = file::read(&near_miss_yard(angle).to_string())?;
        let proved = proved_impossible(&scene).ok_or("near misses: no proof")?;
        let took = verdict(&scene, 0.1);
        let verdict = format!("{:?}", took.answer.verdict);
        println!(
            "{angle:5}  {verdict:8}  {:6.3}  {:9.1}  {:11.2}  {:9.1}  {:7.2}",
            took.answer.upper,
            milliseconds(proved),
            milliseconds(proved) / NEAR_MISS_GOAL,
            milliseconds(took.time),
            mebibytes(took.bytes),
        );
    }
    Ok(())
}

/// Eight-sided posts in rows, some of which stand close: how time grows with corners.
fn posts(count: u32) -> Value {
    let things: Vec<Value> = (0..count)
        .map(|post| {
            let (x, y) = (f64::from(post % 10), f64::from(post / 10));
            let middle = [60.0 + x * 130.0, 300.0 + y * 700.0 / f64::from(count / 10)];
            let poly: Vec<[f64; 2]> = (0..8)
                .map(|corner| {
                    let turn = f64::from(corner) * core::f64::consts::FRAC_PI_4;
                    [middle[0] + 6.0 * turn.cos(), middle[1] + 6.0 * turn.sin()]
                })
                .collect();
            json!({ "id": format!("post {post}"), "poly": poly })
        })
        .collect();
    json!({
        "name": "posts", "units": "in", "angle_units": "deg",
        "bounds": [0.0, 0.0, 1_300.0, 1_300.0], "unit": { "L": 190.0, "W": 94.0 },
        "start": [650.0, 120.0, 0.0], "goal": [650.0, 1_180.0, 0.0], "goal_symmetric": true,
        "obstacles": things,
    })
}

/// How time grows with corners and with 1/resolution; a factor near the factor of the size is linear.
fn growth() -> Result<(), Box<dyn Error>> {
    println!("\nGrowth with corners, at 0.1 in, turned by 17 degrees");
    println!("corners      ms  times the one before");
    let mut before: Option<Duration> = None;
    for count in [20, 40, 80, 160, 320] {
        let scene = file::read(&turned(&posts(count), 17.0, [0.0, 0.0]).to_string())?;
        let time = median(|| verdict(&scene, 0.1).time);
        print_growth(&format!("{:7}", count * 8), time, &mut before);
    }
    println!("\nGrowth with 1/resolution, the full yard turned by 17 degrees");
    println!("inches       ms  times the one before");
    before = None;
    let scene = turned(&scene("s11_full_yard"), 17.0, [0.0, 0.0]);
    let scene = file::read(&scene.to_string())?;
    for resolution in [0.4, 0.2, 0.1, 0.05, 0.025, 0.0125] {
        let time = median(|| verdict(&scene, resolution).time);
        print_growth(&format!("{resolution:7}"), time, &mut before);
    }
    Ok(())
}

fn print_growth(size: &str, time: Duration, before: &mut Option<Duration>) {
    let grown = before.map_or(String::new(), |before| {
        format!("{:.2}", ratio(time, before))
    });
    let bar = "#".repeat((milliseconds(time) / 4.0).ceil().min(100.0) as usize);
    println!("{size}  {:7.1}  {grown:>20}  {bar}", milliseconds(time));
    *before = Some(time);
}

/// The longest unit that passes, to a sixteenth of an inch.
fn longest(names: &[String]) -> Result<(), Box<dyn Error>> {
    println!("\nThe longest unit that passes (1/16 in)");
    println!("scene                         passes     fails       ms");
    for name in names {
        let scene = file::read(&scene(name).to_string())?;
        let begun = Instant::now();
        let sought = Sought {
            side: Measured::Length,
            ends: Ends::default(),
            keeps: 0.0,
        };
        let extent = largest_unit(&scene, sought, Options::default().most_cells)?;
        let shown = |size: Option<f64>| size.map_or("none".to_owned(), |size| format!("{size:.3}"));
        println!(
            "{name:27}  {:>8}  {:>8}  {:7.1}",
            shown(extent.passes),
            shown(extent.fails),
            milliseconds(begun.elapsed())
        );
    }
    Ok(())
}

/// RRT-Connect on the tight scenes beside the verdicts; what it did not find by the cap counts as the cap.
pub fn beside_sampling() -> Result<(), Box<dyn Error>> {
    let python = Path::new(env!("CARGO_MANIFEST_DIR")).join(".venv-bench/bin/python");
    if !python.exists() {
        return Err("no sampling planner: run `make bench`, which sets it up".into());
    }
    println!("\nA sampling planner on the tight scenes ({RUNS} runs, stopped after {CAP} s)");
    println!(
        "scene                        found  median s  times the verdict  same, checks as fast as ours"
    );
    for name in TIGHT {
        let tight = file::read(&scene(name).to_string())?;
        let time = median(|| verdict(&tight, 0.1).time);
        let output = Command::new(&python)
            .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("bench/sampling_planner.py"))
            .args([CAP.to_string(), RUNS.to_string()])
            .arg(folder().join(format!("{name}.json")))
            .output()?;
        if !output.status.success() {
            return Err(String::from_utf8_lossy(&output.stderr).into_owned().into());
        }
        let told: Value = serde_json::from_slice(&output.stdout)?;
        print_sampled(name, &told, time.as_secs_f64())?;
    }
    println!(
        "(goal: at least {TIGHT_GOAL} times; `>=` where a run was stopped. The last column counts a collision check"
    );
    println!(
        "as the {:.1} microseconds that one takes here, since the planner's runs through Python.)",
        own_check()? * 1e6
    );
    Ok(())
}

fn print_sampled(name: &str, told: &Value, own: f64) -> Result<(), Box<dyn Error>> {
    let check = own_check()?;
    let runs = told["runs"].as_array().ok_or("a list of runs")?;
    let found = runs
        .iter()
        .filter(|run| run["solved"] == json!(true))
        .count();
    let number = |run: &Value, key: &str| run[key].as_f64().unwrap_or(0.0);
    let mut seconds: Vec<f64> = runs.iter().map(|run| number(run, "seconds")).collect();
    let mut faster: Vec<f64> = runs
        .iter()
        .map(|run| number(run, "seconds") - number(run, "checking") + number(run, "checks") * check)
        .collect();
    seconds.sort_by(f64::total_cmp);
    faster.sort_by(f64::total_cmp);
    let stopped = if found * 2 > runs.len() { "" } else { ">=" };
    let middle = runs.len() / 2;
    let (as_run, as_ours) = (seconds[middle] / own, faster[middle] / own);
    println!(
        "{name:27}  {found:2}/{:2}  {:>8}  {:>17}  {:>28}",
        runs.len(),
        format!("{stopped}{:.2}", seconds[middle]),
        format!("{stopped}{as_run:.0}"),
        format!("{stopped}{as_ours:.0}"),
    );
    Ok(())
}

/// Seconds that one exact clearance of a pose takes.
fn own_check() -> Result<f64, Box<dyn Error>> {
    let scene = file::read(&scene("s11_full_yard").to_string())?;
    let solver = Solver::new(&scene, Options::default());
    let many = 10_000_u32;
    let pose = scene.parts().start;
    let work = || {
        (0..many)
            .map(|_| solver.clearance_at(std::hint::black_box(pose)))
            .sum::<f64>()
    };
    Ok(median(work).as_secs_f64() / f64::from(many))
}
