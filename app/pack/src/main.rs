//! `setdown-pack`: turns the built wasm, the scripts, the styles and public/ into one folder the server hands out.
//!
//! Names carry a hash of their content, every text has a `.br` sibling, one list names what a phone must keep, and the
//! files of the two builds before stay, so that a page opened before an update still finds its own.

mod bindgen;
mod error;
mod index;
mod output;
mod sources;

use clap::Parser;
use error::PackError;
use index::{
    BuildIndex, LOGICAL_BOOT, LOGICAL_DESK_SCRIPT, LOGICAL_DESK_WASM, LOGICAL_SCRIPT,
    LOGICAL_SOLVER_SCRIPT, LOGICAL_SOLVER_WASM, LOGICAL_SOLVER_WORKER, LOGICAL_STYLE, LOGICAL_WASM,
};
use output::{Output, Size};
use sources::{Sources, fill};
use std::path::PathBuf;
use std::process::ExitCode;

/// What to pack, and where to.
#[derive(Debug, Parser)]
#[command(about, version)]
struct Arguments {
    /// The wasm that cargo built from app/entry, for phones.
    #[arg(long)]
    wasm: PathBuf,
    /// The wasm that cargo built from app/desk, for the office.
    #[arg(long)]
    desk_wasm: PathBuf,
    /// The wasm that cargo built from app/solver, for the phone's worker.
    #[arg(long)]
    solver_wasm: PathBuf,
    /// The folder with boot.js, solver-worker.js, service-worker.js, the web manifest, icons and drawings.
    #[arg(long)]
    public: PathBuf,
    /// Style files, joined in the order of their names.
    #[arg(long, num_args = 1.., required = true)]
    style: Vec<PathBuf>,
    /// Files that change what the server renders around the app (the shell): they change the build's id too.
    #[arg(long, num_args = 0..)]
    also: Vec<PathBuf>,
    /// The folder to write.
    #[arg(long)]
    out: PathBuf,
    /// Brotli quality, 0 to 11.
    #[arg(long, default_value_t = 11, value_parser = clap::value_parser!(u32).range(0..=11))]
    quality: u32,
    /// Refuse a build whose scripts, wasm and styles for phones exceed this many bytes after brotli.
    #[arg(long, default_value_t = 1_000_000)]
    limit: u64,
}

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Ok(report) => {
            print!("{report}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("setdown-pack: {error}");
            ExitCode::FAILURE
        }
    }
}

/// Packs, and returns the report to print. Nothing is written where the inputs are those of the standing build.
fn run(arguments: &Arguments) -> Result<String, PackError> {
    let sources = Sources::read(arguments)?;
    let output = Output::new(&arguments.out, arguments.quality);
    let standing = output.standing_index();
    if let Some(index) = &standing
        && index.inputs == sources.fingerprint
        && output.holds(index)
    {
        return Ok(format!(
            "build {} is up to date in {}\n",
            index.build,
            arguments.out.display()
        ));
    }
    let (index, mut sizes) = pack(arguments, &sources, &output, standing)?;
    let bundle: u64 = sizes
        .iter()
        .filter(|size| size.bundle)
        .map(Size::sent)
        .sum();
    if bundle > arguments.limit {
        return Err(PackError::TooLarge {
            bundle,
            limit: arguments.limit,
            report: Size::table(&sizes),
        });
    }
    // Worker and index last: a run that fails or is killed before leaves the old build standing.
    sizes.push(output.write_worker(&worker_of(&sources, &index)?)?);
    output.write_index(&index)?;
    output.prune(&index)?;
    Ok(format!(
        "{}build {} in {}; bundle {bundle} bytes after brotli\n",
        Size::table(&sizes),
        index.build,
        arguments.out.display()
    ))
}

/// Writes every file but the service worker and the index.
fn pack(
    arguments: &Arguments,
    sources: &Sources,
    output: &Output,
    standing: Option<BuildIndex>,
) -> Result<(BuildIndex, Vec<Size>), PackError> {
    let phone = bindgen::generate(&arguments.wasm, "setdown", &arguments.out)?;
    let desk = bindgen::generate(&arguments.desk_wasm, "setdown-desk", &arguments.out)?;
    let solver = bindgen::generate(&arguments.solver_wasm, "setdown-solver", &arguments.out)?;
    let mut sizes = Vec::new();
    let mut index = BuildIndex::new(&sources.fingerprint);
    for (logical, bytes) in [
        (LOGICAL_WASM, &phone.wasm),
        (LOGICAL_SCRIPT, &phone.script),
        (LOGICAL_DESK_WASM, &desk.wasm),
        (LOGICAL_DESK_SCRIPT, &desk.script),
        (LOGICAL_SOLVER_WASM, &solver.wasm),
        (LOGICAL_SOLVER_SCRIPT, &solver.script),
        (LOGICAL_STYLE, &sources.style),
    ] {
        sizes.push(output.write_hashed(&mut index, logical, bytes)?);
    }
    sizes.extend(pack_scripts(sources, output, &mut index)?);
    for file in &sources.public {
        sizes.push(output.write_public(&mut index, file)?);
    }
    index.seal(&sources.worker, &sources.also, standing);
    Ok((index, sizes))
}

/// Writes the scripts that name hashed files: the solver's worker, then the starting script, which names the worker.
fn pack_scripts(
    sources: &Sources,
    output: &Output,
    index: &mut BuildIndex,
) -> Result<Vec<Size>, PackError> {
    let mut solver_worker = sources.solver_worker.clone();
    for (placeholder, logical) in [
        ("__SOLVER_SCRIPT__", LOGICAL_SOLVER_SCRIPT),
        ("__SOLVER_WASM__", LOGICAL_SOLVER_WASM),
    ] {
        solver_worker = fill(&solver_worker, placeholder, &index.assets[logical])?;
    }
    let worker = output.write_hashed(index, LOGICAL_SOLVER_WORKER, solver_worker.as_bytes())?;
    let mut boot = sources.boot.clone();
    for (placeholder, logical) in [
        ("__SOLVER_WORKER__", LOGICAL_SOLVER_WORKER),
        ("__APP_SCRIPT__", LOGICAL_SCRIPT),
        ("__APP_WASM__", LOGICAL_WASM),
        ("__DESK_SCRIPT__", LOGICAL_DESK_SCRIPT),
        ("__DESK_WASM__", LOGICAL_DESK_WASM),
    ] {
        boot = fill(&boot, placeholder, &index.assets[logical])?;
    }
    let boot = output.write_hashed(index, LOGICAL_BOOT, boot.as_bytes())?;
    Ok(vec![worker, boot])
}

/// The service worker of this build.
fn worker_of(sources: &Sources, index: &BuildIndex) -> Result<String, PackError> {
    let precache =
        serde_json::to_string(&index.precache).map_err(|source| PackError::Index { source })?;
    let worker = fill(&sources.worker, "__BUILD__", &index.build)?;
    fill(&worker, "__PRECACHE__", &precache)
}
