//! The shipped solver in a real browser at a quarter of the machine's speed.
//!
//! The browser's throttling reaches the page and not its workers, so the same wasm runs in the page here.

use std::error::Error;

use serde_json::{Value, json};
use setdown_tests::browser::{Browser, PHONE};
use setdown_tests::running_server::{RunningServer, packed_folder};
use setdown_tests::scenes::{ANGLES, names, scene, turned};

/// How many times slower the page is made.
const THROTTLE: u32 = 4;
/// Milliseconds for a verdict at 0.1 in, and until the first bounds are shown.
const GOAL: f64 = 1_500.0;
const FIRST_GOAL: f64 = 300.0;

/// Prints one line for each scene.
///
/// # Errors
/// No browser, no packed app, or a solver that fails.
pub async fn run() -> Result<(), Box<dyn Error>> {
    let measured = measure().await;
    measured.map_err(|error| error.to_string().into())
}

async fn measure() -> Result<(), Box<dyn Error + Send + Sync>> {
    let assets = setdown_server::web::assets::Assets::load(&packed_folder())?;
    let router = setdown_server::web::headers::secure(setdown_server::web::pages(&assets), false);
    let server = RunningServer::start(router, 0)?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.text("#app h1").await?;
    let index = std::fs::read_to_string(packed_folder().join("assets.json"))?;
    let index: Value = serde_json::from_str(&index)?;
    let address = |name: &str| {
        index["assets"][name]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    };
    let (script, wasm) = (address("setdown-solver.js"), address("setdown-solver.wasm"));
    browser
        .run_async(&format!(
            "const solver = await import('{script}');\
             const started = await solver.default({{ module_or_path: '{wasm}' }});\
             window.solver = solver; window.solverMemory = started.memory; return true;"
        ))
        .await?;
    let parameters = json!({ "rate": THROTTLE });
    browser
        .devtools("Emulation.setCPUThrottlingRate", parameters)
        .await?;
    println!(
        "\nThe way in inside Chromium at {THROTTLE} times throttle, 0.1 in, slowest of {} angles",
        ANGLES.len()
    );
    println!("scene                        verdict ms  of the goal  first bounds ms");
    let (mut slowest, mut latest, mut memory) = (0.0_f64, 0.0_f64, 0.0_f64);
    for name in names()? {
        let (mut total, mut first) = (0.0_f64, 0.0_f64);
        for angle in ANGLES {
            let text = turned(&scene(&name), angle, [0.0, 0.0]).to_string();
            let took = browser.run_async(&script_for(&text)?).await?;
            let number = |key: &str| took[key].as_f64().unwrap_or(f64::INFINITY);
            total = total.max(number("total"));
            first = first.max(number("first"));
            memory = memory.max(number("memory"));
        }
        println!(
            "{name:27}  {total:10.0}  {:11.2}  {first:15.0}",
            total / GOAL
        );
        slowest = slowest.max(total);
        latest = latest.max(first);
    }
    println!(
        "worst: {:.2} of the goal of {GOAL} ms; first bounds {:.2} of {FIRST_GOAL} ms",
        slowest / GOAL,
        latest / FIRST_GOAL
    );
    println!(
        "the solver's memory grew to {:.1} MiB",
        memory / (1024.0 * 1024.0)
    );
    Ok(())
}

fn script_for(scene: &str) -> Result<String, serde_json::Error> {
    Ok(format!(
        "const begun = performance.now();\
         const work = window.solver.Work.begin({}, 0.1);\
         let told = JSON.parse(work.step(50));\
         const first = performance.now() - begun;\
         while (!told.done) told = JSON.parse(work.step(1000));\
         work.finish();\
         const total = performance.now() - begun;\
         work.free();\
         return {{ first, total, memory: window.solverMemory.buffer.byteLength }};",
        serde_json::to_string(scene)?
    ))
}
