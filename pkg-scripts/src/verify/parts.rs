//! The parts of `cargo verify`.

use super::tally::{cargo_tests, step, topics};
use super::{Ending, Tally, Wanted, browser, install};
use crate::browsers::{Engine, Missing, program};
use crate::pack;
use crate::project::{cargo, root, say};
use std::process::Command;

/// Features of this package that tests and lints are run with: all that `cargo verify` itself is built with.
const FEATURES: [&str; 2] = ["--features", "pkg-scripts/verify"];

/// A part of the checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Format, lints and tests of the Rust code.
    Rust,
    /// Documentation, its examples, and what it names.
    Docs,
    /// What a first visit weighs.
    Size,
    /// Hostile bytes.
    Fuzz,
    /// The reference vectors, made again by outside libraries.
    Python,
    /// The page in Chromium.
    Chromium,
    /// The page in Firefox.
    Firefox,
    /// The page in WebKit.
    WebKit,
}

impl Part {
    /// All, in the order they run.
    pub const ALL: [Part; 8] =
        [Part::Rust, Part::Docs, Part::Size, Part::Fuzz, Part::Python, Part::Chromium, Part::Firefox, Part::WebKit];

    /// Name in options and reports.
    pub fn name(self) -> &'static str {
        match self {
            Part::Rust => "rust",
            Part::Docs => "docs",
            Part::Size => "size",
            Part::Fuzz => "fuzz",
            Part::Python => "python",
            Part::Chromium => "chromium",
            Part::Firefox => "firefox",
            Part::WebKit => "webkit",
        }
    }

    /// Reads a name.
    pub fn parse(name: &str) -> Option<Part> {
        Part::ALL.into_iter().find(|part| part.name() == name)
    }

    /// What it does, in a few words.
    pub fn about(self) -> &'static str {
        match self {
            Part::Rust => "format, lints, tests",
            Part::Docs => "documentation, its examples, and what it names",
            Part::Size => "what a first visit weighs",
            Part::Fuzz => "hostile bytes",
            Part::Python => "the reference vectors, made again by outside libraries",
            Part::Chromium | Part::Firefox | Part::WebKit => "the page in a browser",
        }
    }

    /// The browser that it runs in.
    pub(super) fn engine(self) -> Option<Engine> {
        match self {
            Part::Chromium => Some(Engine::Chromium),
            Part::Firefox => Some(Engine::Firefox),
            Part::WebKit => Some(Engine::WebKit),
            _ => None,
        }
    }

    /// Runs it, as part of what is `wanted`.
    pub(super) fn run(self, wanted: &Wanted) -> Ending {
        if let Some(engine) = self.engine() {
            return provided(|| engine.missing(), || browser::run(engine, wanted));
        }
        match self {
            Part::Rust => Ending::Ran(rust()),
            Part::Docs => Ending::Ran(docs(wanted.parts.contains(&Part::Rust))),
            Part::Size => provided(|| lacks(["npm"]), size),
            Part::Fuzz => Ending::Ran(fuzz()),
            _ => provided(|| lacks(["python3"]), python),
        }
    }
}

/// Runs a part once what it needs is there.
fn provided(missing: impl Fn() -> Missing, part: impl FnOnce() -> Tally) -> Ending {
    match install::provide(missing) {
        Ok(()) => Ending::Ran(part()),
        Err(why) => {
            say(&format!("  {why}"));
            Ending::LeftOut(why)
        }
    }
}

fn lacks<const N: usize>(packages: [&'static str; N]) -> Missing {
    Missing { packages: packages.into_iter().filter(|name| program(name).is_none()).collect(), crates: Vec::new() }
}

fn rust() -> Tally {
    let mut wasm = cargo();
    wasm.args(["clippy", "--package", "handpath", "--lib", "--target", "wasm32-unknown-unknown", "--", "-Dwarnings"]);
    let mut clippy = cargo();
    clippy.args(["clippy", "--workspace", "--all-targets"]).args(FEATURES).args(["--", "-Dwarnings"]);
    let mut tests = cargo();
    tests.args(["test", "--workspace", "--lib", "--bins", "--tests", "--no-fail-fast"]).args(FEATURES);
    step("format", cargo().args(["fmt", "--all", "--check"]), None)
        + step("tests", &mut tests, Some(cargo_tests))
        + step("lints", &mut clippy, None)
        + step("lints-wasm", &mut wasm, None)
}

fn docs(rust_ran: bool) -> Tally {
    let mut pages = cargo();
    pages.args(["doc", "--workspace", "--no-deps", "--document-private-items"]).args(FEATURES);
    pages.env("RUSTDOCFLAGS", "-Dwarnings");
    let mut examples = cargo();
    examples.args(["test", "--workspace", "--doc"]).args(FEATURES);
    let mut names = cargo();
    names.args(["test", "--package", "handpath", "--test", "repository"]);
    let mut tally = step("pages", &mut pages, None) + step("examples", &mut examples, Some(cargo_tests));
    if !rust_ran {
        tally += step("names", &mut names, Some(cargo_tests));
    }
    tally
}

fn size() -> Tally {
    let mut tally = Tally::default();
    let weighed = pack::pack().and_then(|(_, files)| {
        say(&pack::table(&files));
        say(&pack::check(&files)?);
        Ok(())
    });
    tally.check("a first visit weighs no more than it may", weighed);
    tally
}

fn fuzz() -> Tally {
    let mut hostile = cargo();
    hostile.args(["test", "--package", "handpath", "--test", "hostile"]);
    step("hostile", &mut hostile, Some(cargo_tests))
}

fn python() -> Tally {
    let folder = root().join("tests/reference");
    let interpreter = folder.join(".venv/bin/python");
    let requirements = folder.join("requirements.txt");
    if !interpreter.exists() {
        let made = step("venv", Command::new("python3").args(["-m", "venv"]).arg(folder.join(".venv")), None);
        if !made.good() {
            say("  On Debian: apt-get install --yes python3-venv");
            return made;
        }
    }
    let mut pip = Command::new(&interpreter);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]).arg(requirements);
    let mut remake = Command::new(&interpreter);
    remake.arg(folder.join("make.py")).arg("--check");
    step("libraries", &mut pip, None) + step("vectors", &mut remake, Some(topics))
}
