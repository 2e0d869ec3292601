//! Delimited text: one row per sample, three columns per track.

use crate::formats::{LengthUnit, Recording, is_gap};

/// How the columns are headed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Header {
    /// One row: `LSHO_X`.
    OneRow,
    /// One row with the unit: `LSHO_X (mm)`.
    OneRowWithUnit,
    /// Track, then axis.
    TwoRows,
    /// Track, axis, unit.
    ThreeRows,
}

/// First column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeColumn {
    /// Seconds.
    Seconds,
    /// Milliseconds.
    Milliseconds,
    /// Frame numbers from 1; the file then states no time.
    Frames,
}

/// What stands for a missing point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GapText {
    /// Empty cells. (Not with blanks between the columns, where an empty cell cannot be seen.)
    Empty,
    /// `NaN`.
    Nan,
    /// `0`: the habit of some exports.
    Zero,
}

/// Bytes of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    Utf8,
    /// UTF-8 with a byte order mark.
    Utf8Bom,
    /// UTF-16, low byte first, with a byte order mark.
    Utf16Le,
    /// UTF-16, high byte first, with a byte order mark.
    Utf16Be,
}

/// Dialect of a text table.
#[derive(Clone, Debug, PartialEq)]
pub struct TextOptions {
    /// Between the columns. Default: comma.
    pub delimiter: char,
    /// Decimal comma instead of a point. Default: false.
    pub decimal_comma: bool,
    /// Header rows. Default: one row with the unit.
    pub header: Header,
    /// First column. Default: seconds.
    pub time: TimeColumn,
    /// Decimals of the coordinates; `None`: as many as restore the value. Default: 6.
    pub decimals: Option<usize>,
    /// Missing points. Default: empty cells.
    pub gap: GapText,
    /// Lines before the header. Default: none.
    pub preamble: Vec<String>,
    /// Encoding. Default: UTF-8.
    pub encoding: Encoding,
    /// Line ends of CR LF instead of LF. Default: false.
    pub crlf: bool,
}

impl Default for TextOptions {
    fn default() -> Self {
        TextOptions {
            delimiter: ',',
            decimal_comma: false,
            header: Header::OneRowWithUnit,
            time: TimeColumn::Seconds,
            decimals: Some(6),
            gap: GapText::Empty,
            preamble: Vec::new(),
            encoding: Encoding::Utf8,
            crlf: false,
        }
    }
}

/// Writes a recording as a text table.
pub fn text(recording: &Recording, options: &TextOptions) -> Vec<u8> {
    let mut lines = options.preamble.clone();
    lines.extend(header(recording, options));
    lines.extend((0..recording.rows()).map(|row| sample(recording, options, row)));
    let end = if options.crlf { "\r\n" } else { "\n" };
    encode(&(lines.join(end) + end), options.encoding)
}

fn encode(text: &str, encoding: Encoding) -> Vec<u8> {
    match encoding {
        Encoding::Utf8 => text.as_bytes().to_vec(),
        Encoding::Utf8Bom => format!("\u{feff}{text}").into_bytes(),
        Encoding::Utf16Le => format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_le_bytes).collect(),
        Encoding::Utf16Be => format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_be_bytes).collect(),
    }
}

/// A header cell, quoted where the delimiter or a quote is part of it.
fn cell(text: &str, options: &TextOptions) -> String {
    if text.contains(options.delimiter) || text.contains(['"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

fn header(recording: &Recording, options: &TextOptions) -> Vec<String> {
    let unit = recording.stated_unit().map_or("", LengthUnit::symbol);
    let (time, time_unit) = match options.time {
        TimeColumn::Seconds => ("Time", "s"),
        TimeColumn::Milliseconds => ("Time", "ms"),
        TimeColumn::Frames => ("Frame", ""),
    };
    let row = |first: String, column: &dyn Fn(&str, &str) -> String| {
        let names = recording.tracks.iter().flat_map(|t| ["X", "Y", "Z"].map(|axis| column(&t.name, axis)));
        let cells = std::iter::once(first).chain(names).map(|text| cell(&text, options));
        cells.collect::<Vec<_>>().join(&options.delimiter.to_string())
    };
    let with_unit = |name: String, unit: &str| if unit.is_empty() { name } else { format!("{name} ({unit})") };
    let joined = |track: &str, axis: &str| format!("{track}_{axis}");
    match options.header {
        Header::OneRow => vec![row(with_unit(time.to_owned(), time_unit), &joined)],
        Header::OneRowWithUnit => {
            vec![row(with_unit(time.to_owned(), time_unit), &|t, a| with_unit(joined(t, a), unit))]
        }
        Header::TwoRows => vec![
            row(with_unit(time.to_owned(), time_unit), &|track, axis| {
                if axis == "X" { track.to_owned() } else { String::new() }
            }),
            row(String::new(), &|_, axis| axis.to_owned()),
        ],
        Header::ThreeRows => vec![
            row(time.to_owned(), &|track, _| track.to_owned()),
            row(String::new(), &|_, axis| axis.to_owned()),
            row(time_unit.to_owned(), &|_, _| unit.to_owned()),
        ],
    }
}

fn sample(recording: &Recording, options: &TextOptions, row: usize) -> String {
    let clock_s = recording.clock_s[row];
    let mut line = match options.time {
        TimeColumn::Seconds => number(clock_s, Some(6), options),
        TimeColumn::Milliseconds => number(clock_s * 1000.0, Some(3), options),
        TimeColumn::Frames => (row + 1).to_string(),
    };
    for track in &recording.tracks {
        let point = track.points[row];
        for x in point {
            line.push(options.delimiter);
            match (is_gap(&point), options.gap) {
                (false, _) => line.push_str(&number(x, options.decimals, options)),
                (true, GapText::Empty) => {}
                (true, GapText::Nan) => line.push_str("NaN"),
                (true, GapText::Zero) => line.push('0'),
            }
        }
    }
    line
}

fn number(value: f64, decimals: Option<usize>, options: &TextOptions) -> String {
    let out = match decimals {
        Some(digits) => super::fixed(value, digits),
        None => value.to_string(),
    };
    if options.decimal_comma { out.replace('.', ",") } else { out }
}
