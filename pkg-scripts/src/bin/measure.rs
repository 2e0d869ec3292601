//! `cargo measure`: how long work takes beside what general-purpose libraries need for it.
#![allow(clippy::print_stdout, reason = "the table is the answer of this command")]

use anyhow::{Context, Result, bail};
use lexopt::prelude::*;
use pkg_scripts::measure::{measure, table, visits, visits_table};

const HELP: &str = "cargo measure [--only PART] [--json]

Measures warping, averaging, the nearest of many references and reading, in Chromium and natively, beside
general-purpose libraries, which it installs below target: same data, same run, several rounds in turn. And visits a
blog page with two comparisons in Chromium, several times: its longest task, and what moves on it.

  --only PART   libraries or visits
  --json        an object instead of tables: `libraries`, an array of {work, peer, ours_ms, peer_ms, ratio, low, high}, and
                `visits`, an array of {what, median, greatest, asked}";

/// The parts of a run.
const PARTS: [&str; 2] = ["libraries", "visits"];

fn main() -> Result<()> {
    let (mut json, mut only) = (false, None);
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("json") => json = true,
            Long("only") => only = Some(part(&arguments.value()?.string()?)?),
            Long("help") => {
                println!("{HELP}");
                return Ok(());
            }
            other => bail!("{}; known: --only, --json", other.unexpected()),
        }
    }
    let wanted = |part| only.is_none_or(|only| only == part);
    let libraries = if wanted(PARTS[0]) { measure()? } else { vec![] };
    let visits = if wanted(PARTS[1]) { visits()? } else { vec![] };
    if json {
        let all = serde_json::json!({ "libraries": libraries, "visits": visits });
        println!("{}", serde_json::to_string_pretty(&all)?);
    } else {
        let tables = [(!libraries.is_empty(), table(&libraries)), (!visits.is_empty(), visits_table(&visits))];
        let shown: Vec<String> = tables.into_iter().filter_map(|(shown, table)| shown.then_some(table)).collect();
        print!("{}", shown.join("\n"));
    }
    Ok(())
}

fn part(name: &str) -> Result<&'static str> {
    let found = PARTS.into_iter().find(|part| *part == name);
    found.with_context(|| format!("{name} is no part; known: {}", PARTS.join(", ")))
}
