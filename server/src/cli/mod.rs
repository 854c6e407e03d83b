//! The command line: one command a file, and here who is called for what.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use setdown_types::quantity::UnitSystem;

use crate::settings::{DataSettings, ServeSettings};

pub mod archive;
pub mod assess;
pub mod demo;
pub mod people;
pub mod route;
pub mod serve;
pub mod sheets;
pub mod yard;

/// Setdown: from sold to set down, in a yard that was ready for it.
#[derive(Debug, Parser)]
#[command(name = "setdown-server", version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve phones and office.
    Serve(ServeSettings),
    /// Put the demo into an empty database and print its sign-ins; or make a new link for its homeowner.
    Demo {
        /// Where data lives.
        #[command(flatten)]
        data: DataSettings,
        /// More sites for the first dealer.
        #[arg(long, default_value_t = 0)]
        sites: u32,
        /// The demo is there already: make and print a new link for its homeowner.
        #[arg(long, conflicts_with = "sites")]
        invitation: bool,
        /// The address people use.
        #[arg(
            long,
            env = "SETDOWN_PUBLIC_URL",
            default_value = "http://127.0.0.1:8080"
        )]
        public_url: String,
    },
    /// Add somebody who signs in; the password is read from standard input.
    AddPerson(people::NewPersonArguments),
    /// Set the password of somebody who is there; it is read from standard input.
    SetPassword {
        /// The name to sign in with.
        sign_in: String,
        /// Where data lives.
        #[command(flatten)]
        data: DataSettings,
    },
    /// Write a dealer, or one site, to an archive file.
    Export(archive::ExportArguments),
    /// Take in an archive file, or what is unsent in the file that a phone exported.
    Import(archive::ImportArguments),
    /// Say what the rules make of a survey file.
    Assess {
        /// The survey file.
        file: PathBuf,
        /// The whole assessment as JSON.
        #[arg(long)]
        json: bool,
        /// Every check with its working.
        #[arg(long)]
        all: bool,
        /// Metric units.
        #[arg(long)]
        metric: bool,
    },
    /// Adjust a tape network and say what is loose, mistaped or too close to call.
    Network {
        /// The network file.
        file: PathBuf,
        /// The whole answer as JSON.
        #[arg(long)]
        json: bool,
        /// Metric units.
        #[arg(long)]
        metric: bool,
    },
    /// Derive the yard in plan view, and the scene for the route solver.
    Plan {
        /// The plan file.
        file: PathBuf,
        /// The whole answer as JSON.
        #[arg(long)]
        json: bool,
        /// Metric units.
        #[arg(long)]
        metric: bool,
    },
    /// Find the way with the most room through a route file, or prove that there is none.
    Route {
        /// The route file.
        file: PathBuf,
        /// The answer as JSON.
        #[arg(long)]
        json: bool,
        /// Largest difference between the proved bounds, in inches.
        #[arg(long, default_value = "0.1", value_parser = route::resolution)]
        resolution: f64,
        /// Metric units.
        #[arg(long)]
        metric: bool,
    },
    /// Check a practice sheet file and print what it states; without a file, print a template.
    Practice {
        /// The practice sheet.
        file: Option<PathBuf>,
        /// Also import it into the database, for the dealer of this name.
        #[arg(long, requires = "file")]
        import_for: Option<String>,
        /// Where data lives.
        #[command(flatten)]
        data: DataSettings,
    },
    /// Check a spa sheet file and print it.
    Catalogue {
        /// The spa sheet.
        file: PathBuf,
        /// Also import it into the database, for the dealer of this name.
        #[arg(long)]
        import_for: Option<String>,
        /// Where data lives.
        #[command(flatten)]
        data: DataSettings,
    },
    /// List every question with its kind and who may answer.
    Questions,
}

/// Runs the program.
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    tracing_subscriber::fmt()
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_default_env()
                .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("warn")),
        )
        .with_writer(std::io::stderr)
        .init();
    let runtime = match tokio::runtime::Runtime::new() {
        Ok(runtime) => runtime,
        Err(error) => return failed(&error),
    };
    let ended = runtime.block_on(run(arguments.command));
    // What still computes here was given up: nobody waits for it.
    runtime.shutdown_background();
    match ended {
        Ok(text) => {
            let mut out = std::io::stdout().lock();
            // A reader that has gone away wants no more text, and no complaint.
            let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
            ExitCode::SUCCESS
        }
        Err(error) => failed(error.as_ref()),
    }
}

fn failed(error: &(dyn std::error::Error + 'static)) -> ExitCode {
    eprintln!("setdown-server: {error}");
    match error.downcast_ref::<yard::BadFile>() {
        Some(_) => ExitCode::from(BAD_FILE),
        None => ExitCode::FAILURE,
    }
}

/// The exit status for a yard file that cannot be used.
const BAD_FILE: u8 = 2;

const fn units(metric: bool) -> UnitSystem {
    if metric {
        UnitSystem::Metric
    } else {
        UnitSystem::Us
    }
}

type Failure = Box<dyn std::error::Error>;

async fn run(command: Command) -> Result<String, Failure> {
    match command {
        Command::Serve(settings) => {
            serve::serve(settings).await?;
            Ok(String::new())
        }
        Command::Demo {
            data,
            sites,
            invitation,
            public_url,
        } => {
            let address = public_url.trim_end_matches('/');
            let sites = (!invitation).then_some(sites);
            Ok(demo::demo(&data, address, sites).await?)
        }
        Command::AddPerson(arguments) => Ok(people::add(arguments).await?),
        Command::SetPassword { sign_in, data } => Ok(people::set_password(&data, &sign_in).await?),
        Command::Export(arguments) => Ok(archive::export(arguments).await?),
        Command::Import(arguments) => Ok(archive::import(arguments).await?),
        Command::Assess {
            file,
            json,
            all,
            metric,
        } => {
            let units = units(metric);
            let choices = assess::Choices { json, all, units };
            Ok(assess::assess(&file, choices)?)
        }
        Command::Network { file, json, metric } => Ok(yard::network(&file, json, units(metric))?),
        Command::Plan { file, json, metric } => Ok(yard::plan(&file, json, units(metric))?),
        Command::Route {
            file,
            json,
            resolution,
            metric,
        } => {
            let units = units(metric);
            let choices = route::Choices {
                json,
                resolution,
                units,
            };
            Ok(route::route(&file, choices)?)
        }
        Command::Practice { file: None, .. } => Ok(sheets::practice_template()),
        Command::Practice {
            file: Some(file),
            import_for,
            data,
        } => {
            let mut text = sheets::practice(&file)?;
            if let Some(dealer) = import_for {
                let sheet = crate::survey::practice_file::read(&file)?;
                text.push_str(&people::import_practice(&data, &dealer, &sheet).await?);
            }
            Ok(text)
        }
        Command::Catalogue {
            file,
            import_for,
            data,
        } => {
            let mut text = sheets::spa(&file)?;
            if let Some(dealer) = import_for {
                let sheet = crate::survey::spa_file::read(&file)?;
                text.push_str(&people::import_spa(&data, &dealer, &sheet).await?);
            }
            Ok(text)
        }
        Command::Questions => Ok(sheets::questions()),
    }
}
