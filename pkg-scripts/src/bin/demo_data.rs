//! `cargo demo-data`: makes the demo's files from the model and writes them to `www/demo`, and the answer that the page
//! opens with. With `--samples FOLDER` it
//! writes files of every variant that the writers know into a folder instead, for outside readers.

use anyhow::{Context, Result, bail};
use handpath::model::demo_files;
use pkg_scripts::opening;
use pkg_scripts::project::{say, www};
use pkg_scripts::samples::{File, sample_files};
use std::path::{Path, PathBuf};

fn main() -> Result<()> {
    let mut samples: Option<PathBuf> = None;
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            lexopt::Arg::Long("samples") => samples = Some(arguments.value()?.into()),
            other => bail!("{}; known: --samples FOLDER", other.unexpected()),
        }
    }
    match samples {
        Some(folder) => write_all(&folder, sample_files()?),
        None => {
            let files = demo_files()?;
            write_all(&www().join("demo"), files.into_iter().map(|file| (file.name, file.bytes)).collect())?;
            write_all(&www(), vec![(opening::FILE.to_owned(), serde_json::to_vec(&opening::opening()?)?)])
        }
    }
}

fn write_all(folder: &Path, files: Vec<File>) -> Result<()> {
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let mut together = 0;
    for (name, bytes) in files {
        let path = folder.join(&name);
        std::fs::write(&path, &bytes).with_context(|| format!("cannot write {}", path.display()))?;
        say(&format!("{:>9} bytes  {name}", bytes.len()));
        together += bytes.len();
    }
    say(&format!("{together:>9} bytes together in {}", folder.display()));
    Ok(())
}
