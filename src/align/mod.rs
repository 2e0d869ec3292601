//! Alignment in time: which sample of a reference swing belongs to which sample of the student's.
//!
//! Exact dynamic time warping on the body-relative 3-D hand path, in one of two [`Mode`]s: between instants that both
//! swings have, or free with open ends. The reference is brought to the student's size first (see [`crate::compare`]).
//!
//! **Known bias.** Warping chooses, of all admissible paths, the one with the least distance, and that distance is what
//! it then reports: deviations after warping are lower bounds of a kind, and times that fit best need not be times that
//! belong together. [`Alignment::bias`] carries that sentence to the reader; [`Segment::linear_cost`] says what the same
//! stretch costs without warping.

mod anchored;
#[cfg(test)]
mod brute;
mod dtw;
mod error;
mod free;
mod matched;
#[cfg(test)]
mod random;
mod step;
mod stretch;
#[cfg(test)]
mod tests;

pub use dtw::{Cells, LocalCost, MAX_SAMPLES, Warping, warp};
pub use error::AlignError;
pub use matched::MatchedSample;
pub use step::StepPattern;
pub use stretch::Stretch;

use crate::formats::{Point, is_gap};
use crate::signal::Curve;
use crate::swing::{InstantName, Swing};
use crate::words::Message;
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// A segment with fewer samples with data than this shows no path to compare.
pub const MIN_SAMPLES: usize = 3;

/// Samples of a segment that are taken unasked; beyond 1000 the work grows and the picture does not.
const UNASKED: RangeInclusive<usize> = 100..=1000;

/// How far apart samples are to lie unasked, on the longer of the two paths. A match is found to half a sample; with
/// the rows of a 60 Hz camera that would be up to 8 cm along the path, which would show as deviation.
const SPACING_M: f64 = 0.001;

/// Largest share of a series that may be left out at one open end; with more, what is left could be a sliver.
pub const MAX_OPEN_ENDS: f64 = 0.4;

/// How the two swings are brought together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// Segment by segment between the instants both swings have. Instants meet exactly; how long each took is told
    /// apart, as a time ratio.
    #[default]
    Anchored,
    /// The whole paths in their own time, without instants, with open ends.
    Free,
}

/// How to align.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default, deny_unknown_fields)]
pub struct AlignOptions {
    /// Anchored or free. Default: anchored.
    pub mode: Mode,
    /// Which moves the warping path may make. Default: P1.
    pub step: StepPattern,
    /// How far matched samples may lie apart, as a share of the segment from 0 to 1: with `n` samples (free mode: of
    /// the longer series) only cells with `|i - j| <= w` are admitted, `w = band (n - 1)` rounded to the nearest whole
    /// number. 0 lets nothing warp. Default: no band.
    pub band: Option<f64>,
    /// What two matched points cost. Default: their distance.
    pub local_cost: LocalCost,
    /// Samples each segment is resampled to (free mode: the longer series), from 3 to [`MAX_SAMPLES`]. A match is found
    /// to half a sample, so that few samples make deviations along the path. Default: one per row and one per millimetre
    /// of the longer path, whichever are more, but at least 100 and at most 1000; in free mode 1000.
    pub samples: Option<usize>,
    /// Free mode: the largest share of a series that may be left out at one end, from 0 (closed) to
    /// [`MAX_OPEN_ENDS`]. Default: 0.3.
    pub open_ends: f64,
}

impl Default for AlignOptions {
    fn default() -> Self {
        AlignOptions {
            mode: Mode::default(),
            step: StepPattern::default(),
            band: None,
            local_cost: LocalCost::default(),
            samples: None,
            open_ends: 0.3,
        }
    }
}

impl AlignOptions {
    /// Are all options in their ranges?
    ///
    /// # Errors
    /// [`AlignError::BadBand`], [`AlignError::TooFewAskedFor`], [`AlignError::TooManySamples`],
    /// [`AlignError::BadOpenEnds`], [`AlignError::OpenEndsNeedWeights`].
    pub fn check(&self) -> Result<(), AlignError> {
        if let Some(band) = self.band.filter(|band| !(0.0..=1.0).contains(band)) {
            return Err(AlignError::BadBand { band });
        }
        match self.samples {
            Some(samples) if samples < MIN_SAMPLES => return Err(AlignError::TooFewAskedFor { samples }),
            Some(samples) if samples > MAX_SAMPLES => return Err(AlignError::TooManySamples { samples }),
            _ => {}
        }
        if !(0.0..=MAX_OPEN_ENDS).contains(&self.open_ends) {
            return Err(AlignError::BadOpenEnds { open_ends: self.open_ends });
        }
        if self.mode == Mode::Free && !self.step.normalisable() {
            return Err(AlignError::OpenEndsNeedWeights { step: self.step });
        }
        Ok(())
    }

    /// Samples for a segment in which the swing with more rows has `rows` and the longer path is `length_m`.
    fn samples_for(&self, rows: usize, length_m: f64) -> usize {
        let by_length = (length_m / SPACING_M).min(MAX_SAMPLES as f64) as usize;
        self.samples.unwrap_or(rows.max(by_length).clamp(*UNASKED.start(), *UNASKED.end()))
    }

    /// Samples for a whole recording.
    fn samples_for_all(&self) -> usize {
        self.samples.unwrap_or(*UNASKED.end())
    }

    /// The band in samples, for `n` samples.
    fn band_for(&self, n: usize) -> Option<usize> {
        self.band.map(|share| (share * (n - 1) as f64).round() as usize)
    }
}

/// One hand path over time, as the alignment sees it.
#[derive(Clone, Debug)]
pub struct Timed<'a> {
    /// Seconds, strictly increasing.
    pub time_s: &'a [f64],
    /// One point per time, metres, in the body-relative frame; three NaN in a gap.
    pub points: &'a [Point],
    /// Instants that may serve as anchors, seconds on the same clock, in any order. Those outside the recording are
    /// passed over.
    pub anchors: Vec<(InstantName, f64)>,
}

impl<'a> Timed<'a> {
    /// The hand path of a swing and its instants.
    pub fn of(swing: &'a Swing) -> Self {
        Timed {
            time_s: &swing.time_s,
            points: &swing.hands,
            anchors: swing.instants.iter().map(|instant| (instant.name, instant.time_s)).collect(),
        }
    }

    fn check(&self) -> Result<(), AlignError> {
        let rising = self.time_s.windows(2).all(|pair| pair[0] < pair[1]) && self.time_s.iter().all(|t| t.is_finite());
        if self.time_s.len() == self.points.len() && rising {
            return Ok(());
        }
        Err(AlignError::UnevenSeries { times: self.time_s.len(), points: self.points.len() })
    }

    /// Time and point of the rows with data from `from_s` to `to_s`, both included.
    fn usable(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = (f64, Point)> {
        self.rows(from_s, to_s).filter(|(_, point)| !is_gap(point))
    }

    /// Time and point of all rows from `from_s` to `to_s`, both included up to rounding of the clock.
    fn rows(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = (f64, Point)> {
        let first = self.time_s.partition_point(|t| *t < from_s - CLOCK_SLACK_S);
        let last = self.time_s.partition_point(|t| *t <= to_s + CLOCK_SLACK_S);
        (first..last.max(first)).map(|row| (self.time_s[row], self.points[row]))
    }

    /// Length of the path through the rows with data from `from_s` to `to_s`, metres.
    fn length_m(&self, from_s: f64, to_s: f64) -> f64 {
        let points: Vec<Point> = self.usable(from_s, to_s).map(|(_, point)| point).collect();
        points.windows(2).map(|pair| LocalCost::Euclidean.between(&pair[0], &pair[1])).sum()
    }

    fn curve(&self) -> Curve {
        Curve::through(self.time_s, self.points)
    }
}

/// Two times this close are one, up to rounding of the clock.
const CLOCK_SLACK_S: f64 = 1e-9;

/// A stretch of both swings that was warped as one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Segment {
    /// Instant it begins with; `None` in free mode.
    pub from: Option<InstantName>,
    /// Instant it ends with; `None` in free mode.
    pub to: Option<InstantName>,
    /// Times of the student's samples that `path` counts.
    pub student: Stretch,
    /// Times of the reference's samples that `path` counts.
    pub reference: Stretch,
    /// How long the matched part took the student, seconds.
    pub student_s: f64,
    /// How long it took in the reference, seconds.
    pub reference_s: f64,
    /// `student_s / reference_s`: above 1 the student is slower. Not part of the cost.
    pub time_ratio: f64,
    /// Weighted sum of local costs along `path`: metres, or square metres (not rooted) for squared distances.
    pub cost: f64,
    /// `cost` per weight, see [`Warping::normalised`]; `None` for [`StepPattern::Symmetric1`].
    pub normalised_cost: Option<f64>,
    /// The same sum without warping (every sample on the one at the same share of the segment), never below `cost`;
    /// `None` in free mode, which has no such match.
    pub linear_cost: Option<f64>,
    /// Matched pairs of samples (student, reference), 0-based, in order.
    pub path: Vec<(usize, usize)>,
}

/// A segment that could not be warped.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dropped {
    /// Instant it begins with.
    pub from: InstantName,
    /// Instant it ends with.
    pub to: InstantName,
    /// Why.
    pub why: Message,
}

/// Two swings aligned in time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alignment {
    /// Anchored or free.
    pub mode: Mode,
    /// Step pattern used.
    pub step: StepPattern,
    /// Band used, as a share; `None`: no band.
    pub band: Option<f64>,
    /// Local cost used.
    pub local_cost: LocalCost,
    /// What was warped, in the order of the student's time.
    pub segments: Vec<Segment>,
    /// The student's own samples inside the segments that have a match, in time order.
    pub samples: Vec<MatchedSample>,
    /// Segments left out.
    pub dropped: Vec<Dropped>,
    /// Samples left out because they have no data.
    pub warnings: Vec<Message>,
    /// The known bias, in words.
    pub bias: Message,
}

impl Alignment {
    fn empty(options: &AlignOptions) -> Self {
        Alignment {
            mode: options.mode,
            step: options.step,
            band: options.band,
            local_cost: options.local_cost,
            segments: Vec::new(),
            samples: Vec::new(),
            dropped: Vec::new(),
            warnings: Vec::new(),
            bias: Message::new("align.bias"),
        }
    }

    /// Lateness at a time of the student's clock, interpolated between its samples; `None` where no sample with a match
    /// lies on either side in the same segment.
    pub fn lateness_at(&self, time_s: f64) -> Option<f64> {
        let after = self.samples.partition_point(|sample| sample.time_s < time_s - CLOCK_SLACK_S);
        let next = self.samples.get(after)?;
        if next.time_s <= time_s + CLOCK_SLACK_S {
            return Some(next.lateness_s);
        }
        let previous = self.samples[..after].last().filter(|sample| sample.segment == next.segment)?;
        let share = (time_s - previous.time_s) / (next.time_s - previous.time_s);
        Some(previous.lateness_s + share * (next.lateness_s - previous.lateness_s))
    }
}

/// Aligns a student's hand path with a reference's.
///
/// Both in one body-relative frame, metres, the reference at the student's size. Samples in gaps cost nothing and get no
/// match, with a warning. See [`Mode`] and [`AlignOptions`].
///
/// # Errors
/// [`AlignError`]: options out of range; no common ground; no admissible path.
pub fn align(student: &Timed, reference: &Timed, options: &AlignOptions) -> Result<Alignment, AlignError> {
    options.check()?;
    student.check()?;
    reference.check()?;
    match options.mode {
        Mode::Anchored => anchored::align(student, reference, options),
        Mode::Free => free::align(student, reference, options),
    }
}

/// Aligns the hand paths of two swings: [`align`] on [`Timed::of`] each.
///
/// # Errors
/// As [`align`].
pub fn align_swings(student: &Swing, reference: &Swing, options: &AlignOptions) -> Result<Alignment, AlignError> {
    align(&Timed::of(student), &Timed::of(reference), options)
}
