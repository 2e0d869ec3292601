//! One swing, exported in the four formats, in every unit, with either axis up, mirrored, turned about the vertical, at
//! 60 to 500 Hz: the same path and the same instants come out.
//!
//! Two exports are compared at the samples of the slower file: within 2 mm from the takeaway to 30 ms before impact and
//! within 5 mm from there to impact; instants within one frame of the slower file plus the stated SD.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

use handpath::formats::write::{
    BvhOptions, C3dOptions, Channels, Joint, JointPose, Skeleton, TextOptions, bvh, c3d, text, trc,
};
use handpath::formats::{Axis, Format, GAP, LengthUnit, Point, ReadOptions, Recording, is_gap, read};
use handpath::model::{ModelParams, Motion, SampleOptions, sample, sample_skeleton};
use handpath::settings::{Corrections, Hand};
use handpath::signal::Curve;
use handpath::swing::{InstantName, Swing, analyse};
use std::path::PathBuf;

/// How an export is written.
#[derive(Clone, Copy, Debug)]
struct Export {
    format: Format,
    unit: LengthUnit,
    up: Axis,
    mirrored: bool,
    heading_rad: f64,
    rate_hz: f64,
}

const PLAIN: Export = Export {
    format: Format::C3d,
    unit: LengthUnit::Metre,
    up: Axis::PlusZ,
    mirrored: false,
    heading_rad: 0.0,
    rate_hz: 240.0,
};

/// Every format with every unit at every rate; the other choices take turns so that each meets each.
fn exports(rates: &[f64]) -> Vec<Export> {
    let mut list = Vec::new();
    for format in [Format::C3d, Format::Text, Format::Trc, Format::Bvh] {
        for unit in LengthUnit::ALL {
            for rate_hz in rates {
                let turn = list.len();
                list.push(Export {
                    format,
                    unit,
                    up: if turn % 2 == 0 { Axis::PlusZ } else { Axis::PlusY },
                    mirrored: turn % 3 == 1,
                    heading_rad: [0.0, 2.2, -1.0, 0.4, 3.0][turn % 5],
                    rate_hz: *rate_hz,
                });
            }
        }
    }
    list
}

/// Corrections that a user would state: BVH states no unit.
fn corrections(export: &Export) -> Corrections {
    Corrections { unit: (export.format == Format::Bvh).then_some(export.unit), ..Corrections::default() }
}

fn write(recording: &Recording, format: Format) -> Vec<u8> {
    match format {
        Format::C3d => c3d(recording, &C3dOptions::default()),
        Format::Text => text(recording, &TextOptions::default()),
        Format::Trc => trc(recording, "swing.trc", 6),
        Format::Bvh => panic!("a BVH file is written from a skeleton"),
    }
}

fn back(bytes: &[u8], format: Format) -> Recording {
    let recording = read(bytes, &ReadOptions::default()).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(recording.format, format);
    recording
}

fn swing_of(bytes: &[u8], export: &Export, address: Option<&[u8]>) -> Swing {
    let address = address.map(|bytes| back(bytes, export.format));
    analyse(&back(bytes, export.format), address.as_ref(), &corrections(export))
        .unwrap_or_else(|error| panic!("{export:?}: {error}"))
}

/// The same swing seen in two exports.
fn assert_same(what: &str, a: &Swing, b: &Swing) {
    let (slow, fast) = if a.rate_hz <= b.rate_hz { (a, b) } else { (b, a) };
    let time = |name| slow.instant(name).unwrap_or_else(|| panic!("{what}: no {name:?}: {:?}", slow.absent)).time_s;
    let (takeaway, impact) = (time(InstantName::Takeaway), time(InstantName::Impact));
    let curve = fast.hand_curve();
    for (t, p) in slow.time_s.iter().zip(&slow.hands).filter(|(t, _)| (takeaway..=impact).contains(*t)) {
        let q = curve.position(*t).unwrap();
        let apart = (0..3).map(|c| (p[c] - q[c]).powi(2)).sum::<f64>().sqrt();
        let allowed = if *t < impact - 0.03 { 0.002 } else { 0.005 };
        assert!(apart < allowed, "{what}: {apart} m apart at {t} s");
    }
    assert_eq!(slow.instants.len(), fast.instants.len(), "{what}: {:?} {:?}", slow.absent, fast.absent);
    for ours in &slow.instants {
        let theirs = fast.instant(ours.name).unwrap();
        let off = (ours.time_s - theirs.time_s).abs();
        assert!(off < 1.0 / slow.rate_hz + ours.sd_s, "{what}: {} off by {off} s, SD {}", ours.name.name(), ours.sd_s);
    }
}

fn model_bytes(params: &ModelParams, export: &Export) -> Vec<u8> {
    let motion = Motion::new(params);
    let options = SampleOptions {
        rate_hz: export.rate_hz,
        unit: export.unit,
        up: export.up,
        mirrored: export.mirrored,
        heading_rad: export.heading_rad,
        ..SampleOptions::default()
    };
    if export.format == Format::Bvh {
        let (skeleton, frames) = sample_skeleton(&motion, params, &options).unwrap();
        return bvh(&skeleton, export.rate_hz, &frames, &BvhOptions { decimals: 8, ..BvhOptions::default() });
    }
    write(&sample(&motion, params, &options).unwrap(), export.format)
}

#[test]
fn model_swings_are_the_same_in_every_export() {
    let players = [ModelParams::default(), ModelParams { hand: Hand::Left, stature_m: 1.62, ..ModelParams::default() }];
    for params in players {
        let base = |rate_hz| {
            let export = Export { rate_hz, ..PLAIN };
            swing_of(&model_bytes(&params, &export), &export, None)
        };
        let (slowest, fastest) = (base(60.0), base(500.0));
        for export in exports(&[60.0, 100.0, 240.0, 500.0]) {
            let swing = swing_of(&model_bytes(&params, &export), &export, None);
            assert_same(&format!("{export:?} against 60 Hz"), &swing, &slowest);
            assert_same(&format!("{export:?} against 500 Hz"), &swing, &fastest);
        }
    }
}

/// The recorded swing and its address, metres, as read.
fn recorded() -> Option<(Recording, Recording)> {
    let shared = |name: &str| {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data/golf").join(name);
        let mut recording = read(&std::fs::read(path).ok()?, &ReadOptions::default()).unwrap();
        for track in &mut recording.tracks {
            track.points.iter_mut().for_each(|p| *p = p.map(|x| x * (0.0254 / 0.45)));
        }
        Some(recording)
    };
    Some((shared("63_01_swing.bvh")?, shared("63_01_address.bvh")?))
}

/// A recording in metres, +y up, written another way.
fn rewritten(recording: &Recording, export: &Export) -> Vec<u8> {
    let last = *recording.clock_s.last().unwrap();
    let rows = (last * export.rate_hz + 1e-6).floor() as usize + 1;
    let clock_s: Vec<f64> = (0..rows).map(|k| k as f64 / export.rate_hz).collect();
    let (sin, cos) = export.heading_rad.sin_cos();
    let place = |p: Point| {
        let x = if export.mirrored { -p[0] } else { p[0] };
        let (x, z) = (cos * x + sin * p[2], cos * p[2] - sin * x);
        let turned = if export.up == Axis::PlusZ { [x, -z, p[1]] } else { [x, p[1], z] };
        turned.map(|c| c / export.unit.metres())
    };
    let mut tracks = recording.tracks.clone();
    for track in &mut tracks {
        let curve = Curve::through(&recording.clock_s, &track.points);
        track.points = clock_s.iter().map(|t| curve.position(*t).map_or(GAP, place)).collect();
        track.unit = Some(export.unit);
    }
    let rewritten = Recording { tracks, clock_s, rate_hz: Some(export.rate_hz), usual_up: None, ..recording.clone() };
    match export.format {
        Format::Bvh => as_roots(&rewritten, export.rate_hz),
        format => write(&rewritten, format),
    }
}

/// A BVH file in which every track is a root with position channels.
fn as_roots(recording: &Recording, rate_hz: f64) -> Vec<u8> {
    let joint = |name: &str| Joint {
        name: name.replace(' ', "_"),
        parent: None,
        offset: [0.0; 3],
        channels: Channels::Position,
    };
    let skeleton = Skeleton { joints: recording.tracks.iter().map(|track| joint(&track.name)).collect() };
    let still = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let pose =
        |row: usize| recording.tracks.iter().map(|t| JointPose { position: t.points[row], rotation: still }).collect();
    let frames: Vec<Vec<JointPose>> = (0..recording.rows()).map(pose).collect();
    assert!(recording.tracks.iter().all(|t| !t.points.iter().any(is_gap)));
    bvh(&skeleton, rate_hz, &frames, &BvhOptions { decimals: 8, ..BvhOptions::default() })
}

#[test]
fn the_recorded_swing_is_the_same_in_every_export() {
    let Some((swing, address)) = recorded() else {
        println!("skipped: no shared data");
        return;
    };
    let again = |export: &Export| {
        // Three frames of address cannot be resampled to a slower clock; a still pose needs no more than two rows.
        let pose = rewritten(&address, &Export { rate_hz: 120.0, ..*export });
        swing_of(&rewritten(&swing, export), export, Some(&pose))
    };
    let base = again(&Export { rate_hz: 120.0, ..PLAIN });
    for export in exports(&[60.0, 120.0, 240.0, 500.0]) {
        assert_same(&format!("{export:?}"), &again(&export), &base);
    }
}
