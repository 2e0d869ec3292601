//! Text tables: one recording in a matrix of dialects, and small files with what is expected of them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::{LengthUnit, RateSource, ReadOptions, Recording, is_gap, read};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Decimal texts of an invented recording: rows of two points; `None` is a gap.
const ROWS: [[Option<[&str; 3]>; 2]; 6] = [
    [Some(["-0.25", "1234.5", "3"]), Some(["0.001", "-7.125", "1e-3"])],
    [Some(["-0.3", "1233.75", "3.5"]), None],
    [Some(["-0.35", "1233", "4.0625"]), Some(["0.1", "0.2", "0.3"])],
    [None, Some(["0.7", "-0.8", "0.9"])],
    [Some(["-0.4", "1231.25", "5"]), Some(["1.5E+02", "0", "0"])],
    [Some(["-0.45", "1230.5", "5.5"]), Some(["1.6E+02", "0", "0.5"])],
];
const NAMES: [&str; 2] = ["student:LWRA", "Right Wrist"];
const RATE_HZ: f64 = 250.0;

#[derive(Clone, Copy, Debug)]
enum Head {
    Joined(&'static str),
    AxisFirst,
    MergedCells,
    RepeatedNames,
    TypesAndIdentifiers,
    OneRowPerPoint,
}

#[derive(Clone, Copy, Debug)]
enum Time {
    Seconds,
    Milliseconds,
    Stamp,
    Frame,
    FrameAndSeconds,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum UnitPlace {
    Nowhere,
    Preamble,
    Labels,
    Row,
}

#[derive(Clone, Copy, Debug)]
struct Dialect {
    delimiter: &'static str,
    comma: bool,
    head: Head,
    time: Time,
    unit: UnitPlace,
    gap: &'static str,
    line_end: &'static str,
    encoding: &'static str,
}

impl Dialect {
    fn cell(&self, text: &str) -> String {
        let text = if self.comma { text.replace('.', ",") } else { text.to_owned() };
        self.quoted(&text)
    }

    fn quoted(&self, text: &str) -> String {
        let blank = self.delimiter.trim().is_empty() && self.delimiter != "\t" && text.contains(' ');
        let hidden = text.contains(self.delimiter.trim_matches(' ')) && !self.delimiter.trim_matches(' ').is_empty();
        if blank || hidden { format!("\"{text}\"") } else { text.to_owned() }
    }

    fn leading_labels(&self) -> Vec<String> {
        let labels: &[&str] = match self.time {
            Time::Seconds => &["Time (s)"],
            Time::Milliseconds => &["time_ms"],
            Time::Stamp => &["timestamp"],
            Time::Frame => &["Frame"],
            Time::FrameAndSeconds => &["Frame#", "Time"],
        };
        labels.iter().map(|label| (*label).to_owned()).collect()
    }

    fn leading(&self, row: usize) -> Vec<String> {
        let ms = 4 * row;
        match self.time {
            Time::Seconds => vec![self.cell(&format!("0.{ms:03}"))],
            Time::Milliseconds => vec![format!("{ms}")],
            Time::Stamp => vec![format!("10:00:00.{ms:03}")],
            Time::Frame => vec![format!("{}", row + 1)],
            Time::FrameAndSeconds => vec![format!("{}", row + 1), self.cell(&format!("0.{ms:03}"))],
        }
    }

    fn header(&self) -> Vec<Vec<String>> {
        let axes = ["X", "Y", "Z"];
        let unit = if self.unit == UnitPlace::Labels { " (mm)" } else { "" };
        let leading = self.leading_labels();
        let lead = leading.len();
        let blanks = vec![String::new(); lead];
        let each = |label: &dyn Fn(&str, &str) -> String| -> Vec<String> {
            NAMES.iter().flat_map(|name| axes.iter().map(|axis| label(name, axis)).collect::<Vec<_>>()).collect()
        };
        let axis_row = || each(&|_, axis| format!("{axis}{unit}"));

        match self.head {
            Head::Joined(separator) => {
                vec![[leading, each(&|name, axis| format!("{name}{separator}{axis}{unit}"))].concat()]
            }
            Head::AxisFirst => vec![[leading, each(&|name, axis| format!("{axis}_{name}{unit}"))].concat()],
            Head::MergedCells => vec![
                [blanks.clone(), each(&|name, axis| if axis == "X" { name.to_owned() } else { String::new() })]
                    .concat(),
                [leading, axis_row()].concat(),
            ],
            Head::RepeatedNames => {
                vec![[leading, each(&|name, _| name.to_owned())].concat(), [blanks.clone(), axis_row()].concat()]
            }
            Head::TypesAndIdentifiers => vec![
                [vec!["Type".to_owned(); lead], each(&|_, _| "Marker".to_owned())].concat(),
                [vec!["Name".to_owned(); lead], each(&|name, _| name.to_owned())].concat(),
                [
                    vec!["ID".to_owned(); lead],
                    each(&|name, _| format!("{:x}", 0xA1B2_C3D4_E500_u64 + name.len() as u64)),
                ]
                .concat(),
                [blanks.clone(), each(&|_, _| "Position".to_owned())].concat(),
                [leading, axis_row()].concat(),
            ],
            Head::OneRowPerPoint => {
                vec![[leading, vec!["Marker".to_owned()], axes.map(|axis| format!("{axis}{unit}")).to_vec()].concat()]
            }
        }
    }

    fn lines(&self) -> Vec<String> {
        let mut lines = vec!["Invented recording".to_owned()];
        if matches!(self.time, Time::Frame | Time::FrameAndSeconds) {
            lines.push(format!("Frame rate:{}250", if self.delimiter == "," { " " } else { self.delimiter }));
        }
        if self.unit == UnitPlace::Preamble {
            lines.push(format!("Length units{}mm", self.delimiter));
        }
        let mut header = self.header();
        if self.unit == UnitPlace::Row {
            let lead = self.leading_labels().len();
            let width = header[0].len();
            let text = |at: usize| {
                let named = matches!(self.head, Head::OneRowPerPoint) && at == lead;
                if at < lead || named { String::new() } else { "mm".to_owned() }
            };
            header.push((0..width).map(text).collect());
        }
        lines.extend(header.iter().map(|row| self.joined(row)));
        for (at, row) in ROWS.iter().enumerate() {
            let mut line = self.leading(at);
            for (name, point) in NAMES.iter().zip(row) {
                let cells = point.map_or([self.gap.to_owned(), self.gap.to_owned(), self.gap.to_owned()], |p| {
                    p.map(|x| self.cell(x))
                });
                if matches!(self.head, Head::OneRowPerPoint) {
                    lines.push(self.joined(&[self.leading(at), vec![(*name).to_owned()], cells.to_vec()].concat()));
                } else {
                    line.extend(cells);
                }
            }
            if !matches!(self.head, Head::OneRowPerPoint) {
                lines.push(self.joined(&line));
            }
        }
        lines
    }

    fn joined(&self, cells: &[String]) -> String {
        let quote = |cell: &String| if cell.starts_with('"') { cell.clone() } else { self.quoted(cell) };
        cells.iter().map(quote).collect::<Vec<_>>().join(self.delimiter)
    }

    fn bytes(&self) -> Vec<u8> {
        let text = self.lines().iter().fold(String::new(), |all, line| all + line + self.line_end);
        let wide =
            |bytes: fn(u16) -> [u8; 2], mark: &str| format!("{mark}{text}").encode_utf16().flat_map(bytes).collect();
        match self.encoding {
            "UTF-8 with mark" => format!("\u{feff}{text}").into_bytes(),
            "UTF-16LE" => wide(u16::to_le_bytes, "\u{feff}"),
            "UTF-16BE" => wide(u16::to_be_bytes, "\u{feff}"),
            "UTF-16LE without mark" => wide(u16::to_le_bytes, ""),
            _ => text.into_bytes(),
        }
    }

    /// Empty cells cannot be seen between blanks, so those tables need words for gaps, and names in every cell.
    fn is_possible(&self) -> bool {
        let blanks = self.delimiter.trim().is_empty() && self.delimiter != "\t";
        let empty_cells = self.gap.is_empty()
            || self.unit == UnitPlace::Row
            || matches!(self.head, Head::MergedCells | Head::RepeatedNames | Head::TypesAndIdentifiers);
        !(blanks && empty_cells)
    }

    fn check(&self) {
        let bytes = self.bytes();
        let found = read(&bytes, &ReadOptions::default())
            .unwrap_or_else(|error| panic!("{self:?}: {error}\n{}", self.lines().join("\n")));
        let why = || format!("{self:?}\n{}\n{:?}", self.lines().join("\n"), found.warnings);
        assert_eq!(found.broken_invariant(), None);
        assert!(found.tracks.iter().map(|track| track.name.as_str()).eq(NAMES), "{}", why());
        assert_eq!(found.rate_hz, Some(RATE_HZ), "{}", why());
        let stated = matches!(self.time, Time::Frame | Time::FrameAndSeconds);
        assert_eq!(found.rate_source, if stated { RateSource::Stated } else { RateSource::TimeColumn }, "{}", why());
        let start = if matches!(self.time, Time::Stamp) { 36_000.0 } else { 0.0 };
        for (row, time) in found.clock_s.iter().enumerate() {
            assert!((time - start - 0.004 * row as f64).abs() < 1e-9, "{}", why());
        }
        for (track, points) in found.tracks.iter().enumerate() {
            let unit = (self.unit != UnitPlace::Nowhere).then_some(LengthUnit::Millimetre);
            assert_eq!(points.unit, unit, "{}", why());
            for (row, point) in points.points.iter().enumerate() {
                match ROWS[row][track] {
                    None => assert!(is_gap(point), "{}", why()),
                    // Exactly the number of the decimal text.
                    Some(texts) => assert_eq!(*point, texts.map(|text| text.parse::<f64>().unwrap()), "{}", why()),
                }
            }
        }
        let zeros = found.warnings.iter().filter(|warning| warning.key != "text.zero_points");
        assert_eq!(zeros.count(), 0, "{}", why());
    }
}

#[test]
fn one_recording_in_a_matrix_of_dialects() {
    let heads = [
        Head::Joined("_"),
        Head::Joined(" "),
        Head::Joined("."),
        Head::AxisFirst,
        Head::MergedCells,
        Head::RepeatedNames,
        Head::TypesAndIdentifiers,
        Head::OneRowPerPoint,
    ];
    let times = [Time::Seconds, Time::Milliseconds, Time::Stamp, Time::Frame, Time::FrameAndSeconds];
    let units = [UnitPlace::Nowhere, UnitPlace::Preamble, UnitPlace::Labels, UnitPlace::Row];
    let encodings = ["UTF-8", "UTF-8 with mark", "UTF-16LE", "UTF-16BE", "UTF-16LE without mark"];
    let (mut checked, mut read) = (0, 0);
    for delimiter in [",", ";", "\t", "|", " ", "   ", ", "] {
        for comma in [false, true] {
            for head in heads {
                for time in times {
                    for unit in units {
                        // The rest goes round: every value meets every other many times.
                        let gap = ["", "NaN", "NA", "0"][checked % 4];
                        let line_end = ["\n", "\r\n", "\r", "\r\r\n"][checked / 2 % 4];
                        let encoding = encodings[checked / 3 % encodings.len()];
                        let dialect = Dialect { delimiter, comma, head, time, unit, gap, line_end, encoding };
                        checked += 1;
                        if dialect.is_possible() && !(delimiter == ", " && comma) {
                            dialect.check();
                            read += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(read > 1500, "{read} dialects were read");
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/text")
}

/// Files of the folder that are tables, in the order of their names.
fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|end| end != "expected" && end != "md"));
    files.sort();
    files
}

/// What was read, for comparison by eye: first and last row of each track.
fn summary(found: &Recording) -> String {
    let mut out = String::new();
    let rate = found.rate_hz.map_or("no rate".to_owned(), |rate| format!("{rate:.4} Hz"));
    let (start, end) = (found.clock_s[0], found.clock_s[found.rows() - 1]);
    writeln!(
        out,
        "{:?}, {} rows, {rate}, {:?}, {start:.4} to {end:.4} s, up {:?}",
        found.format,
        found.rows(),
        found.rate_source,
        found.up
    )
    .unwrap();
    for track in &found.tracks {
        let unit = track.unit.map_or("?", LengthUnit::symbol);
        let ends = (track.points[0], track.points[found.rows() - 1]);
        writeln!(out, "{} [{unit}], {} present: {:?} ... {:?}", track.name, track.present(), ends.0, ends.1).unwrap();
    }
    found.warnings.iter().for_each(|warning| writeln!(out, "warning: {warning}").unwrap());
    out
}

/// `BLESS=1 cargo test --test readers_text` writes the expectations anew; look at the difference before you keep it.
#[test]
fn small_files_are_read_as_expected() {
    for path in files() {
        let bytes = std::fs::read(&path).unwrap();
        let found = match read(&bytes, &ReadOptions::default()) {
            Ok(found) => {
                assert_eq!(found.broken_invariant(), None, "{}", path.display());
                summary(&found)
            }
            Err(error) => format!("error: {error}\n"),
        };
        let expected = PathBuf::from(format!("{}.expected", path.display()));
        if std::env::var_os("BLESS").is_some() {
            std::fs::write(&expected, &found).unwrap();
        }
        assert_eq!(found, std::fs::read_to_string(&expected).unwrap_or_default(), "{}", path.display());
    }
}

#[test]
fn every_small_file_is_described() {
    let readme = std::fs::read_to_string(folder().join("README.md")).unwrap();
    let names: Vec<String> =
        files().iter().map(|path| path.file_name().unwrap().to_string_lossy().into_owned()).collect();
    assert!(names.len() >= 20);
    for name in names {
        assert!(readme.contains(&format!("`{name}`")), "{name} is not in the README");
    }
}
