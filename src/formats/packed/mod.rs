//! Recordings as Handpath keeps them in lessons: JSON that holds what a reader understood, to the bit.
//!
//! ```text
//! {"format": "handpath recording", "version": 1,
//!  "read_from": "C3D", "rate_hz": 240, "rate_source": "stated by the file", "first_row": 0, "rows": 480,
//!  "up": "+z", "usual_up": "+z",
//!  "clock": {"as": CODING, "data": BASE64},
//!  "tracks": [{"name": TEXT, "unit": "mm", "parent": 0, "end_site": true,
//!              "as": CODING, "gaps": [FIRST_ROW, ROWS, ...], "data": BASE64}, ...],
//!  "events": [{"label": TEXT, "clock_s": 1.25}, ...], "warnings": [{"key": KEY, "args": {...}, "place": {...}}, ...],
//!  "room": TEXT, "check": EIGHT_HEXADECIMAL_DIGITS}
//! ```
//!
//! Words and numbers mean what the fields of [`Recording`] of the same names do; what is left out is not known. `CODING` is
//! how numbers became whole ones (`coding.rs`), `BASE64` those whole numbers (`bits.rs`): all x of a track without those of
//! its gaps, then all y, then all z. `check` is the CRC-32 (as in PNG) of all names and numbers, so that a changed byte never
//! becomes a changed measure. `room` is blanks, as many as it takes that a reader can hold a recording of many gaps against
//! the bytes that it came in: a text has at least as many bytes as the recording has points.

pub(super) mod bits;
mod check;
pub(super) mod coding;
mod error;
#[cfg(test)]
mod tests;
mod warnings;

pub use error::PackedError;

pub(super) use check::check;

use super::{Event, GAP, LengthUnit, Point, RateSource, ReadOptions, Recording, Track};
use crate::json::{self, Json};
use crate::order;
use crate::plain::Read;
use bits::Bits;
use coding::Coding;

/// The word that tells the format.
pub(super) const FORMAT: &str = "handpath recording";

/// The version written; rises when a field changes its meaning or goes away.
pub(super) const VERSION: usize = 1;

/// Does an object begin with the word of the format, as all that are written do?
pub(super) fn looks_like(bytes: &[u8]) -> bool {
    let start = bytes.iter().position(|byte| !byte.is_ascii_whitespace()).unwrap_or(0);
    let head = &bytes[start..bytes.len().min(start + 64)];
    head.first() == Some(&b'{') && crate::letters::holds(head, FORMAT.as_bytes())
}

/// Reads the recording. Its clock is made anew where the user states another rate for a file that stated none.
pub(super) fn read(bytes: &[u8], options: &ReadOptions) -> Result<Recording, PackedError> {
    let text = std::str::from_utf8(bytes).map_err(|error| PackedError::Letters { byte: error.valid_up_to() })?;
    let tree = json::parse(text).map_err(PackedError::Json)?;
    let (rows, tracks) = (field(&tree, "", "rows")?, list(&tree, "tracks")?);
    sized(rows, tracks.len(), bytes.len())?;
    let [clock_s] = columns(need(&tree, "", "clock")?, "clock", rows)?;
    let mut recording = Recording {
        format: field(&tree, "", "read_from")?,
        rate_hz: field(&tree, "", "rate_hz")?,
        rate_source: field(&tree, "", "rate_source")?,
        first_row: field(&tree, "", "first_row")?,
        clock_s,
        tracks: tracks.iter().enumerate().map(|(at, told)| track(told, at, rows)).collect::<Result<_, _>>()?,
        up: field(&tree, "", "up")?,
        usual_up: field(&tree, "", "usual_up")?,
        events: list(&tree, "events")?.iter().enumerate().map(event).collect::<Result<_, _>>()?,
        warnings: list(&tree, "warnings")?.iter().map(warnings::read).collect(),
    };
    whole(&recording)?;
    let (stated, found): (String, _) = (field(&tree, "", "check")?, check(&recording));
    if stated != found {
        return Err(PackedError::Check { stated, found });
    }
    let stated = options.rate_hz.filter(|rate| rate.is_finite() && *rate > 0.0);
    if let (RateSource::User, Some(rate_hz)) = (recording.rate_source, stated) {
        restate(&mut recording, rate_hz);
    }
    Ok(recording)
}

/// The clock that the readers make of a rate that the user states.
fn restate(recording: &mut Recording, rate_hz: f64) {
    if recording.rate_hz != Some(rate_hz) {
        recording.rate_hz = Some(rate_hz);
        recording.clock_s = (0..recording.rows()).map(|row| (recording.first_row + row) as f64 / rate_hz).collect();
    }
}

/// A claim of more points than the text has bytes is refused before anything is made of it.
fn sized(rows: usize, tracks: usize, bytes: usize) -> Result<(), PackedError> {
    let points = rows.saturating_mul(tracks);
    if rows == 0 || tracks == 0 {
        return Err(PackedError::Nothing);
    }
    if points > bytes { Err(PackedError::TooLarge { points, bytes }) } else { Ok(()) }
}

/// The invariants of a [`Recording`].
fn whole(recording: &Recording) -> Result<(), PackedError> {
    let clock = &recording.clock_s;
    if !clock.iter().all(|time| time.is_finite()) || !clock.windows(2).all(|pair| pair[0] < pair[1]) {
        return Err(PackedError::Clock);
    }
    let rate = recording.rate_hz.map_or(clock.len() == 1, |rate| rate.is_finite() && rate > 0.0);
    if !rate {
        return Err(PackedError::field("", "rate_hz", "a number above 0 was expected"));
    }
    let mut names: Vec<&str> = recording.tracks.iter().map(|track| track.name.as_str()).collect();
    order::sort(&mut names);
    match names.windows(2).find(|pair| pair[0] == pair[1]) {
        Some(pair) => Err(PackedError::Name { name: pair[0].to_owned() }),
        None => Ok(()),
    }
}

fn track(told: &Json, at: usize, rows: usize) -> Result<Track, PackedError> {
    let place = ["tracks.", &at.to_string()].concat();
    let name: String = field(told, &place, "name")?;
    let gaps = gaps(told, &name, rows)?;
    let present = rows - gaps.iter().map(|(_, count)| count).sum::<usize>();
    let parent: Option<usize> = field(told, &place, "parent")?;
    if parent.is_some_and(|parent| parent >= at) {
        return Err(PackedError::field(&place, "parent", "the number of an earlier track was expected"));
    }
    let values = columns::<3>(told, &name, present)?;
    let points = spread(&values, &gaps, rows);
    let unit: Option<LengthUnit> = field(told, &place, "unit")?;
    Ok(Track { name, points, unit, parent, end_site: told.get("end_site") == Some(&Json::Flag(true)) })
}

/// Stretches without points, first row and rows, in order and apart.
fn gaps(told: &Json, name: &str, rows: usize) -> Result<Vec<(usize, usize)>, PackedError> {
    let numbers = told.get("gaps").map_or(&[][..], Json::items);
    let mut free = 0;
    let pair = |pair: &[Json]| {
        let (from, count) = (pair[0].as_count()?, pair.get(1)?.as_count()?);
        let end = from.checked_add(count).filter(|end| from >= free && *end <= rows)?;
        free = end;
        Some((from, count))
    };
    numbers.chunks(2).map(pair).collect::<Option<_>>().ok_or_else(|| PackedError::Data { track: name.to_owned() })
}

/// The points of all rows from the values of those that have some.
fn spread(values: &[Vec<f64>; 3], gaps: &[(usize, usize)], rows: usize) -> Vec<Point> {
    let mut points = vec![GAP; rows];
    let mut present = 0;
    let mut gaps = gaps.iter().peekable();
    let mut row = 0;
    while row < rows {
        if let Some((_, count)) = gaps.next_if(|(from, _)| *from == row) {
            row += count;
            continue;
        }
        points[row] = [0, 1, 2].map(|axis| values[axis].get(present).copied().unwrap_or(f64::NAN));
        present += 1;
        row += 1;
    }
    points
}

/// Columns of finite values, one after the other.
fn columns<const N: usize>(told: &Json, name: &str, count: usize) -> Result<[Vec<f64>; N], PackedError> {
    let coding: String = field(told, name, "as")?;
    let coding = Coding::parse(&coding).ok_or(PackedError::Coding { track: name.to_owned(), found: coding })?;
    let damaged = || PackedError::Data { track: name.to_owned() };
    let bytes = bits::from_base64(need(told, name, "data")?.as_text().unwrap_or("!")).ok_or_else(damaged)?;
    let mut bits = Bits::new(&bytes);
    let mut columns = [const { Vec::new() }; N];
    for column in &mut columns {
        *column = bits.column(count, coding).ok_or_else(damaged)?;
        if !column.iter().all(|value| value.is_finite()) {
            return Err(damaged());
        }
    }
    Ok(columns)
}

fn event((at, told): (usize, &Json)) -> Result<Event, PackedError> {
    let place = ["events.", &at.to_string()].concat();
    Ok(Event { label: field(told, &place, "label")?, clock_s: field(told, &place, "clock_s")? })
}

fn need<'a>(told: &'a Json, place: &str, name: &str) -> Result<&'a Json, PackedError> {
    told.get(name).ok_or_else(|| PackedError::field(place, name, "it is missing"))
}

fn list<'a>(tree: &'a Json, name: &str) -> Result<&'a [Json], PackedError> {
    match tree.get(name) {
        Some(Json::List(items)) => Ok(items),
        _ => Err(PackedError::field("", name, "a list was expected")),
    }
}

fn field<T: Read>(told: &Json, place: &str, name: &str) -> Result<T, PackedError> {
    let given = told.get(name).map_or(crate::plain::Given::Null, Json::given);
    T::read(&given).map_err(|error| PackedError::field(place, name, &error.problem))
}
