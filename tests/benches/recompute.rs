//! How long it takes until everything is told anew: a student beside eight references, all intervals shown.
//!
//! `cargo bench --bench recompute` prints milliseconds of computing (waiting for the processor left out, where the system
//! tells). *Full*: all nine swings from their recordings. *Moved*: an instant or the target line of the student, as the
//! page does it: the student's swing, its measures, shares and comparisons are computed anew, the references are kept.
//! `tests/recompute.rs` holds the second against the first.

#![allow(clippy::expect_used, clippy::print_stdout, reason = "a bench answers on standard output")]

use handpath::align::AlignOptions;
use handpath::compare::compare;
use handpath::formats::Recording;
use handpath::measure::{measures, without_intervals};
use handpath::model::{ModelParams, Motion, SampleOptions, reference, sample, student};
use handpath::report::{Against, Report};
use handpath::settings::Corrections;
use handpath::swing::{InstantName, Swing, analyse};
use std::time::Instant;

const RATES_HZ: [f64; 3] = [60.0, 120.0, 240.0];
const ROUNDS: u32 = 30;

/// A swing, and what is told of it.
struct Known {
    swing: Swing,
    report: Report,
}

impl Known {
    fn of(recording: &Recording, corrections: &Corrections) -> Known {
        let swing = analyse(recording, None, corrections).expect("a swing");
        let report = Report::of("swing", recording, Ok(&swing));
        Known { swing, report }
    }

    fn beside(&self, references: &[Known]) -> Vec<Against> {
        let against = |reference: &Known| {
            let report = reference.report.clone();
            Against::of(Some(&self.swing), report, Some(&reference.swing), &AlignOptions::default())
                .measured(&self.report.swing.measures, None)
        };
        references.iter().map(against).collect()
    }
}

fn recorded(params: &ModelParams, rate_hz: f64) -> Recording {
    let options = SampleOptions { rate_hz, noise_m: 0.001, ..SampleOptions::default() };
    sample(&Motion::new(params), params, &options).expect("in reach")
}

/// Seconds this thread has computed, where the system tells; else seconds gone by.
fn computed_s(start: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    ns.map_or_else(|| start.elapsed().as_secs_f64(), |ns| ns * 1e-9)
}

fn ms<T>(what: &str, work: impl Fn() -> T) -> f64 {
    let start = Instant::now();
    let before_s = computed_s(start);
    (0..ROUNDS).for_each(|_| drop(std::hint::black_box(work())));
    let ms = 1e3 * (computed_s(start) - before_s) / f64::from(ROUNDS);
    println!("  {what:<50} {ms:7.2} ms");
    ms
}

fn main() {
    for rate_hz in RATES_HZ {
        println!("{rate_hz} Hz");
        let recording = recorded(&student(1, 1), rate_hz);
        let others: Vec<Recording> = ('A'..='H').map(|name| recorded(&reference(name), rate_hz)).collect();
        let plain = Corrections::default();
        let kept: Vec<Known> = others.iter().map(|other| Known::of(other, &plain)).collect();
        let known = Known::of(&recording, &plain);
        let top_s = known.swing.instant(InstantName::Top).map_or(0.0, |top| top.time_s);
        let mut placed = plain.clone();
        placed.instants.insert("top".into(), top_s + 0.01);
        let aimed = Corrections { aim: 3.0, ..plain.clone() };
        let full = ms("full: nine swings and eight comparisons", || {
            let all: Vec<Known> = others.iter().map(|other| Known::of(other, &plain)).collect();
            Known::of(&recording, &placed).beside(&all)
        });
        let instant = ms("moved: an instant", || Known::of(&recording, &placed).beside(&kept));
        let line = ms("moved: the target line", || Known::of(&recording, &aimed).beside(&kept));
        println!("  of the full recompute: {:.2} and {:.2}", instant / full, line / full);
        ms("part: one swing from its recording", || analyse(&recording, None, &plain).expect("a swing"));
        ms("part: measures with intervals", || measures(&known.swing));
        ms("part: measures without intervals", || without_intervals(&known.swing));
        let swings: Vec<Swing> = kept.iter().map(|known| known.swing.clone()).collect();
        ms("part: eight alignments", || compare(&known.swing, &swings, &AlignOptions::default()));
    }
}
