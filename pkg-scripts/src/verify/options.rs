use super::{Part, Scene};
use lexopt::prelude::*;
use std::ffi::OsString;

/// What `--help` prints.
pub const HELP: &str = "cargo verify [--only PART[,PART...]] [--scene SCENE[,SCENE...]] [--kills N]

Runs every check and test of the project and tells how each part ended. As root on Debian it installs what it lacks;
otherwise it prints the line that installs it, and leaves the part out.

  --only PART   only this part (repeatable): rust, docs, size, fuzz, python, chromium, firefox, webkit
  --scene SCENE in the browsers only this scene (repeatable): demo, lessons, story, trial, shelf, practice, desk, offline,
                accessible, keyboard, forced, readers, embedding; without --only, no other part than the browsers
  --kills N     how often the browser is killed while balls are logged, default 5 (scene practice)
  --help        this text

Exit codes: 0 everything passed, 1 something failed, 3 what ran has passed, but a part was left out, 64 the command
was not understood.
";

/// What is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Parts that run.
    pub parts: Vec<Part>,
    /// Scenes that are played in a browser.
    pub scenes: Vec<Scene>,
    /// How often a browser is killed while balls are logged.
    pub kills: usize,
}

/// Enough to see that the test itself holds; many more are for the day of a release.
const KILLS: usize = 5;

impl Wanted {
    fn new(mut parts: Vec<Part>, mut scenes: Vec<Scene>, kills: usize) -> Wanted {
        if parts.is_empty() {
            parts = Part::ALL.into_iter().filter(|part| scenes.is_empty() || part.engine().is_some()).collect();
        }
        if scenes.is_empty() {
            scenes = Scene::ALL.to_vec();
        }
        Wanted { parts, scenes, kills }
    }
}

/// Reads the arguments; `None`: help is wanted.
///
/// # Errors
/// An unknown option, part or scene.
pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Option<Wanted>, lexopt::Error> {
    let (mut parts, mut scenes, mut kills) = (Vec::new(), Vec::new(), KILLS);
    let mut parser = lexopt::Parser::from_args(arguments);
    while let Some(argument) = parser.next()? {
        match argument {
            Long("only") => named(&mut parser, "part", Part::parse, &mut parts)?,
            Long("scene") => named(&mut parser, "scene", Scene::parse, &mut scenes)?,
            Long("kills") => kills = parser.value()?.parse()?,
            Short('h') | Long("help") => return Ok(None),
            other => return Err(other.unexpected()),
        }
    }
    Ok(Some(Wanted::new(parts, scenes, kills)))
}

fn named<T>(
    parser: &mut lexopt::Parser,
    what: &str,
    parse: fn(&str) -> Option<T>,
    found: &mut Vec<T>,
) -> Result<(), lexopt::Error> {
    for name in parser.value()?.string()?.split(',') {
        found.push(parse(name.trim()).ok_or_else(|| format!("there is no {what} {name:?}"))?);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(words: &[&str]) -> Result<Option<Wanted>, String> {
        parse(words.iter().map(OsString::from)).map_err(|error| error.to_string())
    }

    #[test]
    fn parts_and_scenes_are_asked_for_by_name() {
        let told = |parts: &[Part], scenes: &[Scene]| {
            Ok(Some(Wanted { parts: parts.into(), scenes: scenes.into(), kills: KILLS }))
        };
        assert_eq!(wanted(&[]), told(&Part::ALL, &Scene::ALL));
        let some = [Part::Rust, Part::Size, Part::WebKit];
        assert_eq!(wanted(&["--only", "rust, size", "--only=webkit"]), told(&some, &Scene::ALL));
        let browsers = [Part::Chromium, Part::Firefox, Part::WebKit];
        assert_eq!(wanted(&["--scene", "lessons,offline"]), told(&browsers, &[Scene::Lessons, Scene::Offline]));
        assert_eq!(wanted(&["--only", "opera"]), Err("there is no part \"opera\"".into()));
        assert_eq!(wanted(&["--scene", "opera"]), Err("there is no scene \"opera\"".into()));
        assert_eq!(wanted(&["--kills", "50"]).map(|found| found.map(|wanted| wanted.kills)), Ok(Some(50)));
        assert!(wanted(&["rust"]).is_err() && wanted(&["--kills", "often"]).is_err());
        assert!(Part::ALL.iter().all(|part| HELP.contains(part.name())));
        assert!(Scene::ALL.iter().all(|scene| HELP.contains(scene.name())));
    }
}
