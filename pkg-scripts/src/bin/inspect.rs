//! `cargo inspect`: what the core makes of files.
#![allow(clippy::print_stdout, reason = "this command answers on standard output")]

use pkg_scripts::{inspect, project};
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let request = match inspect::parse(std::env::args_os().skip(1)) {
        Ok(Some(request)) => request,
        Ok(None) => {
            print!("{}", inspect::HELP);
            return ExitCode::SUCCESS;
        }
        Err(error) => {
            eprintln!("error: {error}\n\nTry cargo inspect --help");
            return ExitCode::from(project::USAGE);
        }
    };
    request.notes.iter().for_each(|note| project::say(note));
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    let done = inspect::run(&request, &mut out).and_then(|outcome| Ok((outcome, out.flush()?)));
    match done {
        Ok((outcome, ())) => ExitCode::from(outcome.code()),
        // A reader such as head that has seen enough is no failure.
        Err(error) if closed(&error) => ExitCode::SUCCESS,
        Err(error) => project::exit(Err(error)),
    }
}

fn closed(error: &anyhow::Error) -> bool {
    let kinds = error.chain().filter_map(|cause| {
        let written = cause.downcast_ref::<std::io::Error>().map(std::io::Error::kind);
        written.or_else(|| cause.downcast_ref::<serde_json::Error>()?.io_error_kind())
    });
    kinds.into_iter().any(|kind| kind == std::io::ErrorKind::BrokenPipe)
}
