//! A smoke run of hostile bytes on stable Rust: files that a writer wrote, damaged at random, through the front door and
//! on through the analysis and the report. The long runs are those of `tests/fuzz`. Not part of a plain `cargo test`,
//! because it takes a while: `cargo test --test hostile`, or `cargo verify --only fuzz`.

mod damage;

use damage::Random;
use handpath::formats::write::{BvhOptions, C3dOptions, TextOptions, bvh, c3d, packed, text, trc};
use handpath::formats::{Format, ReadOptions, read};
use handpath::json::{Json, spelled};
use handpath::lesson::{Lesson, Slot, open};
use handpath::model::{Motion, SampleOptions, sample, sample_skeleton, student};
use handpath::report::Report;
use handpath::settings::{Club, Corrections, Hand, SwingKind};
use handpath::shelf::{Entry, Filter, POINTS, Shelf, Tags, sealed};
use handpath::swing::analyse;

const COPIES: u64 = 3000;

/// At least one copy in so many is still read as its format; with fewer the run would show little.
const READ_ONE_IN: u64 = 10;

/// Three frames a tenth of a second, a second around impact: small files give many copies.
fn short(motion: &Motion) -> SampleOptions {
    let impact_s = motion.times[0].impact_s;
    SampleOptions { rate_hz: 30.0, window_s: Some([impact_s - 1.2, impact_s + 0.4]), ..SampleOptions::default() }
}

fn survive(file: &[u8], format: Format) {
    let mut read_as_such = 0;
    for seed in 1..=COPIES {
        let copy = Random::new(seed).mutate(file);
        let Ok(recording) = read(&copy, &ReadOptions { rate_hz: Some(30.0) }) else { continue };
        assert_eq!(recording.broken_invariant(), None, "copy {seed}");
        read_as_such += u64::from(recording.format == format);
        let swing = analyse(&recording, None, &Corrections::default());
        let report = serde_json::to_string(&Report::of("copy", &recording, swing.as_ref()));
        assert!(report.is_ok(), "copy {seed} has no report");
    }
    assert!(read_as_such >= COPIES / READ_ONE_IN, "only {read_as_such} of {COPIES} were read as {format:?}");
}

#[test]
fn damaged_c3d() {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    survive(&c3d(&sample(&motion, &params, &short(&motion)).unwrap(), &C3dOptions::default()), Format::C3d);
}

#[test]
fn damaged_text() {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    survive(&text(&sample(&motion, &params, &short(&motion)).unwrap(), &TextOptions::default()), Format::Text);
}

#[test]
fn damaged_trc() {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    survive(&trc(&sample(&motion, &params, &short(&motion)).unwrap(), "damaged", 4), Format::Trc);
}

#[test]
fn damaged_bvh() {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    let (skeleton, frames) = sample_skeleton(&motion, &params, &short(&motion)).unwrap();
    survive(&bvh(&skeleton, 30.0, &frames, &BvhOptions::default()), Format::Bvh);
}

/// A lesson of two swings: whatever is left of it can be opened, saved, opened again, and analysed with its corrections.
#[test]
fn damaged_lessons() {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    let kept = packed(&sample(&motion, &params, &short(&motion)).unwrap(), spelled);
    let mut lesson = Lesson::new("student");
    let corrections =
        handpath::json::parse(r#"{"unit":"m","club":"iron","cutoff":12.5,"instants":{"top":0.5}}"#).unwrap();
    lesson.push(Slot::Student, "one", corrections, kept.clone());
    lesson.push(Slot::Reference, "two", Json::Record(vec![]), kept);
    let file = lesson.save().into_bytes();
    let (mut opened, mut swings) = (0, 0);
    for seed in 1..=COPIES {
        let copy = Random::new(seed).mutate(&file);
        let Ok(lesson) = open(&copy) else { continue };
        opened += 1;
        let text = lesson.save();
        assert_eq!(open(text.as_bytes()).map(|again| again.save()), Ok(text), "copy {seed}");
        for swing in lesson.swings() {
            let Ok(recording) = swing.read() else { continue };
            assert_eq!(recording.broken_invariant(), None, "copy {seed}");
            swings += 1;
            if seed % 10 == 0 {
                let found = analyse(&recording, None, &swing.corrections);
                assert!(serde_json::to_string(&Report::of("copy", &recording, found.as_ref())).is_ok());
            }
        }
    }
    assert!(opened >= COPIES * 9 / 10 && swings >= COPIES / 3, "{opened} of {COPIES} opened, {swings} swings");
}

/// A pack of references, damaged, and with its check put right: refused, or a shelf that packs and searches.
#[test]
fn damaged_shelves() {
    let points = |lift: f64| (0..POINTS).map(|k| [k as f64 / 100.0, lift, 1.0]).collect();
    let mut shelf = Shelf::default();
    for (label, depth) in [("one", Some(0.5)), ("two", None)] {
        let (hand, club, kind) = (Hand::Left, Club::Wedge, SwingKind::Drill);
        shelf.push(&Entry { tags: Tags { label: label.into(), hand, club, kind, depth }, points: points(0.25) });
    }
    let file = shelf.to_pack();
    let mut opened = 0;
    for seed in 1..=COPIES {
        let copy = Random::new(seed).mutate(&file);
        for copy in [copy.clone(), sealed(&copy)] {
            let Ok(shelf) = Shelf::from_pack(&copy) else { continue };
            opened += 1;
            let again = Shelf::from_pack(&shelf.to_pack()).unwrap();
            assert_eq!(again.to_pack(), shelf.to_pack(), "copy {seed}");
            assert!(shelf.nearest(&points(0.0), 3, &Filter::default()).len() <= shelf.len());
        }
    }
    assert!(opened >= COPIES / READ_ONE_IN, "{opened} of {COPIES} opened");
}
