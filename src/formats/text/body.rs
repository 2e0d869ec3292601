//! The rows of a table, read straight into points.

use super::block::Blocks;
use super::clock::stamp_seconds;
use super::columns::Plan;
use super::dialect::Dialect;
use super::error::TextError;
use super::numbers::{Cell, Decimal, parse, trimmed};
use super::records::{Cursor, Record};
use crate::formats::{GAP, Point, Watch};
use crate::order;
use crate::words::{Message, Place};

/// What the rows of a table hold. Every list has one entry per row, or none where the table has no such column.
#[derive(Debug, Default)]
pub(super) struct Body {
    /// Points per track.
    pub(super) tracks: Vec<Vec<Point>>,
    /// Times as written, in the file's time unit (time stamps: seconds). NaN: missing.
    pub(super) time: Vec<f64>,
    pub(super) frame: Vec<f64>,
    pub(super) sub_frame: Vec<f64>,
    /// Name of the point; empty: nameless.
    names: Vec<String>,
    /// 1-based line of each row.
    pub(super) lines: Vec<u64>,
    /// Rows of the table before the first one kept.
    pub(super) first_row: usize,
    /// Where the table ends.
    pub(super) end: Option<Cursor>,
}

/// Where a cell goes.
#[derive(Clone, Copy)]
pub(super) enum Slot {
    Unused,
    Axis { track: u32, axis: u8 },
    Time,
    Stamp,
    Frame,
    SubFrame,
    Name,
}

/// Every cell that is stored has at least its delimiter in the file. Rows may leave out empty cells at their end; a file
/// that leaves out nearly everything would make much memory of few bytes.
pub(super) fn most_cells(text_bytes: usize) -> usize {
    4 * text_bytes + 1_000_000
}

/// How often something odd was met, and where first.
#[derive(Default)]
struct Tally {
    count: usize,
    line: u64,
    /// 1-based.
    column: u64,
    found: String,
}

impl Tally {
    fn add(&mut self, line: u64, column: usize, cell: &[u8]) {
        if self.count == 0 {
            self.line = line;
            self.column = column as u64 + 1;
            trimmed(cell).clone_into(&mut self.found);
        }
        self.count += 1;
    }
}

/// Odd cells and rows of one table.
#[derive(Default)]
struct Tallies {
    unreadable: Tally,
    grouped: Tally,
    short: Tally,
    long: Tally,
}

/// What one row turned out to hold.
#[derive(Default)]
struct RowCount {
    numbers: usize,
    texts: usize,
}

/// Reads all rows from `start` on.
///
/// # Errors
/// [`TextError::TooSparse`].
pub(super) fn read(
    text: &str,
    start: Cursor,
    plan: &Plan,
    dialect: &Dialect,
    warnings: &mut Vec<Message>,
    watch: Watch<'_>,
) -> Result<Body, TextError> {
    let slots = slots(plan);
    let width = text_width(text, start, dialect).max(slots.len());
    let limit = most_cells(text.len());
    let mut body = Body { tracks: vec![Vec::new(); plan.tracks.len()], ..Body::default() };
    let mut tallies = Tallies::default();
    let mut records = dialect.records(text, start);
    let mut record = Record::new();
    let counted = plan.time.is_some() || plan.frame.is_some();
    let mut blocks = Blocks::new(&slots, width, plan, dialect);
    let mut pace = Pace { watch, total: text.len(), told: 0 };
    loop {
        if let Some(blocks) = &mut blocks {
            blocks.take(&mut records, &mut body, &mut pace);
        }
        pace.at(records.next_at().byte);
        if !records.read(&mut record) {
            break;
        }
        if (body.lines.len() + 1) * (3 * body.tracks.len() + 4) > limit {
            return Err(TextError::TooSparse { rows: body.lines.len(), tracks: body.tracks.len() });
        }
        body.push_empty_row(record.at.line, plan);
        let (unreadable, grouped) = (tallies.unreadable.count, tallies.grouped.count);
        let count = body.take(&record, &slots, dialect.decimal, &mut tallies);
        let ends = count.texts > count.numbers;
        if ends || count.numbers == 0 && counted {
            body.pop_row();
            // What was odd about this row counts no more.
            (tallies.unreadable.count, tallies.grouped.count) = (unreadable, grouped);
            if ends {
                body.end = Some(record.at);
                break;
            }
            continue;
        }
        tallies.row_length(&record, slots.len(), width);
    }
    tallies.tell(warnings);
    Ok(body)
}

/// Tells now and then how far reading has come.
pub(super) struct Pace<'a> {
    watch: Watch<'a>,
    total: usize,
    told: usize,
}

/// Bytes between two times that it is told.
const TOLD_EVERY: usize = 1 << 20;

impl Pace<'_> {
    pub(super) fn at(&mut self, byte: usize) {
        if byte >= self.told + TOLD_EVERY {
            self.told = byte;
            (self.watch)(byte as f64 / self.total as f64);
        }
    }
}

/// Cells of the first row.
fn text_width(text: &str, start: Cursor, dialect: &Dialect) -> usize {
    let mut record = Record::new();
    dialect.records(text, start).read(&mut record);
    record.cells.len()
}

fn slots(plan: &Plan) -> Vec<Slot> {
    let mut slots = Vec::new();
    let mut put = |column: usize, slot: Slot| {
        if slots.len() <= column {
            slots.resize(column + 1, Slot::Unused);
        }
        slots[column] = slot;
    };
    for (track, columns) in plan.tracks.iter().enumerate() {
        for (axis, &column) in columns.columns.iter().enumerate() {
            put(column, Slot::Axis { track: track as u32, axis: axis as u8 });
        }
    }
    if let Some(time) = plan.time {
        put(time.column, if time.stamps { Slot::Stamp } else { Slot::Time });
    }
    let others = [(plan.frame, Slot::Frame), (plan.sub_frame, Slot::SubFrame), (plan.name, Slot::Name)];
    others.into_iter().filter_map(|(column, slot)| Some((column?, slot))).for_each(|(column, slot)| put(column, slot));
    slots
}

impl Body {
    /// Makes room for rows that are likely to come.
    pub(super) fn reserve(&mut self, rows: usize) {
        // A little more, since lines are not all of one length.
        let rows = rows + rows / 64;
        self.tracks.iter_mut().for_each(|track| track.reserve(rows));
        self.lines.reserve(rows);
    }

    fn push_empty_row(&mut self, line: u64, plan: &Plan) {
        self.tracks.iter_mut().for_each(|track| track.push(GAP));
        self.lines.push(line);
        if plan.time.is_some() {
            self.time.push(f64::NAN);
        }
        if plan.frame.is_some() {
            self.frame.push(f64::NAN);
        }
        if plan.sub_frame.is_some() {
            self.sub_frame.push(f64::NAN);
        }
        if plan.name.is_some() {
            self.names.push(String::new());
        }
    }

    fn pop_row(&mut self) {
        self.lines.pop();
        let rows = self.lines.len();
        self.tracks.iter_mut().for_each(|track| track.truncate(rows));
        self.time.truncate(rows);
        self.frame.truncate(rows);
        self.sub_frame.truncate(rows);
        self.names.truncate(rows);
    }

    /// Fills the last row from the cells of a record.
    #[inline]
    fn take(&mut self, record: &Record, slots: &[Slot], decimal: Decimal, odd: &mut Tallies) -> RowCount {
        let mut count = RowCount::default();
        for (column, (slot, cell)) in slots.iter().zip(record.cells.iter()).enumerate() {
            let (value, stamp) = match slot {
                Slot::Unused => continue,
                Slot::Name => {
                    self.names.last_mut().into_iter().for_each(|name| trimmed(cell).clone_into(name));
                    continue;
                }
                Slot::Stamp => (stamp_seconds(trimmed(cell)).map_or(Cell::Text, Cell::Number), true),
                _ => (parse(cell, decimal), false),
            };
            let number = match value {
                Cell::Number(number) => number,
                Cell::Grouped(number) => {
                    odd.grouped.add(record.at.line, column, cell);
                    number
                }
                Cell::Gap => continue,
                Cell::Text => {
                    count.texts += usize::from(!stamp || !trimmed(cell).is_empty());
                    odd.unreadable.add(record.at.line, column, cell);
                    continue;
                }
            };
            count.numbers += 1;
            self.put(*slot, number);
        }
        count
    }

    #[inline]
    fn put(&mut self, slot: Slot, number: f64) {
        let cell = match slot {
            Slot::Axis { track, axis } => {
                self.tracks[track as usize].last_mut().map(|point| &mut point[usize::from(axis)])
            }
            Slot::Time | Slot::Stamp => self.time.last_mut(),
            Slot::Frame => self.frame.last_mut(),
            Slot::SubFrame => self.sub_frame.last_mut(),
            Slot::Unused | Slot::Name => None,
        };
        if let Some(cell) = cell {
            *cell = number;
        }
    }

    /// Number of rows.
    pub(super) fn rows(&self) -> usize {
        self.lines.len()
    }

    /// Keeps the rows marked true, of a table without a name column; returns how many went.
    pub(super) fn keep(&mut self, marks: &[bool]) -> usize {
        fn retain<T: Copy>(list: &mut Vec<T>, marks: &[bool]) {
            let mut mark = marks.iter();
            list.retain(|_| mark.next().copied().unwrap_or(false));
        }
        let before = self.rows();
        self.first_row += marks.iter().take_while(|mark| !**mark).count();
        self.tracks.iter_mut().for_each(|track| retain(track, marks));
        retain(&mut self.lines, marks);
        retain(&mut self.time, marks);
        retain(&mut self.frame, marks);
        retain(&mut self.sub_frame, marks);
        before - self.rows()
    }

    /// From one row per sample and point to one row per sample. Returns the names of the tracks.
    ///
    /// # Errors
    /// [`TextError::TooSparse`]: so many names and times that the table would be nearly empty.
    pub(super) fn pivot(&mut self, text_bytes: usize, warnings: &mut Vec<Message>) -> Result<Vec<String>, TextError> {
        let firsts = order::firsts(&self.names);
        let keys = self.sample_keys(&firsts);
        let mut samples: Vec<f64> = keys.iter().copied().filter(|key| key.is_finite()).collect();
        order::sort_numbers(&mut samples);
        samples.dedup();
        let (names, tracks) = numbered(&self.names, &firsts);
        if samples.len().saturating_mul(3 * names.len() + 4) > most_cells(text_bytes) {
            return Err(TextError::TooSparse { rows: samples.len(), tracks: names.len() });
        }
        let mut wide = Body { tracks: vec![vec![GAP; samples.len()]; names.len()], end: self.end, ..Body::default() };
        wide.lines = vec![0; samples.len()];
        let mut dropped = Tally::default();
        let points = self.tracks.first().map(Vec::as_slice).unwrap_or_default();
        wide.time = vec![f64::NAN; if self.time.is_empty() { 0 } else { samples.len() }];
        wide.frame = vec![f64::NAN; if self.frame.is_empty() { 0 } else { samples.len() }];
        for (row, point) in points.iter().enumerate() {
            let place = samples.binary_search_by(|key| key.total_cmp(&keys[row])).ok();
            let (Some(at), Some(track)) = (place, wide.tracks.get_mut(tracks[row])) else {
                dropped.add(self.lines[row], 0, b"");
                continue;
            };
            if wide.lines[at] == 0 {
                wide.lines[at] = self.lines[row];
                wide.time.iter_mut().skip(at).take(1).for_each(|time| *time = self.time[row]);
                wide.frame.iter_mut().skip(at).take(1).for_each(|frame| *frame = self.frame[row]);
            }
            if track[at].iter().all(|x| x.is_nan()) {
                track[at] = *point;
            } else {
                dropped.add(self.lines[row], 0, b"");
            }
        }
        if dropped.count > 0 {
            let message = Message::new("text.repeated_points").with("rows", dropped.count);
            warnings.push(message.at(Place::line(dropped.line)));
        }
        *self = wide;
        Ok(names)
    }

    /// What tells samples apart: the frame number, else the time, else how often the name occurred before.
    fn sample_keys(&self, firsts: &[usize]) -> Vec<f64> {
        if !self.frame.is_empty() {
            return self.frame.clone();
        }
        if !self.time.is_empty() {
            return self.time.clone();
        }
        let mut seen = vec![0.0; firsts.len()];
        let mut next = |first: &usize| {
            seen[*first] += 1.0;
            seen[*first]
        };
        firsts.iter().map(&mut next).collect()
    }
}

/// The names in the order they are first met, and the place of each row's name among them, out of range for none.
fn numbered(names: &[String], firsts: &[usize]) -> (Vec<String>, Vec<usize>) {
    let mut known = Vec::new();
    let mut places: Vec<usize> = Vec::with_capacity(names.len());
    for (row, name) in names.iter().enumerate() {
        if name.is_empty() {
            places.push(usize::MAX);
        } else if firsts[row] < row {
            places.push(places[firsts[row]]);
        } else {
            places.push(known.len());
            known.push(name.clone());
        }
    }
    (known, places)
}

impl Tallies {
    fn row_length(&mut self, record: &Record, needed: usize, width: usize) {
        let cells = record.cells.len();
        if cells < needed.min(width) {
            self.short.add(record.at.line, cells, b"");
        } else if cells > width && record.cells.iter().skip(width).any(|cell| !trimmed(cell).is_empty()) {
            self.long.add(record.at.line, width, b"");
        }
    }

    fn tell(self, warnings: &mut Vec<Message>) {
        let Tallies { unreadable, grouped, short, long } = self;
        let found = |tally: &Tally, message: Message| message.with("found", tally.found.as_str());
        let told = [
            (found(&unreadable, Message::new("text.unreadable_cells")), "cells", unreadable),
            (found(&grouped, Message::new("text.thousands")), "cells", grouped),
            (Message::new("text.short_rows"), "rows", short),
            (Message::new("text.long_rows"), "rows", long),
        ];
        for (message, counted, tally) in told.into_iter().filter(|(_, _, tally)| tally.count > 0) {
            warnings.push(message.with(counted, tally.count).at(Place::cell(tally.line, tally.column)));
        }
    }
}
