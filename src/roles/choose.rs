//! From readings of all names to one set of tracks per role: subject first, then priority within each role.

use super::names::{Part, Row, When};
use super::parse::{self, Reading};
use super::{Assignment, Role, RoleMap, RoleSource};
use crate::formats::Recording;
use crate::words::{Message, Place};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A second set of names counts as a second subject from this many body roles on.
const ROLES_OF_A_SUBJECT: usize = 4;
/// Other subjects named in the warning; further ones are counted.
const SUBJECTS_NAMED: usize = 3;
/// Ends of chains and joints that stand in for others rank behind every named point.
const END_LEVEL: u8 = 16;

/// A track that may fill a role.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    track: usize,
    role: Role,
    level: u8,
    member: u32,
    number: u32,
    /// Rows with data, at least one.
    present: usize,
    /// Belongs to another subject than the chosen one.
    foreign: bool,
}

/// The tracks of one subject.
#[derive(Default)]
struct Subject<'a> {
    name: &'a str,
    readings: Vec<(usize, Reading<'a>)>,
    candidates: Vec<Candidate>,
    body_roles: BTreeSet<Role>,
    present: usize,
}

/// Guesses all roles from the names.
pub(super) fn guess(recording: &Recording) -> RoleMap {
    let present: Vec<usize> = recording.tracks.iter().map(|track| track.present()).collect();
    let mut subjects = subjects(recording, &present);
    let mut map = RoleMap::default();
    let chosen = choose_subject(&mut subjects, &mut map.warnings);
    let mut by_role: BTreeMap<Role, Vec<Candidate>> = BTreeMap::new();
    for candidate in gather(&subjects, chosen) {
        by_role.entry(candidate.role).or_default().push(candidate);
    }
    for (role, candidates) in by_role {
        let tracks = best(recording, &candidates, &mut map.warnings);
        map.assigned.insert(role, Assignment { tracks, source: RoleSource::Name });
    }
    warn_of_empty(recording, &present, &mut map);
    if map.assigned.is_empty() {
        map.warnings.push(nothing_known(recording));
    }
    map
}

fn subjects<'a>(recording: &'a Recording, present: &[usize]) -> Vec<Subject<'a>> {
    let mut subjects: Vec<Subject<'a>> = Vec::new();
    let mut index: HashMap<&str, usize> = HashMap::new();
    for (track, rows) in present.iter().enumerate() {
        let found = &recording.tracks[track];
        let Some(mut reading) = parse::read(&found.name) else { continue };
        reading.end |= found.end_site;
        let at = *index.entry(reading.subject).or_insert_with(|| {
            subjects.push(Subject { name: reading.subject, ..Subject::default() });
            subjects.len() - 1
        });
        if *rows > 0 {
            subjects[at].readings.push((track, reading));
        }
    }
    for subject in &mut subjects {
        subject.fill(present);
    }
    subjects
}

impl Subject<'_> {
    /// Turns readings into candidates, now that the subject's other names are known.
    fn fill(&mut self, present: &[usize]) {
        let has = |part| self.readings.iter().any(|(_, reading)| names(reading, part));
        let (elbow, knee, ankle) = (has(Part::Elbow), has(Part::Knee), has(Part::Ankle));
        let holds = |when| match when {
            When::Always => true,
            When::NoElbow => !elbow,
            When::WithElbow => elbow,
            When::NoKnee => !knee,
            When::NoAnkle => !ankle,
            When::WithAnkle => ankle,
        };
        for (track, reading) in &self.readings {
            let rows = reading.rows.iter().filter(|row| holds(row.when));
            let found = rows.filter_map(|row| candidate(*track, reading, row, present[*track]));
            self.candidates.extend(found);
        }
        let body = self.candidates.iter().filter(|candidate| candidate.role.of_body());
        self.body_roles = body.clone().map(|candidate| candidate.role).collect();
        self.present = body.map(|candidate| candidate.present).sum();
    }
}

/// Is this name one of the part's own (not that of a neighbouring segment)?
fn names(reading: &Reading<'_>, part: Part) -> bool {
    !reading.end && reading.rows.iter().any(|row| row.part == part && row.when == When::Always)
}

fn candidate(track: usize, reading: &Reading<'_>, row: &Row, present: usize) -> Option<Candidate> {
    if row.when != When::Always && reading.number > 0 {
        return None;
    }
    let (part, level) = match (reading.end, row.part) {
        (false, part) => (part, row.level),
        (true, Part::Ankle) => (Part::Toe, row.level + 2 * END_LEVEL),
        (true, part @ (Part::Toe | Part::Head)) => (part, row.level + END_LEVEL),
        (true, _) => return None,
    };
    let member = match (part, reading.side) {
        (Part::ClubHead, _) => u32::from(row.member) + 8 * reading.number.min(1 << 20),
        (Part::Head, Some(side)) => 1 + 2 * u32::from(row.member) + side as u32,
        _ => u32::from(row.member),
    };
    let role = part.role(reading.side)?;
    Some(Candidate { track, role, level, member, number: reading.number, present, foreign: false })
}

/// The subject with the most body roles, then the most rows with data, then the first in the file.
fn choose_subject(subjects: &mut [Subject<'_>], warnings: &mut Vec<Message>) -> Option<usize> {
    let rank = |subject: &Subject<'_>| (subject.body_roles.len(), subject.present);
    let chosen = (0..subjects.len()).rev().max_by_key(|at| rank(&subjects[*at]))?;
    let rivals: Vec<&Subject<'_>> = (0..subjects.len())
        .filter(|at| *at != chosen)
        .map(|at| &subjects[at])
        .filter(|subject| subject.body_roles.len() >= ROLES_OF_A_SUBJECT && overlap(subject, &subjects[chosen]))
        .collect();
    if !rivals.is_empty() {
        warnings.push(subjects_message(subjects[chosen].name, &rivals));
    }
    Some(chosen)
}

fn overlap(a: &Subject<'_>, b: &Subject<'_>) -> bool {
    !a.body_roles.is_disjoint(&b.body_roles)
}

fn subjects_message(chosen: &str, rivals: &[&Subject<'_>]) -> Message {
    let named: Vec<String> = rivals.iter().take(SUBJECTS_NAMED).map(|subject| quoted(subject.name)).collect();
    let more = rivals.len() - named.len();
    let others = named.join(", ") + &if more > 0 { format!(" +{more}") } else { String::new() };
    Message::new("roles.subjects").with("chosen", quoted(chosen)).with("others", others)
}

fn quoted(subject: &str) -> String {
    format!("\u{201c}{}\u{201d}", subject.chars().take(16).collect::<String>())
}

/// Candidates of the chosen subject, body points of names without a subject where they are no second body, and
/// things (club, ball, marks) of every subject.
fn gather(subjects: &[Subject<'_>], chosen: Option<usize>) -> Vec<Candidate> {
    let Some(chosen) = chosen else { return Vec::new() };
    let mut gathered = Vec::new();
    for (at, subject) in subjects.iter().enumerate() {
        let own = at == chosen || (subject.name.is_empty() && !overlap(subject, &subjects[chosen]));
        let fitting = subject.candidates.iter().filter(|candidate| own || !candidate.role.of_body());
        gathered.extend(fitting.map(|candidate| Candidate { foreign: at != chosen, ..*candidate }));
    }
    gathered
}

/// The tracks of the lowest level that holds at least half as many rows as any other level does.
fn best(recording: &Recording, candidates: &[Candidate], warnings: &mut Vec<Message>) -> Vec<usize> {
    let most = candidates.iter().map(|candidate| candidate.present).max().unwrap_or(0);
    let full = |candidate: &&Candidate| 2 * candidate.present >= most;
    let level = candidates.iter().filter(full).map(|candidate| candidate.level).min();
    let mut members: BTreeMap<u32, Vec<&Candidate>> = BTreeMap::new();
    for candidate in candidates.iter().filter(full).filter(|candidate| Some(candidate.level) == level) {
        members.entry(candidate.member).or_default().push(candidate);
    }
    let mut tracks = Vec::new();
    for mut rivals in members.into_values() {
        rivals.sort_by_key(|c| (c.foreign, c.number, usize::MAX - c.present, c.track));
        warn_of_rival(recording, &rivals, warnings);
        tracks.extend(rivals.first().map(|candidate| candidate.track));
    }
    tracks.dedup();
    tracks
}

/// Two tracks for one point are told, except numbered body markers (`knee 1`, `knee 2`), which are usual.
fn warn_of_rival(recording: &Recording, rivals: &[&Candidate], warnings: &mut Vec<Message>) {
    let [used, other, ..] = rivals else { return };
    if used.number == other.number || !used.role.of_body() {
        warnings.push(
            Message::new("roles.several")
                .with("role", used.role.name())
                .with("used", recording.tracks[used.track].name.as_str())
                .with("other", recording.tracks[other.track].name.as_str()),
        );
    }
}

fn nothing_known(recording: &Recording) -> Message {
    let anonymous = recording.tracks.iter().filter(|track| parse::is_anonymous(&track.name)).count();
    if 2 * anonymous >= recording.tracks.len() { Message::new("roles.anonymous") } else { Message::new("roles.none") }
}

/// A role whose only track holds no data stays open, and the track is named.
fn warn_of_empty(recording: &Recording, present: &[usize], map: &mut RoleMap) {
    let mut told = BTreeSet::new();
    for (track, _) in present.iter().enumerate().filter(|(_, rows)| **rows == 0) {
        let name = &recording.tracks[track].name;
        let Some(reading) = parse::read(name) else { continue };
        let rows = reading.rows.iter().filter(|row| row.when == When::Always);
        for role in rows.filter_map(|row| row.part.role(reading.side)) {
            if !map.assigned.contains_key(&role) && told.insert(role) {
                map.warnings.push(Message::new("roles.empty").with("role", role.name()).at(Place::track(name)));
            }
        }
    }
}
