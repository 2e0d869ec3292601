#![allow(clippy::float_cmp, reason = "the readers keep these numbers exactly")]

use super::build::{Build, Value};
use super::*;
use crate::formats::{LengthUnit, Point, ReadError, is_gap, read as front_door};

fn read(build: &Build) -> Result<Recording, C3dError> {
    super::read(&build.bytes(), &ReadOptions::default())
}

#[track_caller]
fn ok(build: &Build) -> Recording {
    assert!(looks_like(&build.bytes()));
    read(build).unwrap()
}

fn error_text(build: &Build) -> String {
    read(build).expect_err("an error").message().to_string()
}

fn keys(recording: &Recording) -> Vec<&'static str> {
    recording.warnings.iter().map(|warning| warning.key).collect()
}

fn names(recording: &Recording) -> Vec<&str> {
    recording.tracks.iter().map(|track| track.name.as_str()).collect()
}

/// What [`Build::new`] holds: the second marker at frame `n`, from 1.
fn second(n: usize) -> Point {
    [10.5 * n as f64, 0.0, 1000.0 + n as f64]
}

fn gaps(recording: &Recording, track: usize) -> Vec<bool> {
    recording.tracks[track].points.iter().map(is_gap).collect()
}

const MISSING: [f64; 4] = [9.0, 9.0, 9.0, -1.0];

// Numbers.

#[test]
fn ok_every_processor_and_element_type_gives_the_same_points() {
    for processor in [84, 85, 86] {
        for scale in [-0.1, 0.5] {
            let recording = ok(&Build::new(processor, scale));
            assert_eq!(names(&recording), ["LWRA", "RWRA"]);
            assert_eq!(recording.tracks[0].points, [[1.0, 3.0, -3.0], [2.0, 4.0, -3.0], [3.0, 5.0, -3.0]]);
            assert_eq!(recording.tracks[1].points, [second(1), second(2), second(3)]);
            assert_eq!((recording.rate_hz, recording.rate_source), (Some(100.0), RateSource::Stated));
            assert_eq!(recording.clock_s, [0.0, 0.01, 0.02]);
            assert_eq!(recording.stated_unit(), Some(LengthUnit::Millimetre));
            assert_eq!((recording.format, recording.first_row, recording.events.len()), (Format::C3d, 0, 0));
            assert!(recording.warnings.is_empty(), "{processor} {scale}: {:?}", recording.warnings);
        }
    }
}

#[test]
fn ok_floats_are_kept_exactly_and_words_times_scale() {
    let tenth = f64::from(0.1_f32);
    let recording = ok(&Build::intel().frames(vec![vec![[0.1, -0.1, 1e-30, 0.0]]]));
    assert_eq!(recording.tracks[0].points, [[tenth, -tenth, f64::from(1e-30_f32)]]);
    let recording = ok(&Build::new(84, 0.1).frames(vec![vec![[3276.7, -3276.8, 0.1, 0.0]]]));
    assert_eq!(recording.tracks[0].points, [[32767.0 * tenth, -32768.0 * tenth, tenth]]);
}

#[test]
fn ok_the_residual_decides_what_is_missing() {
    // 2565 is 0x0A05: cameras 2 and 4, residual 5. Zero: interpolated, still a point. Source: user guide.
    for scale in [-0.1, 1.0] {
        let residuals = [2565.0, 0.0, -1.0, -32768.0, 32767.0];
        let frames = residuals.map(|residual| vec![[1.0, 2.0, 3.0, residual]]);
        assert_eq!(gaps(&ok(&Build::intel_or(scale).frames(frames.to_vec())), 0), [false, false, true, true, false]);
    }
    let odd = [-0.5, f64::NAN, f64::INFINITY].map(|residual| vec![[1.0, 2.0, 3.0, residual]]);
    assert_eq!(gaps(&ok(&Build::intel().frames(odd.to_vec())), 0), [false, true, false]);
    let not_numbers = [[1.0, f64::NAN, 3.0, 0.0], [1.0, 2.0, f64::INFINITY, 0.0], [0.0; 4]].map(|point| vec![point]);
    assert_eq!(gaps(&ok(&Build::intel().frames(not_numbers.to_vec())), 0), [true, true, false]);
}

impl Build {
    fn intel_or(scale: f64) -> Build {
        Build::new(84, scale)
    }
}

// Records.

#[test]
fn ok_leading_zero_bytes() {
    let plain = ok(&Build::intel());
    for zeros in [1, 512, 700] {
        assert_eq!(ok(&Build { leading_zeros: zeros, ..Build::intel() }), plain);
    }
}

#[test]
fn ok_parameters_before_groups_locked_and_in_lower_case() {
    assert_eq!(ok(&Build { odd_records: true, ..Build::intel() }), ok(&Build::intel()));
}

#[test]
fn ok_no_groups_at_all() {
    let bare = Build { groups: vec![], ..Build::intel() };
    let recording = ok(&bare);
    assert_eq!(names(&recording), ["point 1", "point 2"]);
    assert_eq!(recording.tracks[1].points, [second(1), second(2), second(3)]);
    assert_eq!((recording.rate_hz, recording.stated_unit()), (Some(100.0), None));
    assert_eq!(keys(&recording), ["c3d.unnamed_points"]);
    assert_eq!(
        recording.warnings[0].to_string(),
        "Points without a name: 2. They are called \"point\" and their number."
    );
}

#[test]
fn ok_a_broken_parameter_is_left_out() {
    // Dimensions far larger than the record; an unknown element type.
    let broken = Build::intel()
        .with("POINT", "BIG", Value::Raw(4, vec![255; 7], vec![0; 8]))
        .with("POINT", "KIND", Value::Raw(3, vec![], vec![0; 8]))
        .words("POINT", "AFTER", &[1]);
    let recording = ok(&broken);
    assert_eq!(recording.tracks, ok(&Build::intel()).tracks);
    assert_eq!(keys(&recording), ["c3d.broken_parameters"]);
    assert!(
        recording.warnings[0]
            .to_string()
            .ends_with("Parameters that cannot be read: 2, \"BIG\" for one. They are left out.")
    );
}

#[test]
fn ok_offsets_that_loop_or_leave_end_the_list() {
    // The first record is the group POINT: its offset word follows 4 + 2 + 5 bytes into the section.
    for offset in [[1, 0], [0, 0], [0xFF, 0xFF]] {
        let recording = ok(&Build::intel().patch(512 + 11, offset));
        assert_eq!(names(&recording), ["point 1", "point 2"], "{offset:?}");
    }
}

#[test]
fn ok_section_without_a_block_count_and_file_without_a_data_block() {
    let build = Build::intel();
    let plain = ok(&build);
    assert_eq!(ok(&build.clone().patch(512 + 2, [0])), plain);
    let data_block = (build.data_start() / 512 + 1) as u16;
    assert_eq!(ok(&build.clone().patch(16, [0, 0]).words("POINT", "DATA_START", &[data_block])), plain);
    assert_eq!(ok(&build.patch(16, [0, 0])), plain);
}

// Counts.

#[test]
fn ok_used_stored_as_a_byte() {
    assert_eq!(ok(&Build::intel().with("POINT", "USED", Value::Bytes(vec![2]))), ok(&Build::intel()));
}

fn many_frames(count: usize) -> Build {
    let frames = (0..count).map(|row| vec![[(row % 1000) as f64, 1.0, 2.0, 0.0]]).collect();
    Build::new(84, 1.0).frames(frames)
}

#[track_caller]
fn has_frames(build: &Build, count: usize) {
    let recording = ok(build);
    assert_eq!(recording.rows(), count);
    assert_eq!(recording.tracks[0].points[count - 1], [((count - 1) % 1000) as f64, 1.0, 2.0]);
}

#[test]
fn ok_frame_counts_are_unsigned() {
    has_frames(&many_frames(40_000), 40_000);
    has_frames(&many_frames(65_535), 65_535);
}

#[test]
fn ok_more_frames_than_a_word_counts() {
    let count = 70_000;
    let build = many_frames(count);
    has_frames(&build.clone().floats("POINT", "FRAMES", &[count as f64]), count);
    has_frames(&build.clone().floats("POINT", "LONG_FRAMES", &[count as f64]), count);
    // Low word first: 70000 = 4464 + 1 * 65536.
    let trial = build.words("TRIAL", "ACTUAL_START_FIELD", &[1, 0]).words("TRIAL", "ACTUAL_END_FIELD", &[4464, 1]);
    has_frames(&trial, count);
    has_frames(&trial.without("POINT", "FRAMES"), count);
}

#[test]
fn ok_counts_that_disagree_are_settled_by_the_size_of_the_file() {
    // The header's 40 frames are those of the original recording; POINT:FRAMES and the size agree.
    let cut_out = many_frames(100).patch(6, [1, 0]).patch(8, [40, 0]);
    has_frames(&cut_out, 100);
    assert!(keys(&ok(&cut_out)).is_empty());
    let wrong = many_frames(100).words("POINT", "FRAMES", &[9000]);
    has_frames(&wrong, 100);
    assert_eq!(keys(&ok(&wrong)), ["c3d.counts_differ"]);
    assert_eq!(
        ok(&wrong).warnings[0].to_string(),
        "The file's counts disagree. The ones that fit its size are used: 1 points, 100 frames, 0 analog values per frame."
    );
    let wrong = Build::intel().words("POINT", "USED", &[40]);
    assert_eq!(ok(&wrong).tracks, ok(&Build::intel()).tracks);
    // Fewer frames than there is room for: the file's word counts.
    let fewer = many_frames(1000).words("POINT", "FRAMES", &[500]).patch(8, [0, 0]);
    has_frames(&fewer, 500);
}

#[test]
fn ok_cut_files_keep_their_complete_frames() {
    let bytes = many_frames(1000).bytes();
    let cut = &bytes[..bytes.len() - 4000];
    let recording = super::read(cut, &ReadOptions::default()).unwrap();
    assert_eq!(keys(&recording), ["c3d.truncated"]);
    let rows = recording.rows();
    assert!((500..565).contains(&rows), "{rows}");
    assert_eq!(recording.tracks[0].points[rows - 1], [(rows - 1) as f64, 1.0, 2.0]);
    assert_eq!(
        recording.warnings[0].to_string(),
        format!("The file is cut short: it announces 1000 frames and has {rows}. Those are used.")
    );
}

#[test]
fn ok_analog_values_are_skipped() {
    for scale in [-0.1, 0.5] {
        let plain = ok(&Build::new(84, scale));
        let analog = Build { analog: 24, ..Build::new(84, scale) };
        assert_eq!(ok(&analog), plain);
        let analog = analog.words("ANALOG", "USED", &[6]).floats("ANALOG", "RATE", &[400.0]);
        assert_eq!(ok(&analog), plain);
        // Without a count in the header, channels times samples: by rate, or by the header's samples per frame.
        let by_rate = analog.patch(4, [0, 0]).patch(18, [0, 0]);
        assert_eq!(ok(&long(by_rate)).tracks, ok(&long(Build::new(84, scale))).tracks);
        let by_samples = Build { analog: 24, ..Build::new(84, scale) }.words("ANALOG", "USED", &[6]);
        let by_samples = by_samples.patch(4, [0, 0]).patch(18, [4, 0]);
        assert_eq!(ok(&long(by_samples)).tracks, ok(&long(Build::new(84, scale))).tracks);
    }
}

/// Enough frames that the size of the file tells layouts apart.
fn long(build: Build) -> Build {
    build.frames((0..300).map(|row| vec![[row as f64, 1.0, 2.0, 0.0], [0.0, row as f64, 5.0, 0.0]]).collect())
}

// Clock.

#[test]
fn ok_rate_from_the_header_or_the_user() {
    let no_rate = Build::intel().without("POINT", "RATE");
    assert_eq!(ok(&no_rate).rate_hz, Some(100.0));
    let differ = ok(&Build { rate: 50.0, ..Build::intel() });
    assert_eq!((differ.rate_hz, keys(&differ)), (Some(100.0), vec!["c3d.rate_differs"]));
    assert_eq!(
        differ.warnings[0].to_string(),
        "POINT:RATE is 100.000 Hz, the header says 50.000 Hz. POINT:RATE is used."
    );
    let none = Build { rate: 0.0, ..Build::intel() }.floats("POINT", "RATE", &[0.0]);
    let given = super::read(&none.bytes(), &ReadOptions { rate_hz: Some(240.0) }).unwrap();
    assert_eq!((given.rate_hz, given.rate_source), (Some(240.0), RateSource::User));
}

#[test]
fn ok_the_clock_counts_from_frame_one() {
    let later = ok(&Build { first_frame: 1166, ..Build::intel() });
    assert_eq!(later.clock_s, [11.65, 11.66, 11.67]);
    let zero_based = ok(&Build { first_frame: 0, ..Build::intel() });
    assert_eq!(zero_based.clock_s, [0.0, 0.01, 0.02]);
    let trial = Build::intel().words("TRIAL", "ACTUAL_START_FIELD", &[1, 2]);
    assert_eq!(ok(&trial).clock_s[0], 1310.72);
}

// Names and units.

#[test]
fn ok_more_names_than_a_parameter_holds() {
    let names: Vec<String> = (1..=300).map(|n| format!("M{n:03}")).collect();
    let frame: Vec<[f64; 4]> = (1..=300).map(|n| [f64::from(n), 0.0, 0.0, 0.0]).collect();
    let build = Build::intel().frames(vec![frame.clone(), frame]);
    let build = build.with("POINT", "LABELS", Value::Text(names[..255].to_vec()));
    let recording = ok(&build.with("POINT", "LABELS2", Value::Text(names[255..].to_vec())));
    assert_eq!(recording.tracks.iter().map(|track| track.name.clone()).collect::<Vec<_>>(), names);
    assert_eq!(recording.track("M300").unwrap().points[1], [300.0, 0.0, 0.0]);
    assert!(recording.warnings.is_empty());
}

#[test]
fn ok_missing_empty_and_repeated_names() {
    assert_eq!(names(&ok(&Build::intel().text("POINT", "LABELS", &["only"]))), ["only", "point 2"]);
    assert_eq!(names(&ok(&Build::intel().text("POINT", "LABELS", &["", "b"]))), ["point 1", "b"]);
    let repeated = ok(&Build::intel().text("POINT", "LABELS", &["hand", "hand"]));
    assert_eq!((names(&repeated), keys(&repeated)), (vec!["hand", "hand 2"], vec!["c3d.repeated_names"]));
    assert_eq!(
        repeated.warnings[0].to_string(),
        "Marker names that occur more than once: 1, \"hand\" for one. The later ones are numbered."
    );
    let latin = Build::intel().with("POINT", "LABELS", Value::Raw(-1, vec![5, 2], b"M\xFCll\0R    ".to_vec()));
    assert_eq!(names(&ok(&latin)), ["Müll", "R"]);
}

#[test]
fn ok_one_marker_under_two_subjects() {
    let recording = ok(&Build::intel().text("POINT", "LABELS", &["one:LWRA", "two:LWRA"]));
    assert_eq!(names(&recording), ["one:LWRA", "two:LWRA"]);
    assert!(recording.warnings.is_empty());
}

#[test]
fn ok_units_for_all_or_each() {
    let unit = |build: Build| {
        let recording = ok(&build);
        (recording.tracks.iter().map(|track| track.unit).collect::<Vec<_>>(), keys(&recording))
    };
    let [mm, m] = [Some(LengthUnit::Millimetre), Some(LengthUnit::Metre)];
    assert_eq!(unit(Build::intel().without("POINT", "UNITS")), (vec![None; 2], vec![]));
    assert_eq!(unit(Build::intel().text("POINT", "UNITS", &["mm", "mm"])), (vec![mm; 2], vec![]));
    assert_eq!(unit(Build::intel().text("POINT", "UNITS", &["m", "mm"])), (vec![m, mm], vec!["c3d.units_differ"]));
    assert_eq!(unit(Build::intel().text("POINT", "UNITS", &["parsec"])), (vec![None; 2], vec!["c3d.unit_unknown"]));
    let texts = |text: &[&str]| ok(&Build::intel().text("POINT", "UNITS", text)).warnings[0].to_string();
    assert_eq!(texts(&["parsec"]), "The unit \"parsec\" is not a length unit that is known here. State the unit.");
    assert_eq!(texts(&["m", "mm"]), "The file states 2 different units. Each marker is read in its own.");
}

#[test]
fn ok_model_outputs_are_no_markers() {
    let three = |labels: [&str; 3]| {
        let frame = vec![[1.0, 2.0, 3.0, 0.0], [90.0, 0.0, 0.0, 0.0], [4.0, 5.0, 6.0, 0.0]];
        Build::intel().frames(vec![frame; 2]).text("POINT", "LABELS", &labels)
    };
    let plain = three(["LWRA", "LKneeAngles", "RWRA"]);
    assert_eq!(ok(&plain).tracks.len(), 3);
    for list in ["ANGLES", "FORCES", "MOMENTS", "POWERS", "SCALARS", "MODELED_ANGLES", "angles2"] {
        let recording = ok(&plain.clone().text("POINT", list, &["LKneeAngles", ""]));
        assert_eq!(names(&recording), ["LWRA", "RWRA"], "{list}");
        assert_eq!(recording.tracks[1].points[0], [4.0, 5.0, 6.0]);
        assert_eq!(keys(&recording), ["c3d.model_outputs"]);
    }
    let prefixed = three(["one:LWRA", "one:LKneeAngles", "one:RWRA"]).text("POINT", "ANGLES", &["LKneeAngles"]);
    assert_eq!(names(&ok(&prefixed)), ["one:LWRA", "one:RWRA"]);
    let by_type =
        plain.clone().text("POINT", "TYPE_GROUPS", &["LABELS", "BONES"]).text("POINT", "BONES", &["LKneeAngles"]);
    let recording = ok(&by_type);
    assert_eq!(names(&recording), ["LWRA", "RWRA"]);
    assert_eq!(
        recording.warnings[0].to_string(),
        "Points that are model outputs (angles, forces, moments, powers), not positions: 1. They are left out."
    );
}

#[test]
fn ok_empty_markers_stay_and_are_told() {
    let frame = vec![[1.0, 2.0, 3.0, 0.0], MISSING];
    let recording = ok(&Build::intel().frames(vec![frame; 3]));
    assert_eq!((names(&recording), gaps(&recording, 1)), (vec!["LWRA", "RWRA"], vec![true; 3]));
    assert_eq!(recording.warnings[0].to_string(), "Markers without any data: 1, \"RWRA\" for one.");
}

#[test]
fn ok_up_from_the_screen_axis() {
    let up = |text: &str| {
        let recording = ok(&Build::intel().text("POINT", "X_SCREEN", &["+X"]).text("POINT", "Y_SCREEN", &[text]));
        (recording.up, recording.usual_up)
    };
    assert_eq!(up("+Z"), (Some(Axis::PlusZ), Some(Axis::PlusZ)));
    assert_eq!(up("+y "), (Some(Axis::PlusY), Some(Axis::PlusY)));
    assert_eq!(up("-Y"), (None, Some(Axis::PlusY)));
    assert_eq!(up("?"), (None, Some(Axis::PlusZ)));
    assert_eq!(ok(&Build::intel()).usual_up, Some(Axis::PlusZ));
}

// Events.

fn events(build: &Build) -> Vec<(String, f64)> {
    ok(build).events.into_iter().map(|event| (event.label, event.clock_s)).collect()
}

/// An EVENT group with impact at 61.5 s and top at 0.25 s.
fn with_events(dims: [u8; 2], times: [f64; 6]) -> Build {
    let build = Build::intel().words("EVENT", "USED", &[3]).text("EVENT", "LABELS", &["Impact", "Top", "Strike"]);
    build.text("EVENT", "CONTEXTS", &["General", "", "Right"]).with(
        "EVENT",
        "TIMES",
        Value::Table(dims.into(), times.into()),
    )
}

#[test]
fn ok_events_of_either_shape() {
    let expected = vec![("Top".to_owned(), 0.25), ("Right Strike".to_owned(), 2.0), ("Impact".to_owned(), 61.5)];
    assert_eq!(events(&with_events([2, 3], [1.0, 1.5, 0.0, 0.25, 0.0, 2.0])), expected);
    assert_eq!(events(&with_events([3, 2], [1.0, 0.0, 0.0, 1.5, 0.25, 2.0])), expected);
    // USED counts, and more labels than times do no harm.
    let fewer = with_events([2, 3], [1.0, 1.5, 0.0, 0.25, 0.0, 2.0]).words("EVENT", "USED", &[1]);
    assert_eq!(events(&fewer), expected[2..]);
    let broken = with_events([2, 3], [f64::NAN, 1.5, 0.0, 0.25, 0.0, 2.0]);
    assert_eq!(events(&broken), expected[..2]);
    assert_eq!(ok(&broken).warnings[0].to_string(), "Events without a usable time: 1. They are left out.");
}

/// Header events: key, count, times, labels.
fn header_events(mut build: Build, events: &[(f64, &str)]) -> Build {
    build = build.patch(298, 12345_u16.to_le_bytes()).patch(300, [events.len() as u8, 0]);
    for (index, (time, label)) in events.iter().enumerate() {
        let time = build.float(*time);
        build = build.patch(304 + 4 * index, time).patch(396 + 4 * index, label.as_bytes());
    }
    build
}

#[test]
fn ok_header_events() {
    let build = header_events(Build::intel(), &[(0.015625, "LHS "), (0.0078125, "TOP")]);
    assert_eq!(events(&build), [("TOP".to_owned(), 0.0078125), ("LHS".to_owned(), 0.015625)]);
    // Without the key there are none; a count beyond the header's room is cut.
    assert_eq!(events(&build.clone().patch(298, [0, 0])), []);
    assert_eq!(events(&build.patch(300, [255, 255])).len(), 18);
}

#[test]
fn ok_a_header_event_of_the_event_group_is_the_same_event() {
    let both = with_events([2, 3], [1.0, 1.5, 0.0, 0.25, 0.0, 2.0]);
    let both = header_events(both, &[(0.252, "TOP"), (1.0, "FIN")]);
    let labels: Vec<String> = events(&both).into_iter().map(|(label, _)| label).collect();
    assert_eq!(labels, ["Top", "FIN", "Right Strike", "Impact"]);
}

#[test]
fn ok_header_event_times_count_from_frame_one_or_from_the_first_sample() {
    let cut_out = Build { first_frame: 101, ..Build::intel() };
    let since_frame_one = header_events(cut_out.clone(), &[(1.015625, "TOP")]);
    assert_eq!(events(&since_frame_one), [("TOP".to_owned(), 1.015625)]);
    assert!(keys(&ok(&since_frame_one)).is_empty());
    let since_first_sample = header_events(cut_out.clone(), &[(0.015625, "TOP")]);
    assert_eq!(events(&since_first_sample), [("TOP".to_owned(), 1.015625)]);
    assert_eq!(
        ok(&since_first_sample).warnings[0].to_string(),
        "Event times in the header are taken from the first sample on, not from frame 1: 1.000 s are added."
    );
    assert_eq!(events(&header_events(cut_out, &[(9.0, "TOP")])), [("TOP".to_owned(), 9.0)]);
}

// Not this format.

#[test]
fn ok_text_that_starts_alike_is_another_format() {
    assert!(!looks_like(b"xPos,yPos\n1,2\n"));
    assert!(!looks_like(b""));
    assert!(!looks_like(&[0; 600]));
    assert!(!looks_like(&[2]));
    assert!(looks_like(&[2, 0x50, 0]));
}

// Errors: the text of each.

#[test]
fn err_short_header() {
    let error = super::read(&[2, 0x50, 0, 0], &ReadOptions::default()).expect_err("an error");
    assert_eq!(
        error.message().to_string(),
        "A C3D file starts with 512 bytes of header; this one has only 4 bytes. It is cut short; copy or export it again."
    );
    let error = front_door(&[2, 0x50, 0, 0], &ReadOptions::default()).expect_err("an error");
    assert!(matches!(error, ReadError::C3d(C3dError::ShortHeader { bytes: 4 })));
}

#[test]
fn err_no_parameters() {
    assert_eq!(
        error_text(&Build::intel().patch(0, [200])),
        "byte 101888: The header puts the parameters here, but the file has only 1536 bytes. It is cut short; copy or \
         export it again."
    );
}

#[test]
fn err_processor() {
    assert_eq!(
        error_text(&Build::intel().patch(515, [87])),
        "byte 515: Expected processor type 84, 85 or 86, found 87. The file is damaged or not C3D; export it again."
    );
}

#[test]
fn err_no_points() {
    let none = Build::intel().frames(vec![vec![]; 3]);
    assert_eq!(
        error_text(&none),
        "The C3D file holds no points (POINT:USED is 0), only other data. Export it with the marker positions."
    );
}

#[test]
fn err_only_model_outputs() {
    assert_eq!(
        error_text(&Build::intel().text("POINT", "ANGLES", &["LWRA", "RWRA"])),
        "All 2 points of the file are model outputs (angles, forces, moments, powers), not positions. Export it with the \
         marker positions."
    );
}

#[test]
fn err_scale() {
    let text = error_text(&Build::intel().floats("POINT", "SCALE", &[0.0]));
    assert_eq!(text, "POINT:SCALE is 0; a number other than zero was expected. The file is damaged; export it again.");
    assert!(error_text(&Build::intel().floats("POINT", "SCALE", &[f64::NAN])).starts_with("POINT:SCALE is NaN;"));
}

#[test]
fn err_no_rate() {
    let none = Build { rate: 0.0, ..Build::intel() }.without("POINT", "RATE");
    assert_eq!(
        error_text(&none),
        "The file states no sampling rate, neither in POINT:RATE nor in the header. State the rate."
    );
    assert!(read(&none.floats("POINT", "RATE", &[-100.0])).is_err());
}

#[test]
fn err_no_rows() {
    let none = Build::intel().words("POINT", "FRAMES", &[0]).patch(6, [9, 0]).patch(8, [0, 0]);
    assert_eq!(error_text(&none), "The C3D file has no point frames. Export it again with the marker positions.");
}

#[test]
fn err_no_data() {
    let build = Build::intel();
    let bytes = build.bytes();
    let cut = &bytes[..build.data_start() + 20];
    let error = super::read(cut, &ReadOptions::default()).expect_err("an error");
    assert_eq!(
        error.message().to_string(),
        "byte 1024: The data start here; one frame takes 32 bytes, 20 are left in the file. It is cut short; copy or \
         export it again."
    );
    assert!(matches!(read(&build.patch(16, [0xFF, 0xFF])), Err(C3dError::NoData { found: 0, .. })));
}

#[test]
fn err_all_missing() {
    assert_eq!(
        error_text(&Build::intel().frames(vec![vec![MISSING; 2]; 3])),
        "All 2 markers are missing in all 3 frames. Export the file again with the marker positions."
    );
}

// Any bytes.

#[test]
fn ok_mutated_files_are_read_or_refused() {
    let events = with_events([2, 3], [1.0, 1.5, 0.0, 0.25, 0.0, 2.0]);
    let events = header_events(events, &[(0.252, "TOP"), (1.0, "FIN")]).text("POINT", "ANGLES", &["RWRA"]);
    for processor in [84, 85, 86] {
        for scale in [-0.1, 0.5] {
            let build = Build { analog: 3, processor, scale, ..events.clone() };
            // Whole files mostly hit padding; the bytes up to the data are where sizes and offsets stand.
            crate::formats::hostile::survives_mutations(&build.bytes(), 1000);
        }
    }
}

#[test]
fn ok_any_byte_of_header_and_parameters_may_be_wrong() {
    let build = Build { analog: 3, ..with_events([2, 3], [1.0, 1.5, 0.0, 0.25, 0.0, 2.0]) };
    let bytes = build.bytes();
    for place in (0..bytes.len()).filter(|&place| bytes[place] != 0 || place < 24) {
        for value in [0, 1, 0x7F, 0x80, 0xFE, 0xFF] {
            let mut broken = bytes.clone();
            broken[place] = value;
            crate::formats::hostile::survives(&broken);
        }
    }
}

#[test]
fn ok_files_cut_at_any_byte() {
    let bytes = Build::intel().bytes();
    for end in 1..bytes.len() {
        crate::formats::hostile::survives(&bytes[..end]);
    }
}

#[test]
fn ok_memory_follows_the_file_not_its_claims() {
    // The greatest counts a header and parameters can claim, in a file of a few blocks.
    let huge = Build::intel().floats("POINT", "FRAMES", &[4e9]).words("POINT", "USED", &[65535]);
    let huge = huge.patch(2, [0xFF; 4]).patch(4, [0xFF; 2]).patch(18, [0xFF; 2]).words("ANALOG", "USED", &[65535]);
    assert!(matches!(read(&huge), Err(C3dError::NoData { .. })));
}
