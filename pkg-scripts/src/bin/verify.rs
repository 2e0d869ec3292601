//! `cargo verify`: every check and test.

use pkg_scripts::{project, verify};
use std::process::ExitCode;

fn main() -> ExitCode {
    match verify::parse(std::env::args_os().skip(1)) {
        Ok(Some(parts)) => verify::run(&parts).map_or_else(|error| project::exit(Err(error)), ExitCode::from),
        Ok(None) => {
            project::say(verify::HELP);
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("error: {error}\n\n{}", verify::HELP);
            ExitCode::from(project::USAGE)
        }
    }
}
