//! `cargo measure`: how long work takes beside what general-purpose libraries need for it.
#![allow(clippy::print_stdout, reason = "the table is the answer of this command")]

use anyhow::{Result, bail};
use lexopt::prelude::*;
use pkg_scripts::measure::{PARTS, feel, measure, table, visits, visits_table};

const HELP: &str = "cargo measure [--only PART]... [--json]

Measures warping, averaging, the nearest of many references and reading, in Chromium and natively, beside
general-purpose libraries, which it installs below target: same data, same run, several rounds in turn. And visits a
blog page with two comparisons in Chromium, several times: its longest task, and what moves on it; and what is felt of the
page itself: frames, the first comparison, a file that is dropped, memory.

  --only PART   warping, nearest, average, c3d, csv, visits or feel; repeatable
  --json        instead of tables an array of {work, peer, ours_ms, peer_ms, ratio, low, high}; with --only visits or feel
                alone an array of {what, median, greatest, asked}";

/// What is measured beside no library.
const ALONE: [&str; 2] = ["visits", "feel"];

fn main() -> Result<()> {
    let (mut json, mut only) = (false, vec![]);
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("json") => json = true,
            Long("only") => only.push(part(&arguments.value()?.string()?)?),
            Long("help") => {
                println!("{HELP}");
                return Ok(());
            }
            other => bail!("{}; known: --only, --json", other.unexpected()),
        }
    }
    let parts: Vec<&str> = PARTS.into_iter().filter(|part| only.is_empty() || only.contains(part)).collect();
    let libraries = if parts.is_empty() { vec![] } else { measure(&parts)? };
    let alone = |part: &str| only.contains(&part) || only.is_empty() && !json;
    let mut seen = if alone(ALONE[0]) { visits()? } else { vec![] };
    seen.extend(if alone(ALONE[1]) { feel()? } else { vec![] });
    match (json, parts.is_empty()) {
        (true, true) => println!("{}", serde_json::to_string_pretty(&seen)?),
        (true, false) => println!("{}", serde_json::to_string_pretty(&libraries)?),
        _ => {
            let tables = [(!libraries.is_empty(), table(&libraries)), (!seen.is_empty(), visits_table(&seen))];
            let shown: Vec<String> = tables.into_iter().filter_map(|(shown, table)| shown.then_some(table)).collect();
            print!("{}", shown.join("\n"));
        }
    }
    Ok(())
}

fn part(name: &str) -> Result<&'static str> {
    let known = PARTS.into_iter().chain(ALONE);
    let Some(found) = known.clone().find(|part| *part == name) else {
        bail!("{name} is no part; known: {}", known.collect::<Vec<_>>().join(", "))
    };
    Ok(found)
}
