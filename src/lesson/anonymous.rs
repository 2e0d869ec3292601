//! Recordings without the names of persons.

use crate::formats::Recording;
use crate::roles;
use crate::words::Arg;

/// A capture system writes the name of its subject before every track (`golfer 1:LSHO`). Puts `subject 1`, `subject 2`, ...
/// in place of such names, in tracks and in the warnings that quote them, and returns the new name of each track with its old
/// one, for the corrections that name it.
pub fn without_subjects(recording: &mut Recording) -> Vec<(String, String)> {
    let mut subjects: Vec<String> = Vec::new();
    let before = |name: &str| name.rfind(':').map(|end| name[..end].to_owned());
    let found = recording.tracks.iter().filter_map(|track| before(&track.name));
    let known = roles::subjects(recording).into_iter().map(|subject| subject.name);
    for subject in found.chain(known).filter(|subject| !subject.is_empty()) {
        if !subjects.contains(&subject) {
            subjects.push(subject);
        }
    }
    let renamed = |name: &str| {
        let fits = |subject: &&String| name.len() > subject.len() && name.starts_with(subject.as_str());
        let longest =
            subjects.iter().enumerate().filter(|(_, subject)| fits(subject)).max_by_key(|(_, own)| own.len())?;
        Some(["subject ", &(1 + longest.0).to_string(), &name[longest.1.len()..]].concat())
    };
    let mut names = Vec::new();
    for track in &mut recording.tracks {
        if let Some(new) = renamed(&track.name) {
            names.push((std::mem::replace(&mut track.name, new.clone()), new));
        }
    }
    for warning in &mut recording.warnings {
        let texts =
            warning.args.values_mut().filter_map(|arg| if let Arg::Text(text) = arg { Some(text) } else { None });
        let place = warning.place.iter_mut().filter_map(|place| place.track.as_mut());
        for text in texts.chain(place) {
            if let Some(new) = renamed(text) {
                *text = new;
            }
        }
    }
    names
}
