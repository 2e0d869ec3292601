//! Real recordings of the shared data folder: what its README says of each, and what must hold of any skeleton. Point by
//! point they are compared with outside readers in `tests/reference/recorded.py`.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, clippy::float_cmp)]

use handpath::formats::{Axis, LengthUnit, ReadOptions, Recording, is_gap, read};
use std::path::PathBuf;

fn shared(name: &str) -> Option<Recording> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data").join(name);
    let Ok(bytes) = std::fs::read(path) else {
        println!("skipped: no shared data");
        return None;
    };
    let recording = read(&bytes, &ReadOptions::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert_eq!(recording.broken_invariant(), None, "{name}");
    Some(recording)
}

fn missing(recording: &Recording) -> usize {
    recording.tracks.iter().flat_map(|track| &track.points).filter(|point| is_gap(point)).count()
}

fn keys(recording: &Recording) -> Vec<&str> {
    recording.warnings.iter().map(|warning| warning.key).collect()
}

#[test]
fn floats_with_many_gaps() {
    let Some(file) = shared("c3d/BTS.c3d") else { return };
    assert_eq!((file.tracks.len(), file.rows(), file.rate_hz), (22, 675, Some(100.0)));
    assert_eq!((missing(&file), file.stated_unit()), (7661, Some(LengthUnit::Millimetre)));
    assert!(keys(&file).is_empty());
}

#[test]
fn metres_with_analog_data() {
    let Some(file) = shared("c3d/FP_Type1.c3d") else { return };
    assert_eq!((file.tracks.len(), file.rows(), missing(&file)), (22, 634, 0));
    assert_eq!(file.stated_unit(), Some(LengthUnit::Metre));
    assert!(keys(&file).is_empty());
}

#[test]
fn two_frames_cut_out_of_a_longer_trial() {
    let Some(file) = shared("c3d/FP_Type3.c3d") else { return };
    assert_eq!((file.tracks.len(), file.rows(), missing(&file)), (34, 2, 0));
    // Frames 1166 and 1167 at 250 Hz; the screen axis has a minus, so it does not declare up.
    assert_eq!((file.clock_s[0], file.up, file.usual_up), (1165.0 / 250.0, None, Some(Axis::PlusZ)));
}

#[test]
fn anonymous_markers_of_a_file_cut_short() {
    let Some(file) = shared("c3d/Optotrak.c3d") else { return };
    assert_eq!((file.tracks.len(), missing(&file), file.rate_hz), (54, 59, Some(30.0)));
    assert!(file.tracks.iter().all(|track| track.unit == Some(LengthUnit::Millimetre)));
    // POINT:FRAMES says 1149, the file holds 29.
    assert_eq!((file.rows(), keys(&file)), (29, vec!["c3d.truncated", "c3d.empty_tracks"]));
}

#[test]
fn dec_words() {
    let Some(file) = shared("c3d/read_NOTworking2.c3d") else { return };
    assert_eq!((file.tracks.len(), file.rows(), file.rate_hz), (23, 670, Some(25.0)));
    for name in ["LSHO", "RSHO", "LWRA"] {
        assert!(file.track(name).is_some(), "{name}");
    }
    assert!(keys(&file).is_empty());
}

#[test]
fn bones_of_the_skeleton_keep_their_length() {
    for (name, rows) in [("golf/63_01_swing.bvh", 201), ("golf/63_01_address.bvh", 3)] {
        let Some(file) = shared(name) else { return };
        assert_eq!((file.rows(), file.first_row, file.usual_up), (rows, 0, Some(Axis::PlusY)));
        assert!(keys(&file).is_empty());
        for track in &file.tracks {
            let Some(parent) = track.parent else { continue };
            let length = |row: usize| {
                let (a, b) = (track.points[row], file.tracks[parent].points[row]);
                (0..3).map(|axis| (a[axis] - b[axis]).powi(2)).sum::<f64>().sqrt()
            };
            assert!((0..rows).all(|row| (length(row) - length(0)).abs() < 1e-9), "{name}: {}", track.name);
        }
    }
}
