//! Rows that are plain numbers from end to end, many at a time: nearly all rows of nearly all tables.

use super::body::{Body, Pace, Slot};
use super::columns::Plan;
use super::dialect::Dialect;
use super::numbers::Decimal;
use super::records::{Delimiter, Records};
use crate::decimal;
use handpath_rows::{Layout, numbers, points};

/// Numbers read before they are put into their columns: what stays in a processor's nearest memory.
const BLOCK: usize = 2048;

/// Where columns go, and the numbers of some rows.
pub(super) struct Blocks {
    delimiter: u8,
    mark: u8,
    wanted: Vec<bool>,
    /// Columns of x, y and z by track.
    tracks: Vec<[usize; 3]>,
    time: Option<usize>,
    frame: Option<usize>,
    sub_frame: Option<usize>,
    rows: Vec<f64>,
}

impl Blocks {
    /// For rows of `width` cells. `None`: its rows are read one by one, because cells are separated by blanks, hold names or
    /// times of day, or stand in two columns at once.
    pub(super) fn new(slots: &[Slot], width: usize, plan: &Plan, dialect: &Dialect) -> Option<Blocks> {
        if dialect.delimiter == Delimiter::Blanks || slots.len() > width {
            return None;
        }
        let mark = if dialect.decimal == Decimal::Comma { b',' } else { b'.' };
        let mut wanted = vec![false; width];
        let mut columns = vec![[usize::MAX; 3]; plan.tracks.len()];
        let (mut time, mut frame, mut sub_frame) = (None, None, None);
        for (column, slot) in slots.iter().enumerate() {
            *wanted.get_mut(column)? = !matches!(slot, Slot::Unused);
            match slot {
                Slot::Unused => {}
                Slot::Axis { track, axis } => *columns.get_mut(*track as usize)?.get_mut(usize::from(*axis))? = column,
                Slot::Time => time = Some(column),
                Slot::Frame => frame = Some(column),
                Slot::SubFrame => sub_frame = Some(column),
                Slot::Stamp | Slot::Name => return None,
            }
        }
        let leading = [time.is_some(), frame.is_some(), sub_frame.is_some()];
        let whole = columns.iter().flatten().all(|column| *column < width)
            && leading == [plan.time.is_some(), plan.frame.is_some(), plan.sub_frame.is_some()]
            && dialect.delimiter.byte() != mark;
        let rows = vec![0.0; (BLOCK / width.max(1)).max(1) * width];
        let delimiter = dialect.delimiter.byte();
        whole.then_some(Blocks { delimiter, mark, wanted, tracks: columns, time, frame, sub_frame, rows })
    }

    /// Takes rows for as long as they are plain.
    pub(super) fn take(&mut self, records: &mut Records<'_>, body: &mut Body, pace: &mut Pace<'_>) {
        while self.take_block(records, body) {
            pace.at(records.next_at().byte);
        }
    }

    /// Takes some rows; false where the next one is not plain.
    fn take_block(&mut self, records: &mut Records<'_>, body: &mut Body) -> bool {
        let Blocks { delimiter, mark, .. } = *self;
        let layout = Layout { delimiter, mark, wanted: &self.wanted, other: decimal::parse };
        let (width, before, start) = (self.wanted.len(), body.lines.len(), records.next_at().byte);
        let mut more = true;
        for row in self.rows.chunks_exact_mut(width.max(1)) {
            let rest = records.rest();
            let Some(bytes) = layout.read(rest, row) else {
                more = false;
                break;
            };
            body.lines.push(records.next_at().line);
            records.pass_line(bytes);
        }
        let taken = (body.lines.len() - before) * width;
        self.put(self.rows.get(..taken).unwrap_or_default(), body);
        if before == 0 && taken > 0 {
            let row_bytes = (records.next_at().byte - start) / body.lines.len();
            body.reserve(records.rest().len() / row_bytes.max(1));
        }
        more && taken > 0
    }

    fn put(&self, rows: &[f64], body: &mut Body) {
        let width = self.wanted.len();
        for (columns, track) in self.tracks.iter().zip(&mut body.tracks) {
            points(rows, width, *columns, track);
        }
        let lists = [(self.time, &mut body.time), (self.frame, &mut body.frame), (self.sub_frame, &mut body.sub_frame)];
        for (column, list) in lists {
            column.into_iter().for_each(|column| numbers(rows, width, column, list));
        }
    }
}
