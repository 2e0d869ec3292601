#![allow(clippy::float_cmp, reason = "the readers keep these numbers exactly")]

use super::*;
use crate::formats::{ReadError, Track, is_gap, read as front_door};

/// A root that turns, an arm 2 long towards +x, +y, +z each with an end site 1 further.
fn file(root_channels: &str, rows: &[&str]) -> String {
    let mut joints = String::new();
    for (name, x, y, z) in [("ex", 1, 0, 0), ("ey", 0, 1, 0), ("ez", 0, 0, 1)] {
        joints += &format!("JOINT {name} {{ OFFSET {x} {y} {z} CHANNELS 0 End Site {{ OFFSET {x} {y} {z} }} }}\n");
    }
    let (frames, values) = (rows.len(), rows.join("\n"));
    format!(
        "HIERARCHY\nROOT hips\n{{\nOFFSET 0 0 0\nCHANNELS {root_channels}\n{joints}}}\n\
         MOTION\nFrames: {frames}\nFrame Time: 0.01\n{values}\n"
    )
}

fn read(text: &str) -> Result<Recording, BvhError> {
    super::read(text.as_bytes(), &ReadOptions::default())
}

fn keys(recording: &Recording) -> Vec<&'static str> {
    recording.warnings.iter().map(|warning| warning.key).collect()
}

fn error_text(text: &str) -> String {
    read(text).expect_err("an error").message().to_string()
}

#[track_caller]
fn near(found: [f64; 3], expected: [f64; 3], tolerance: f64) {
    let off = (0..3).map(|axis| (found[axis] - expected[axis]).abs()).fold(0.0, f64::max);
    assert!(off <= tolerance, "{found:?} is not {expected:?}");
}

fn names(recording: &Recording) -> Vec<&str> {
    recording.tracks.iter().map(|track| track.name.as_str()).collect()
}

const ZXY: &str = "3 Zrotation Xrotation Yrotation";

// Rotation order. Source: composition R_ch1 * R_ch2 * R_ch3 as in three.js' BVH loader; the values were recomputed.

#[test]
fn ok_quarter_turns_compose_in_channel_order() {
    let recording = read(&file(ZXY, &["90 90 0"])).unwrap();
    for (name, expected) in [("ex", [0.0, 1.0, 0.0]), ("ey", [0.0, 0.0, 1.0]), ("ez", [1.0, 0.0, 0.0])] {
        near(recording.track(name).unwrap().points[0], expected, 1e-12);
        let end = recording.track(&format!("{name} end")).unwrap();
        near(end.points[0], expected.map(|x| 2.0 * x), 1e-12);
    }
    // The reversed order would give (0, -1, 0).
    let reversed = read(&file("3 Yrotation Xrotation Zrotation", &["0 90 90"])).unwrap();
    near(reversed.track("ez").unwrap().points[0], [0.0, -1.0, 0.0], 1e-12);
}

#[test]
fn ok_general_turn_matches_the_rotation_matrix() {
    let recording = read(&file(ZXY, &["30 40 50"])).unwrap();
    // Columns of the matrix whose rows are (0.310468,-0.383022,0.870002) (0.747828,0.663414,0.025201)
    // (-0.586824,0.642788,0.492404).
    near(recording.track("ex").unwrap().points[0], [0.310468, 0.747828, -0.586824], 5e-7);
    near(recording.track("ey").unwrap().points[0], [-0.383022, 0.663414, 0.642788], 5e-7);
    near(recording.track("ez").unwrap().points[0], [0.870002, 0.025201, 0.492404], 5e-7);
}

#[test]
fn ok_one_and_two_and_six_channels() {
    let one = read(&file("1 Zrotation", &["90"])).unwrap();
    near(one.track("ex").unwrap().points[0], [0.0, 1.0, 0.0], 1e-12);
    let two = read(&file("2 Yposition Xrotation", &["5 90"])).unwrap();
    near(two.track("ey").unwrap().points[0], [0.0, 5.0, 1.0], 1e-12);
    // The translation comes first whatever the order of the channels.
    let six = "6 Zrotation Xrotation Yrotation Zposition Xposition Yposition";
    let six = read(&file(six, &["90 0 0 3 1 2"])).unwrap();
    near(six.track("ex").unwrap().points[0], [1.0, 3.0, 3.0], 1e-12);
}

// What a recording says.

#[test]
fn ok_tracks_parents_and_clock() {
    let recording = read(&file(ZXY, &["1 2 3", "4 5 6", "7 8 9"])).unwrap();
    assert_eq!(names(&recording), ["hips", "ex", "ex end", "ey", "ey end", "ez", "ez end"]);
    let parents: Vec<_> = recording.tracks.iter().map(|track| track.parent).collect();
    assert_eq!(parents, [None, Some(0), Some(1), Some(0), Some(3), Some(0), Some(5)]);
    let ends: Vec<_> = recording.tracks.iter().map(|track| track.end_site).collect();
    assert_eq!(ends, [false, false, true, false, true, false, true]);
    assert_eq!((recording.first_row, recording.rows(), recording.format), (0, 3, Format::Bvh));
    assert_eq!((recording.up, recording.usual_up), (None, Some(Axis::PlusY)));
    assert_eq!(recording.clock_s, [0.0, 0.01, 0.02]);
    assert_eq!(recording.rate_source, RateSource::Stated);
    assert!(recording.warnings.is_empty() && recording.events.is_empty());
    assert!(recording.tracks.iter().all(|track| track.unit.is_none()));
}

#[test]
fn ok_rate_is_the_inverse_of_the_frame_time_as_written() {
    let text = file(ZXY, &["1 2 3"]).replace("0.01", "0.00833333");
    let rate = read(&text).unwrap().rate_hz.unwrap();
    assert!((rate - 120.000_048).abs() < 1e-6, "{rate}");
}

#[test]
fn ok_a_rate_from_the_user_only_where_the_file_has_none() {
    let options = ReadOptions { rate_hz: Some(50.0) };
    let text = file(ZXY, &["1 2 3", "4 5 6"]);
    let stated = super::read(text.as_bytes(), &options).unwrap();
    assert_eq!((stated.rate_hz, stated.rate_source), (Some(100.0), RateSource::Stated));
    for missing in ["Frame Time: 0", "Frame Time: x", "Frame Time:", ""] {
        let text = text.replace("Frame Time: 0.01", missing);
        let given = super::read(text.as_bytes(), &options).unwrap();
        assert_eq!((given.rate_hz, given.rate_source), (Some(50.0), RateSource::User), "{missing:?}");
        assert_eq!(given.clock_s, [0.0, 0.02]);
    }
}

#[test]
fn ok_frame_time_in_milliseconds_is_told() {
    let stating = |frame_time: &str| read(&file(ZXY, &["1 2 3", "1 2 4"]).replace("0.01", frame_time)).unwrap();
    for (written, rate) in [("8", 125.0), ("16.0", 62.5), ("100", 10.0), ("1,25", 800.0)] {
        let recording = stating(written);
        assert_eq!((recording.rate_hz, recording.rate_source), (Some(rate), RateSource::Stated), "{written}");
        assert_eq!(
            recording.warnings.iter().map(ToString::to_string).collect::<Vec<_>>(),
            [format!(
                "line 12: Frame Time is {written}, which would be less than one frame per second; \
                 it was read as milliseconds."
            )]
        );
    }
    for (written, rate) in [("0.5", 2.0), ("1", 1.0), ("128", 1.0 / 128.0)] {
        let recording = stating(written);
        assert_eq!((recording.rate_hz, keys(&recording)), (Some(rate), Vec::new()), "{written}");
    }
}

// Spellings.

#[test]
fn ok_spellings_of_the_same_file() {
    let plain = file(ZXY, &["1.5 2 3", "4 5.25 6", "7 8 9"]);
    let expected = read(&plain).unwrap();
    let wrapped = plain.replace("4 5.25 6", "4\n5.25\n6");
    let one_line = plain.replace("3\n4 5.25 6\n", "3 4 5.25 6 ");
    let commas = plain.replace("1.5 2 3", "1.5, 2, 3").replace("4 5.25 6", "4,5.25,6;");
    let decimal_commas = plain.replace("1.5", "1,5").replace("5.25", "5,25").replace("0.01", "0,01");
    let shouted = plain.to_uppercase().replace("HIPS", "hips").replace("JOINT E", "JOINT e");
    let shouted = ["X", "Y", "Z"]
        .iter()
        .fold(shouted, |text, axis| text.replace(&format!("e{axis} "), &format!("e{} ", axis.to_lowercase())));
    let commented = format!("\n# made by hand\n\n// twice\n{plain}");
    let padded = format!("{plain}\0\0\u{1A}");
    let braces = plain.replace("hips\n{", "hips{").replace("} }", "}}");
    let spaced = plain.replace("Frames:", "Frames :").replace("Frame Time:", "FRAME  TIME\t:  ");
    let unspaced = plain.replace("Frames: ", "Frames:").replace("Frame Time: ", "FrameTime=");
    let spellings = [
        plain.replace('\n', "\r\n"),
        plain.replace('\n', "\r"),
        plain.replace(' ', "\t").replace("End\tSite", "End Site").replace("Frame\tTime", "Frame Time"),
        format!("\u{FEFF}{plain}"),
        wrapped,
        one_line,
        commas,
        decimal_commas,
        shouted,
        commented,
        padded,
        braces,
        spaced,
        unspaced,
    ];
    for text in &spellings {
        assert!(looks_like(text.as_bytes()), "{text}");
        assert_eq!(read(text).as_ref(), Ok(&expected), "{text}");
    }
    for bytes in [u16::to_le_bytes as fn(u16) -> [u8; 2], u16::to_be_bytes] {
        let wide: Vec<u8> = plain.encode_utf16().flat_map(bytes).collect();
        assert_eq!(front_door(&wide, &ReadOptions::default()).as_ref(), Ok(&expected));
    }
}

#[test]
fn ok_names_with_blanks_and_on_their_own_line() {
    let text = file(ZXY, &["1 2 3"]).replace("ROOT hips", "ROOT\nbody").replace("JOINT ex", "JOINT left  hand");
    let text = text.replace("JOINT ey {", "JOINT {");
    let recording = read(&text).unwrap();
    assert_eq!(names(&recording)[..4], ["body", "left  hand", "left  hand end", "joint 4"]);
}

#[test]
fn ok_other_words_first_are_another_format() {
    for other in ["", "\n\n", "HIERARCHYX", "ROOT", "hierarchical data", "# HIERARCHY\n1,2"] {
        assert!(!looks_like(other.as_bytes()), "{other:?}");
    }
    assert!(looks_like(b"HIERARCHY"));
}

// Odd but usable.

#[test]
fn ok_row_count_differs() {
    let text = file(ZXY, &["1 2 3", "4 5 6"]).replace("Frames: 2", "Frames: 4000000000");
    let recording = read(&text).unwrap();
    assert_eq!((recording.rows(), keys(&recording)), (2, vec!["bvh.rows_differ"]));
    let text = recording.warnings[0].to_string();
    assert_eq!(text, "line 11: The file announces 4000000000 frames and has 2. All 2 are used.");
    let missing = read(&file(ZXY, &["1 2 3"]).replace("Frames: 1\n", "")).unwrap();
    assert_eq!((missing.rows(), keys(&missing)), (1, vec!["bvh.rows_unstated"]));
    assert_eq!(missing.warnings[0].to_string(), "The file does not announce its number of frames; it has 1.");
}

#[test]
fn ok_cut_last_row_is_dropped() {
    let recording = read(&file(ZXY, &["1 2 3", "4 5"])).unwrap();
    assert_eq!((recording.rows(), keys(&recording)), (1, vec!["bvh.cut_row", "bvh.rows_differ"]));
    assert_eq!(recording.warnings[0].to_string(), "line 14: The last row is not complete, and is left out.");
}

#[test]
fn ok_missing_values_are_gaps_of_what_depends_on_them() {
    let text = file("6 Xposition Yposition Zposition Zrotation Xrotation Yrotation", &["0 0 0 1 2 3", "0 0 0 NaN 2 3"]);
    let recording = read(&(text + "nan 0 0 1 2 3\n")).unwrap();
    assert_eq!(keys(&recording), ["bvh.rows_differ", "bvh.missing_values"]);
    let gaps = |track: &Track| track.points.iter().map(is_gap).collect::<Vec<_>>();
    // A joint whose rotation is unknown still has a place; what hangs on it has none.
    assert_eq!(gaps(recording.track("hips").unwrap()), [false, false, true]);
    assert_eq!(gaps(recording.track("ez end").unwrap()), [false, true, true]);
    assert_eq!(
        recording.warnings[1].to_string(),
        "2 joint values are not numbers; the points that depend on them are gaps."
    );
}

#[test]
fn ok_repeated_names_are_numbered() {
    let recording = read(&file(ZXY, &["1 2 3"]).replace("JOINT ey", "JOINT ex")).unwrap();
    assert_eq!(names(&recording), ["hips", "ex", "ex end", "ex 2", "ex end 2", "ez", "ez end"]);
    assert_eq!(keys(&recording), ["bvh.repeated_names"]);
    let text = recording.warnings[0].to_string();
    assert_eq!(text, "2 joint names occur more than once, \"ex\" for one. The later ones are numbered.");
}

#[test]
fn ok_several_roots() {
    let text = "HIERARCHY ROOT a { OFFSET 1 0 0 CHANNELS 1 Xposition } ROOT b { OFFSET 0 1 0 CHANNELS 1 Zrotation \
                JOINT c { OFFSET 1 0 0 } }\nMOTION\nFrames: 1\nFrame Time: 1\n0.25 90\n";
    let recording = read(text).unwrap();
    assert_eq!(names(&recording), ["a", "b", "c"]);
    near(recording.track("a").unwrap().points[0], [1.25, 0.0, 0.0], 1e-12);
    near(recording.track("c").unwrap().points[0], [0.0, 2.0, 0.0], 1e-12);
}

/// A root at OFFSET `root` and an arm at OFFSET (0, 4, 0), both with position channels.
fn six_channels(root: &str, row: &str) -> Recording {
    let channels = "CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation";
    let text = format!(
        "HIERARCHY ROOT root {{ OFFSET {root} {channels} JOINT arm {{ OFFSET 0 4 0 {channels} End Site {{ OFFSET 0 1 0 \
         }} }} }}\nMOTION\nFrames: 2\nFrame Time: 1\n{row}\n{row}\n"
    );
    read(&text).unwrap()
}

#[test]
fn ok_position_channels_that_repeat_offset_replace_it() {
    let repeated = six_channels("0 0 0", "7 8 9 0 0 0 0.01 4 0 90 0 0");
    assert!(repeated.warnings.is_empty());
    near(repeated.track("arm").unwrap().points[0], [7.01, 12.0, 9.0], 1e-12);
    near(repeated.track("arm end").unwrap().points[0], [6.01, 12.0, 9.0], 1e-12);
    let stretched = six_channels("0 0 0", "7 8 9 0 0 0 0 3.8 0 90 0 0");
    near(stretched.track("arm").unwrap().points[0], [7.0, 11.8, 9.0], 1e-12);
    assert_eq!(keys(&stretched), ["bvh.offset_replaced"]);
}

#[test]
fn ok_position_channels_near_zero_add_to_offset() {
    let added = six_channels("0 0 0", "7 8 9 0 0 0 0 0 0.02 90 0 0");
    assert!(added.warnings.is_empty());
    near(added.track("arm").unwrap().points[0], [7.0, 12.0, 9.02], 1e-12);
    let moved = six_channels("0 0 0", "7 8 9 0 0 0 0 0.5 0 90 0 0");
    near(moved.track("arm").unwrap().points[0], [7.0, 12.5, 9.0], 1e-12);
    assert_eq!(keys(&moved), ["bvh.offset_added"]);
}

#[test]
fn ok_root_offset_both_ways_is_told() {
    let added = six_channels("0 90 0", "1 2 3 0 0 0 0 4 0 0 0 0");
    near(added.track("root").unwrap().points[0], [1.0, 92.0, 3.0], 1e-12);
    let text = added.warnings[0].to_string();
    assert_eq!(
        text,
        "Joint \"root\" has an OFFSET and position channels; they were added. Programs differ here: check the figure."
    );
    let replaced = six_channels("0 90 0", "1 88 3 0 0 0 0 4 0 0 0 0");
    near(replaced.track("root").unwrap().points[0], [1.0, 88.0, 3.0], 1e-12);
    let text = replaced.warnings[0].to_string();
    assert_eq!(
        text,
        "Joint \"root\" has an OFFSET and position channels that repeat it; the channels were taken. Programs differ \
         here: check the figure."
    );
}

#[test]
fn ok_offset_warnings_stay_few() {
    let joint = "JOINT a { OFFSET 0 4 0 CHANNELS 1 Yposition } ";
    let text = format!(
        "HIERARCHY ROOT r {{ OFFSET 0 0 0 {} }} MOTION\nFrames: 1\nFrame Time: 1\n{}\n",
        joint.repeat(9),
        "3 ".repeat(9)
    );
    let recording = read(&text).unwrap();
    assert_eq!(
        keys(&recording)[1..],
        ["bvh.offset_replaced", "bvh.offset_replaced", "bvh.offset_replaced", "bvh.offset_more"]
    );
    assert_eq!(recording.warnings[4].to_string(), "The same holds for 6 more joints.");
}

// Calibration pose.

/// Rows that turn slowly about z from `from` degrees.
fn slow_turn(from: f64, rows: usize) -> Vec<String> {
    (0..rows).map(|row| format!("{} 10 20", from + 0.5 * row as f64)).collect()
}

fn read_rows(rows: &[String]) -> Recording {
    read(&file(ZXY, &rows.iter().map(String::as_str).collect::<Vec<_>>())).unwrap()
}

#[test]
fn ok_zero_pose_before_the_motion_is_left_out() {
    for pose in [1, 3] {
        let mut rows = vec!["0 0 0".to_owned(); pose];
        rows.extend(slow_turn(60.0, 8));
        let recording = read_rows(&rows);
        assert_eq!((recording.first_row, recording.rows()), (pose, 8));
        assert!((recording.clock_s[0] - pose as f64 * 0.01).abs() < 1e-15);
        assert_eq!(recording.tracks, read_rows(&rows[pose..]).tracks);
        assert_eq!(keys(&recording), ["bvh.calibration_pose"]);
    }
}

#[test]
fn ok_any_pose_that_is_left_by_a_jump_is_left_out() {
    let mut rows = vec!["-80 10 20".to_owned()];
    rows.extend(slow_turn(60.0, 8));
    let recording = read_rows(&rows);
    assert_eq!((recording.first_row, recording.rows()), (1, 8));
    assert_eq!(
        recording.warnings[0].to_string(),
        "Leading rows left out: 1; they hold a calibration pose. Row numbers still count them."
    );
}

#[test]
fn ok_motion_keeps_its_first_row() {
    let smooth_from_zero: Vec<String> = (0..9).map(|row| format!("{} 0 0", row)).collect();
    let fast_all_along: Vec<String> = (0..9).map(|row| format!("{} 0 0", 5 + 40 * row)).collect();
    let zero_all_along = vec!["0 0 0".to_owned(); 5];
    let too_short = ["-80 10 20", "60 10 20", "60 10 20"].map(str::to_owned).to_vec();
    for rows in [smooth_from_zero, fast_all_along, zero_all_along, too_short, slow_turn(10.0, 1)] {
        let recording = read_rows(&rows);
        assert_eq!((recording.first_row, recording.rows()), (0, rows.len()), "{rows:?}");
        assert!(recording.warnings.is_empty());
    }
}

// Errors: the text of each.

#[test]
fn err_unexpected_word() {
    let good = file(ZXY, &["1 2 3"]);
    let text = error_text(&good.replace("JOINT ey", "JIONT ey"));
    assert_eq!(
        text,
        "line 7, column 1: Expected CHANNELS | JOINT | End Site | } here, found \"JIONT\". The skeleton cannot be read; \
         export the file again."
    );
    for (wrong, expected) in [
        (good.replace("ROOT hips", "JOINT hips"), "Expected ROOT here"),
        (good.replace("OFFSET 0 0 0\n", ""), "Expected OFFSET here"),
        (good.replace("OFFSET 1 0 0 } }", "OFFSET 1 0 0 CHANNELS 0 } }"), "Expected } here"),
        (good.replace("hips\n{", "hips\n["), "Expected { here"),
        (good.replace("}\nMOTION", "MOTION"), "Expected CHANNELS | JOINT | End Site | } here, found \"MOTION\""),
        (good.replace("}\nMOTION", "}}\nMOTION"), "Expected ROOT | MOTION here, found \"}\""),
    ] {
        assert!(error_text(&wrong).contains(expected), "{}", error_text(&wrong));
    }
}

#[test]
fn err_end_of_file() {
    let good = file(ZXY, &["1 2 3"]);
    let cut = &good[..good.find("JOINT ey").unwrap()];
    assert_eq!(
        error_text(cut),
        "line 6, column 63: The file ends where CHANNELS | JOINT | End Site | } was expected. It is cut short; copy or \
         export it again."
    );
    assert_eq!(error_text("HIERARCHY"), error_text("HIERARCHY\n"));
}

#[test]
fn err_number() {
    let good = file(ZXY, &["1 2 3", "4 5 6"]);
    assert_eq!(
        error_text(&good.replace("4 5 6", "  4 five 6")),
        "line 14, column 5: Expected a number, found \"five\". Correct it, or export the file again."
    );
    assert!(
        error_text(&good.replace("OFFSET 0 0 0", "OFFSET 0 x 0")).starts_with("line 4, column 10: Expected a number")
    );
    assert!(error_text(&good.replace("OFFSET 0 0 0", "OFFSET 0 inf 0")).contains("found \"inf\""));
    assert!(error_text(&good.replace("Frame Time", "Frame Rate")).contains("found \"Frame\""));
}

#[test]
fn err_channel_count() {
    assert_eq!(
        error_text(&file("999999999 Zrotation Xrotation", &["1 2"])),
        "line 5, column 10: CHANNELS 999999999 is followed by 2 channel names. Correct the count or the names \
         (Xposition … Zrotation)."
    );
    assert!(error_text(&file("3 Zrotation Xrotation Wrotation", &["1 2 3"])).contains("followed by 2 channel names"));
}

#[test]
fn err_no_channels() {
    assert_eq!(
        error_text(&file("0", &["1"])),
        "No joint of the skeleton has channels, so the file holds no motion. Export it with joint rotations."
    );
}

#[test]
fn err_frame_time() {
    let good = file(ZXY, &["1 2 3"]);
    for wrong in ["0", "-0.01", "NaN", "1e-320", "1e400"] {
        let text = error_text(&good.replace("0.01", wrong));
        assert_eq!(
            text,
            format!("line 12: Frame Time is {wrong}; seconds above zero were expected. State the sampling rate.")
        );
    }
    assert_eq!(
        error_text(&good.replace("Frame Time: 0.01\n", "")),
        "The file states no Frame Time. State the sampling rate."
    );
}

#[test]
fn err_ragged_row() {
    let rows = ["1 2 3", "4 5", "7 8 9", "1 2 3"];
    assert_eq!(
        error_text(&file(ZXY, &rows)),
        "line 14: This row has 2 values, the skeleton has 3 channels. Skeleton and motion do not belong together, or \
         values are lost; export the file again."
    );
    assert!(error_text(&file(ZXY, &["1 2 3 4", "5 6 7 8"])).contains("This row has 4 values"));
}

#[test]
fn err_no_rows() {
    let text = "The BVH file has no motion frames. Export it again with the recorded motion.";
    assert_eq!(error_text(&file(ZXY, &[])), text);
    assert_eq!(error_text(&file(ZXY, &["1 2"])), text);
}

#[test]
fn err_too_large() {
    let joints = "JOINT a { OFFSET 0 0 0 } ".repeat(3000);
    let values = "1 2\n".repeat(3000);
    let text = format!(
        "HIERARCHY ROOT r {{ OFFSET 0 0 0 CHANNELS 2 Xrotation Yrotation {joints} }}\nMOTION\nFrames: 3000\n\
         Frame Time: 1\n{values}"
    );
    assert_eq!(
        error_text(&text),
        "The file asks for 9003000 points but holds only 6000 values: too many joints without motion. Leave joints \
         without channels out of the export."
    );
}

#[test]
fn err_reaches_the_front_door() {
    let error = front_door(b"HIERARCHY ROOT", &ReadOptions::default()).expect_err("an error");
    assert!(matches!(error, ReadError::Bvh(BvhError::EndOfFile { .. })));
}

#[test]
fn ok_deep_skeletons_need_no_call_stack() {
    let depth = 100_000;
    let text = format!(
        "HIERARCHY ROOT r {{ OFFSET 0 0 0 CHANNELS 1 Xrotation {}{} }}\nMOTION\nFrames: 1\nFrame Time: 1\n1\n",
        "JOINT a { OFFSET 0 1 0 ".repeat(depth),
        "}".repeat(depth)
    );
    assert_eq!(read(&text).unwrap().tracks.len(), depth + 1);
}

// Any bytes.

#[test]
fn ok_mutated_files_are_read_or_refused() {
    let rows = slow_turn(10.0, 60);
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    crate::formats::hostile::survives_mutations(file(ZXY, &rows).as_bytes(), 4000);
    let six = file(
        "6 Xposition Yposition Zposition Zrotation Xrotation Yrotation",
        &["1.25 2.125 3.5 4.75 5.375 6.5", "nan 2 3 4 5 6", "100 200 300 400 500 600"],
    );
    crate::formats::hostile::survives_mutations(six.as_bytes(), 4000);
}

#[test]
fn ok_files_cut_at_any_byte() {
    let text = file(ZXY, &["1 2 3", "4 5 6"]);
    for end in 1..text.len() {
        crate::formats::hostile::survives(&text.as_bytes()[..end]);
    }
}
