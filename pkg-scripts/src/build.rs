//! From the Rust core to `www/wasm`: WebAssembly modules and the JavaScript that loads each.

use crate::project::{cargo, root, run, say, www};
use anyhow::{Context, Result};
use std::path::{Path, PathBuf};
use wasm_bindgen_cli_support::Bindgen;

const TARGET: &str = "wasm32-unknown-unknown";

/// The modules, each a feature of the core: what comes with the page, what comes when there is something to compute, and what
/// comes with the first card of the coaching loop, when a reader tries a swing or a coach drafts a story, and when somebody opens a shelf of references.
pub const MODULES: [&str; 5] = ["painter", "engine", "coach", "maker", "shelf"];

/// Builds the modules and their bindings into `www/wasm`.
///
/// # Errors
/// The compiler failed, or the bindings could not be written.
pub fn page() -> Result<()> {
    let out = www().join("wasm");
    if out.exists() {
        std::fs::remove_dir_all(&out).with_context(|| format!("cannot empty {}", out.display()))?;
    }
    MODULES.into_iter().try_for_each(|name| {
        say(&format!("Compiling the {name} to WebAssembly ..."));
        let module = compile(name)?;
        say(&format!("Writing the {name} and its bindings to www/wasm ..."));
        bind(&module, name, &out)
    })
}

/// Builds one module and its bindings into a folder.
///
/// # Errors
/// As [`page`].
pub fn module(name: &str, out: &Path) -> Result<()> {
    bind(&compile(name)?, name, out)
}

fn compile(feature: &str) -> Result<PathBuf> {
    run(cargo()
        .args(["build", "--package", "handpath", "--lib", "--profile", "wasm", "--target", TARGET])
        .args(["--features", feature])
        .arg("--target-dir")
        .arg(module_dir(feature))
        .args(["--config", &format!("target.{TARGET}.rustflags={:?}", remaps())]))
    .context("If the WebAssembly target is missing: rustup target add wasm32-unknown-unknown")?;
    Ok(module_dir(feature).join(TARGET).join("wasm").join("handpath.wasm"))
}

/// A build folder for each module: in one, each would be compiled again after every other.
fn module_dir(feature: &str) -> PathBuf {
    target_dir().join("modules").join(feature)
}

/// Panic messages name source files; these flags keep the builder's own folders out of the module.
fn remaps() -> Vec<String> {
    let home = |variable: &str, folder: &str| {
        std::env::var_os(variable).map(PathBuf::from).or_else(|| std::env::home_dir().map(|home| home.join(folder)))
    };
    let folders = [
        (Some(root()), "handpath"),
        (home("CARGO_HOME", ".cargo"), "cargo"),
        (home("RUSTUP_HOME", ".rustup"), "rustup"),
    ];
    let flag =
        |(folder, name): (Option<PathBuf>, &str)| Some(format!("--remap-path-prefix={}={name}", folder?.display()));
    folders.into_iter().filter_map(flag).collect()
}

fn target_dir() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), |folder| root().join(folder))
}

fn bind(module: &Path, name: &str, out: &Path) -> Result<()> {
    Bindgen::new()
        .input_path(module)
        .out_name(name)
        .web(true)?
        .typescript(true)
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate(out)
        .with_context(|| format!("cannot bind {}", module.display()))
}
