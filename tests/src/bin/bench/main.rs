//! The measurements that the limits in the documentation rest on, as ratios within one run.
//!
//! Every module measures one thing beside a plain piece of work on the same data, and prints both: machines differ,
//! ratios much less so. A further measurement is a further file with a `run` that is called here.

use std::error::Error;

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
    folding::run()?;
    sync::run().await?;
    bundles::run()?;
    ways::run()
}
