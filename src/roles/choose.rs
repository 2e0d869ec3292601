//! From readings of all names to one set of tracks per role: subject first, then priority within each role.

use super::names::{Part, Row, When};
use super::parse::{self, Reading};
use super::{Assignment, Role, RoleSource, shaft};
use crate::formats::{Recording, Track};
use crate::order;
use crate::table::Table;
use crate::words::{Message, Place};

/// A second set of names counts as a second subject from this many body roles on.
pub(super) const ROLES_OF_A_SUBJECT: usize = 4;
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
    /// Counts only together with another member of its level.
    paired: bool,
    /// Belongs to another subject than the chosen one.
    foreign: bool,
}

/// The tracks of one subject.
#[derive(Default)]
struct Subject<'a> {
    name: &'a str,
    readings: Vec<(usize, Reading<'a>)>,
    candidates: Vec<Candidate>,
    body_roles: Table<Role, ()>,
    present: usize,
}

/// What the names say, before corrections.
#[derive(Default)]
pub(super) struct Guess {
    pub(super) assigned: Table<Role, Assignment>,
    /// With the role that each is about (a correction of that role makes it void), or none for the choice of subject.
    pub(super) warnings: Vec<(Option<Role>, Message)>,
}

/// Names of the subjects with at least [`ROLES_OF_A_SUBJECT`] body roles and the number of those, fullest first.
pub(super) fn bodies(recording: &Recording) -> Vec<(String, usize)> {
    let mut bodies = subjects(recording, &present_rows(recording));
    bodies.retain(|subject| subject.body_roles.len() >= ROLES_OF_A_SUBJECT);
    order::sort_by(&mut bodies, |a, b| b.rank().cmp(&a.rank()));
    bodies.iter().map(|subject| (subject.name.to_owned(), subject.body_roles.len())).collect()
}

/// Guesses all roles from the names, with the body of the named subject, or else of the fullest one.
pub(super) fn guess(recording: &Recording, wanted: Option<&str>) -> Guess {
    let present = present_rows(recording);
    let mut guess = Guess::default();
    let subjects = subjects(recording, &present);
    let named = wanted.and_then(|name| subjects.iter().position(|subject| subject.name == name));
    let Some(chosen) = named.or_else(|| fullest(&subjects)) else { return guess.with_empty(recording, &present) };
    guess.warnings.extend(warn_of_subjects(&subjects, chosen));
    let mut by_role: Table<Role, Vec<Candidate>> = Table::new();
    for candidate in gather(&subjects, chosen) {
        by_role.or_insert_with(candidate.role, Vec::new).push(candidate);
    }
    for (role, mut candidates) in by_role {
        keep_best_level(&mut candidates);
        let tracks = guess.one_per_member(recording, candidates);
        if !tracks.is_empty() {
            guess.assigned.insert(role, Assignment { tracks, source: RoleSource::Name });
        }
    }
    guess.warnings.extend(shaft::order(recording, &mut guess.assigned));
    guess.with_empty(recording, &present)
}

fn present_rows(recording: &Recording) -> Vec<usize> {
    recording.tracks.iter().map(|track| track.present()).collect()
}

fn subjects<'a>(recording: &'a Recording, present: &[usize]) -> Vec<Subject<'a>> {
    let read = |(at, track): (usize, &'a Track)| {
        let reading = parse::read(&track.name)?;
        Some((at, Reading { end: reading.end | track.end_site, ..reading }))
    };
    let readings: Vec<(usize, Reading<'a>)> = recording.tracks.iter().enumerate().filter_map(read).collect();
    let firsts = order::firsts(&readings.iter().map(|(_, reading)| reading.subject).collect::<Vec<_>>());
    let mut subjects: Vec<Subject<'a>> = Vec::new();
    let mut places: Vec<usize> = Vec::with_capacity(readings.len());
    for (at, (track, reading)) in readings.into_iter().enumerate() {
        let place = if firsts[at] < at { places[firsts[at]] } else { subjects.len() };
        places.push(place);
        if place == subjects.len() {
            subjects.push(Subject { name: reading.subject, ..Subject::default() });
        }
        if present[track] > 0 {
            subjects[place].readings.push((track, reading));
        }
    }
    for subject in &mut subjects {
        subject.fill(present);
    }
    subjects
}

impl Subject<'_> {
    fn rank(&self) -> (usize, usize) {
        (self.body_roles.len(), self.present)
    }

    /// Turns readings into candidates, now that the subject's other names are known.
    fn fill(&mut self, present: &[usize]) {
        let has = |part| self.readings.iter().any(|(_, reading)| names(reading, part));
        let (elbow, knee, ankle) = (has(Part::Elbow), has(Part::Knee), has(Part::Ankle));
        let third_mark = self.readings.iter().any(|(_, reading)| is_third_mark(reading));
        let holds = |when| match when {
            When::Always | When::Paired => true,
            When::TwoMarks => !third_mark,
            When::NoElbow => !elbow,
            When::WithElbow => elbow,
            When::NoKnee => !knee,
            When::NoAnkle => !ankle,
            When::WithAnkle => ankle,
        };
        for (track, reading) in &self.readings {
            let rows = reading.rows.iter().filter(|(_, row)| holds(row.when));
            let found = rows.filter_map(|(_, row)| candidate(*track, reading, row, present[*track]));
            self.candidates.extend(found);
        }
        let body = self.candidates.iter().filter(|candidate| candidate.role.of_body());
        self.body_roles = body.clone().map(|candidate| (candidate.role, ())).collect();
        self.present = body.map(|candidate| candidate.present).sum();
    }
}

/// Is this name one of the part's own (not that of a neighbouring segment)?
fn names(reading: &Reading<'_>, part: Part) -> bool {
    !reading.end && reading.rows.iter().any(|(_, row)| row.part == part && row.when == When::Always)
}

fn is_third_mark(reading: &Reading<'_>) -> bool {
    reading.number > 2 && reading.rows.iter().any(|(_, row)| row.part == Part::TargetFar)
}

fn candidate(track: usize, reading: &Reading<'_>, row: &Row, present: usize) -> Option<Candidate> {
    if row.when != When::Always && reading.number > 0 {
        // Skeleton joints are not numbered; clusters on a segment are.
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
    Some(Candidate {
        track,
        role,
        level,
        member,
        number: reading.number,
        present,
        paired: row.when == When::Paired,
        foreign: false,
    })
}

/// The subject with the most body roles, then the most rows with data, then the first in the file.
fn fullest(subjects: &[Subject<'_>]) -> Option<usize> {
    (0..subjects.len()).rev().max_by_key(|at| subjects[*at].rank())
}

fn warn_of_subjects(subjects: &[Subject<'_>], chosen: usize) -> Option<(Option<Role>, Message)> {
    let is_rival =
        |subject: &&Subject<'_>| subject.body_roles.len() >= ROLES_OF_A_SUBJECT && overlap(subject, &subjects[chosen]);
    let others = subjects.iter().enumerate().filter(|(at, _)| *at != chosen).map(|(_, subject)| subject);
    let rivals: Vec<&Subject<'_>> = others.filter(is_rival).collect();
    (!rivals.is_empty()).then(|| (None, subjects_message(subjects[chosen].name, &rivals)))
}

fn overlap(a: &Subject<'_>, b: &Subject<'_>) -> bool {
    a.body_roles.keys().any(|role| b.body_roles.contains_key(role))
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
fn gather(subjects: &[Subject<'_>], chosen: usize) -> Vec<Candidate> {
    let mut gathered = Vec::new();
    for (at, subject) in subjects.iter().enumerate() {
        let own = at == chosen || (subject.name.is_empty() && !overlap(subject, &subjects[chosen]));
        let fitting = subject.candidates.iter().filter(|candidate| own || !candidate.role.of_body());
        gathered.extend(fitting.map(|candidate| Candidate { foreign: at != chosen, ..*candidate }));
    }
    gathered
}

/// Keeps the lowest level, of those that hold at least half as many rows as any other does.
fn keep_best_level(candidates: &mut Vec<Candidate>) {
    // The first member of each level, and whether the level has another.
    let mut levels: Table<u8, (u32, bool)> = Table::new();
    for candidate in candidates.iter() {
        let (first, several) = levels.or_insert_with(candidate.level, || (candidate.member, false));
        *several |= *first != candidate.member;
    }
    candidates.retain(|candidate| !candidate.paired || levels[&candidate.level].1);
    let most = candidates.iter().map(|candidate| candidate.present).max().unwrap_or(0);
    candidates.retain(|candidate| 2 * candidate.present >= most);
    let level = candidates.iter().map(|candidate| candidate.level).min();
    candidates.retain(|candidate| Some(candidate.level) == level);
}

impl Guess {
    /// The best track of each member.
    fn one_per_member(&mut self, recording: &Recording, mut candidates: Vec<Candidate>) -> Vec<usize> {
        let rank = |one: &Candidate| (one.member, one.foreign, one.number, usize::MAX - one.present, one.track);
        order::sort_by(&mut candidates, |a, b| rank(a).cmp(&rank(b)));
        let mut tracks = Vec::new();
        for rivals in candidates.chunk_by(|a, b| a.member == b.member) {
            self.warn_of_rival(recording, rivals);
            tracks.extend(rivals.first().map(|rival| rival.track));
        }
        tracks
    }

    /// Two tracks for one point are told, except numbered body markers (`knee 1`, `knee 2`), which are usual.
    fn warn_of_rival(&mut self, recording: &Recording, rivals: &[Candidate]) {
        let [used, other, ..] = rivals else { return };
        if used.number != other.number && used.role.of_body() {
            return;
        }
        let message = Message::new("roles.several")
            .with("role", used.role.name())
            .with("used", recording.tracks[used.track].name.as_str())
            .with("other", recording.tracks[other.track].name.as_str());
        self.warnings.push((Some(used.role), message));
    }

    /// A role whose only track holds no data stays open, and the track is named.
    fn with_empty(mut self, recording: &Recording, present: &[usize]) -> Self {
        let mut told = Vec::new();
        for (track, _) in present.iter().enumerate().filter(|(_, rows)| **rows == 0) {
            let name = &recording.tracks[track].name;
            let Some(reading) = parse::read(name) else { continue };
            let rows = reading.rows.iter().filter(|(_, row)| row.when == When::Always);
            for role in rows.filter_map(|(_, row)| row.part.role(reading.side)) {
                if !self.assigned.contains_key(&role) && !told.contains(&role) {
                    told.push(role);
                    let message = Message::new("roles.empty").with("role", role.name()).at(Place::track(name));
                    self.warnings.push((Some(role), message));
                }
            }
        }
        self
    }
}

/// The warning when no name is known: nobody gave names, or names of another kind.
pub(super) fn nothing_known(recording: &Recording) -> Message {
    let anonymous = recording.tracks.iter().filter(|track| parse::is_anonymous(&track.name)).count();
    if 2 * anonymous >= recording.tracks.len() { Message::new("roles.anonymous") } else { Message::new("roles.none") }
}
