//! `cargo demo`: builds the page and serves it on this machine.
#![allow(clippy::print_stdout, reason = "the address is the answer of this command")]

use anyhow::Result;
use lexopt::prelude::*;
use pkg_scripts::serve::Server;
use pkg_scripts::{build, project};
use std::process::ExitCode;

const HELP: &str = "cargo demo [--port PORT]

Builds the WebAssembly module and the page, then serves www on 127.0.0.1 until Ctrl-C.

  --port PORT   first port to try (default 8000; the next free one is taken)
  --help        this text";

fn port() -> Result<Option<u16>, lexopt::Error> {
    let mut port = 8000;
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("port") => port = arguments.value()?.parse()?,
            Short('h') | Long("help") => return Ok(None),
            other => return Err(other.unexpected()),
        }
    }
    Ok(Some(port))
}

fn demo(port: u16) -> Result<()> {
    build::page()?;
    project::run_async(async {
        let server = Server::start(&project::www(), port).await?;
        println!("The page is at {} (Ctrl-C ends)", server.url);
        server.forever().await
    })
}

fn main() -> ExitCode {
    let done = match port() {
        Ok(Some(port)) => demo(port),
        Ok(None) => {
            println!("{HELP}");
            Ok(())
        }
        Err(error) => {
            eprintln!("{error}\n\n{HELP}");
            return ExitCode::from(project::USAGE);
        }
    };
    project::exit(done)
}
