//! Where a table begins: the first rows of numbers, and the lines above them.

use super::dialect::{Dialect, is_number};
use super::error::TextError;
use super::numbers::{Cell, Decimal, parse};
use super::records::{Cursor, Record};

/// Widest table read: 6000 points with three coordinates and some leading columns; captures have some hundred.
pub(super) const MOST_COLUMNS: usize = 20_000;

/// Lines above a table that are looked at for rate, units and header. The longest preambles seen have some dozen.
const MOST_LINES_ABOVE: usize = 400;

/// Rows of a table looked at to understand its columns.
const SAMPLE_ROWS: usize = 60;

/// A table begins where this many rows in a row have three numbers and their texts in the same columns.
const ALIKE_ROWS: usize = 3;

/// A table found in the text.
pub(super) struct Section {
    /// Records above the first row of numbers, nearest last.
    pub(super) above: Vec<Record>,
    /// The first rows.
    pub(super) sample: Vec<Record>,
    /// Where the rows begin.
    pub(super) start: Cursor,
}

/// Finds the next table from `from` on.
///
/// # Errors
/// [`TextError::TooManyColumns`].
pub(super) fn find(text: &str, from: Cursor, dialect: &Dialect) -> Result<Option<Section>, TextError> {
    let mut records = dialect.records(text, from);
    let mut record = Record::new();
    let mut above: Vec<Record> = Vec::new();
    // Rows at the end of `above` that look like each other, and where their texts are.
    let (mut alike, mut texts) = (0, Vec::new());
    while alike < ALIKE_ROWS && records.read(&mut record) {
        refuse_width(&record)?;
        let shape = Shape::of(&record);
        alike = if !shape.is_row() {
            0
        } else if shape.texts == texts {
            alike + 1
        } else {
            1
        };
        texts = shape.texts;
        above.push(record.clone());
        if above.len() > 2 * MOST_LINES_ABOVE {
            above.drain(..MOST_LINES_ABOVE);
        }
    }
    let mut sample = above.split_off(above.len() - alike);
    above.drain(..above.len().saturating_sub(MOST_LINES_ABOVE));
    let Some(start) = sample.first().map(|record| record.at) else { return Ok(None) };
    while sample.len() < SAMPLE_ROWS && records.read(&mut record) && Shape::of(&record).is_row() {
        sample.push(record.clone());
    }
    Ok(Some(Section { above, sample, start }))
}

/// Passes over the rows of a table that is not wanted.
pub(super) fn end_of(text: &str, section: &Section, dialect: &Dialect) -> Cursor {
    let mut records = dialect.records(text, section.start);
    let mut record = Record::new();
    while records.read(&mut record) {
        if record.at != section.start && !Shape::of(&record).is_row() {
            return record.at;
        }
    }
    records.next_at()
}

pub(super) fn refuse_width(record: &Record) -> Result<(), TextError> {
    let columns = record.cells.len();
    if columns <= MOST_COLUMNS {
        return Ok(());
    }
    Err(TextError::TooManyColumns { line: record.at.line, columns, limit: MOST_COLUMNS })
}

/// What kinds of cells a record has.
#[derive(Debug, PartialEq)]
pub(super) struct Shape {
    numbers: usize,
    gaps: usize,
    /// Columns of cells that are neither.
    texts: Vec<usize>,
}

impl Shape {
    pub(super) fn of(record: &Record) -> Self {
        let mut shape = Shape { numbers: 0, gaps: 0, texts: Vec::new() };
        for (column, cell) in record.cells.iter().enumerate() {
            match parse(cell, Decimal::Either) {
                Cell::Gap => shape.gaps += 1,
                Cell::Text => shape.texts.push(column),
                _ => shape.numbers += 1,
            }
        }
        shape
    }

    /// Could this be a row of a table: at least three cells for numbers, one of them filled, and no more texts?
    pub(super) fn is_row(&self) -> bool {
        self.numbers >= 1 && self.numbers + self.gaps >= 3 && self.texts.len() <= self.numbers
    }
}

impl Section {
    /// Cells of the widest row of the sample.
    pub(super) fn width(&self) -> usize {
        self.sample.iter().map(|record| record.cells.len()).max().unwrap_or(0)
    }

    /// The numbers of a column in the sample, in order; `None` where the cell is none.
    pub(super) fn numbers(&self, column: usize, decimal: Decimal) -> Vec<Option<f64>> {
        let number = |record: &Record| match parse(record.cells.get(column).unwrap_or_default(), decimal) {
            Cell::Number(number) | Cell::Grouped(number) => Some(number),
            _ => None,
        };
        self.sample.iter().map(number).collect()
    }

    /// Do most cells of this column in the sample hold text?
    pub(super) fn is_text(&self, column: usize) -> bool {
        let texts = self.sample.iter().filter_map(|record| record.cells.get(column));
        let (mut text, mut number) = (0, 0);
        for cell in texts {
            match parse(cell, Decimal::Either) {
                Cell::Text => text += 1,
                Cell::Gap => {}
                _ => number += 1,
            }
        }
        text > number
    }

    /// Are the cells of the last column empty throughout the sample (a delimiter at the end of each line)?
    pub(super) fn ends_empty(&self) -> bool {
        let last = self.width().saturating_sub(1);
        !self.sample.iter().filter_map(|record| record.cells.get(last)).any(is_number)
    }
}
