//! Delimited text: a table with one row per sample.
//!
//! The dialect is found, not asked for, in this order:
//!
//! | step | module |
//! | --- | --- |
//! | bytes to text: encoding, line ends, files that are no text | `decode` |
//! | delimiter, quoting, decimal mark: what gives the most numbers | `dialect` |
//! | the first rows of numbers, and the lines above them | `section` |
//! | rate, unit, up axis stated above | `preamble` |
//! | header rows to one label per column | `header`, `labels` |
//! | labels to points, time and frame columns | `columns` |
//! | rows to points | `body`, `block`, `numbers`, `records` |
//! | one time per row | `clock` |
//! | zeros and marks for "missing" to gaps | `gaps` |
//!
//! A file may hold several tables; the first with positions is read.

mod block;
mod body;
mod clock;
mod columns;
mod decode;
mod dialect;
mod error;
mod gaps;
mod header;
mod labels;
mod numbers;
mod preamble;
mod records;
mod section;

pub use error::{Lookalike, TextError};

pub(super) use decode::{beginning, decode};
pub(super) use preamble::Facts;
pub(super) use records::Delimiter;

#[cfg(test)]
mod tests;

use super::{Format, ReadOptions, Recording, Track, Watch};
use crate::words::Message;
use body::Body;
use columns::Plan;
use dialect::Dialect;
use records::Cursor;
use section::Section;

/// What a reader of a fixed format knows beforehand.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Known {
    /// Delimiter the format prescribes.
    pub(super) delimiter: Option<Delimiter>,
    /// Names stand alone in their row and are taken as they are.
    pub(super) plain_names: bool,
}

/// Most warnings one file gives; a broken file may be odd in thousands of places.
const MOST_WARNINGS: usize = 50;

/// Tables of one file that are looked at.
const MOST_SECTIONS: usize = 100;

/// Reads a delimited text file.
pub(super) fn read(bytes: &[u8], options: &ReadOptions, watch: Watch<'_>) -> Result<Recording, TextError> {
    let mut warnings = Vec::new();
    let text = decode(bytes, &mut warnings)?;
    Ok(read_text(&text, Known::default(), options, warnings, watch)?.0)
}

/// Reads a table from text; also what the lines above it state.
pub(super) fn read_text(
    text: &str,
    known: Known,
    options: &ReadOptions,
    mut warnings: Vec<Message>,
    watch: Watch<'_>,
) -> Result<(Recording, Facts), TextError> {
    let dialect = dialect::sniff(text, known.delimiter, &mut warnings);
    let with_header = first_table(text, &dialect, &|section| {
        let header = header::read(text, section, &dialect, known.plain_names);
        if header.columns.is_empty() {
            return Err(bare_error(section));
        }
        understood(text, section, dialect, &|dialect, told| columns::plan(section, &header, dialect, told))
    });
    let (section, (plan, dialect, told)) = match with_header {
        Ok(found) => found,
        Err(error @ TextError::NoTracks { .. }) => first_table(text, &dialect, &|section| {
            let headed = !header::read(text, section, &dialect, known.plain_names).columns.is_empty();
            if headed && !columns::lists_names(section) {
                return Err(error.clone());
            }
            understood(text, section, dialect, &|dialect, told| columns::bare(section, dialect, told))
        })?,
        Err(error) => return Err(error),
    };
    warnings.extend(told);
    let facts = preamble::read(&section.above);
    let body = body::read(text, section.start, &plan, &dialect, &mut warnings, watch)?;
    let recording = recording(text, body, plan, &facts, options, warnings)?;
    Ok((recording, facts))
}

/// The columns of a section, its decimal mark, and what was odd about both.
type Understood = (Plan, Dialect, Vec<Message>);

/// Plans the columns of a table, and tells what is odd about them.
type Planner<'a> = dyn Fn(&Dialect, &mut Vec<Message>) -> Result<Plan, TextError> + 'a;

fn understood(text: &str, section: &Section, dialect: Dialect, plan: &Planner<'_>) -> Result<Understood, TextError> {
    let mut told = Vec::new();
    let dialect = dialect::with_decimal(text, section.start, dialect, &mut told);
    let plan = plan(&dialect, &mut told)?;
    Ok((plan, dialect, told))
}

fn bare_error(section: &Section) -> TextError {
    TextError::NoTracks { line: section.start.line, columns: section.width(), found: String::new() }
}

/// Tries the tables of a file one after another; the first error is given where none fits.
fn first_table(
    text: &str,
    dialect: &Dialect,
    understand: &dyn Fn(&Section) -> Result<Understood, TextError>,
) -> Result<(Section, Understood), TextError> {
    let mut from = Cursor::START;
    let mut first_error = None;
    for _ in 0..MOST_SECTIONS {
        let Some(section) = section::find(text, from, dialect)? else { break };
        match understand(&section) {
            Ok(found) => return Ok((section, found)),
            Err(error @ (TextError::NoTracks { .. } | TextError::Flat { .. })) => {
                first_error.get_or_insert(error);
            }
            Err(error) => return Err(error),
        }
        from = section::end_of(text, &section, dialect);
    }
    Err(first_error.unwrap_or_else(|| without_rows(text, dialect)))
}

/// A header without rows, or no table at all?
fn without_rows(text: &str, dialect: &Dialect) -> TextError {
    let mut records = dialect.records(text, Cursor::START);
    let mut record = records::Record::new();
    while records.read(&mut record) {
        let axes = record.cells.iter().filter(|cell| labels::parse(numbers::trimmed(cell)).axis.is_some());
        if axes.count() >= 3 {
            return TextError::NoRows;
        }
    }
    TextError::NoTable
}

fn recording(
    text: &str,
    mut body: Body,
    plan: Plan,
    facts: &Facts,
    options: &ReadOptions,
    mut warnings: Vec<Message>,
) -> Result<Recording, TextError> {
    if let Some(end) = body.end {
        let lines = text.get(end.byte..).map_or(0, |rest| rest.lines().count());
        warnings.push(Message::new("text.rest_not_read").with("lines", lines).at(crate::words::Place::line(end.line)));
    }
    let mut names: Vec<String> = plan.tracks.iter().map(|track| track.name.clone()).collect();
    let mut units: Vec<_> = plan.tracks.iter().map(|track| track.unit.or(facts.unit)).collect();
    if plan.name.is_some() {
        names = body.pivot(text.len(), &mut warnings)?;
        units = vec![units.first().copied().flatten(); names.len()];
    }
    let clock = clock::build(&mut body, &plan, facts, options, &mut warnings)?;
    if clock.clock_s.is_empty() {
        return Err(TextError::NoRows);
    }
    let points = std::mem::take(&mut body.tracks);
    let mut tracks: Vec<Track> = Vec::with_capacity(points.len());
    for ((name, points), unit) in names.into_iter().zip(points).zip(units) {
        tracks.push(Track { unit, ..Track::marker(name, points) });
    }
    gaps::mark(&mut tracks, &mut warnings);
    if tracks.is_empty() {
        return Err(TextError::NoData);
    }
    Ok(Recording {
        format: Format::Text,
        rate_hz: clock.rate_hz,
        rate_source: clock.source,
        first_row: body.first_row,
        clock_s: clock.clock_s,
        tracks,
        up: facts.up,
        usual_up: None,
        events: Vec::new(),
        warnings: bounded(warnings),
    })
}

fn bounded(mut warnings: Vec<Message>) -> Vec<Message> {
    if warnings.len() > MOST_WARNINGS {
        let more = warnings.len() - MOST_WARNINGS;
        warnings.truncate(MOST_WARNINGS);
        warnings.push(Message::new("text.more_warnings").with("count", more));
    }
    warnings
}
