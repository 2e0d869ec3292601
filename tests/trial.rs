//! The made-up swing to try: what the sliders' ends say, and that no corner of their ranges breaks it.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use handpath::findings::Finding;
use handpath::formats::{ReadOptions, read};
use handpath::model::{Motion, SLIDERS, recorded, trial};
use handpath::report::SwingReport;
use handpath::settings::{Club, Corrections};
use handpath::swing::{InstantName, Swing, analyse};

fn swing(bytes: &[u8]) -> Swing {
    let recording = read(bytes, &ReadOptions::default()).unwrap();
    let corrections = Corrections { club: Some(Club::Iron), ..Corrections::default() };
    analyse(&recording, None, &corrections).unwrap()
}

fn starts() -> [f64; 5] {
    SLIDERS.map(|slider| slider.start)
}

fn carrier(report: &SwingReport) -> &Finding {
    report.findings.iter().find(|finding| finding.name == "carrier").unwrap()
}

fn verdict(values: &[f64]) -> &'static str {
    let swing = swing(&recorded(&trial(values)));
    let mut report = SwingReport::of(&swing);
    report.judge(&swing, &[], &handpath::findings::Thresholds::default());
    carrier(&report).verdict
}

/// From its end where the arms move the hands to its end where the body carries them the slider passes through both.
#[test]
fn the_ends_of_the_first_slider_are_the_two_kinds() {
    let at = |carrier: f64| {
        let mut values = starts();
        values[0] = carrier;
        verdict(&values)
    };
    let row: Vec<&str> = (0..=10).map(|k| at(0.1 * f64::from(k))).collect();
    assert_eq!((row[0], row[10]), ("arm-driven", "body-carried"), "{row:?}");
    assert!(row.contains(&"both"), "{row:?}");
}

#[test]
fn every_corner_is_a_swing() {
    for corner in 0..32_u32 {
        let mut values = starts();
        for (at, slider) in SLIDERS.iter().enumerate() {
            values[at] = if corner & (1 << at) == 0 { slider.low } else { slider.high };
        }
        let verdict = verdict(&values);
        assert_ne!(verdict, "cannot tell", "{values:?}");
        let truth = Motion::new(&trial(&values)).truth(0).unwrap();
        let found = swing(&recorded(&trial(&values)));
        for name in [InstantName::Top, InstantName::LeadArmLevel, InstantName::Impact] {
            assert!(truth.instant(name).is_some(), "{values:?} has no {name:?}");
            assert!(found.instant(name).is_some(), "{name:?} is not found with {values:?}");
        }
    }
}
