//! `cargo measure`: how long work takes beside what general-purpose libraries need for it.
#![allow(clippy::print_stdout, reason = "the table is the answer of this command")]

use anyhow::{Result, bail};
use lexopt::prelude::*;
use pkg_scripts::measure::{measure, table};

const HELP: &str = "cargo measure [--json]

Measures warping, averaging, the nearest of many references and reading, in Chromium and natively, beside
general-purpose libraries, which it installs below target: same data, same run, several rounds in turn.

  --json   an array of {work, peer, ours_ms, peer_ms, ratio, low, high} instead of a table";

fn main() -> Result<()> {
    let mut json = false;
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("json") => json = true,
            Long("help") => {
                println!("{HELP}");
                return Ok(());
            }
            other => bail!("{}; known: --json", other.unexpected()),
        }
    }
    let rows = measure()?;
    if json {
        println!("{}", serde_json::to_string_pretty(&rows)?);
    } else {
        print!("{}", table(&rows));
    }
    Ok(())
}
