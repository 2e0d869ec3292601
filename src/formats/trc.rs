//! TRC: tab-separated marker table with a fixed header.
//!
//! ```text
//! PathFileType  4  (X/Y/Z)  file name              may be missing; 3 instead of 4 occurs
//! DataRate  CameraRate  NumFrames  NumMarkers  Units  OrigDataRate  OrigDataStartFrame  OrigNumFrames
//! 240       240         2          1           mm     240           1                   2
//! Frame#  Time   LWRA
//!                X1    Y1    Z1
//!                                                  a blank line, or none
//! 1       0.000  1.0   2.0   3.0
//! ```
//! Cells are separated by single tabs, and a missing marker is three empty cells: splitting at blanks would shift the
//! markers behind it. Files saved again by other programs have other delimiters; those are found as in any text table.

use super::text::{self, Delimiter, Facts, Known, TextError};
use super::{Axis, Format, ReadOptions, Recording, Watch};
use crate::letters::holds;
use crate::words::{Message, Place};

/// Why a TRC file could not be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TrcError {
    /// No samples.
    NoRows,
    /// No names and axes above the table.
    NoMarkers,
    /// The table cannot be read, for a reason any text table may have.
    Table(TextError),
}

impl TrcError {
    /// Key, parameters and place.
    pub fn message(&self) -> Message {
        match self {
            TrcError::NoRows => Message::new("trc.no_rows"),
            TrcError::NoMarkers => Message::new("trc.no_markers").at(Place::line(4)),
            TrcError::Table(error) => error.message(),
        }
    }
}

impl From<TextError> for TrcError {
    fn from(error: TextError) -> Self {
        match error {
            TextError::NoRows | TextError::NoTable => TrcError::NoRows,
            TextError::NoTracks { .. } => TrcError::NoMarkers,
            other => TrcError::Table(other),
        }
    }
}

/// Do these bytes start like this format?
pub(super) fn looks_like(bytes: &[u8]) -> bool {
    let start = text::beginning(bytes);
    let mut lines = start.lines().map(str::trim).filter(|line| !line.is_empty());
    let first = lines.next().unwrap_or_default().trim_matches('"').to_ascii_lowercase();
    first.starts_with("pathfiletype") || (first.starts_with("datarate") && holds(first.as_bytes(), b"nummarkers"))
}

/// Reads a TRC file.
pub(super) fn read(bytes: &[u8], options: &ReadOptions, watch: Watch<'_>) -> Result<Recording, TrcError> {
    let mut warnings = Vec::new();
    let text = text::decode(bytes, &mut warnings)?;
    let tabs = text.as_bytes().contains(&b'\t');
    let known = Known { delimiter: tabs.then_some(Delimiter::Tab), plain_names: true };
    let (mut recording, facts) = text::read_text(&text, known, options, warnings, watch)?;
    recording.format = Format::Trc;
    // Common practice for this format; the file itself does not say.
    recording.usual_up = Some(Axis::PlusY);
    if !tabs {
        recording.warnings.push(Message::new("trc.no_tabs"));
    }
    compare_counts(&mut recording, &facts);
    Ok(recording)
}

/// The table counts, not the header; a difference is told, since the file may be cut short.
fn compare_counts(recording: &mut Recording, facts: &Facts) {
    let (rows, markers) = (recording.rows(), recording.tracks.len());
    let differs = |stated: f64, found: usize| (stated - found as f64).abs() > 0.5;
    if let Some(stated) = facts.rows.filter(|stated| differs(*stated, rows)) {
        recording.warnings.push(Message::new("trc.frame_count").with("stated", stated).with("found", rows));
    }
    if let Some(stated) = facts.points.filter(|stated| differs(*stated, markers)) {
        recording.warnings.push(Message::new("trc.marker_count").with("stated", stated).with("found", markers));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::{LengthUnit, RateSource, ReadError, is_gap};

    const HEAD: &str = "PathFileType\t4\t(X/Y/Z)\tmy swing 1.trc\n\
        DataRate\tCameraRate\tNumFrames\tNumMarkers\tUnits\tOrigDataRate\tOrigDataStartFrame\tOrigNumFrames\n\
        100.00\t100.00\t     2\t2\tmm  \t100.00\t228\t936\t\n\
        Frame#\tTime\tR.Acc\t\t\tLeft Wrist\t\t\t\n\
        \t\tX1\tY1\tZ1\tX2\tY2\tZ2\t\n";
    const ROWS: &str = "228\t2.270\t1.5\t2.5\t3.5\t\t\t\t\n229\t2.280\t1.25\t2\t-3\t4\t5\t6\t\n";

    fn read_text(text: &str) -> Result<Recording, ReadError> {
        let recording = crate::formats::read(text.as_bytes(), &ReadOptions::default())?;
        assert_eq!(recording.broken_invariant(), None);
        assert_eq!(recording.format, Format::Trc);
        Ok(recording)
    }

    fn assert_is_the_sample(recording: &Recording) {
        assert_eq!(recording.clock_s, [2.27, 2.28]);
        assert_eq!((recording.rate_hz, recording.rate_source), (Some(100.0), RateSource::Stated));
        let names: Vec<&str> = recording.tracks.iter().map(|track| track.name.as_str()).collect();
        assert_eq!(names, ["R.Acc", "Left Wrist"]);
        assert!(recording.tracks.iter().all(|track| track.unit == Some(LengthUnit::Millimetre)));
        assert_eq!(recording.tracks[0].points, [[1.5, 2.5, 3.5], [1.25, 2.0, -3.0]]);
        assert!(is_gap(&recording.tracks[1].points[0]));
        assert_eq!(recording.tracks[1].points[1], [4.0, 5.0, 6.0]);
        assert_eq!((recording.up, recording.usual_up), (None, Some(Axis::PlusY)));
    }

    /// Layout facts: sample files of hsorby/trc-data-reader (no text of theirs is used here).
    #[test]
    fn ok_quirks_give_the_same_recording() {
        let plain = format!("{HEAD}{ROWS}");
        let without_first_line = plain.split_once('\n').unwrap().1.to_owned();
        for text in [
            plain.clone(),
            format!("{HEAD}\n{ROWS}"),
            format!("{HEAD}\t\t\t\t\t\t\t\t\n{ROWS}"),
            plain.replace("PathFileType\t4", "PathFileType\t3"),
            plain.replace('\n', "\r\n"),
            plain.replace('\n', "\r\r\n"),
            plain.replace("228\t2.270", "  228\t  2.270"),
            plain.replace("Left Wrist\t\t\t\n", "Left Wrist\n"),
            plain.replace("\tOrigDataStartFrame\tOrigNumFrames", "").replace("\t228\t936\t\n", "\n"),
            format!("{HEAD}{}", ROWS.replace('.', ",")),
            without_first_line,
        ] {
            let recording = read_text(&text).unwrap();
            assert_is_the_sample(&recording);
            assert_eq!(recording.warnings, [], "{text}");
        }
        let utf16: Vec<u8> = std::iter::once(0xFEFF).chain(plain.encode_utf16()).flat_map(u16::to_le_bytes).collect();
        assert_is_the_sample(&crate::formats::read(&utf16, &ReadOptions::default()).unwrap());
    }

    #[test]
    fn ok_units_negative_times_and_numbered_markers() {
        for (written, unit) in [
            ("m", LengthUnit::Metre),
            ("cm", LengthUnit::Centimetre),
            ("in", LengthUnit::Inch),
            ("ft", LengthUnit::Foot),
        ] {
            let recording = read_text(&format!("{}{ROWS}", HEAD.replace("mm  ", written))).unwrap();
            assert_eq!(recording.tracks[0].unit, Some(unit));
        }
        let early = format!(
            "{}1\t-0.010\t1\t2\t3\t4\t5\t6\n2\t0.000\t1\t2\t3\t4\t5\t6\n",
            HEAD.replace("R.Acc", "1").replace("Left Wrist", "2")
        );
        let recording = read_text(&early).unwrap();
        assert_eq!(recording.clock_s, [-0.01, 0.0]);
        assert_eq!(recording.tracks[1].name, "2");
    }

    #[test]
    fn ok_counts_are_taken_from_the_table() {
        let text = format!("{}{ROWS}", HEAD.replace("     2\t2\t", "678\t5\t"));
        let told: Vec<String> = read_text(&text).unwrap().warnings.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "The header states 678 frames, the table has 2. The table was read; the file may be cut short.",
                "The header states 5 markers, 2 have positions in the table.",
            ]
        );
    }

    #[test]
    fn ok_blanks_instead_of_tabs_are_told() {
        let text = "PathFileType 4 (X/Y/Z) a.trc\nDataRate CameraRate NumFrames NumMarkers Units\n60 60 2 2 m\n\
            Frame# Time LWRA RWRA\n X1 Y1 Z1 X2 Y2 Z2\n1 0.000 1 2 3 4 5 6\n2 0.0166667 1 2 3 4 5 7\n";
        let recording = read_text(text).unwrap();
        assert_eq!(recording.track("RWRA").unwrap().points, [[4.0, 5.0, 6.0], [4.0, 5.0, 7.0]]);
        assert_eq!(recording.tracks[0].unit, Some(LengthUnit::Metre));
        assert_eq!(
            recording.warnings[0].to_string(),
            "Cells are separated by blanks instead of tabs, so that a missing marker would shift the ones behind it."
        );
    }

    #[test]
    fn err_texts() {
        let error = |text: &str| read_text(text).unwrap_err().to_string();
        assert_eq!(error(HEAD), "The TRC file has a header but no rows of numbers. Export it again with the samples.");
        let nameless =
            HEAD.split_inclusive('\n').take(3).collect::<String>() + "Frame#\tTime\tA\tB\tC\n" + "1\t0\t1\t2\t3\n";
        assert_eq!(
            error(&nameless),
            "line 4: The TRC file has no marker names with axes X, Y, Z above its table. Export it again with its header."
        );
        assert_eq!(
            error(&format!("{HEAD}228\t2.2\t1\t2\t3\n229\t2.1\t1\t2\t3\n")),
            "line 7, row 1: Time goes backwards: 2.1000 follows 2.2000. Export one recording per file, in order of time."
        );
    }
}
