//! Whatever a reader hands over, the analysis gives a swing or an error: no panic, no endless loop, bounded memory.

#![allow(clippy::unwrap_used)]

use handpath::formats::{Format, GAP, LengthUnit, RateSource, Recording, Track};
use handpath::model::{ModelParams, Motion, SampleOptions, sample};
use handpath::settings::{Corrections, Hand};
use handpath::swing::analyse;

/// A small linear congruential generator, so that every run tries the same cases.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides.max(1)
    }

    fn coordinate(&mut self) -> f64 {
        [0.0, 1.0, -1.0, 1e-300, 1e300, f64::MAX, -f64::MAX, 0.1, f64::MIN_POSITIVE, 1e9][self.roll(10)]
    }
}

const NAMES: [&str; 14] =
    ["LFIN", "RFIN", "LSHO", "RSHO", "LANK", "RANK", "LASI", "RASI", "LTOE", "CLUBHEAD", "BALL", "SHAFT1", "", "x"];

fn wild(dice: &mut Dice) -> Recording {
    let rows = 1 + dice.roll(60);
    let mut clock = 0.0;
    let clock_s: Vec<f64> = (0..rows)
        .map(|_| {
            clock += [1e-9, 0.004, 0.01, 1.9, 1e6, 0.01, 0.01][dice.roll(7)];
            clock
        })
        .collect();
    let tracks = (0..1 + dice.roll(NAMES.len()))
        .map(|i| {
            let still = [dice.coordinate(), dice.coordinate(), dice.coordinate()];
            let kind = dice.roll(4);
            let mut point = || match kind {
                0 => still,
                1 => GAP,
                _ if dice.roll(5) == 0 => GAP,
                _ => [dice.coordinate(), dice.coordinate(), dice.coordinate()],
            };
            Track::marker(NAMES[i], (0..rows).map(|_| point()).collect())
        })
        .collect();
    Recording {
        format: Format::Text,
        rate_hz: None,
        rate_source: RateSource::TimeColumn,
        clock_s,
        tracks,
        up: None,
        usual_up: None,
        events: vec![],
        warnings: vec![],
        first_row: 0,
    }
}

#[test]
fn wild_recordings_never_panic() {
    let mut dice = Dice(7);
    for _ in 0..3000 {
        let recording = wild(&mut dice);
        let corrections = Corrections {
            scale: [None, Some(1e-12), Some(1e12), Some(0.0), Some(f64::NAN)][dice.roll(5)],
            unit: [None, Some(LengthUnit::Foot)][dice.roll(2)],
            cutoff: [None, Some(0.0), Some(f64::NAN), Some(1e9), Some(1e-9)][dice.roll(5)],
            hand: [None, Some(Hand::Left)][dice.roll(2)],
            mirror: [None, Some(true)][dice.roll(2)],
            aim: [0.0, f64::NAN, 1e9][dice.roll(3)],
            ..Corrections::default()
        };
        let _ = analyse(&recording, None, &corrections);
    }
}

/// A real swing with damage: gaps, spikes, frozen and swapped tracks, jumps of the clock.
#[test]
fn damaged_swings_never_panic() {
    let params = ModelParams::default();
    let whole =
        sample(&Motion::new(&params), &params, &SampleOptions { rate_hz: 60.0, ..SampleOptions::default() }).unwrap();
    let mut dice = Dice(11);
    let mut swings = 0;
    for _ in 0..400 {
        let mut recording = whole.clone();
        for _ in 0..dice.roll(6) {
            let (track, row) = (dice.roll(recording.tracks.len()), dice.roll(recording.rows()));
            let (points, value) = (&mut recording.tracks[track].points, dice.coordinate());
            let end = (row + dice.roll(80)).min(points.len());
            match dice.roll(4) {
                0 => points[row..end].fill(GAP),
                1 => points[row][dice.roll(3)] = value,
                2 => {
                    let frozen = points[row];
                    points[row..end].fill(frozen);
                }
                _ => recording.clock_s[row..].iter_mut().for_each(|t| *t += 0.05),
            }
        }
        swings += usize::from(analyse(&recording, None, &Corrections::default()).is_ok());
    }
    assert!(swings > 200, "most damaged swings are still swings: {swings} of 400");
}
