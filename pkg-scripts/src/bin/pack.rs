//! `cargo pack`: the page as one folder for a static host, with its sizes.
#![allow(clippy::print_stdout, reason = "the sizes are the answer of this command")]

use anyhow::Result;
use pkg_scripts::{pack, project};
use std::process::ExitCode;

const HELP: &str = "cargo pack

Builds the WebAssembly modules and the page, puts what a static host needs into dist (scripts and styles minified, where
npm is there, and then the whole page in one file as well, handpath-offline.html), and prints the size of each file in
bytes: as it is, after gzip -9, after brotli -q 11. Ends with exit code 1 where a first visit weighs more than it may.";

fn run() -> Result<()> {
    let (folder, files) = pack::pack()?;
    print!("{}", pack::table(&files));
    println!("Upload the folder {} to any static host.", folder.display());
    pack::about_offline(&files).iter().for_each(|line| println!("{line}"));
    println!("{}", pack::check(&files)?);
    Ok(())
}

fn main() -> ExitCode {
    match std::env::args().nth(1).as_deref() {
        None => project::exit(run()),
        Some("-h" | "--help") => {
            println!("{HELP}");
            ExitCode::SUCCESS
        }
        Some(other) => {
            eprintln!("unexpected argument {other:?}\n\n{HELP}");
            ExitCode::from(project::USAGE)
        }
    }
}
