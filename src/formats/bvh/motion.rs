//! The MOTION section: a header and a table of values.

use super::error::BvhError;
use super::source::{Line, Source, number};
use crate::letters::trim_start;
use crate::words::{Message, Place};

/// A header value as written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stated<'a> {
    pub(super) text: &'a str,
    pub(super) line: u64,
}

impl Stated<'_> {
    pub(super) fn number(&self) -> Option<f64> {
        number(self.text, true)
    }
}

/// All values, row by row.
#[derive(Clone, Debug)]
pub(super) struct Motion<'a> {
    pub(super) frame_time: Option<Stated<'a>>,
    frames: Option<Stated<'a>>,
    channels: usize,
    /// Complete rows only.
    values: Vec<f64>,
    /// Line of a last row that was cut off.
    cut: Option<u64>,
}

impl<'a> Motion<'a> {
    /// Reads from after the word MOTION to the end of the file. `channels` is not zero.
    pub(super) fn read(source: &mut Source<'a>, channels: usize) -> Result<Motion<'a>, BvhError> {
        let mut motion = Motion { frame_time: None, frames: None, channels, values: Vec::new(), cut: None };
        let mut table = source.clone();
        while let Some(line) = table.line() {
            if !motion.header(line) {
                break;
            }
            source.clone_from(&table);
        }
        let separators = Separators::of(source.remaining());
        let ragged = motion.table(source, separators)?;
        if let Some(error) = ragged.filter(|_| !motion.is_whole()) {
            return Err(error);
        }
        let rest = motion.values.len() % channels;
        motion.values.truncate(motion.values.len() - rest);
        if motion.values.is_empty() { Err(BvhError::NoRows) } else { Ok(motion) }
    }

    /// Takes a line of the header; false where the table begins.
    fn header(&mut self, line: Line<'a>) -> bool {
        let Some(after) = strip_keyword(line.text, "Frame") else { return false };
        let (slot, value) = if let Some(value) = strip_keyword(after, "s") {
            (&mut self.frames, value)
        } else if let Some(value) = strip_keyword(after.trim_start(), "Time") {
            (&mut self.frame_time, value)
        } else {
            return false;
        };
        let text = trim_start(value.trim_start(), |c| matches!(c, ':' | '=')).trim();
        *slot = Some(Stated { text, line: line.number });
        true
    }

    /// Reads the values. Returns the first line that does not fit whole rows: an error, unless the file holds exactly
    /// the stated number of rows in a free layout.
    fn table(&mut self, source: &mut Source<'a>, separators: Separators) -> Result<Option<BvhError>, BvhError> {
        let mut ragged = None;
        let mut row_start = (0, 0);
        while let Some(line) = source.line() {
            let before = self.values.len();
            for cell in line.text.split(|c| separators.is_separator(c)).filter(|cell| !cell.is_empty()) {
                let value = number(cell, separators.decimal_comma);
                let wrong = || BvhError::Number { at: line.spot(cell).pair(), found: cell.to_owned() };
                self.values.push(value.ok_or_else(wrong)?);
            }
            let found = self.values.len() - before;
            let filled = before % self.channels;
            if filled == 0 {
                row_start = (line.number, found);
            }
            // Wrapped rows are fine as long as each row starts a line: a lost value must not shift all that follow.
            if filled + found > self.channels && ragged.is_none() {
                let (line, found) = row_start;
                ragged = Some(BvhError::RaggedRow { line, expected: self.channels, found });
            }
        }
        self.cut = (!self.values.len().is_multiple_of(self.channels)).then_some(row_start.0);
        Ok(ragged)
    }

    /// Does the file hold exactly the stated rows?
    fn is_whole(&self) -> bool {
        self.cut.is_none() && self.stated_rows() == Some(self.rows() as u64)
    }

    fn stated_rows(&self) -> Option<u64> {
        self.frames?.text.parse().ok()
    }

    /// Rows of values.
    pub(super) fn rows(&self) -> usize {
        self.values.len() / self.channels
    }

    /// Values of all rows.
    pub(super) fn values(&self) -> usize {
        self.values.len()
    }

    /// Rows of values, in order.
    pub(super) fn each_row(&self) -> impl Iterator<Item = &[f64]> {
        self.values.chunks_exact(self.channels)
    }

    /// Mean of the finite values in a column.
    pub(super) fn mean(&self, column: usize) -> Option<f64> {
        let finite = self.each_row().map(|row| row[column]).filter(|value| value.is_finite());
        let (sum, count) = finite.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
        (count > 0.0).then(|| sum / count)
    }

    /// What is odd about the table.
    pub(super) fn warnings(&self) -> Vec<Message> {
        let mut warnings = Vec::new();
        if let Some(line) = self.cut {
            warnings.push(Message::new("bvh.cut_row").at(Place::line(line)));
        }
        match self.frames {
            None => warnings.push(Message::new("bvh.rows_unstated").with("rows", self.rows())),
            Some(stated) if self.stated_rows() != Some(self.rows() as u64) => {
                let message = Message::new("bvh.rows_differ").with("stated", stated.text).with("rows", self.rows());
                warnings.push(message.at(Place::line(stated.line)));
            }
            Some(_) => {}
        }
        let gaps = self.values.iter().filter(|value| !value.is_finite()).count();
        if gaps > 0 {
            warnings.push(Message::new("bvh.missing_values").with("values", gaps));
        }
        warnings
    }
}

fn strip_keyword<'a>(text: &'a str, keyword: &str) -> Option<&'a str> {
    let head = text.get(..keyword.len())?;
    head.eq_ignore_ascii_case(keyword).then(|| &text[keyword.len()..])
}

/// How the table writes and separates numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Separators {
    decimal_comma: bool,
}

impl Separators {
    /// A comma is decimal where no number of the table has a point, else it separates.
    fn of(table: &str) -> Self {
        Separators { decimal_comma: !table.as_bytes().contains(&b'.') }
    }

    fn is_separator(self, c: char) -> bool {
        c.is_whitespace() || c == ';' || c == '\0' || c == '\u{1A}' || (c == ',' && !self.decimal_comma)
    }
}
