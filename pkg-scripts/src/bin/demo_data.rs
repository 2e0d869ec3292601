//! `cargo demo-data`: makes the demo's files from the model and writes them to `www/demo`.

use anyhow::{Context, Result, anyhow};
use handpath::model::demo_files;
use pkg_scripts::project::{say, www};

fn main() -> Result<()> {
    let folder = www().join("demo");
    std::fs::create_dir_all(&folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let files = demo_files().map_err(|error| anyhow!("the model cannot reach: {error:?}"))?;
    let mut bytes = 0;
    for file in files {
        let path = folder.join(&file.name);
        std::fs::write(&path, &file.bytes).with_context(|| format!("cannot write {}", path.display()))?;
        say(&format!("{:>8} bytes  www/demo/{}", file.bytes.len(), file.name));
        bytes += file.bytes.len();
    }
    say(&format!("{bytes:>8} bytes together"));
    Ok(())
}
