//! How large the packed app is, as shares of its budgets.

use std::error::Error;
use std::path::Path;

/// Compressed bytes of everything a phone keeps for working without a server.
const WHOLE: u64 = 1_000_000;
/// Compressed bytes until the first screen stands.
const FIRST_SCREEN: u64 = 400_000;

/// Prints the phone's files and their shares.
pub fn run() -> Result<(), Box<dyn Error>> {
    let dist = Path::new(env!("CARGO_MANIFEST_DIR")).join("../dist");
    let index = std::fs::read_to_string(dist.join("assets.json"))
        .map_err(|error| format!("no packed app in dist/: run `make pack` ({error})"))?;
    let index: serde_json::Value = serde_json::from_str(&index)?;
    println!("\nThe packed app, compressed");
    let mut whole = 0;
    let mut first = 0;
    for address in index["precache"].as_array().ok_or("a list of files")? {
        let name = address.as_str().unwrap_or_default();
        let bytes = compressed(&dist, name);
        whole += bytes;
        if name.starts_with("/assets/") {
            // The solver is loaded when a plan asks for it.
            first += if name.contains("solver") { 0 } else { bytes };
            println!("{bytes:9}  {name}");
        }
    }
    println!(
        "{whole:9}  kept on a phone: {:.2} of the budget of {WHOLE} bytes",
        share(whole, WHOLE)
    );
    println!(
        "{first:9}  until the first screen: {:.2} of the budget of {FIRST_SCREEN} bytes",
        share(first, FIRST_SCREEN)
    );
    if let Some(desk) = index["assets"]["setdown-desk.wasm"].as_str() {
        println!("{:9}  the desk's own program", compressed(&dist, desk));
    }
    Ok(())
}

/// The bytes that go over the wire: compressed where the packer made that, else as they are. Pages that the server
/// makes count for nothing here: they are a few hundred bytes.
fn compressed(dist: &Path, address: &str) -> u64 {
    let name = address.trim_start_matches('/');
    let places = [
        dist.join(format!("{name}.br")),
        dist.join(name),
        dist.join("public").join(name),
    ];
    places
        .iter()
        .find_map(|path| std::fs::metadata(path).ok())
        .map_or(0, |found| found.len())
}

fn share(bytes: u64, budget: u64) -> f64 {
    bytes as f64 / budget as f64
}
