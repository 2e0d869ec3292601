//! Which characters separate cells and decimals: decided by what gives the most numbers.

use super::numbers::{Cell, Decimal, parse, trimmed};
use super::records::{Cursor, Delimiter, Record, Records};
use super::section::Shape;
use crate::letters::trim_start;
use crate::words::Message;

/// How a table is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Dialect {
    pub(super) delimiter: Delimiter,
    /// Do double quotes enclose cells?
    pub(super) quoting: bool,
    pub(super) decimal: Decimal,
}

impl Dialect {
    pub(super) fn records<'a>(&self, text: &'a str, start: Cursor) -> Records<'a> {
        Records::new(text, start, self.delimiter, self.quoting)
    }
}

/// Lines looked at from each of the beginning, the middle and the end of a file.
const PROBE_LINES: usize = 40;

/// Longest part of a line looked at; a row of a usual export has a few kilobytes.
const PROBE_LINE_BYTES: usize = 1 << 16;

/// Rows that decide the decimal mark. A whole swing at 240 Hz has fewer; a number with another mark further down is told
/// as unreadable or grouped.
const MOST_ROWS_COUNTED: usize = 2000;

/// A quoted header cell may hold a line end or two; one that holds more was never closed.
const MOST_LINES_IN_RECORD: u64 = 8;

/// Decides how cells are separated. The decimal mark is decided by the rows of the table: [`with_decimal`].
pub(super) fn sniff(text: &str, fixed: Option<Delimiter>, warnings: &mut Vec<Message>) -> Dialect {
    let delimiter = fixed.unwrap_or_else(|| most_numbers(text));
    let quoting = !text.as_bytes().contains(&b'"') || quotes_close(text, delimiter);
    if !quoting {
        warnings.push(Message::new("text.open_quote"));
    }
    Dialect { delimiter, quoting, decimal: Decimal::Either }
}

fn most_numbers(text: &str) -> Delimiter {
    let lines = probe_lines(text);
    let score = |delimiter: Delimiter| lines.iter().map(|line| numbers_in(line, delimiter)).sum::<usize>();
    let mut best = (0, Delimiter::Comma);
    for delimiter in Delimiter::ALL {
        let found = score(delimiter);
        if found > best.0 {
            best = (found, delimiter);
        }
    }
    best.1
}

fn probe_lines(text: &str) -> Vec<&str> {
    let bytes = text.as_bytes();
    let mut lines = Vec::new();
    let end_part = text.len().saturating_sub(PROBE_LINES * 400);
    for from in [0, text.len() / 2, end_part] {
        let start = match from {
            0 => Some(0),
            _ => bytes[from..].iter().position(|&byte| byte == b'\n').map(|at| from + at + 1),
        };
        let rest = start.and_then(|start| text.get(start..)).unwrap_or_default();
        lines.extend(rest.split('\n').filter(|line| !line.is_empty()).take(PROBE_LINES).map(beginning));
    }
    lines
}

fn beginning(line: &str) -> &str {
    let mut cut = line.len().min(PROBE_LINE_BYTES);
    while !line.is_char_boundary(cut) {
        cut -= 1;
    }
    &line[..cut]
}

/// Numbers in a line; none where it is one cell, since that line does not speak for the delimiter.
fn numbers_in(line: &str, delimiter: Delimiter) -> usize {
    let (mut cells, mut numbers) = (0, 0);
    let mut count = |cell: &str| {
        cells += 1;
        numbers += usize::from(is_number(cell.as_bytes()));
    };
    if delimiter == Delimiter::Blanks {
        line.split_ascii_whitespace().for_each(count);
    } else {
        // Good enough for counting: a delimiter in quotes separates nothing.
        let mut quoted = false;
        let separates = |c: char| {
            quoted ^= c == '"';
            !quoted && c == char::from(delimiter.byte())
        };
        line.split(separates).for_each(&mut count);
    }
    if cells < 2 { 0 } else { numbers }
}

pub(super) fn is_number(cell: &[u8]) -> bool {
    matches!(parse(cell, Decimal::Either), Cell::Number(_) | Cell::Grouped(_))
}

fn quotes_close(text: &str, delimiter: Delimiter) -> bool {
    let mut records = Records::new(text, Cursor::START, delimiter, true);
    let mut record = Record::new();
    while records.read(&mut record) {
        if records.next_at().line.saturating_sub(record.at.line) > MOST_LINES_IN_RECORD {
            return false;
        }
    }
    true
}

/// How often numbers are written in which way.
#[derive(Default)]
struct Marks {
    /// Only commas; none of them can be a thousands separator.
    comma: usize,
    /// Only points; likewise.
    point: usize,
    /// `1,234`: a thousands separator or a decimal comma.
    comma_thousands: usize,
    /// `1,234.5`
    comma_then_point: usize,
    /// `1.234,5`
    point_then_comma: usize,
}

/// Decides one decimal mark for the whole table that begins at `start`.
pub(super) fn with_decimal(text: &str, start: Cursor, dialect: Dialect, warnings: &mut Vec<Message>) -> Dialect {
    let no_commas =
        !text.as_bytes().contains(&b',') || (dialect.delimiter == Delimiter::Comma && !text.as_bytes().contains(&b'"'));
    let marks = if no_commas { Marks::default() } else { count_marks(text, start, dialect) };
    Dialect { decimal: decimal_mark(&marks, warnings), ..dialect }
}

fn decimal_mark(marks: &Marks, warnings: &mut Vec<Message>) -> Decimal {
    let commas = marks.comma + marks.comma_thousands;
    if marks.point_then_comma > 0 && marks.comma_then_point == 0 && marks.point == 0 {
        return Decimal::Comma;
    }
    if commas == 0 || (marks.comma_then_point > 0 && marks.comma == 0) {
        return Decimal::Point;
    }
    if marks.point == 0 && marks.comma_then_point == 0 {
        return Decimal::Comma;
    }
    if marks.comma == 0 {
        return Decimal::Point;
    }
    warnings.push(Message::new("text.two_decimal_marks").with("points", marks.point).with("commas", commas));
    Decimal::Either
}

fn count_marks(text: &str, start: Cursor, dialect: Dialect) -> Marks {
    let mut marks = Marks::default();
    let mut records = dialect.records(text, start);
    let mut record = Record::new();
    let mut rows = 0;
    while rows < MOST_ROWS_COUNTED && records.read(&mut record) && Shape::of(&record).is_row() {
        rows += 1;
        record.cells.iter().filter(|cell| is_number(cell)).for_each(|cell| marks.count(trimmed(cell)));
    }
    marks
}

impl Marks {
    fn count(&mut self, number: &str) {
        match (number.rfind(','), number.rfind('.')) {
            (Some(comma), Some(point)) if comma > point => self.point_then_comma += 1,
            (Some(_), Some(_)) => self.comma_then_point += 1,
            (Some(_), None) if in_thousands(number) => self.comma_thousands += 1,
            (Some(_), None) => self.comma += 1,
            (None, Some(_)) => self.point += 1,
            (None, None) => {}
        }
    }
}

/// Digits in groups of three after the first, which does not begin with zero.
fn in_thousands(number: &str) -> bool {
    let digits = trim_start(number, |c| matches!(c, '+' | '-'));
    let mut groups = digits.split(',');
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(|group| group.len() == 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dialect(text: &str) -> (Delimiter, Decimal, Vec<String>) {
        let mut warnings = Vec::new();
        let start = Cursor { byte: text.find('\n').map_or(0, |end| end + 1), line: 2 };
        let found = with_decimal(text, start, sniff(text, None, &mut warnings), &mut warnings);
        (found.delimiter, found.decimal, warnings.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn ok_delimiters_and_decimal_marks() {
        for (text, delimiter, decimal) in [
            ("t,x,y,z\n0.1,1,2,3\n0.2,1,2,3\n", Delimiter::Comma, Decimal::Point),
            ("t;x;y;z\n0,1;1;2;3\n0,2;1;2;3\n", Delimiter::Semicolon, Decimal::Comma),
            ("t;x;y;z\n0.1;1;2;3\n", Delimiter::Semicolon, Decimal::Point),
            ("t\tx\ty\tz\n0,1\t1,5\t\t3\n", Delimiter::Tab, Decimal::Comma),
            ("t x y z\n 0,1   1,5  2  3\n", Delimiter::Blanks, Decimal::Comma),
            ("t x y z\n 0.1   1.5  2  3\n", Delimiter::Blanks, Decimal::Point),
            ("t|x|y|z\n0.1|1|2|3\n", Delimiter::Bar, Decimal::Point),
            ("t,x,y,z\n\"0,1\",\"1,5\",2,3\n", Delimiter::Comma, Decimal::Comma),
            ("t, x, y, z\n0.1, 1, 2, 3\n", Delimiter::Comma, Decimal::Point),
            ("t;x;y\n1,234;1,234;2\n", Delimiter::Semicolon, Decimal::Comma),
            ("t;x;y\n0.5;1,234.5;2\n", Delimiter::Semicolon, Decimal::Point),
            ("t;x;y\n0,5;1.234,5;2\n", Delimiter::Semicolon, Decimal::Comma),
            ("t;x;y\n0.5;1,234;2\n", Delimiter::Semicolon, Decimal::Point),
        ] {
            assert_eq!(dialect(text), (delimiter, decimal, Vec::new()), "{text}");
        }
    }

    #[test]
    fn ok_oddities_are_told() {
        let (_, decimal, warnings) = dialect("t;x;y\n0.5;1,25;2\n0.6;1,35;2\n");
        assert_eq!(decimal, Decimal::Either);
        assert_eq!(
            warnings,
            [
                "Numbers with a decimal point: 2; with a decimal comma: 2. Each was read by its own mark; check a few values."
            ]
        );
        let open = format!("t,x,y,z\n\"0,1,2,3\n{}", "1,2,3,4\n".repeat(20));
        assert_eq!(
            dialect(&open).2,
            ["A quotation mark opens a cell and is never closed. Quotation marks were read as ordinary characters."]
        );
    }
}
