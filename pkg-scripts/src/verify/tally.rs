use crate::project::{say, show};
use std::fs::File;
use std::ops::{Add, AddAssign};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

/// Lines of a failed step's output that are shown.
const SHOWN_LINES: usize = 80;

/// Checks counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// That came out right.
    pub passed: usize,
    /// That did not.
    pub failed: usize,
}

impl Tally {
    /// One check.
    pub fn of(good: bool) -> Self {
        Tally { passed: usize::from(good), failed: usize::from(!good) }
    }

    /// Was something checked, and did nothing fail?
    pub fn good(self) -> bool {
        self.passed > 0 && self.failed == 0
    }

    /// Counts and tells one check of a few that belong together.
    pub fn check(&mut self, what: &str, found: anyhow::Result<()>) {
        match &found {
            Ok(()) => say(&format!("  {what}: ok")),
            Err(error) => say(&format!("  {what}: FAILED: {error:#}")),
        }
        *self += Tally::of(found.is_ok());
    }
}

impl Add for Tally {
    type Output = Tally;
    fn add(self, other: Tally) -> Tally {
        Tally { passed: self.passed + other.passed, failed: self.failed + other.failed }
    }
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Tally) {
        *self = *self + other;
    }
}

/// How the checks of a step are counted from what it prints.
pub(super) type Count = fn(output: &str) -> Tally;

/// Runs a command as one step; its output goes to a file and is shown where the step fails.
pub(super) fn step(name: &str, command: &mut Command, count: Option<Count>) -> Tally {
    say(&format!("  {name}: `{}` ...", show(command)));
    let start = Instant::now();
    let (ended_well, output) = match logged(name, command) {
        Ok(ended) => ended,
        Err(error) => {
            say(&format!("  {name}: FAILED: {error:#}"));
            return Tally::of(false);
        }
    };
    let counted = count.map_or_else(|| Tally::of(ended_well), |count| count(&output));
    // A crash after, or before, the counted tests is a failure too.
    let missed = !ended_well && counted.failed == 0 || ended_well && counted.passed == 0;
    let tally = counted + Tally { passed: 0, failed: usize::from(missed) };
    if !tally.good() {
        let lines: Vec<&str> = output.lines().collect();
        lines[lines.len().saturating_sub(SHOWN_LINES)..].iter().for_each(|line| say(&format!("    | {line}")));
    }
    let word = if tally.good() { "ok" } else { "FAILED" };
    say(&format!(
        "  {name}: {word}, {} of {} ({} s)",
        tally.passed,
        tally.passed + tally.failed,
        start.elapsed().as_secs()
    ));
    tally
}

fn logged(name: &str, command: &mut Command) -> anyhow::Result<(bool, String)> {
    let path: PathBuf = crate::project::root().join("target/verify").join(format!("{name}.log"));
    let file = File::create(&path)?;
    command.stdin(Stdio::null()).stdout(file.try_clone()?).stderr(file);
    let status = command.status()?;
    Ok((status.success(), String::from_utf8_lossy(&std::fs::read(&path)?).into_owned()))
}

/// Counts the closing lines of cargo's test runs.
pub(super) fn cargo_tests(output: &str) -> Tally {
    let number = |line: &str, word: &str| {
        let before = line.split(word).next()?;
        before.rsplit([' ', ';', '.']).find(|part| !part.is_empty())?.parse::<usize>().ok()
    };
    let results = output.lines().filter(|line| line.starts_with("test result: "));
    results.fold(Tally::default(), |sum, line| {
        let passed = number(line, " passed").unwrap_or(0);
        sum + Tally { passed, failed: number(line, " failed").unwrap_or(0) }
    })
}

/// Counts the topics of the reference vectors.
pub(super) fn topics(output: &str) -> Tally {
    let agreed = output.lines().filter(|line| line.ends_with(" cases agree")).count();
    Tally { passed: agreed, failed: 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn test_runs_are_added_up() {
        let output = "running 3 tests\ntest result: ok. 3 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out\n\n\
            test result: FAILED. 11 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.0s\n";
        assert_eq!(cargo_tests(output), Tally { passed: 14, failed: 2 });
        assert_eq!(cargo_tests("error: could not compile"), Tally::default());
        assert_eq!(topics("dtw: 12 cases agree\nfilter[3]: 1 stored, 2 remade\n"), Tally { passed: 1, failed: 0 });
    }

    #[test]
    fn a_step_fails_where_its_command_does() {
        std::fs::create_dir_all(crate::project::root().join("target/verify")).unwrap();
        assert!(step("test-true", &mut Command::new("true"), None).good());
        assert!(!step("test-false", &mut Command::new("false"), None).good());
        assert!(!step("test-absent", &mut Command::new("no-such-program-here"), None).good());
        assert!(!step("test-no-tests", &mut Command::new("true"), Some(cargo_tests)).good());
        let mut crashed = Command::new("sh");
        crashed.args(["-c", "echo 'test result: ok. 3 passed; 0 failed;'; exit 1"]);
        assert_eq!(step("test-crash", &mut crashed, Some(cargo_tests)), Tally { passed: 3, failed: 1 });
    }
}
