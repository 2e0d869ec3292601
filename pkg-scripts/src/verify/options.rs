use super::Part;
use lexopt::prelude::*;
use std::ffi::OsString;

/// What `--help` prints.
pub const HELP: &str = "cargo verify [--only PART[,PART...]]

Runs every check and test of the project and tells how each part ended. As root on Debian it installs what it lacks;
otherwise it prints the line that installs it, and leaves the part out.

  --only PART   only this part (repeatable): rust, docs, size, fuzz, python, chromium, firefox, webkit
  --help        this text

Exit codes: 0 everything passed, 1 something failed, 3 what ran has passed, but a part was left out, 64 the command
was not understood.
";

/// Reads the arguments; `None`: help is wanted.
///
/// # Errors
/// An unknown option or part.
pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Option<Vec<Part>>, lexopt::Error> {
    let mut only = Vec::new();
    let mut parser = lexopt::Parser::from_args(arguments);
    while let Some(argument) = parser.next()? {
        match argument {
            Long("only") => {
                for name in parser.value()?.string()?.split(',') {
                    only.push(Part::parse(name.trim()).ok_or_else(|| format!("there is no part {name:?}"))?);
                }
            }
            Short('h') | Long("help") => return Ok(None),
            other => return Err(other.unexpected()),
        }
    }
    Ok(Some(if only.is_empty() { Part::ALL.to_vec() } else { only }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(words: &[&str]) -> Result<Option<Vec<Part>>, String> {
        parse(words.iter().map(OsString::from)).map_err(|error| error.to_string())
    }

    #[test]
    fn parts_are_asked_for_by_name() {
        assert_eq!(parts(&[]), Ok(Some(Part::ALL.to_vec())));
        assert_eq!(
            parts(&["--only", "rust, size", "--only=webkit"]),
            Ok(Some(vec![Part::Rust, Part::Size, Part::WebKit]))
        );
        assert_eq!(parts(&["--only", "opera"]), Err("there is no part \"opera\"".into()));
        assert!(parts(&["rust"]).is_err());
        assert!(Part::ALL.iter().all(|part| HELP.contains(part.name())));
    }
}
