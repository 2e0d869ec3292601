//! Which track is which body point: guessed from usual marker-set and joint names, shown, correctable.
//!
//! A name is read without its subject (`golfer 1:LSHO`), its case, separators and humps; what is left, a side and a
//! word, is looked up in one table (`names.rs`). The guess goes by names alone: whether left and right, up and down
//! fit the positions is judged where the body's geometry is known.
//!
//! Where several tracks fit one role:
//! 1. tracks without data are skipped; tracks with less than half as many rows as the best are passed over;
//! 2. joint centres go before markers, and the more exact place before the less exact one (order of the table);
//! 3. markers on both sides of a joint (inner and outer wrist, `LWRA` and `LWRB`) are averaged; one of them alone
//!    stands for both;
//! 4. of two tracks for the same place the one without a number, then with the lower number, then with more rows,
//!    then the first in the file is taken, and the other is named in a warning.
//!
//! Where a file holds several subjects, the one with the most body roles is taken, then the one with the most rows,
//! then the first; the others are named in a warning. Club, ball and ground marks are taken from all of them.

mod choose;
mod correct;
mod names;
mod parse;
mod role;
mod shaft;
#[cfg(test)]
mod tests;

pub use role::Role;

use crate::formats::{GAP, Point, Recording, is_gap};
use crate::order;
use crate::plain;
use crate::table::Table;
use crate::words::Message;
use std::fmt;

/// How a role came to its tracks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoleSource {
    /// Named by the user.
    User,
    /// A name of a usual marker set or skeleton.
    Name,
}

plain::words!(RoleSource { User = "stated by the user", Name = "track name" });

/// The tracks that make one body point: the point is their mean, and a gap where one of them has a gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment {
    /// Indices into [`Recording::tracks`], at least one.
    pub tracks: Vec<usize>,
    /// Where it comes from.
    pub source: RoleSource,
}

/// Roles of one recording.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoleMap {
    /// Tracks by role.
    pub assigned: Table<Role, Assignment>,
    /// What was odd: two subjects in one file, two tracks for one role, ...
    pub warnings: Vec<Message>,
}

/// Why corrections could not be applied.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum RolesError {
    /// A correction names a track that the recording does not have.
    UnknownTrack {
        /// The role to be corrected.
        role: Role,
        /// The name as given.
        name: String,
        /// The track with the most similar name, if one is similar.
        nearest: Option<String>,
    },
    /// A correction names a track by less than its full name, and two tracks fit.
    AmbiguousTrack {
        /// The role to be corrected.
        role: Role,
        /// The name as given.
        name: String,
        /// The first track that fits.
        first: String,
        /// The second track that fits.
        second: String,
    },
}

impl RolesError {
    /// Key and parameters.
    pub fn message(&self) -> Message {
        match self {
            RolesError::UnknownTrack { role, name, nearest: None } => {
                Message::new("roles.unknown_track").with("role", role.name()).with("name", name.as_str())
            }
            RolesError::UnknownTrack { role, name, nearest: Some(nearest) } => Message::new("roles.unknown_track_near")
                .with("role", role.name())
                .with("name", name.as_str())
                .with("nearest", nearest.as_str()),
            RolesError::AmbiguousTrack { role, name, first, second } => Message::new("roles.ambiguous_track")
                .with("role", role.name())
                .with("name", name.as_str())
                .with("first", first.as_str())
                .with("second", second.as_str()),
        }
    }
}

impl fmt::Display for RolesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for RolesError {}

/// Assigns tracks to roles: guessed from their names, then corrected.
///
/// `corrections` gives track names by role, as in the recording; another case, or a name without its subject
/// (`LSHO` for `golfer 1:LSHO`), is accepted where only one track fits. Several names mean their mean, an empty list
/// leaves the role open. A warning about a role goes when the role is
/// corrected, the one about several players when four body roles are.
///
/// Time and memory are proportional to the size of the recording.
///
/// # Errors
/// [`RolesError`] when a correction names no track, or more than one.
pub fn assign(recording: &Recording, corrections: &Table<Role, Vec<String>>) -> Result<RoleMap, RolesError> {
    let guess = choose::guess(recording, None);
    let known = !guess.assigned.is_empty();
    let bodies_chosen = corrections.keys().filter(|role| role.of_body()).count() >= choose::ROLES_OF_A_SUBJECT;
    let still_true = |about: &Option<Role>| match about {
        Some(role) => !corrections.contains_key(role),
        None => !bodies_chosen,
    };
    let warnings = guess.warnings.into_iter().filter(|(about, _)| still_true(about)).map(|(_, message)| message);
    let mut map = RoleMap { assigned: guess.assigned, warnings: warnings.collect() };
    correct::apply(recording, corrections, &mut map)?;
    if !known && map.assigned.is_empty() {
        map.warnings.push(choose::nothing_known(recording));
    }
    Ok(map)
}

/// A player of a recording, told apart by what stands before the point names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// `golfer 1` of `golfer 1:LSHO`; empty where nothing stands before the names.
    pub name: String,
    /// Body roles that its tracks fill.
    pub roles: usize,
}

plain::record!(Subject { name, roles });

/// Where in a track's name the point's own name begins, in bytes; none of a name that says nothing of a body, a club or a
/// ball. What stands before it is a subject, or nothing.
pub fn own_name(name: &str) -> Option<usize> {
    parse::read(name).map(|reading| reading.own)
}

/// The players of a recording: at least four body roles each, the one that [`assign`] takes first.
pub fn subjects(recording: &Recording) -> Vec<Subject> {
    choose::bodies(recording).into_iter().map(|(name, roles)| Subject { name, roles }).collect()
}

/// Corrections for [`assign`] that put another player's body in place of the guessed one. Body roles that this player
/// does not fill are left open, so that two bodies never mix; club, ball and marks are not touched. For the name of no
/// player the corrections leave everything as guessed.
pub fn choose_subject(recording: &Recording, subject: &str) -> Table<Role, Vec<String>> {
    let names = |assignment: &Assignment| {
        assignment.tracks.iter().map(|track| recording.tracks[*track].name.clone()).collect::<Vec<_>>()
    };
    let [guessed, wanted] = [None, Some(subject)].map(|subject| choose::guess(recording, subject).assigned);
    let body = Role::ALL.iter().filter(|role| role.of_body());
    body.filter(|role| guessed.get(role) != wanted.get(role))
        .map(|role| (*role, wanted.get(role).map(names).unwrap_or_default()))
        .collect()
}

/// The point of an assignment at a 0-based row, file axes, file unit: the mean of its tracks; a gap where one of them
/// has a gap, or where the track or the row does not exist. Tracks that state different units are averaged as written.
pub fn point(recording: &Recording, assignment: &Assignment, row: usize) -> Point {
    let mut sum = [0.0; 3];
    for track in &assignment.tracks {
        match recording.tracks.get(*track).and_then(|track| track.points.get(row)) {
            Some(point) if !is_gap(point) => sum = [sum[0] + point[0], sum[1] + point[1], sum[2] + point[2]],
            _ => return GAP,
        }
    }
    let count = assignment.tracks.len() as f64;
    if assignment.tracks.is_empty() { GAP } else { sum.map(|x| x / count) }
}

/// The points of an assignment, one per row of the recording; see [`point`].
pub fn series(recording: &Recording, assignment: &Assignment) -> Vec<Point> {
    (0..recording.rows()).map(|row| point(recording, assignment, row)).collect()
}

/// A key for the set of track names, the same in any order: files with the same key can share corrections.
///
/// 64-bit FNV-1a over the names in byte order, each followed by the byte 0xFF (which no name holds), as 16 hexadecimal
/// digits. It stays the same from release to release, because pages store it.
pub fn names_key(recording: &Recording) -> String {
    let mut names: Vec<&[u8]> = recording.tracks.iter().map(|track| track.name.as_bytes()).collect();
    order::sort(&mut names);
    let bytes = names.iter().flat_map(|name| name.iter().copied().chain([0xff]));
    let hash = bytes
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
    format!("{hash:016x}")
}
