//! What a part needs on the machine, and how it gets there.

use super::tally::step;
use crate::browsers::{Missing, program};
use crate::project::cargo;
use std::process::Command;

/// The geckodriver that the tests are known to run with.
const GECKODRIVER: &str = "0.37.1";

/// Installs what is missing where that is allowed; else gives the line that a person would type.
pub(super) fn provide(missing: impl Fn() -> Missing) -> Result<(), String> {
    let lacks = missing();
    if lacks.nothing() {
        return Ok(());
    }
    if !(root_user() && program("apt-get").is_some()) {
        return Err(format!("not installed; run: {}", lines(&lacks)));
    }
    let mut good = true;
    if !lacks.packages.is_empty() {
        good &= step("apt-update", apt().arg("update"), None).good();
        let mut install = apt();
        install.args(["install", "--yes", "--no-install-recommends"]).args(&lacks.packages);
        good &= step("apt-install", &mut install, None).good();
    }
    for name in &lacks.crates {
        good &= step(name, cargo().args(["install", "--locked", "--version", GECKODRIVER, name]), None).good();
    }
    match (good, missing().nothing()) {
        (true, true) => Ok(()),
        _ => Err(format!("could not be installed; run: {}", lines(&missing()))),
    }
}

fn apt() -> Command {
    let mut command = Command::new("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive");
    command
}

fn root_user() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}

fn lines(missing: &Missing) -> String {
    let apt = (!missing.packages.is_empty()).then(|| {
        format!("apt-get update && apt-get install --yes --no-install-recommends {}", missing.packages.join(" "))
    });
    let cargo = missing.crates.iter().map(|name| format!("cargo install --locked --version {GECKODRIVER} {name}"));
    apt.into_iter().chain(cargo).collect::<Vec<_>>().join(" && ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_installs_what_is_missing() {
        let missing = Missing { packages: vec!["firefox-esr", "xvfb"], crates: vec!["geckodriver"] };
        assert_eq!(
            lines(&missing),
            "apt-get update && apt-get install --yes --no-install-recommends firefox-esr xvfb && \
             cargo install --locked --version 0.37.1 geckodriver"
        );
        assert_eq!(provide(Missing::default), Ok(()));
    }
}
