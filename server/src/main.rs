//! The `setdown-server` command line.

use clap::{Parser, Subcommand};
use setdown_server::web::{self, assets::Assets, headers};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

/// The Setdown server and its commands.
#[derive(Debug, Parser)]
#[command(version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve the app.
    Serve {
        /// Address and port to listen on.
        #[arg(long, env = "SETDOWN_LISTEN", default_value = "127.0.0.1:8080")]
        listen: SocketAddr,
        /// The packed app.
        #[arg(long, env = "SETDOWN_DIST", default_value = "dist")]
        dist: PathBuf,
    },
}

#[tokio::main]
async fn main() -> ExitCode {
    let Command::Serve { listen, dist } = Arguments::parse().command;
    match serve(listen, &dist).await {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("setdown-server: {error}");
            ExitCode::FAILURE
        }
    }
}

async fn serve(
    listen: SocketAddr,
    dist: &std::path::Path,
) -> Result<(), Box<dyn std::error::Error>> {
    let assets = Assets::load(dist)?;
    let router = headers::secure(web::pages(&assets), false);
    let listener = tokio::net::TcpListener::bind(listen)
        .await
        .map_err(|error| {
            format!("cannot listen on {listen}: {error}; choose another address with --listen")
        })?;
    println!("Setdown is at http://{listen}/field (field) and http://{listen}/office (office)");
    axum::serve(listener, router).await?;
    Ok(())
}
