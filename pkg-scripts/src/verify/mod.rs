//! `cargo verify`: every check and test of the project, part by part.

mod browser;
mod install;
mod options;
mod parts;
mod tally;

pub use browser::Scene;
pub use options::{HELP, Wanted, parse};
pub use parts::Part;
pub use tally::Tally;

use crate::project::{root, say};
use anyhow::Result;
use std::time::Instant;

/// Exit code where all that ran has passed, but something was left out.
pub const LEFT_OUT: u8 = 3;

/// How one part ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ending {
    /// It ran.
    Ran(Tally),
    /// It did not run, and why.
    LeftOut(String),
}

/// Runs the parts asked for, tells how each ended, and gives the exit code: 0 all passed, 1 something failed,
/// 3 something was left out.
///
/// # Errors
/// The checks could not be run at all.
pub fn run(wanted: &Wanted) -> Result<u8> {
    std::fs::create_dir_all(root().join("target/verify"))?;
    let endings: Vec<(Part, Ending, u64)> = Part::ALL
        .into_iter()
        .map(|part| {
            if !wanted.parts.contains(&part) {
                return (part, Ending::LeftOut("not asked for".into()), 0);
            }
            say(&format!("\n{}: {}", part.name(), part.about()));
            let start = Instant::now();
            (part, part.run(wanted), start.elapsed().as_secs())
        })
        .collect();
    println!();
    endings.iter().for_each(|(part, ending, seconds)| println!("{}", line(*part, ending, *seconds)));
    let total = endings.iter().fold(Tally::default(), |sum, (_, ending, _)| match ending {
        Ending::Ran(tally) => sum + *tally,
        Ending::LeftOut(_) => sum,
    });
    let left_out = wanted.scenes.len() < Scene::ALL.len()
        || endings.iter().any(|(_, ending, _)| matches!(ending, Ending::LeftOut(_)));
    println!("{} passed, {} failed", total.passed, total.failed);
    Ok(exit_code(total, left_out))
}

fn line(part: Part, ending: &Ending, seconds: u64) -> String {
    match ending {
        Ending::Ran(tally) if tally.good() => format!("{:9} passed: {} checks, {seconds} s", part.name(), tally.passed),
        Ending::Ran(tally) => {
            format!("{:9} FAILED: {} of {} checks, {seconds} s", part.name(), tally.failed, tally.passed + tally.failed)
        }
        Ending::LeftOut(why) => format!("{:9} left out: {why}", part.name()),
    }
}

fn exit_code(total: Tally, left_out: bool) -> u8 {
    match (total.good(), left_out) {
        (false, _) => 1,
        (true, true) => LEFT_OUT,
        (true, false) => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_left_out_is_told_and_has_its_own_exit_code() {
        let all_good = Tally { passed: 5, failed: 0 };
        assert_eq!(exit_code(all_good, false), 0);
        assert_eq!(exit_code(all_good, true), LEFT_OUT);
        assert_eq!(exit_code(Tally { passed: 5, failed: 1 }, true), 1);
        assert_eq!(exit_code(Tally::default(), false), 1, "nothing checked is nothing shown");
        assert_eq!(line(Part::Size, &Ending::LeftOut("not asked for".into()), 0), "size      left out: not asked for");
        assert_eq!(line(Part::Rust, &Ending::Ran(all_good), 7), "rust      passed: 5 checks, 7 s");
    }
}
