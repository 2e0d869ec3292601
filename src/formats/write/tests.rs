use super::*;
use crate::formats::{Event, Format, GAP, LengthUnit, RateSource, Recording, Track};

/// Two tracks, two rows, one gap, millimetres.
fn small() -> Recording {
    let track = |name: &str, points| Track { unit: Some(LengthUnit::Millimetre), ..Track::marker(name, points) };
    Recording {
        format: Format::Text,
        rate_hz: Some(50.0),
        rate_source: RateSource::Stated,
        first_row: 0,
        clock_s: vec![0.0, 0.02],
        tracks: vec![
            track("LSHO", vec![[1.0, -2.5, 3.0], [1.5, -2.0, 3.25]]),
            track("a, b", vec![GAP, [0.125, 0.0, -1.0]]),
        ],
        up: None,
        usual_up: None,
        events: Vec::new(),
        warnings: Vec::new(),
    }
}

fn lines(options: &TextOptions) -> Vec<String> {
    String::from_utf8(text(&small(), options)).unwrap().lines().map(str::to_owned).collect()
}

#[test]
fn text_with_units_in_one_header_row() {
    let found = lines(&TextOptions { decimals: Some(2), ..TextOptions::default() });
    assert_eq!(
        found,
        [
            "Time (s),LSHO_X (mm),LSHO_Y (mm),LSHO_Z (mm),\"a, b_X (mm)\",\"a, b_Y (mm)\",\"a, b_Z (mm)\"",
            "0.000000,1.00,-2.50,3.00,,,",
            "0.020000,1.50,-2.00,3.25,0.12,0.00,-1.00",
        ]
    );
}

#[test]
fn text_in_other_dialects() {
    let found = lines(&TextOptions {
        delimiter: ';',
        decimal_comma: true,
        header: Header::ThreeRows,
        time: TimeColumn::Milliseconds,
        decimals: None,
        gap: GapText::Zero,
        preamble: vec!["Lab export".into()],
        ..TextOptions::default()
    });
    assert_eq!(
        found,
        [
            "Lab export",
            "Time;LSHO;LSHO;LSHO;a, b;a, b;a, b",
            ";X;Y;Z;X;Y;Z",
            "ms;mm;mm;mm;mm;mm;mm",
            "0,000;1;-2,5;3;0;0;0",
            "20,000;1,5;-2;3,25;0,125;0;-1",
        ]
    );
    let two_rows =
        TextOptions { header: Header::TwoRows, time: TimeColumn::Frames, gap: GapText::Nan, ..TextOptions::default() };
    assert_eq!(lines(&two_rows)[..2], ["Frame,LSHO,,,\"a, b\",,", ",X,Y,Z,X,Y,Z"]);
    assert_eq!(lines(&two_rows)[2], "1,1.000000,-2.500000,3.000000,NaN,NaN,NaN");
}

#[test]
fn text_in_other_encodings() {
    let bytes = |encoding| text(&small(), &TextOptions { encoding, crlf: true, ..TextOptions::default() });
    assert_eq!(bytes(Encoding::Utf8Bom)[..4], [0xEF, 0xBB, 0xBF, b'T']);
    assert_eq!(bytes(Encoding::Utf16Le)[..4], [0xFF, 0xFE, b'T', 0]);
    assert_eq!(bytes(Encoding::Utf16Be)[..4], [0xFE, 0xFF, 0, b'T']);
    assert!(bytes(Encoding::Utf8).ends_with(b"\r\n"));
}

#[test]
fn trc_to_the_letter() {
    let expected = "PathFileType\t4\t(X/Y/Z)\tsmall.trc\n\
        DataRate\tCameraRate\tNumFrames\tNumMarkers\tUnits\tOrigDataRate\tOrigDataStartFrame\tOrigNumFrames\n\
        50\t50\t2\t2\tmm\t50\t1\t2\n\
        Frame#\tTime\tLSHO\t\t\ta, b\t\t\n\
        \t\tX1\tY1\tZ1\tX2\tY2\tZ2\n\
        \n\
        1\t0.000000\t1.0\t-2.5\t3.0\t\t\t\n\
        2\t0.020000\t1.5\t-2.0\t3.2\t0.1\t0.0\t-1.0\n";
    assert_eq!(String::from_utf8(trc(&small(), "small.trc", 1)).unwrap(), expected);
}

/// The layout by the user guide of c3d.org: pointers, counts, scale and rate of the header, and the data's place.
#[test]
fn c3d_header_and_data_lie_where_the_guide_says() {
    let mut recording = small();
    recording.events.push(Event { label: "IMPACT".into(), clock_s: 0.02 });
    let file = c3d(&recording, &C3dOptions::default());
    let word = |n: usize| u16::from_le_bytes([file[2 * n - 2], file[2 * n - 1]]);
    let float = |byte: usize| f32::from_le_bytes(file[byte..byte + 4].try_into().unwrap());
    assert_eq!((file.len() % 512, &file[..2]), (0, &[2, 0x50][..]));
    assert_eq!([2, 3, 4, 5, 6].map(word), [2, 0, 1, 2, 0]);
    assert!(float(12) < 0.0 && (float(20) - 50.0).abs() < f32::EPSILON);
    assert_eq!((word(150), word(151)), (0x3039, 1));
    assert!((float(2 * 152) - 0.02).abs() < 1e-8);
    assert_eq!(&file[2 * 198..2 * 198 + 4], b"IMPA");
    // Parameter section: number of blocks and processor type.
    assert_eq!(usize::from(file[514]) + 2, usize::from(word(9)));
    assert_eq!(file[515], 84);
    let data = 512 * (usize::from(word(9)) - 1);
    let values: Vec<f32> = (0..16).map(|k| float(data + 4 * k)).collect();
    assert_eq!(values[..8], [1.0, -2.5, 3.0, 0.0, 0.0, 0.0, 0.0, -1.0]);
    assert_eq!(values[8..], [1.5, -2.0, 3.25, 0.0, 0.125, 0.0, -1.0, 0.0]);
}

/// Known bytes of VAX floats: 1.0 is 80 40 00 00, -2.5 is 20 C1 00 00, 0.1 is CC 3E CD CC (comments of py-c3d).
#[test]
fn dec_floats_have_their_known_bytes() {
    let mut recording = small();
    recording.tracks.truncate(1);
    recording.tracks[0].points = vec![[1.0, -2.5, 0.1]; 2];
    let file = c3d(&recording, &C3dOptions { processor: Processor::Dec, integers: false });
    let data = 512 * (usize::from(u16::from_le_bytes([file[16], file[17]])) - 1);
    assert_eq!(file[data..data + 12], [0x80, 0x40, 0, 0, 0x20, 0xC1, 0, 0, 0xCC, 0x3E, 0xCD, 0xCC]);
    assert_eq!(file[515], 85);
}

fn rotation(degrees: f64) -> JointPose {
    let (sin, cos) = degrees.to_radians().sin_cos();
    JointPose { position: [1.0, 2.0, 3.0], rotation: [[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]] }
}

#[test]
fn bvh_to_the_letter() {
    let joint = |name: &str, parent, offset, channels| Joint { name: name.into(), parent, offset, channels };
    let skeleton = Skeleton {
        joints: vec![
            joint("Hips", None, [0.0; 3], Channels::PositionAndRotation),
            joint("Spine", Some(0), [0.0, 1.0, 0.0], Channels::Rotation),
            joint("", Some(1), [0.0, 0.5, 0.0], Channels::EndSite),
            joint("Ball", None, [0.0; 3], Channels::Position),
        ],
    };
    let frame = vec![rotation(30.0), rotation(-10.0), rotation(0.0), rotation(0.0)];
    let file = bvh(&skeleton, 100.0, &[frame], &BvhOptions { order: EulerOrder::Zxy, decimals: 1 });
    let expected = "HIERARCHY\nROOT Hips\n{\n\tOFFSET 0.0 0.0 0.0\n\
        \tCHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n\
        \tJOINT Spine\n\t{\n\t\tOFFSET 0.0 1.0 0.0\n\t\tCHANNELS 3 Zrotation Xrotation Yrotation\n\
        \t\tEnd Site\n\t\t{\n\t\t\tOFFSET 0.0 0.5 0.0\n\t\t}\n\t}\n}\n\
        ROOT Ball\n{\n\tOFFSET 0.0 0.0 0.0\n\tCHANNELS 3 Xposition Yposition Zposition\n}\n\
        MOTION\nFrames: 1\nFrame Time: 0.010000000\n1.0 2.0 3.0 30.0 0.0 0.0 -10.0 0.0 0.0 1.0 2.0 3.0\n";
    assert_eq!(String::from_utf8(file).unwrap(), expected);
}

/// At gimbal lock (middle angle 90 degrees) the angles still make the matrix.
#[test]
fn euler_angles_make_the_matrix_also_at_gimbal_lock() {
    use nalgebra::{Matrix3, Rotation3, Vector3};
    let axes = [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()];
    for order in EulerOrder::ALL {
        for middle in [-90.0, -35.0, 0.0, 60.0, 90.0_f64] {
            let turn = |angles: [f64; 3]| {
                let [i, j, k] = order.axes();
                let about = |axis: usize, angle: f64| Rotation3::from_axis_angle(&axes[axis], angle);
                (about(i, angles[0]) * about(j, angles[1]) * about(k, angles[2])).into_inner()
            };
            let wanted = turn([0.7, middle.to_radians(), -1.9]);
            let rows = [0, 1, 2].map(|r| [0, 1, 2].map(|c| wanted[(r, c)]));
            let found: Matrix3<f64> = turn(order.angles(&rows));
            assert!((found - wanted).norm() < 1e-7, "{order:?} {middle}: {found} {wanted}");
        }
    }
}

#[test]
fn a_written_zero_has_no_sign() {
    let cases = [(-0.0, "0.00"), (-0.004, "0.00"), (-0.006, "-0.01"), (0.0, "0.00"), (-10.0, "-10.00")];
    for (value, text) in cases {
        assert_eq!(fixed(value, 2), text);
    }
    assert_eq!(fixed(-0.3, 0), "0");
}
