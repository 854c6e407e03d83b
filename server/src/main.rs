//! The `setdown-server` program; its commands live in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    setdown_server::cli::main()
}
