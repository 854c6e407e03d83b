//! The measurements that the limits in the documentation rest on, as ratios within one run.
//!
//! Every module measures one thing beside a plain piece of work on the same data, and prints both: machines differ,
//! ratios much less so. A further measurement is a further file with a `run` that is called here. Names of measurements
//! as arguments choose some of them; without any, all are taken.

use std::error::Error;

mod browser;
mod bundles;
mod folding;
mod measure;
mod sync;
mod ways;

use peak_alloc::PeakAlloc;

/// Counts what is allocated, for the peaks that `ways` prints.
#[global_allocator]
static ALLOCATED: PeakAlloc = PeakAlloc;

#[tokio::main]
async fn main() -> Result<(), Box<dyn Error>> {
    if cfg!(debug_assertions) {
        eprintln!("Built without optimisation: the ratios mean nothing. Use `make bench`.");
    }
    let chosen: Vec<String> = std::env::args().skip(1).collect();
    let known = ["folding", "sync", "bundles", "ways", "sampling", "browser"];
    if let Some(other) = chosen.iter().find(|name| !known.contains(&name.as_str())) {
        return Err(format!(
            "no measurement {other:?}: choose among {}",
            known.join(", ")
        )
        .into());
    }
    let wants = |name: &str| chosen.is_empty() || chosen.iter().any(|each| each == name);
    if wants("folding") {
        folding::run()?;
    }
    if wants("sync") {
        sync::run().await?;
    }
    if wants("bundles") {
        bundles::run()?;
    }
    if wants("ways") {
        ways::run()?;
    }
    if wants("sampling") {
        ways::beside_sampling()?;
    }
    if wants("browser") {
        browser::run().await?;
    }
    Ok(())
}
