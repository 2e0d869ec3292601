//! What the fuzz targets share: the check of a recording, a count of accepted files, and a mutator for text.

#[path = "../../coach_parts/mod.rs"]
mod coach_parts;
#[path = "../../damage/mod.rs"]
mod damage;
pub mod plan;

use damage::Random;
use handpath::coach::presets::{self, Change};
use handpath::formats::{Format, ReadOptions, read};
use handpath::json::{Json, salvage, spelled};
use std::sync::atomic::{AtomicU64, Ordering};

static EXECUTED: AtomicU64 = AtomicU64::new(0);
static ACCEPTED: AtomicU64 = AtomicU64::new(0);

/// Executions between two lines of the count.
const TOLD: u64 = 100_000;

/// Reads through the front door. Whatever the bytes: an error with a text, or a recording that keeps its invariants.
/// Tells now and then how many files of the target's own format were accepted (of any, where it has none), so that a run
/// shows whether it got past the first check.
pub fn read_and_check(bytes: &[u8], format: Option<Format>) {
    match read(bytes, &ReadOptions::default()) {
        Ok(recording) => {
            assert_eq!(recording.broken_invariant(), None);
            recording.warnings.iter().for_each(|warning| assert!(!warning.to_string().is_empty()));
            if format.is_none_or(|format| recording.format == format) {
                ACCEPTED.fetch_add(1, Ordering::Relaxed);
            }
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    count(format.map_or("a recording", Format::name));
}

fn count(what: &str) {
    let executed = EXECUTED.fetch_add(1, Ordering::Relaxed) + 1;
    if executed.is_multiple_of(TOLD) {
        let accepted = ACCEPTED.load(Ordering::Relaxed);
        eprintln!("{executed} executed, {accepted} accepted as {what} ({} %)", accepted * 100 / executed);
    }
}

/// Opens a lesson. Whatever the bytes: an error with a text, or a lesson that is the same when it is saved and opened again,
/// whose recordings keep their invariants and can be analysed with the corrections beside them.
pub fn open_and_check(bytes: &[u8]) {
    let told = match handpath::lesson::open(bytes) {
        Ok(lesson) => {
            let text = lesson.save();
            let again = handpath::lesson::open(text.as_bytes()).map(|again| again.save());
            assert_eq!(again.as_deref(), Ok(text.as_str()));
            lesson.swings().for_each(|swing| swing_and_check(&swing));
            assert!(lesson.thresholds().checked().is_ok());
            ACCEPTED.fetch_add(1, Ordering::Relaxed);
            lesson.warnings.iter().all(|warning| !warning.to_string().is_empty())
        }
        Err(error) => !error.to_string().is_empty(),
    };
    assert!(told);
    count("lesson");
}

/// Opens a pack, as it is and with its check put right. Whatever the bytes: an error with a text, or a shelf that packs to the same
/// bytes and can be looked through.
pub fn shelf_and_check(bytes: &[u8]) {
    use handpath::shelf::{Filter, Shelf, sealed};
    for pack in [bytes.to_vec(), sealed(bytes)] {
        match Shelf::from_pack(&pack) {
            Ok(shelf) => {
                assert_eq!(Shelf::from_pack(&shelf.to_pack()).map(|again| again.to_pack()), Ok(shelf.to_pack()));
                let found = shelf.nearest(&shelf.path(0), 3, &Filter::default());
                assert!(found.len() <= shelf.len());
                ACCEPTED.fetch_add(1, Ordering::Relaxed);
            }
            Err(error) => assert!(!error.message().to_string().is_empty()),
        }
    }
    count("shelf");
}

fn swing_and_check(swing: &handpath::lesson::LessonSwing) {
    let Ok(recording) = swing.read() else { return };
    assert_eq!(recording.broken_invariant(), None);
    if recording.rows() <= MOST_ROWS {
        let _ = handpath::swing::analyse(&recording, None, &swing.corrections);
    }
}

/// The word of a preset.
pub const PRESET: &str = presets::FORMAT;

/// Opens a preset. Whatever the bytes: an error with a text, or a preset that is the same when it is saved and opened again, that
/// has a fingerprint and takes a change.
pub fn preset_and_check(bytes: &[u8]) {
    let told = match presets::open(bytes) {
        Ok(mut preset) => {
            let text = preset.save();
            let again = presets::open(text.as_bytes()).map(|again| again.save());
            assert_eq!(again.as_deref(), Ok(text.as_str()));
            assert!(preset.thresholds().checked().is_ok() && preset.setups().len() <= text.len());
            let code = preset.fingerprint(spelled).code;
            let what = vec!["wall".to_owned()];
            let change = Change { coach: "coach 1".into(), date: "2026-01-31".into(), what, to: Some(Json::count(7)) };
            assert_eq!(presets::change(&mut preset.document, &[change]), Ok(()));
            assert!(preset.document.get("wall").is_some() && code.len() == 14);
            ACCEPTED.fetch_add(1, Ordering::Relaxed);
            preset.warnings.iter().all(|warning| !warning.to_string().is_empty())
        }
        Err(error) => !error.to_string().is_empty(),
    };
    assert!(told);
    count("preset or lesson");
}

/// Reads what the coaching loop keeps in a lesson. Whatever stands there: advice that has a text, and counts that hold.
pub fn loop_and_check(bytes: &[u8]) {
    let (document, faults) = salvage(&String::from_utf8_lossy(bytes));
    let practice = coach_parts::read_all(&document);
    let standing = practice.standing();
    assert!(!standing.advice.reason.to_string().is_empty() && practice.plan().rungs.len() <= practice.plan().last() + 1);
    for session in practice.progress().sessions {
        assert!(session.tally.pulls + session.tally.good <= session.tally.seen && session.tally.seen <= session.tally.balls);
    }
    if faults.is_empty() {
        ACCEPTED.fetch_add(1, Ordering::Relaxed);
    }
    count("preset or lesson");
}

/// Recordings up to here are analysed: more would slow the run.
const MOST_ROWS: usize = 200;

/// Numbers, words and separators that readers treat specially.
const WORDS: [&str; 28] = [
    "0",
    "-1",
    "1e400",
    "1e-320",
    "-0.0",
    "NaN",
    "nan",
    "inf",
    "-1.#IND",
    "1,5",
    "4000000000",
    "65536",
    ".5",
    "7.25",
    "",
    "{",
    "}",
    "\n",
    "\t",
    ";",
    ",",
    "\"",
    "\0",
    "\u{FEFF}",
    "CHANNELS 1 Xrotation",
    "End Site",
    "JOINT a",
    "mm",
];

/// Changes a text file by words and lines, most of the time, so that many copies stay readable; else as libFuzzer does.
pub fn mutate_text(
    data: &mut [u8],
    size: usize,
    max_size: usize,
    seed: u32,
    other: impl Fn(&mut [u8], usize, usize) -> usize,
) -> usize {
    let mut random = Random::new(u64::from(seed));
    if size == 0 || random.below(4) == 0 {
        return other(data, size, max_size);
    }
    let mut file = data[..size].to_vec();
    for _ in 0..=random.below(3) {
        match random.below(8) {
            0 => double_or_drop_line(&mut file, &mut random),
            1 => replace_word(&mut file, WORDS[random.below(WORDS.len())].as_bytes(), &mut random),
            _ => {
                let number =
                    format!("{:.*}", random.below(7), random.next() as i32 as f64 / (1 << random.below(31)) as f64);
                replace_number(&mut file, number.as_bytes(), &mut random);
            }
        }
    }
    let length = file.len().min(max_size);
    data[..length].copy_from_slice(&file[..length]);
    length
}

fn double_or_drop_line(file: &mut Vec<u8>, random: &mut Random) {
    let at = random.below(file.len());
    let start = file[..at].iter().rposition(|&byte| byte == b'\n').map_or(0, |end| end + 1);
    let end = file[at..].iter().position(|&byte| byte == b'\n').map_or(file.len(), |length| at + length + 1);
    if random.below(3) == 0 {
        file.drain(start..end);
    } else {
        let line = file[start..end].to_vec();
        file.splice(end..end, line);
    }
}

/// Replaces a word that looks like a number, so that the structure around it stays.
fn replace_number(file: &mut Vec<u8>, by: &[u8], random: &mut Random) {
    let from = random.below(file.len());
    let numeric = |byte: &u8| byte.is_ascii_digit() || b"+-.".contains(byte);
    let Some(start) = file[from..].iter().position(numeric).map(|skipped| from + skipped) else { return };
    let end = file[start..].iter().position(|byte| !numeric(byte)).map_or(file.len(), |length| start + length);
    file.splice(start..end, by.iter().copied());
}

fn replace_word(file: &mut Vec<u8>, by: &[u8], random: &mut Random) {
    let start = random.below(file.len());
    let end =
        file[start..].iter().position(|byte| b" \t\n,;".contains(byte)).map_or(file.len(), |length| start + length);
    file.splice(start..end, by.iter().copied());
}
