//! Where things are, and how the commands start other programs.

use anyhow::{Context, Result, bail};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder of the repository.
pub fn root() -> PathBuf {
    let package = Path::new(env!("CARGO_MANIFEST_DIR"));
    package.parent().unwrap_or(package).to_owned()
}

/// The page's folder, `www`.
pub fn www() -> PathBuf {
    root().join("www")
}

/// The cargo that started this program.
pub fn cargo() -> Command {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo"));
    let mut command = Command::new(program);
    command.current_dir(root());
    command
}

/// Says what a command is doing; answers go to standard output, so this goes to standard error.
pub fn say(text: &str) {
    eprintln!("{text}");
}

/// Runs a program to its end.
///
/// # Errors
/// The program could not be started, or ended with another code than 0.
pub fn run(command: &mut Command) -> Result<()> {
    let shown = show(command);
    let status = command.status().with_context(|| format!("cannot start `{shown}`"))?;
    if !status.success() {
        bail!("`{shown}` ended with {status}");
    }
    Ok(())
}

/// A command as one would type it.
pub fn show(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let name = program.file_name().unwrap_or(command.get_program());
    let words = std::iter::once(name).chain(command.get_args());
    words.map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}

/// Exit code of a command that was called wrongly (`EX_USAGE` of BSD's sysexits).
pub const USAGE: u8 = 64;

/// Tells an error with its causes; exit code 1.
pub fn exit(done: Result<()>) -> std::process::ExitCode {
    match done {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            std::process::ExitCode::FAILURE
        }
    }
}

/// Runs asynchronous work to its end on this thread.
///
/// # Errors
/// Those of the work.
#[cfg(feature = "demo")]
pub fn run_async<T>(work: impl Future<Output = Result<T>>) -> Result<T> {
    tokio::runtime::Builder::new_current_thread().enable_all().build()?.block_on(work)
}
