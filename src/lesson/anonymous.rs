//! Recordings without the names of persons.

use crate::formats::Recording;
use crate::letters::{is_letter, is_letter_or_digit, trim, trim_end};
use crate::roles;
use crate::words::{Arg, Message};

/// What stands for a piece of the file that may hold a name.
const LEFT_OUT: &str = "…";

/// Takes everything out that a person may have typed into a capture system, so that no name is left:
///
/// - what stands before a point's own name (`golfer 1:LSHO`) becomes `subject 1`, `subject 2`, ...;
/// - a track whose name says nothing of a body, a club or a ball becomes `track 1`, `track 2`, ...;
/// - labels of events become `event 1`, `event 2`, ...;
/// - what warnings quote of the file is left out, but for names of tracks and for what has no letter.
///
/// Returns the old name of each track with its new one, for the corrections that name it.
pub fn without_names(recording: &mut Recording) -> Vec<(String, String)> {
    let mut subjects = Vec::new();
    let mut names: Vec<(String, String)> = Vec::new();
    for (at, track) in recording.tracks.iter().enumerate() {
        let taken = |name: &String| names.iter().any(|(_, new)| new == name);
        let new = own(&track.name, &mut subjects).filter(|name| !taken(name));
        names.push((track.name.clone(), new.unwrap_or_else(|| numbered("track ", 1 + at))));
    }
    for (track, (_, new)) in recording.tracks.iter_mut().zip(&names) {
        track.name.clone_from(new);
    }
    for (at, event) in recording.events.iter_mut().enumerate() {
        event.label = numbered("event ", 1 + at);
    }
    recording.warnings.iter_mut().for_each(|warning| clear(warning, &names));
    names
}

fn numbered(what: &str, number: usize) -> String {
    [what, &number.to_string()].concat()
}

/// The name of a point that is known, its subject numbered.
fn own<'a>(name: &'a str, subjects: &mut Vec<&'a str>) -> Option<String> {
    let before = &name[..roles::own_name(name)?];
    let subject = trim(before, |c| !is_letter_or_digit(c));
    if subject.is_empty() {
        return Some(name.to_owned());
    }
    let number = subjects.iter().position(|known| *known == subject).unwrap_or_else(|| {
        subjects.push(subject);
        subjects.len() - 1
    });
    let end = trim_end(before, |c| !is_letter_or_digit(c)).len();
    Some([&numbered("subject ", 1 + number), &name[end..]].concat())
}

/// A warning without pieces of the file.
fn clear(warning: &mut Message, names: &[(String, String)]) {
    let new = |text: &str| names.iter().find(|(old, _)| old == text).map(|(_, new)| new.clone());
    let ours = warning.key == "text.time_unit_guessed";
    for (name, arg) in warning.args.iter_mut() {
        if let Arg::Text(text) = arg
            && *name != "expected"
            && !ours
        {
            *text = new(text).unwrap_or_else(|| if text.contains(is_letter) { LEFT_OUT.into() } else { text.clone() });
        }
    }
    if let Some(place) = &mut warning.place
        && let Some(track) = &mut place.track
    {
        *track = new(track).unwrap_or_else(|| LEFT_OUT.into());
    }
}
