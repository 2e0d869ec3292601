//! Lines to cells, from any place of the text on.

use csv_core::ReadRecordResult;

/// What separates cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::formats) enum Delimiter {
    /// One tab; two tabs enclose an empty cell.
    Tab,
    /// `;`
    Semicolon,
    /// `|`
    Bar,
    /// `,`
    Comma,
    /// Any run of blanks and tabs; no cell can be empty.
    Blanks,
}

impl Delimiter {
    /// In the order they are preferred where two fit a file equally well.
    pub(super) const ALL: [Delimiter; 5] =
        [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Bar, Delimiter::Comma, Delimiter::Blanks];

    pub(super) fn byte(self) -> u8 {
        match self {
            Delimiter::Tab => b'\t',
            Delimiter::Semicolon => b';',
            Delimiter::Bar => b'|',
            Delimiter::Comma => b',',
            Delimiter::Blanks => b' ',
        }
    }
}

/// A place in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cursor {
    /// 0-based byte.
    pub(super) byte: usize,
    /// 1-based line.
    pub(super) line: u64,
}

impl Cursor {
    pub(super) const START: Cursor = Cursor { byte: 0, line: 1 };
}

/// The cells of a record, one behind the other.
#[derive(Clone, Debug, Default)]
pub(super) struct Cells {
    bytes: Vec<u8>,
    /// Where each cell ends; of both lists only the part that `count` says is in use.
    ends: Vec<usize>,
    count: usize,
}

impl Cells {
    /// Number of cells.
    pub(super) fn len(&self) -> usize {
        self.count
    }

    /// The cell of a column.
    pub(super) fn get(&self, column: usize) -> Option<&[u8]> {
        let ends = self.ends.get(..self.count)?;
        let start = column.checked_sub(1).map_or(Some(0), |before| ends.get(before).copied())?;
        self.bytes.get(start..*ends.get(column)?)
    }

    /// All cells in order.
    pub(super) fn iter(&self) -> impl Iterator<Item = &[u8]> {
        (0..self.count).map_while(|column| self.get(column))
    }

    fn push(&mut self, cell: &[u8]) {
        let start = self.count.checked_sub(1).map_or(0, |last| self.ends[last]);
        self.bytes.truncate(start);
        self.bytes.extend_from_slice(cell);
        self.ends.truncate(self.count);
        self.ends.push(self.bytes.len());
        self.count += 1;
    }

    /// Takes the cells of the next record; returns the bytes read, and whether there was a record.
    fn fill(&mut self, reader: &mut csv_core::Reader, text: &[u8]) -> (usize, bool) {
        let (mut read, mut filled, mut count) = (0, 0, 0);
        loop {
            let (result, taken, written, ended) =
                reader.read_record(&text[read..], &mut self.bytes[filled..], &mut self.ends[count..]);
            (read, filled, count) = (read + taken, filled + written, count + ended);
            match result {
                // The end of the text ends the record: the reader is asked again with nothing.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::OutputFull => self.bytes.resize(2 * filled + 256, 0),
                ReadRecordResult::OutputEndsFull => self.ends.resize(2 * count + 32, 0),
                ReadRecordResult::Record | ReadRecordResult::End => {
                    self.count = count;
                    return (read, result == ReadRecordResult::Record);
                }
            }
        }
    }
}

/// The cells of one line, or of several where a quoted cell holds line ends.
#[derive(Clone, Debug)]
pub(super) struct Record {
    pub(super) cells: Cells,
    pub(super) at: Cursor,
}

impl Record {
    pub(super) fn new() -> Self {
        Record { cells: Cells::default(), at: Cursor::START }
    }
}

/// Reads records one after another; empty lines are passed over.
pub(super) struct Records<'a> {
    text: &'a str,
    start: Cursor,
    /// Where the next record begins (before empty lines).
    next: Cursor,
    /// Byte up to which the reader has read.
    read: usize,
    /// None: cells are separated by blanks.
    reader: Option<csv_core::Reader>,
}

impl<'a> Records<'a> {
    pub(super) fn new(text: &'a str, start: Cursor, delimiter: Delimiter, quoting: bool) -> Self {
        let reader = (delimiter != Delimiter::Blanks)
            .then(|| csv_core::ReaderBuilder::new().delimiter(delimiter.byte()).quoting(quoting).build());
        Records { text, start, next: start, read: start.byte.min(text.len()), reader }
    }

    /// Fills `record` with the next one; false at the end.
    pub(super) fn read(&mut self, record: &mut Record) -> bool {
        self.skip_empty_lines();
        record.at = self.next;
        match &mut self.reader {
            None => self.read_blanks(record),
            Some(reader) => {
                // The reader passes over empty lines by itself, and counts them.
                let (read, more) = record.cells.fill(reader, &self.text.as_bytes()[self.read..]);
                self.read += read;
                self.next = Cursor { byte: self.read, line: self.start.line + reader.line() - 1 };
                more
            }
        }
    }

    /// Where the record after the last one read begins.
    pub(super) fn next_at(&self) -> Cursor {
        self.next
    }

    /// What is not read yet, from the beginning of a line on.
    pub(super) fn rest(&mut self) -> &'a [u8] {
        self.skip_empty_lines();
        self.text.as_bytes().get(self.next.byte..).unwrap_or_default()
    }

    /// Passes over a line that somebody else has read.
    pub(super) fn pass_line(&mut self, bytes: usize) {
        self.next = Cursor { byte: self.next.byte + bytes, line: self.next.line + 1 };
        let counted = self.reader.as_ref().map_or(1, csv_core::Reader::line);
        // The reader counts on from here.
        self.start.line = self.next.line + 1 - counted;
        self.read = self.next.byte;
    }

    fn skip_empty_lines(&mut self) {
        let bytes = self.text.as_bytes();
        while bytes.get(self.next.byte) == Some(&b'\n') {
            self.next = Cursor { byte: self.next.byte + 1, line: self.next.line + 1 };
        }
    }

    fn read_blanks(&mut self, record: &mut Record) -> bool {
        record.cells.count = 0;
        let rest = self.text.get(self.next.byte..).unwrap_or_default();
        if rest.is_empty() {
            return false;
        }
        let end = rest.find('\n').unwrap_or(rest.len());
        push_words(&rest[..end], &mut record.cells);
        self.next = Cursor { byte: self.next.byte + (end + 1).min(rest.len()), line: self.next.line + 1 };
        true
    }
}

/// Splits at blanks; a word in double quotes keeps its blanks.
fn push_words(line: &str, cells: &mut Cells) {
    if !line.as_bytes().contains(&b'"') {
        line.split_ascii_whitespace().for_each(|word| cells.push(word.as_bytes()));
        return;
    }
    let mut rest = line.trim_start();
    while !rest.is_empty() {
        let (word, after) = match rest.strip_prefix('"').and_then(|quoted| quoted.split_once('"')) {
            Some(parts) => parts,
            None => rest.split_once(|c: char| c.is_ascii_whitespace()).unwrap_or((rest, "")),
        };
        cells.push(word.as_bytes());
        rest = after.trim_start();
    }
}

#[cfg(test)]
impl<'a> FromIterator<&'a str> for Cells {
    fn from_iter<I: IntoIterator<Item = &'a str>>(words: I) -> Self {
        let mut cells = Cells::default();
        words.into_iter().for_each(|word| cells.push(word.as_bytes()));
        cells
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &str, start: Cursor, delimiter: Delimiter) -> Vec<(u64, Vec<String>)> {
        let mut records = Records::new(text, start, delimiter, true);
        let mut record = Record::new();
        let mut out = Vec::new();
        while records.read(&mut record) {
            let cells = record.cells.iter().map(|cell| String::from_utf8_lossy(cell).into_owned()).collect();
            out.push((record.at.line, cells));
        }
        out
    }

    #[test]
    fn lines_are_counted_through_empty_lines_and_quoted_line_ends() {
        let text = "a,b\n\n\n\"c\nd\",e\nf,g";
        let wanted = [(1, vec!["a", "b"]), (4, vec!["c\nd", "e"]), (6, vec!["f", "g"])];
        let found = all(text, Cursor::START, Delimiter::Comma);
        assert_eq!(found.len(), 3);
        for ((line, cells), (wanted_line, wanted_cells)) in found.iter().zip(&wanted) {
            assert_eq!((line, cells.len()), (wanted_line, wanted_cells.len()));
            assert!(cells.iter().eq(wanted_cells));
        }
        assert_eq!(all(text, Cursor { byte: 5, line: 3 }, Delimiter::Comma)[0].0, 4);
    }

    #[test]
    fn blanks_separate_in_runs_and_quotes_keep_them() {
        let found = all("  1   2\t3 \n\n\"left wrist\" 4\n", Cursor::START, Delimiter::Blanks);
        assert_eq!(
            found,
            [
                (1, vec!["1".to_owned(), "2".to_owned(), "3".to_owned()]),
                (3, vec!["left wrist".to_owned(), "4".to_owned()])
            ]
        );
    }
}
