//! Corrections by the user, and the tracks they name.

use super::{Assignment, Role, RoleMap, RoleSource, RolesError};
use crate::formats::Recording;
use crate::letters::lower;
use crate::table::Table;
use crate::words::{Message, Place};

/// A suggestion compares names up to this length and looks at this many tracks.
const COMPARED_CHARS: usize = 64;
const COMPARED_TRACKS: usize = 4096;

/// Puts the user's roles over the guessed ones.
pub(super) fn apply(
    recording: &Recording,
    corrections: &Table<Role, Vec<String>>,
    map: &mut RoleMap,
) -> Result<(), RolesError> {
    if corrections.is_empty() {
        return Ok(());
    }
    for (role, names) in corrections {
        let mut tracks = Vec::with_capacity(names.len());
        for name in names {
            let track = find(recording, *role, name)?;
            if !tracks.contains(&track) {
                tracks.push(track);
                warn_of_empty(recording, *role, track, &mut map.warnings);
            }
        }
        if tracks.is_empty() {
            map.assigned.remove(role);
        } else {
            map.assigned.insert(*role, Assignment { tracks, source: RoleSource::User });
        }
    }
    Ok(())
}

fn warn_of_empty(recording: &Recording, role: Role, track: usize, warnings: &mut Vec<Message>) {
    let track = &recording.tracks[track];
    if track.present() == 0 {
        warnings.push(Message::new("roles.empty").with("role", role.name()).at(Place::track(&track.name)));
    }
}

/// Finds a track by its name: exactly; else in any case; else without its subject, in any case. The first way that
/// gives a track decides, and must give only one.
fn find(recording: &Recording, role: Role, name: &str) -> Result<usize, RolesError> {
    let wanted = name.trim();
    let folded = folded(wanted);
    let ways: [&dyn Fn(&str) -> bool; 4] =
        [&|track| track == name, &|track| track == wanted, &|track| same(track, &folded), &|track| {
            same(bare(track), &folded)
        }];
    let names = || recording.tracks.iter().map(|track| track.name.as_str());
    for fits in ways {
        let mut found = names().enumerate().filter(|(_, track)| fits(track));
        match (found.next(), found.next()) {
            (Some((track, _)), None) => return Ok(track),
            (Some((_, first)), Some((_, second))) => {
                let [name, first, second] = [name, first, second].map(str::to_owned);
                return Err(RolesError::AmbiguousTrack { role, name, first, second });
            }
            (None, _) => {}
        }
    }
    Err(RolesError::UnknownTrack { role, name: name.to_owned(), nearest: nearest(recording, &folded) })
}

fn folded(name: &str) -> Vec<char> {
    name.chars().map(lower).collect()
}

fn same(name: &str, folded: &[char]) -> bool {
    name.chars().map(lower).eq(folded.iter().copied())
}

/// The name without its subject.
fn bare(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or_default().trim()
}

/// The most alike name, when it is alike at all: at most a third of the letters differ.
fn nearest(recording: &Recording, wanted: &[char]) -> Option<String> {
    let limit = wanted.len() / 3;
    if wanted.len() > COMPARED_CHARS || limit == 0 {
        return None;
    }
    let names = recording.tracks.iter().take(COMPARED_TRACKS).map(|track| &track.name);
    let near = names.filter_map(|name| Some((differences(wanted, name, limit)?, name)));
    near.min_by_key(|(differences, _)| *differences).map(|(_, name)| name.clone())
}

/// Levenshtein distance (insert, delete, replace) in lower case, with or without the subject; `None` above the limit.
fn differences(wanted: &[char], name: &str, limit: usize) -> Option<usize> {
    [name, bare(name)].into_iter().filter_map(|name| distance(wanted, name, limit)).min()
}

fn distance(wanted: &[char], name: &str, limit: usize) -> Option<usize> {
    let letters: Vec<char> = name.chars().take(COMPARED_CHARS + 1).map(lower).collect();
    if letters.len() > COMPARED_CHARS || letters.len().abs_diff(wanted.len()) > limit {
        return None;
    }
    let mut row: Vec<usize> = (0..=wanted.len()).collect();
    for (i, letter) in letters.iter().enumerate() {
        let mut diagonal = i;
        row[0] = i + 1;
        for (j, other) in wanted.iter().enumerate() {
            let replaced = diagonal + usize::from(letter != other);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row.last().copied().filter(|distance| *distance <= limit)
}
