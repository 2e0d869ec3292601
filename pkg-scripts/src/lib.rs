//! What the project's commands do. Each command is a program in `src/bin` and a feature of this package.
#![allow(clippy::print_stdout, reason = "command-line programs answer on standard output")]

#[cfg(feature = "verify")]
pub mod browsers;
#[cfg(feature = "build")]
pub mod build;
#[cfg(feature = "inspect")]
pub mod inspect;
#[cfg(feature = "measure")]
pub mod measure;
#[cfg(feature = "pack")]
pub mod offline;
#[cfg(feature = "demo-data")]
pub mod opening;
#[cfg(feature = "pack")]
pub mod pack;
pub mod project;
#[cfg(feature = "demo-data")]
pub mod samples;
#[cfg(feature = "demo")]
pub mod serve;
#[cfg(feature = "pack")]
mod shrink;
#[cfg(feature = "verify")]
pub mod verify;
