//! Corrections by the user, and the tracks they name.

use super::{Assignment, Role, RoleMap, RoleSource, RolesError};
use crate::formats::Recording;
use crate::table::Table;
use crate::words::{Message, Place};
use std::collections::{HashMap, HashSet};

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
    let finder = Finder::new(recording);
    for (role, names) in corrections {
        let mut tracks = Vec::with_capacity(names.len());
        let mut seen = HashSet::new();
        for name in names {
            let track = finder.find(*role, name)?;
            if seen.insert(track) {
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
struct Finder<'a> {
    recording: &'a Recording,
    exact: HashMap<&'a str, Found>,
    any_case: HashMap<String, Found>,
    bare: HashMap<String, Found>,
}

/// The first track of a name, and the second if there is one.
#[derive(Clone, Copy)]
struct Found(usize, Option<usize>);

impl Found {
    fn and(&mut self, track: usize) {
        self.1.get_or_insert(track);
    }
}

impl<'a> Finder<'a> {
    fn new(recording: &'a Recording) -> Self {
        let mut finder = Finder { recording, exact: HashMap::new(), any_case: HashMap::new(), bare: HashMap::new() };
        for (at, track) in recording.tracks.iter().enumerate() {
            let bare = track.name.rsplit(':').next().unwrap_or_default().trim();
            finder.exact.entry(&track.name).and_modify(|found| found.and(at)).or_insert(Found(at, None));
            let folded = track.name.to_lowercase();
            finder.any_case.entry(folded).and_modify(|found| found.and(at)).or_insert(Found(at, None));
            finder.bare.entry(bare.to_lowercase()).and_modify(|found| found.and(at)).or_insert(Found(at, None));
        }
        finder
    }

    fn find(&self, role: Role, name: &str) -> Result<usize, RolesError> {
        let wanted = name.trim();
        let folded = wanted.to_lowercase();
        let exact = self.exact.get(name).or_else(|| self.exact.get(wanted));
        let found = exact.or_else(|| self.any_case.get(&folded)).or_else(|| self.bare.get(&folded));
        match found {
            Some(Found(track, None)) => Ok(*track),
            Some(Found(first, Some(second))) => Err(RolesError::AmbiguousTrack {
                role,
                name: name.to_owned(),
                first: self.recording.tracks[*first].name.clone(),
                second: self.recording.tracks[*second].name.clone(),
            }),
            None => Err(RolesError::UnknownTrack { role, name: name.to_owned(), nearest: self.nearest(&folded) }),
        }
    }

    /// The most alike name, when it is alike at all: at most a third of the letters differ.
    fn nearest(&self, folded: &str) -> Option<String> {
        let wanted: Vec<char> = folded.chars().take(COMPARED_CHARS + 1).collect();
        let limit = wanted.len() / 3;
        if wanted.len() > COMPARED_CHARS || limit == 0 {
            return None;
        }
        let names = self.recording.tracks.iter().take(COMPARED_TRACKS).map(|track| &track.name);
        let near = names.filter_map(|name| Some((differences(&wanted, name, limit)?, name)));
        near.min_by_key(|(differences, _)| *differences).map(|(_, name)| name.clone())
    }
}

/// Levenshtein distance (insert, delete, replace) in lower case, with or without the subject; `None` above the limit.
fn differences(wanted: &[char], name: &str, limit: usize) -> Option<usize> {
    let whole = name.to_lowercase();
    let bare = whole.rsplit(':').next().unwrap_or_default().trim();
    [whole.as_str(), bare].into_iter().filter_map(|name| distance(wanted, name, limit)).min()
}

fn distance(wanted: &[char], name: &str, limit: usize) -> Option<usize> {
    let letters: Vec<char> = name.chars().take(COMPARED_CHARS + 1).collect();
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
