//! Whole tables through the front door.

use crate::formats::hostile::{Random, survives, survives_mutations};
use crate::formats::{Axis, Format, LengthUnit, RateSource, ReadOptions, Recording, is_gap, read};
use crate::signal::Random as Numbers;

fn ok(text: &str) -> Recording {
    ok_with(text, None)
}

#[track_caller]
fn ok_with(text: &str, rate_hz: Option<f64>) -> Recording {
    match read(text.as_bytes(), &ReadOptions { rate_hz }) {
        Ok(recording) => {
            assert_eq!(recording.broken_invariant(), None);
            assert_eq!(recording.format, Format::Text);
            recording
        }
        Err(error) => panic!("{error}\n{text}"),
    }
}

#[track_caller]
fn err(text: &str) -> String {
    read(text.as_bytes(), &ReadOptions::default()).map(|found| format!("{found:?}")).unwrap_err().to_string()
}

fn names(recording: &Recording) -> Vec<&str> {
    recording.tracks.iter().map(|track| track.name.as_str()).collect()
}

fn told(recording: &Recording) -> Vec<String> {
    recording.warnings.iter().map(ToString::to_string).collect()
}

const BARE_ROWS: &str = "0,1,2,3,4,5,6\n0.01,1.5,2,3,4,5,6\n0.02,1,2,3,4,5,-6\n";

/// A header over `BARE_ROWS` gives the two tracks, and nothing odd.
#[track_caller]
fn assert_two_tracks(header: &str, units: Option<LengthUnit>) {
    let recording = ok(&format!("{header}\n{BARE_ROWS}"));
    assert_eq!(names(&recording), ["LWRA", "RWRA"], "{header}");
    assert_eq!(recording.tracks[0].points[1], [1.5, 2.0, 3.0]);
    assert_eq!(recording.tracks[1].points[2], [4.0, 5.0, -6.0]);
    assert_eq!(recording.clock_s, [0.0, 0.01, 0.02]);
    assert_eq!((recording.rate_hz, recording.rate_source), (Some(100.0), RateSource::TimeColumn));
    assert!(recording.tracks.iter().all(|track| track.unit == units), "{header}");
    assert_eq!(told(&recording), [""; 0], "{header}");
}

#[test]
fn ok_one_header_row() {
    for header in [
        "time,LWRA_X,LWRA_Y,LWRA_Z,RWRA_X,RWRA_Y,RWRA_Z",
        "Time (s),LWRA X,LWRA Y,LWRA Z,RWRA X,RWRA Y,RWRA Z",
        "t,LWRA.x,LWRA.y,LWRA.z,RWRA.x,RWRA.y,RWRA.z",
        "t [s],LWRA:X,LWRA:Y,LWRA:Z,RWRA:X,RWRA:Y,RWRA:Z",
        "time_s,LWRAX,LWRAY,LWRAZ,RWRAX,RWRAY,RWRAZ",
        "seconds,LWRAx,LWRAy,LWRAz,RWRAx,RWRAy,RWRAz",
        "Time,X_LWRA,Y_LWRA,Z_LWRA,X_RWRA,Y_RWRA,Z_RWRA",
        "Time,pos_x_LWRA,pos_y_LWRA,pos_z_LWRA,pos_x_RWRA,pos_y_RWRA,pos_z_RWRA",
        "Time,LWRA Tx,LWRA Ty,LWRA Tz,RWRA Tx,RWRA Ty,RWRA Tz",
        "Time,LWRA_position_x,LWRA_position_y,LWRA_position_z,RWRA_position_x,RWRA_position_y,RWRA_position_z",
        "Time,LWRA (X),LWRA (Y),LWRA (Z),RWRA (X),RWRA (Y),RWRA (Z)",
        "Time,LWRA-X,LWRA-Y,LWRA-Z,RWRA-X,RWRA-Y,RWRA-Z",
        "Time,LWRA[0],LWRA[1],LWRA[2],RWRA[0],RWRA[1],RWRA[2]",
        "# Time,LWRA_X,LWRA_Y,LWRA_Z,RWRA_X,RWRA_Y,RWRA_Z",
        "\"Time\",\"LWRA_X\",\"LWRA_Y\",\"LWRA_Z\",\"RWRA_X\",\"RWRA_Y\",\"RWRA_Z\"",
        "\"Time\n(s)\",\"LWRA\nX\",\"LWRA\nY\",\"LWRA\nZ\",\"RWRA\nX\",\"RWRA\nY\",\"RWRA\nZ\"",
        "Some title\n\nSubject,student\nTime,LWRA_X,LWRA_Y,LWRA_Z,RWRA_X,RWRA_Y,RWRA_Z",
    ] {
        assert_two_tracks(header, None);
    }
    for header in [
        "time,LWRA X [mm],LWRA Y [mm],LWRA Z [mm],RWRA X [mm],RWRA Y [mm],RWRA Z [mm]",
        "time,LWRA_x_mm,LWRA_y_mm,LWRA_z_mm,RWRA_x_mm,RWRA_y_mm,RWRA_z_mm",
        "Units: mm\ntime,LWRA_x,LWRA_y,LWRA_z,RWRA_x,RWRA_y,RWRA_z",
        "time,LWRA_x,LWRA_y,LWRA_z,RWRA_x,RWRA_y,RWRA_z\ns,mm,mm,mm,mm,mm,mm",
        "time,LWRA_x,LWRA_y,LWRA_z,RWRA_x,RWRA_y,RWRA_z\n(s),(mm),(mm),(mm),(mm),(mm),(mm)",
    ] {
        assert_two_tracks(header, Some(LengthUnit::Millimetre));
    }
}

#[test]
fn ok_columns_counted_from_one_are_told() {
    let recording = ok(&format!("Time,LWRA_1,LWRA_2,LWRA_3,RWRA_1,RWRA_2,RWRA_3\n{BARE_ROWS}"));
    assert_eq!(names(&recording), ["LWRA", "RWRA"]);
    assert_eq!(recording.track("RWRA").unwrap().points[0], [4.0, 5.0, 6.0]);
    assert_eq!(
        told(&recording),
        ["The header names no axes. Three columns under one name were taken as X, Y and Z in this order (tracks: 2)."]
    );
}

#[test]
fn ok_numbers_of_markers_are_no_axes() {
    let header = "Time,LWRA_1,LWRA_2,LWRA_3,RWRA_X,RWRA_Y,RWRA_Z";
    assert_eq!(names(&ok(&format!("{header}\n{BARE_ROWS}"))), ["RWRA"]);
    for header in ["Time,a_1,a_2,a_4,b_1,b_2,b", "Time,a_1,a_2,a_3,a_4,b_1,b_2", "Time,Angle_1,Angle_2,Angle_3,a,b,c"] {
        let told = err(&format!("{header}\n{BARE_ROWS}"));
        assert!(told.contains("No positions were found"), "{header}: {told}");
    }
}

#[test]
fn ok_several_header_rows() {
    for header in [
        ",LWRA,,,RWRA,,\nTime,X,Y,Z,X,Y,Z",
        "Time,LWRA,LWRA,LWRA,RWRA,RWRA,RWRA\n,X,Y,Z,X,Y,Z",
        "Time,LWRA,,,RWRA,,\n,X1,Y1,Z1,X2,Y2,Z2",
        "Name,LWRA,LWRA,LWRA,RWRA,RWRA,RWRA\nTime (Seconds),X,Y,Z,X,Y,Z",
        "Type,Marker,Marker,Marker,Marker,Marker,Marker\nName,LWRA,LWRA,LWRA,RWRA,RWRA,RWRA\nID,1,1,1,2,2,2\n,Position,Position,Position,Position,Position,Position\nTime,X,Y,Z,X,Y,Z",
        "Name,LWRA,LWRA,LWRA,RWRA,RWRA,RWRA\nID,A1B2C3D4E5,A1B2C3D4E5,A1B2C3D4E5,B1B2C3D4E5,B1B2C3D4E5,B1B2C3D4E5\n,Position,,,Position,,\nTime,X,Y,Z,X,Y,Z",
        "Take 1,,,,,,\n,LWRA,,,RWRA,,\nTime,X,Y,Z,X,Y,Z",
        ",X,Y,Z,X,Y,Z\nTime,LWRA,,,RWRA,,",
        ",,LWRA,,,RWRA,\nTime,X,Y,Z,X,Y,Z",
    ] {
        assert_two_tracks(header, None);
    }
    for header in [
        ",LWRA,,,RWRA,,\n,X,Y,Z,X,Y,Z\ns,mm,mm,mm,mm,mm,mm",
        "Time,LWRA,,,RWRA,,\n(s),X (mm),Y (mm),Z (mm),X (mm),Y (mm),Z (mm)",
        "Time (s),LWRA (mm),,,RWRA (mm),,\n,X,Y,Z,X,Y,Z",
        "Frame Rate,100\nUnits,mm\n\nTime,LWRA,,,RWRA,,\n,X,Y,Z,X,Y,Z",
    ] {
        let recording = ok(&format!("{header}\n{BARE_ROWS}"));
        assert_eq!(names(&recording), ["LWRA", "RWRA"], "{header}");
        assert!(recording.tracks.iter().all(|track| track.unit == Some(LengthUnit::Millimetre)), "{header}");
        assert_eq!(told(&recording), [""; 0], "{header}");
    }
}

#[test]
fn ok_names_without_axes_are_told() {
    for header in
        ["time,LWRA,,,RWRA,,", "time,LWRA,LWRA,LWRA,RWRA,RWRA,RWRA", "time,LWRA,LWRA.1,LWRA.2,RWRA,RWRA.1,RWRA.2"]
    {
        let recording = ok(&format!("{header}\n{BARE_ROWS}"));
        assert_eq!(names(&recording), ["LWRA", "RWRA"]);
        assert_eq!(
            told(&recording),
            [
                "The header names no axes. Three columns under one name were taken as X, Y and Z in this order (tracks: 2)."
            ]
        );
    }
}

#[test]
fn ok_no_header_is_told() {
    let recording = ok(BARE_ROWS);
    assert_eq!(names(&recording), ["point 1", "point 2"]);
    assert_eq!(recording.clock_s, [0.0, 0.01, 0.02]);
    assert_eq!(
        told(&recording),
        ["The table has no header. Its columns were taken as X, Y and Z of one point after the other (points: 2)."]
    );
    let framed = ok_with("1 0.5 1 2\n2 0.5 1 2\n3 0.5 1 3\n", Some(50.0));
    assert_eq!(framed.clock_s, [0.0, 0.02, 0.04]);
    assert_eq!(ok_with("0.5 1 2\n0.5 1 2\n0.4 1 3\n", Some(50.0)).rows(), 3);
}

#[test]
fn ok_names_listed_above_the_numbers() {
    let rows = "1\t2\t3\t4\t5\t6\n1.5\t2\t3\t4\t5\t6\n1\t2\t3\t4\t5\t-6\n";
    for list in ["MARKER_NAMES\tLSHO\tRSHO\n", "NO_OF_MARKERS\t2\nMarkers:\tLSHO\tRSHO\t\nLENGTH_UNIT\tMM\n"] {
        let recording = ok(&format!("FREQUENCY\t100\n{list}{rows}"));
        assert_eq!(names(&recording), ["LSHO", "RSHO"]);
        assert_eq!(told(&recording), Vec::<String>::new());
        assert_eq!((recording.rows(), recording.tracks[1].points[2][2]), (3, -6.0));
    }
    // A list of another length names nothing.
    let recording = ok(&format!("FREQUENCY\t100\n\nMARKER_NAMES\tLSHO\n\n{rows}"));
    assert_eq!(recording.tracks.len(), 2);
}

#[test]
fn ok_one_point_without_a_name() {
    let recording = ok("t,x,y,z\n0,1,2,3\n0.01,1,2,3\n");
    assert_eq!(names(&recording), ["point"]);
    let recording = ok("t,x (mm),y (mm),z (mm)\n0,1,2,3\n0.01,1,2,3\n");
    assert_eq!(recording.tracks[0].unit, Some(LengthUnit::Millimetre));
}

#[test]
fn ok_other_quantities_are_left_out_and_told() {
    let recording =
        ok("time,Club_x,Club_y,Club_z,Club_rx,Club_ry,Club_rz,Club_qx,Club_qy,Club_qz,Club_qw,Club_confidence\n\
        0,1,2,3,4,5,6,7,8,9,10,11\n0.01,1,2,3,4,5,6,7,8,9,10,11\n");
    assert_eq!(names(&recording), ["Club"]);
    assert_eq!(recording.tracks[0].points[0], [1.0, 2.0, 3.0]);
    assert_eq!(told(&recording), ["Columns that are no positions and were left out: 8 (first: \"Club_rx\")."]);
    let rows = "Name,,Club,Club,Club,Club,Club,Club,Club\n,,Rotation,Rotation,Rotation,Rotation,Position,Position,Position\n\
        Frame,Time (Seconds),X,Y,Z,W,X,Y,Z\n0,0,1,2,3,4,5,6,7\n1,0.01,1,2,3,4,5,6,7\n";
    let recording = ok(rows);
    assert_eq!(names(&recording), ["Club"]);
    assert_eq!(recording.tracks[0].points[0], [5.0, 6.0, 7.0]);
}

#[test]
fn ok_frames_with_a_stated_rate() {
    let rows = "1,0,1,2,3\n2,0,1,2,3\n3,0,1,2,4\n";
    for head in [
        "Trajectories\n240\n,,student:LWRA,,\nFrame,Sub Frame,X,Y,Z\n,,mm,mm,mm\n",
        "Frame Rate,240\nUnits,mm\nFrame,Sub Frame,student:LWRA X,student:LWRA Y,student:LWRA Z\n",
        "Format Version,1.2,Take Name,a,Capture Frame Rate,120.0,Export Frame Rate,240.0,Length Units,Millimeters\n\n,,student:LWRA,student:LWRA,student:LWRA\nFrame,Sub Frame,X,Y,Z\n",
        "# SampleRate=240 Hz\n# units: mm\nFrame,Sub Frame,student:LWRA_x,student:LWRA_y,student:LWRA_z\n",
    ] {
        let recording = ok(&format!("{head}{rows}"));
        assert_eq!(names(&recording), ["student:LWRA"], "{head}");
        assert_eq!(recording.clock_s, [0.0, 1.0 / 240.0, 2.0 / 240.0]);
        assert_eq!((recording.rate_hz, recording.rate_source), (Some(240.0), RateSource::Stated));
        assert_eq!(recording.tracks[0].unit, Some(LengthUnit::Millimetre));
        assert_eq!(told(&recording), [""; 0], "{head}");
    }
    let user = ok_with("Frame,x,y,z\n10,1,2,3\n12,1,2,3\n", Some(100.0));
    assert_eq!((user.clock_s, user.rate_source), (vec![0.09, 0.11], RateSource::User));
}

#[test]
fn ok_sections_before_and_behind_are_passed_over() {
    let text = "Devices\n1000\nFrame,Sub Frame,Fx,Fy,Fz\n1,0,1,2,3\n1,1,1,2,3\n2,0,1,2,3\n2,1,1,2,3\n\n\
        Trajectories\n240\n,,LWRA,,,RWRA,,\nFrame,Sub Frame,X,Y,Z,X,Y,Z\n,,mm,mm,mm,mm,mm,mm\n1,0,1,2,3,4,5,6\n2,0,1,2,3,4,5,6\n3,0,1,2,3,4,5,6\n\n\
        Events\nfoot,0.2\n";
    let recording = ok(text);
    assert_eq!(names(&recording), ["LWRA", "RWRA"]);
    assert_eq!(recording.rate_hz, Some(240.0));
    assert_eq!(told(&recording), ["line 18: The table ends here. Lines after it that were not read: 2."]);
}

#[test]
fn ok_one_row_per_sample_and_point() {
    let by_sample = "time,marker,x,y,z\n0,LWRA,1,2,3\n0,Left Toe,4,5,6\n0.01,LWRA,1,2,4\n0.01,Left Toe,4,5,7\n";
    let by_marker = "marker,x,y,z,time\nLWRA,1,2,3,0\nLWRA,1,2,4,0.01\nLeft Toe,4,5,6,0\nLeft Toe,4,5,7,0.01\n";
    for text in [by_sample, by_marker] {
        let recording = ok(text);
        assert_eq!(names(&recording), ["LWRA", "Left Toe"]);
        assert_eq!(recording.clock_s, [0.0, 0.01]);
        assert_eq!(recording.tracks[1].points, [[4.0, 5.0, 6.0], [4.0, 5.0, 7.0]]);
        assert_eq!(told(&recording), [""; 0]);
    }
    let recording = ok("frame,landmark,x,y,z\n0,11,1,2,3\n0,12,1,2,3\n1,11,1,2,3\n1,11,9,9,9\n2,12,1,2,3\n# fps 30\n"
        .replace("# fps 30\n", "")
        .as_str()
        .replacen("frame", "# fps: 30\nframe", 1)
        .as_str());
    assert_eq!(names(&recording), ["11", "12"]);
    assert!(is_gap(&recording.tracks[0].points[2]));
    assert_eq!(
        told(&recording),
        ["line 6: Rows without a time or name, or that repeat a point of the same sample, left out: 1."]
    );
}

#[test]
fn ok_time_units() {
    let table = |label: &str, times: [&str; 3]| {
        format!("{label},x,y,z\n{},1,2,3\n{},1,2,3\n{},1,2,3\n", times[0], times[1], times[2])
    };
    for (label, times) in [
        ("Time [ms]", ["0", "10", "20"]),
        ("time_ms", ["0", "10", "20"]),
        ("timestamp_us", ["0", "10000", "20000"]),
        ("Time", ["10:00:00.000", "10:00:00.010", "10:00:00.020"]),
        ("timestamp", ["2026-11-25T10:00:00.000Z", "2026-11-25T10:00:00.010Z", "2026-11-25T10:00:00.020Z"]),
        ("timestamp", ["2026-11-25 10:00:00.000", "2026-11-25 10:00:00.010", "2026-11-25 10:00:00.020"]),
        ("Time", ["23:59:59.990", "00:00:00.000", "00:00:00.010"]),
    ] {
        let recording = ok(&table(label, times));
        let span = recording.clock_s[2] - recording.clock_s[0];
        assert!((span - 0.02).abs() < 1e-6, "{label}: {:?}", recording.clock_s);
        assert!((recording.rate_hz.unwrap() - 100.0).abs() < 0.01, "{label}: {:?}", recording.rate_hz);
        assert_eq!(told(&recording), [""; 0], "{label}");
    }
    let guessed = ok(&table("time", ["0", "10", "20"]));
    assert_eq!(guessed.clock_s, [0.0, 0.01, 0.02]);
    assert_eq!(
        told(&guessed),
        ["The unit of the time column is not stated. Its step of 10.000 fits ms, and was read so."]
    );
    let counted = ok_with(&table("t", ["0", "1", "2"]), Some(240.0));
    assert_eq!(counted.clock_s, [0.0, 1.0 / 240.0, 2.0 / 240.0]);
    let slow = ok(&table("time (s)", ["0", "4", "8"]));
    assert_eq!(
        told(&slow),
        ["The time column steps by 4.000 s, too slow for a swing. Check whether its unit is milliseconds."]
    );
}

#[test]
fn ok_steps_too_short_to_count_are_repeats() {
    let recording = ok("rate,100\n\nframe,A_x,A_y,A_z\n9007199254740992,1,2,3\n9007199254740994,1,2,4\n");
    assert_eq!(recording.broken_invariant(), None);
    let recording = ok("time,A_x,A_y,A_z\n0,1,2,3\n0.1e-320,1,2,4\n1e-15,1,2,4\n");
    assert_eq!((recording.rows(), recording.rate_hz), (1, None));
    assert!(told(&recording)[0].contains("time"), "{:?}", told(&recording));
}

#[test]
fn ok_rounded_times_give_an_even_clock() {
    let rows: String = (0..100).map(|k| format!("{:.2},{k},2,3\n", f64::from(k) / 240.0)).collect();
    let recording = ok(&format!("time,x,y,z\n{rows}"));
    assert_eq!((recording.rows(), recording.rate_hz), (100, Some(240.0)));
    assert!((recording.clock_s[99] - 99.0 / 240.0).abs() < 1e-12);
    assert_eq!(
        told(&recording),
        [
            "Times are rounded to 10.000 ms, too coarse for their steps. An even clock of 240.000 Hz, which fits them, was used."
        ]
    );
    let rows: String = (0..200).map(|k| format!("{},{:.3},{k},2,3\n", k + 1, f64::from(k) / 240.0)).collect();
    let recording = ok(&format!("frame,time,x,y,z\n{rows}"));
    assert_eq!(recording.rate_hz, Some(240.0));
}

#[test]
fn ok_odd_times_are_told() {
    let recording = ok("time,x,y,z\n0,1,2,3\n0.01,1,2,3\n0.01,1,2,3\n0.02,1,2,3\n,1,2,3\n0.05,1,2,4\n");
    assert_eq!(recording.clock_s, [0.0, 0.01, 0.02, 0.05]);
    assert_eq!(
        told(&recording),
        [
            "line 6: Rows without a time or frame number, left out: 1.",
            "line 4: Rows with the time or frame number of the row before, left out: 1.",
            "Time steps that differ by more than a tenth from the usual 10.000 ms: 1. Rows may be missing.",
        ]
    );
    let recording = ok("rate: 200\ntime,x,y,z\n0,1,2,3\n0.01,1,2,3\n0.02,1,2,3\n");
    assert_eq!((recording.rate_hz, recording.rate_source), (Some(100.0), RateSource::TimeColumn));
    assert_eq!(
        told(&recording),
        ["The file states 200.00 Hz, its time column runs at 100.00 Hz. The time column was used."]
    );
}

#[test]
fn ok_gaps_of_every_kind() {
    let recording = ok("t,A_x,A_y,A_z,B_x,B_y,B_z,C_x,C_y,C_z\n0,1,2,3,1,1,1,0,0,0\n0.01,,,,NaN,NaN,NaN,0,0,0\n\
        0.02,0,0,0,NA,null,-,0,0,0\n0.03,-9999,-9999,-9999,1,2,oops,0,0,0\n0.04,0,0,1,1,1,1,0,0,0\n");
    assert_eq!(names(&recording), ["A", "B"]);
    let present = |track: usize| -> Vec<bool> { recording.tracks[track].points.iter().map(|p| !is_gap(p)).collect() };
    assert_eq!(present(0), [true, false, false, false, true]);
    assert_eq!(present(1), [true, false, false, false, true]);
    assert_eq!(
        told(&recording),
        [
            "line 5, column 7: Cells that are no numbers, such as \"oops\", read as gaps: 1.",
            "track \"A\": Points at exactly (0, 0, 0), read as gaps: 6.",
            "track \"A\": Points with -9999.00 in all three coordinates, read as gaps: 1.",
            "track \"B\": Points with only one or two coordinates, read as gaps: 1.",
            "Tracks that are zero throughout and were left out: 1 (first: \"C\").",
        ]
    );
}

#[test]
fn ok_ragged_rows_are_told() {
    let recording = ok("t,A_x,A_y,A_z,B_x,B_y,B_z\n0,1,2,3,4,5,6\n0.01,1,2,3\n0.02,1,2,3,4,5,6,7\n0.03,1,2,3,4,5,6,\n");
    assert!(is_gap(&recording.tracks[1].points[1]));
    assert_eq!(
        told(&recording),
        [
            "line 3, column 5: Rows with fewer cells than the table has columns: 1. What is missing was read as gaps.",
            "line 4, column 8: Rows with more cells than the table has columns: 1. The surplus cells were left out.",
        ]
    );
    let trailing = ok("t,x,y,z,\n0,1,2,3,\n0.01,1,2,3,\n");
    assert_eq!(told(&trailing), [""; 0]);
}

#[test]
fn ok_names_twice_and_units_apart() {
    let recording = ok("t,A_x,A_y,A_z,A_x,A_y,A_z\n0,1,2,3,4,5,6\n0.01,1,2,3,4,5,6\n");
    assert_eq!(names(&recording), ["A", "A 2"]);
    assert_eq!(
        told(&recording),
        ["track \"A\": Track names that occur more than once: 1. The later ones got a number."]
    );
    let recording = ok("t,A_x (mm),A_y (mm),A_z (m),B_x (m),B_y (m),B_z (m)\n0,1,2,3,4,5,6\n0.01,1,2,3,4,5,6\n");
    assert_eq!(names(&recording), ["B"]);
    assert_eq!(
        told(&recording)[0],
        "Tracks whose axes are in different length units and that were left out: 1 (first: \"A\")."
    );
}

#[test]
fn ok_blank_separated_tables() {
    let rows = "0 1 2 3 4 5 6\n0.01 1 2 3 4 5 6\n0.02 1 2 3 4 5 7\n";
    for header in [
        "# time LWRA_x LWRA_y LWRA_z RWRA_x RWRA_y RWRA_z",
        "time  LWRA X  LWRA Y  LWRA Z  RWRA X  RWRA Y  RWRA Z",
        "time LWRA RWRA\n X Y Z X Y Z",
        "Time LWRA RWRA\n(s) X Y Z X Y Z\n",
        "# recorded at 100 Hz\ntime LWRA_x LWRA_y LWRA_z RWRA_x RWRA_y RWRA_z",
    ] {
        let recording = ok(&format!("{header}\n{rows}"));
        assert_eq!(names(&recording), ["LWRA", "RWRA"], "{header}");
        assert_eq!(recording.clock_s.len(), 3);
        assert_eq!(told(&recording), [""; 0], "{header}");
    }
    let counted = ok("time LWRA_x LWRA_y LWRA_z\n1 0 1 2 3\n2 0.01 1 2 3\n3 0.02 1 2 3\n");
    assert_eq!(counted.clock_s, [0.0, 0.01, 0.02]);
}

#[test]
fn ok_pandas_index_and_stated_up() {
    let recording = ok("up axis: Z\n,time,x,y,z\n0,0.5,1,2,3\n1,0.51,1,2,3\n2,0.52,1,2,3\n");
    assert_eq!((recording.clock_s[0], recording.up), (0.5, Some(Axis::PlusZ)));
}

#[test]
fn ok_thousands_are_told() {
    let recording = ok("t;x;y;z\n0,00;1.234,5;2,0;3,0\n0,01;1.234,5;2,0;3,0\n");
    assert_eq!(recording.tracks[0].points[0], [1234.5, 2.0, 3.0]);
    assert_eq!(
        told(&recording),
        ["line 2, column 2: Numbers with thousands separators, such as \"1.234,5\": 2. The separators were dropped."]
    );
}

#[test]
fn err_texts() {
    assert_eq!(
        err("hello world\n"),
        "No table of numbers was found: a table has rows with at least three numbers. Export positions as a table with one row per sample."
    );
    assert_eq!(
        err("time,LWRA_x,LWRA_y,LWRA_z\n"),
        "The table has a header but no rows of numbers. Export it again with the samples."
    );
    assert_eq!(
        err("time,force,power,temperature\n0,1,2,3\n1,1,2,3\n"),
        "line 2: No positions were found in this table of 4 columns: a point needs three columns for X, Y and Z, such as \"LWRA X\", \"LWRA Y\", \"LWRA Z\"; the first other label is \"force\". Export marker or joint positions."
    );
    assert_eq!(
        err("3,1,2,3,4,5\n2,1,2,3,4,5\n"),
        "line 1: The table has no time column, and no sampling rate is stated. State the rate in Hz."
            .trim_start_matches("line 1: ")
    );
    assert_eq!(
        err("3,1,2,3\n2,1,2,3\n"),
        "line 1: This table has 4 columns and no header that names them. Export it with a header such as \"time, LWRA X, LWRA Y, LWRA Z\"."
    );
    assert_eq!(
        err("t,LWRA_x,LWRA_y\n0,1,2\n0.1,1,2\n"),
        "line 2: Track \"LWRA\" has columns for X and Y, but none for Z. Export three-dimensional positions."
    );
    assert_eq!(
        err("t,x,y,z\n0,0,0,0\n0.1,,,\n"),
        "Every position in the table is empty or zero. Export it again with the recorded positions."
    );
    assert_eq!(
        err("frame,x,y,z\n1,1,2,3\n2,1,2,3\n"),
        "The table has no time column, and no sampling rate is stated. State the rate in Hz."
    );
    assert_eq!(
        err("t,x,y,z\n0.1,1,2,3\n0.2,1,2,3\n0.1,1,2,3\n"),
        "line 4, row 2: Time goes backwards: 0.1000 follows 0.2000. Export one recording per file, in order of time."
    );
    assert_eq!(
        err("t,x,y,z\n0,1,1,5,2,5,3,5\n0,2,1,5,2,5,3,5\n"),
        "line 2: The comma seems to separate both columns and decimals: the header has 4 columns, this row 8 cells. Export with a semicolon or tab between columns, or with decimal points."
    );
    let wide = "1,".repeat(20_001);
    assert_eq!(
        err(&format!("{wide}\n{wide}\n")),
        "line 1: This line has 20002 cells; at most 20000 are read. Export fewer tracks."
    );
    let names: String = (0..6000).map(|at| format!("M{at}_x,M{at}_y,M{at}_z,")).collect();
    let full = "1,".repeat(18_000);
    let sparse = format!("{names}t\n{full}\n{full}\n{full}\n{}", "1,2,3\n".repeat(2000));
    assert_eq!(
        read(sparse.as_bytes(), &ReadOptions { rate_hz: Some(100.0) }).unwrap_err().to_string(),
        "The table is nearly empty: 113 rows of 6000 tracks would be far more cells than the file holds. Export it again as a full table."
    );
    assert_eq!(
        read(b"x,y,z\n1,2,3\n", &ReadOptions { rate_hz: Some(-1.0) }).unwrap_err().to_string(),
        "The rate -1.00 Hz is not a positive number. State the sampling rate of the recording."
    );
    assert_eq!(
        err("abc\0def"),
        "byte 3: This is not text: there are bytes that no text holds. Export the recording as CSV, TRC, C3D or BVH."
    );
}

#[test]
fn err_texts_of_other_files() {
    let text = |bytes: &[u8]| read(bytes, &ReadOptions::default()).unwrap_err().to_string();
    for (bytes, wanted) in [
        (
            &b"PK\x03\x04..xl/workbook.xml"[..],
            "This is a spreadsheet file. Open it in its program and export it as CSV.",
        ),
        (b"PK\x03\x04..swing.csv", "This is a packed archive. Unpack it and choose a file from it."),
        (b"%PDF-1.7", "This is a document (PDF or word processor). Export the recording as CSV, TRC, C3D or BVH."),
        (
            b"<html>",
            "This is a web page, perhaps a log-in page saved instead of the file. Download the export file again.",
        ),
        (b"<?xml?>", "This is an XML file. Export the recording as CSV, TRC, C3D or BVH."),
        (b"{\"a\":1}", "This is a JSON file. Export the recording as CSV, TRC, C3D or BVH."),
        (b"\x89PNG\r\n", "This is a picture. Choose the file with the recorded positions."),
        (b"\0\0\0\x18ftypmp42", "This is a video. Choose the file with the recorded 3-D positions."),
        (b"\x89HDF\r\n", "This is the binary file of another program. Export the recording as CSV, TRC, C3D or BVH."),
    ] {
        assert_eq!(text(bytes), wanted);
    }
}

#[test]
fn hostile_tables_do_no_harm() {
    let rows: String = (0..20).map(|k| format!("{k};{},5;2,5;3,5;;;\n", k * 10)).collect();
    survives_mutations(format!("Rate;240\nUnits;mm\n;A;;;B;;\nFrame;X;Y;Z;X;Y;Z\n{rows}").as_bytes(), 2000);
    let rows: String = (0..20).map(|k| format!("0.{k:02},LWRA,1,2,3\n0.{k:02},RWRA,1,2,3\n")).collect();
    survives_mutations(format!("time,marker,x,y,z\n{rows}").as_bytes(), 1000);
    let rows: String = (0..20).map(|k| format!("10:00:00.{k:02} 1 2 3 4e-1 5 6\n")).collect();
    survives_mutations(format!("time A_x A_y A_z B_x B_y B_z\n{rows}").as_bytes(), 1000);
}

/// Pieces of tables in any order make stranger tables than changed bytes do.
#[test]
fn shuffled_pieces_do_no_harm() {
    const PIECES: [&str; 28] = [
        "time",
        "Frame",
        ",",
        ",",
        ";",
        "\t",
        " ",
        "\n",
        "\n",
        "\n",
        "X",
        "Y",
        "Z",
        "A_x,A_y,A_z",
        "1",
        "0.5",
        "-1e3",
        "1,5",
        "NaN",
        "\"",
        "mm",
        "(s)",
        "rate: 100",
        "#",
        "0,1,2,3\n0.1,1,2,3\n",
        "x,y,z\n1,2,3\n",
        "LWRA,,,",
        "é",
    ];
    let mut readable = 0;
    for seed in 0..3000 {
        let mut random = Random::new(seed);
        let count = 1 + random.below(40);
        let text: String = (0..count).map(|_| PIECES[random.below(PIECES.len())]).collect();
        readable += usize::from(survives(text.as_bytes()).is_some());
    }
    assert!(readable > 60, "{readable} are readable");
}

/// Quoted cells go through the careful reader; plain ones, for as long as they are plain, do not.
#[test]
fn plain_rows_are_read_as_careful_ones() {
    let mut read_well = 0;
    for (delimiter, mark) in [(",", "."), (";", ","), (";", "."), ("\t", ",")] {
        for turn in 0..40 {
            let tables = [false, true].map(|quoted| random_table(&mut Numbers::new(turn), delimiter, mark, quoted));
            // Debug: not-a-number is not equal to itself.
            let [plain, careful] = tables.map(|table| format!("{:?}", read(table.as_bytes(), &ReadOptions::default())));
            assert_eq!(plain, careful, "{delimiter:?} {mark:?} {turn}");
            read_well += usize::from(plain.starts_with("Ok"));
        }
    }
    assert!(read_well > 100, "{read_well}");
}

fn random_table(random: &mut Numbers, delimiter: &str, mark: &str, quoted: bool) -> String {
    let cell = |text: String| if quoted { format!("\"{text}\"") } else { text };
    let line = |cells: Vec<String>| cells.into_iter().map(cell).collect::<Vec<_>>().join(delimiter) + "\n";
    let mut out = line(["time", "A x", "A y", "A z", "note", "B x", "B y", "B z"].map(str::to_owned).to_vec());
    for row in 0..60 {
        let mut cells = vec![format!("{:.3}", f64::from(row) / 100.0)];
        for column in 1..8 {
            let number = 20.0 * random.uniform() - 10.0;
            cells.push(match (random.uniform() * 60.0) as u32 {
                0 => String::new(),
                1 => format!(" {number:.2} "),
                2 => format!("{number:.18e}"),
                3 => format!("{number:.17}"),
                4 => "NaN".into(),
                5 if column == 4 => "a word".into(),
                6 => "+3".into(),
                7 => format!("{number:.0}."),
                _ => format!("{number:.5}"),
            });
        }
        let short = random.uniform() < 0.02;
        cells.truncate(if short { 6 } else { 8 });
        out += &line(cells.into_iter().map(|cell| cell.replace('.', mark)).collect());
        if random.uniform() < 0.05 {
            out.push('\n');
        }
    }
    out
}
