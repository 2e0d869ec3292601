use crate::formats::{GAP, Point};
use crate::plain;
use crate::signal::Curve;

/// Evenly spaced times along a stretch of one swing: sample `k` lies at `start_s + k step_s`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Time of sample 0, seconds on the swing's clock.
    pub start_s: f64,
    /// Seconds from one sample to the next.
    pub step_s: f64,
    /// Number of samples.
    pub samples: usize,
}

plain::record!(Stretch { start_s, step_s, samples });

impl Stretch {
    /// `samples` (at least 2) from `start_s` to `end_s`, both included.
    pub fn between(start_s: f64, end_s: f64, samples: usize) -> Self {
        Stretch { start_s, step_s: (end_s - start_s) / (samples - 1) as f64, samples }
    }

    /// Time of a sample; fractions lie between samples.
    pub fn time_s(&self, sample: f64) -> f64 {
        self.start_s + sample * self.step_s
    }

    /// Where a time lies, in samples.
    pub(super) fn place(&self, time_s: f64) -> f64 {
        (time_s - self.start_s) / self.step_s
    }
}

/// A swing's points at the times of a stretch; three NaN in a gap.
pub(super) struct Sampled {
    pub(super) at: Stretch,
    pub(super) points: Vec<Point>,
}

impl Sampled {
    pub(super) fn new(curve: &Curve, at: Stretch) -> Self {
        let point = |k: usize| curve.position(at.time_s(k as f64)).unwrap_or(GAP);
        Sampled { at, points: (0..at.samples).map(point).collect() }
    }
}
