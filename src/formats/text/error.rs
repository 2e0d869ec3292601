//! Why a text table could not be read.

use crate::words::{Message, Place};

/// Other kinds of file that are handed in by mistake, recognised by their first bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Lookalike {
    /// A spreadsheet in its program's own format.
    Spreadsheet,
    /// A packed archive.
    Archive,
    /// A PDF or word-processor document.
    Document,
    /// An HTML page.
    WebPage,
    /// XML.
    Xml,
    /// JSON.
    Json,
    /// A picture.
    Picture,
    /// A film.
    Video,
    /// A binary container of a calculation or animation program.
    Container,
}

/// Why a delimited text file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TextError {
    /// The file is of another kind.
    NotATable(Lookalike),
    /// Bytes that no text holds.
    Binary {
        /// 0-based offset of the first such byte.
        byte: usize,
    },
    /// No line holds three numbers.
    NoTable,
    /// A header, but no samples.
    NoRows,
    /// A table, but no columns that are the X, Y and Z of one point.
    NoTracks {
        /// 1-based line of the first row of numbers.
        line: u64,
        /// Columns of the table.
        columns: usize,
        /// First column label that was not understood; empty where there is no header.
        found: String,
    },
    /// Columns for X and Y, none for Z.
    Flat {
        /// 1-based line of the first row of numbers.
        line: u64,
        /// Track that lacks an axis.
        track: String,
    },
    /// Every position is empty or zero.
    NoData,
    /// Neither times nor a rate.
    NoTime,
    /// The time column goes backwards.
    TimeBackwards {
        /// 1-based line.
        line: u64,
        /// 0-based row of the table.
        row: usize,
        /// Time or frame number of the row before, as the file counts.
        before: f64,
        /// Time or frame number of this row.
        after: f64,
    },
    /// The rate in the options is not a positive number.
    BadRate {
        /// What was given, Hz.
        rate_hz: f64,
    },
    /// The comma separates columns and decimals alike.
    CommaTwice {
        /// 1-based line of the first row of numbers.
        line: u64,
        /// Columns in the header.
        header: usize,
        /// Cells in the row.
        cells: usize,
    },
    /// More columns than any capture has.
    TooManyColumns {
        /// 1-based line.
        line: u64,
        /// Cells found.
        columns: usize,
        /// Most that are read.
        limit: usize,
    },
    /// Far more cells announced than the file holds.
    TooSparse {
        /// Rows so far.
        rows: usize,
        /// Tracks.
        tracks: usize,
    },
}

impl TextError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            TextError::NotATable(kind) => kind.message(),
            TextError::Binary { byte } => Message::new("text.binary").at(Place::byte(*byte)),
            TextError::NoTable => Message::new("text.no_table"),
            TextError::NoRows => Message::new("text.no_rows"),
            TextError::NoTracks { line, columns, found } if found.is_empty() => {
                Message::new("text.no_tracks_bare").with("columns", *columns).at(Place::line(*line))
            }
            TextError::NoTracks { line, columns, found } => Message::new("text.no_tracks")
                .with("columns", *columns)
                .with("found", found.as_str())
                .at(Place::line(*line)),
            TextError::Flat { line, track } => {
                Message::new("text.flat").with("track", track.as_str()).at(Place::line(*line))
            }
            TextError::NoData => Message::new("text.no_data"),
            TextError::NoTime => Message::new("text.no_time"),
            TextError::TimeBackwards { .. } | TextError::CommaTwice { .. } => self.numbered(),
            TextError::BadRate { rate_hz } => Message::new("text.bad_rate").with("rate", *rate_hz),
            TextError::TooManyColumns { line, columns, limit } => Message::new("text.too_many_columns")
                .with("columns", *columns)
                .with("limit", *limit)
                .at(Place::line(*line)),
            TextError::TooSparse { rows, tracks } => {
                Message::new("text.too_sparse").with("rows", *rows).with("tracks", *tracks)
            }
        }
    }

    fn numbered(&self) -> Message {
        match self {
            TextError::TimeBackwards { line, row, before, after } => Message::new("text.time_backwards")
                .with("before", *before)
                .with("after", *after)
                .at(Place { row: Some(*row as u64), ..Place::line(*line) }),
            TextError::CommaTwice { line, header, cells } => {
                Message::new("text.comma_twice").with("header", *header).with("cells", *cells).at(Place::line(*line))
            }
            _ => Message::new("text.no_table"),
        }
    }
}

impl Lookalike {
    fn message(self) -> Message {
        match self {
            Lookalike::Spreadsheet => Message::new("text.not_a_table.spreadsheet"),
            Lookalike::Archive => Message::new("text.not_a_table.archive"),
            Lookalike::Document => Message::new("text.not_a_table.document"),
            Lookalike::WebPage => Message::new("text.not_a_table.web_page"),
            Lookalike::Xml => Message::new("text.not_a_table.xml"),
            Lookalike::Json => Message::new("text.not_a_table.json"),
            Lookalike::Picture => Message::new("text.not_a_table.picture"),
            Lookalike::Video => Message::new("text.not_a_table.video"),
            Lookalike::Container => Message::new("text.not_a_table.container"),
        }
    }
}
