//! Recomputing after a correction, with the references kept, is the same as computing everything from the recordings.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::align::AlignOptions;
use handpath::formats::Recording;
use handpath::model::{ModelParams, Motion, SampleOptions, reference, sample, student};
use handpath::report::{Against, Report};
use handpath::settings::{Corrections, TargetLine};
use handpath::swing::{InstantName, Swing, analyse};

fn recorded(params: &ModelParams) -> Recording {
    let options = SampleOptions { rate_hz: 120.0, noise_m: 0.002, ..SampleOptions::default() };
    sample(&Motion::new(params), params, &options).unwrap()
}

fn found(recording: &Recording, corrections: &Corrections) -> (Swing, Report) {
    let swing = analyse(recording, None, corrections).unwrap();
    let report = Report::of("swing", recording, Ok(&swing));
    (swing, report)
}

/// Everything told of a student beside references, as JSON.
fn told(student: &(Swing, Report), references: &[(Swing, Report)]) -> String {
    let against = |(swing, report): &(Swing, Report)| {
        Against::of(Some(&student.0), report.clone(), Some(swing), &AlignOptions::default())
            .measured(&student.1.swing.measures, None)
    };
    let all: Vec<Against> = references.iter().map(against).collect();
    serde_json::to_string(&(&student.1, &all)).unwrap()
}

#[test]
fn a_moved_instant_or_target_line_tells_what_a_full_recompute_tells() {
    let (own, others) = (student(1, 1), ['A', 'B', 'C'].map(reference));
    let plain = Corrections::default();
    let all = |corrections: &Corrections| {
        let references: Vec<_> = others.iter().map(|params| found(&recorded(params), &plain)).collect();
        (found(&recorded(&own), corrections), references)
    };
    let (before, kept) = all(&plain);
    let mut placed = plain.clone();
    placed.instants.insert("top".into(), before.0.instant(InstantName::Top).unwrap().time_s + 0.02);
    let aimed = Corrections { aim: -4.0, ..plain.clone() };
    let stated = Corrections { target: Some(TargetLine::Direction([0.1, 1.0, 0.0])), ..plain.clone() };
    let recording = recorded(&own);
    let mut texts = vec![told(&before, &kept)];
    for moved in [placed, aimed, stated, plain.clone()] {
        let (again, references) = all(&moved);
        let full = told(&again, &references);
        assert!(told(&found(&recording, &moved), &kept) == full, "{moved:?}");
        texts.push(full);
    }
    // Each correction changes what is told, and taking it back changes it back.
    assert_eq!(texts.first(), texts.last());
    texts.pop();
    assert!((1..texts.len()).all(|k| !texts[..k].contains(&texts[k])));
}
