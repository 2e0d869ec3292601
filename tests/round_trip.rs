//! What a writer writes, the reader of the format reads back: every point to the precision that the file stores, in
//! every unit, Y-up and Z-up, with gaps, for both hands. The two sides share no code beyond the `Recording`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::write::{
    BvhOptions, C3dOptions, Channels, EulerOrder, GapText, Header, Processor, TextOptions, TimeColumn, bvh, c3d, text,
    trc,
};
use handpath::formats::{Axis, Event, Format, LengthUnit, ReadOptions, Recording, is_gap, read};
use handpath::model::{Missing, ModelParams, Motion, Naming, SampleOptions, sample, sample_skeleton};
use handpath::settings::Hand;

/// A short stretch around impact with a gap and a ball that leaves.
fn swing(params: &ModelParams, options: SampleOptions) -> Recording {
    let motion = Motion::new(params);
    let impact_s = motion.times[0].impact_s;
    let missing = vec![Missing { track: "LELB".into(), from_s: impact_s - 0.1, to_s: impact_s - 0.05 }];
    let window_s = Some([impact_s - 0.3, impact_s + 0.2]);
    sample(&motion, params, &SampleOptions { missing, window_s, rate_hz: 120.0, ..options }).unwrap()
}

fn back(bytes: &[u8], format: Format) -> Recording {
    let found = read(bytes, &ReadOptions::default()).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(found.format, format);
    found
}

/// Same names, rows and points; `step` is the resolution that the file stores, in file units.
fn same(wrote: &Recording, found: &Recording, step: f64) {
    let names = |r: &Recording| r.tracks.iter().map(|t| t.name.clone()).collect::<Vec<_>>();
    assert_eq!(names(found), names(wrote));
    assert_eq!(found.rows(), wrote.rows());
    for (a, b) in wrote.tracks.iter().zip(&found.tracks) {
        for (row, (p, q)) in a.points.iter().zip(&b.points).enumerate() {
            assert_eq!(is_gap(p), is_gap(q), "{} row {row}", a.name);
            let off = p.iter().zip(q).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
            assert!(is_gap(p) || off <= step, "{} row {row}: {p:?} {q:?}", a.name);
        }
    }
}

fn rows_of_units_and_axes() -> Vec<(LengthUnit, Axis, Hand)> {
    let mut rows = Vec::new();
    for unit in LengthUnit::ALL {
        rows.push((unit, Axis::PlusZ, Hand::Right));
        rows.push((unit, Axis::PlusY, Hand::Left));
    }
    rows
}

#[test]
fn text_tables_come_back_in_every_unit() {
    for (unit, up, hand) in rows_of_units_and_axes() {
        let wrote =
            swing(&ModelParams { hand, ..ModelParams::default() }, SampleOptions { unit, up, ..Default::default() });
        let found = back(&text(&wrote, &TextOptions::default()), Format::Text);
        same(&wrote, &found, 0.51e-6);
        assert_eq!(found.stated_unit(), Some(unit));
        assert!((found.rate_hz.unwrap() - 120.0).abs() < 0.01);
    }
}

#[test]
fn text_dialects_come_back() {
    let wrote = swing(&ModelParams::default(), SampleOptions { unit: LengthUnit::Millimetre, ..Default::default() });
    let plain = TextOptions::default();
    let dialects = [
        TextOptions { delimiter: ';', decimal_comma: true, ..plain.clone() },
        TextOptions { delimiter: '\t', header: Header::ThreeRows, crlf: true, ..plain.clone() },
        TextOptions { header: Header::TwoRows, time: TimeColumn::Milliseconds, gap: GapText::Nan, ..plain.clone() },
        TextOptions { preamble: vec!["Export of a swing".into(), String::new()], decimals: None, ..plain },
    ];
    for options in dialects {
        let found = back(&text(&wrote, &options), Format::Text);
        same(&wrote, &found, 0.51e-6);
        assert!((found.clock_s[7] - found.clock_s[0] - 7.0 / 120.0).abs() < 2e-6, "{options:?}");
    }
}

#[test]
fn trc_comes_back_in_every_unit() {
    for (unit, up, hand) in rows_of_units_and_axes() {
        let wrote =
            swing(&ModelParams { hand, ..ModelParams::default() }, SampleOptions { unit, up, ..Default::default() });
        let found = back(&trc(&wrote, "swing.trc", 6), Format::Trc);
        same(&wrote, &found, 0.51e-6);
        assert_eq!(found.stated_unit(), Some(unit));
    }
}

#[test]
fn c3d_comes_back_in_every_unit_and_number_format() {
    for (unit, up, hand) in rows_of_units_and_axes() {
        let wrote =
            swing(&ModelParams { hand, ..ModelParams::default() }, SampleOptions { unit, up, ..Default::default() });
        let greatest = wrote.tracks.iter().flat_map(|t| &t.points).flatten().filter(|x| x.is_finite());
        let greatest = greatest.fold(0.0_f64, |m, x| m.max(x.abs()));
        for processor in [Processor::Intel, Processor::Dec, Processor::Sgi] {
            for integers in [false, true] {
                let found = back(&c3d(&wrote, &C3dOptions { processor, integers }), Format::C3d);
                let step = if integers { greatest / 32000.0 * 0.51 } else { greatest * 6e-8 };
                same(&wrote, &found, step);
                assert_eq!((found.stated_unit(), found.rate_hz), (Some(unit), Some(120.0)));
            }
        }
    }
}

#[test]
fn c3d_keeps_events_and_more_than_255_names() {
    let mut wrote = swing(&ModelParams::default(), SampleOptions::default());
    wrote.events.push(Event { label: "impact".into(), clock_s: 0.3 });
    wrote.events.push(Event { label: "start".into(), clock_s: 65.25 });
    let first = wrote.tracks[0].clone();
    wrote.tracks = (0..300).map(|k| handpath::formats::Track { name: format!("P{k}"), ..first.clone() }).collect();
    let found = back(&c3d(&wrote, &C3dOptions::default()), Format::C3d);
    same(&wrote, &found, 1e-6);
    let events: Vec<(&str, f64)> = found.events.iter().map(|e| (e.label.trim(), e.clock_s)).collect();
    assert_eq!(events.len(), 2);
    assert!(events.iter().any(|(label, t)| *label == "impact" && (t - 0.3).abs() < 1e-6), "{events:?}");
    assert!(events.iter().any(|(label, t)| *label == "start" && (t - 65.25).abs() < 1e-4), "{events:?}");
}

#[test]
fn c3d_keeps_more_than_65535_frames() {
    let mut wrote = swing(&ModelParams::default(), SampleOptions::default());
    wrote.tracks.truncate(1);
    let rows = 70_000;
    wrote.tracks[0].points = (0..rows).map(|k| [f64::from(k) * 0.001, 0.5, -0.25]).collect();
    wrote.clock_s = (0..rows).map(|k| f64::from(k) / 120.0).collect();
    let found = back(&c3d(&wrote, &C3dOptions::default()), Format::C3d);
    same(&wrote, &found, 1e-5);
}

/// The joints of a BVH file lie where the marker export of the same swing has its points.
#[test]
fn bvh_joints_lie_on_the_marker_sets_points() {
    for (unit, up, hand, mirrored) in [
        (LengthUnit::Centimetre, Axis::PlusY, Hand::Right, false),
        (LengthUnit::Metre, Axis::PlusZ, Hand::Left, false),
        (LengthUnit::Millimetre, Axis::MinusX, Hand::Right, true),
    ] {
        for order in EulerOrder::ALL {
            let params = ModelParams { hand, ..ModelParams::default() };
            let motion = Motion::new(&params);
            let impact_s = motion.times[0].impact_s;
            let options = SampleOptions {
                rate_hz: 100.0,
                unit,
                up,
                mirrored,
                heading_rad: 0.7,
                shift_m: [0.4, -1.2, 0.1],
                naming: Naming::Joints,
                window_s: Some([impact_s - 0.4, impact_s + 0.3]),
                ..SampleOptions::default()
            };
            let wrote = sample(&motion, &params, &options).unwrap();
            let (skeleton, frames) = sample_skeleton(&motion, &params, &options).unwrap();
            let found = back(&bvh(&skeleton, 100.0, &frames, &BvhOptions { order, decimals: 7 }), Format::Bvh);
            assert_eq!(found.rows(), wrote.rows());
            let mut seen = 0;
            for track in &wrote.tracks {
                let joint = found.track(&track.name).unwrap_or_else(|| panic!("no {}", track.name));
                for (p, q) in track.points.iter().zip(&joint.points).filter(|(p, _)| !is_gap(p)) {
                    let off = p.iter().zip(q).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max) * unit.metres();
                    assert!(off < 1e-5, "{}: {p:?} {q:?}", track.name);
                }
                seen += 1;
            }
            assert_eq!(seen, 22);
            assert!(skeleton.joints.iter().any(|j| j.channels == Channels::Position && j.name == "Ball"));
        }
    }
}
