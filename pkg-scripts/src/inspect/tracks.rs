//! The tracks as read, as a table: `row,time_s,NAME x,NAME y,NAME z,...`, metres, an empty cell for a gap.

use anyhow::Result;
use handpath::body::Scale;
use handpath::formats::{Recording, is_gap};
use handpath::signal::Grid;
use handpath::words::Message;
use std::io::Write;

/// Writes the table. A number has as many digits as it takes to read the same number back; divided by the metres of a
/// file unit it is the value that the file stores, to the last but one of 17 digits.
pub(super) fn write(recording: &Recording, scale: &Scale, out: impl Write) -> Result<()> {
    let mut table = csv::Writer::from_writer(out);
    let axes = |name: &str| ["x", "y", "z"].map(|axis| format!("{name} {axis}"));
    let names = recording.tracks.iter().flat_map(|track| axes(&track.name));
    table.write_record(["row", "time_s"].map(String::from).into_iter().chain(names))?;
    // The clock of the report: seconds from the first usable row.
    let first = Grid::of(recording, 1).ok().and_then(|grid| grid.row.first().copied()).unwrap_or(0);
    let start = recording.clock_s.get(first).copied().unwrap_or(0.0);
    for (k, clock) in recording.clock_s.iter().enumerate() {
        table.write_field((recording.first_row + k).to_string())?;
        table.write_field(number(clock - start))?;
        for (track, metres) in recording.tracks.iter().zip(&scale.metres) {
            let point = track.points[k];
            let cell = |x: f64| if is_gap(&point) { String::new() } else { number(x * metres) };
            point.iter().try_for_each(|x| table.write_field(cell(*x)))?;
        }
        table.write_record(None::<&[u8]>)?;
    }
    table.flush()?;
    Ok(())
}

/// Rust prints the shortest digits that give the same number back.
fn number(x: f64) -> String {
    format!("{x:?}")
}

/// Says how far the metres can be trusted.
pub(super) fn note(scale: &Scale) -> String {
    Message::new("inspect.tracks_scale")
        .with("metres", format!("{}", scale.metres_per_unit))
        .with("source", scale.source)
        .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use handpath::formats::{GAP, ReadOptions, Track, read};
    use handpath::settings::Corrections;

    const BVH: &str = "HIERARCHY\nROOT Hips\n{\nOFFSET 0 0 0\nCHANNELS 6 Xposition Yposition Zposition Zrotation \
        Yrotation Xrotation\nEnd Site\n{\nOFFSET 0 1 0\n}\n}\nMOTION\nFrames: 3\nFrame Time: 0.01\n1 2 3 0 0 0\n\
        1.1 2.2 3.3 0 0 0\n0.1 0.2 0.7 0 0 0\n";

    fn written(recording: &Recording) -> String {
        let corrections = Corrections { scale: Some(0.0254), ..Corrections::default() };
        let mut out = Vec::new();
        write(recording, &handpath::swing::scale(recording, &corrections), &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn the_table_restores_what_the_file_stores() {
        let mut recording = read(BVH.as_bytes(), &ReadOptions::default()).unwrap();
        recording.tracks.push(Track::marker("a, \"b\"", vec![[1.0, 2.0, 3.0], GAP, [0.1, 0.2, 0.3]]));
        let text = written(&recording);
        let mut table = csv::Reader::from_reader(text.as_bytes());
        let header: Vec<String> = table.headers().unwrap().iter().map(String::from).collect();
        assert_eq!(header[..5], ["row", "time_s", "Hips x", "Hips y", "Hips z"]);
        assert_eq!(header.last().unwrap(), "a, \"b\" z");
        let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 3);
        for (k, row) in rows.iter().enumerate() {
            assert_eq!(row[0], (recording.first_row + k).to_string());
            for (t, track) in recording.tracks.iter().enumerate() {
                for axis in 0..3 {
                    let cell = &row[2 + 3 * t + axis];
                    let stored = track.points[k][axis];
                    assert_eq!(cell.is_empty(), stored.is_nan());
                    let restored = cell.parse().unwrap_or(f64::NAN) / 0.0254;
                    assert!(stored.is_nan() || (restored - stored).abs() <= stored.abs() * f64::EPSILON, "{cell}");
                }
            }
        }
    }
}
