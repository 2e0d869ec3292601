//! TRC: tab-separated marker table with a fixed header.

use crate::formats::{LengthUnit, Recording, is_gap};

/// Writes a recording as TRC: frame numbers from 1, the recording's clock, empty cells for a gap, a blank line after
/// the header. `file_name` goes into the first line. `decimals`: of the coordinates.
pub fn trc(recording: &Recording, file_name: &str, decimals: usize) -> Vec<u8> {
    let rate = super::rate_hz(recording);
    let (rows, tracks) = (recording.rows(), recording.tracks.len());
    let unit = recording.stated_unit().unwrap_or(LengthUnit::Millimetre).symbol();
    let mut out = format!(
        "PathFileType\t4\t(X/Y/Z)\t{file_name}\n\
         DataRate\tCameraRate\tNumFrames\tNumMarkers\tUnits\tOrigDataRate\tOrigDataStartFrame\tOrigNumFrames\n\
         {rate}\t{rate}\t{rows}\t{tracks}\t{unit}\t{rate}\t1\t{rows}\nFrame#\tTime"
    );
    for track in &recording.tracks {
        out.push_str(&format!("\t{}\t\t", track.name.replace(['\t', '\n', '\r'], " ")));
    }
    out.push_str("\n\t");
    for k in 1..=tracks {
        out.push_str(&format!("\tX{k}\tY{k}\tZ{k}"));
    }
    out.push_str("\n\n");
    for row in 0..rows {
        out.push_str(&format!("{}\t{:.6}", row + 1, recording.clock_s[row]));
        for point in recording.tracks.iter().map(|track| &track.points[row]) {
            match is_gap(point) {
                true => out.push_str("\t\t\t"),
                false => point.iter().for_each(|x| out.push_str(&format!("\t{}", super::fixed(*x, decimals)))),
            }
        }
        out.push('\n');
    }
    out.into_bytes()
}
