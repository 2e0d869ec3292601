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
mod average;
mod barycenter;
#[cfg(test)]
mod brute;
mod dtw;
mod error;
mod fast;
mod free;
mod kernel;
mod matched;
mod options;
#[cfg(test)]
mod random;
mod series;
mod step;
mod stretch;
#[cfg(test)]
mod tests;

pub use average::{Average, AveragedSegment, average, distances};
pub use barycenter::{Barycenter, BarycenterOptions, barycenter, barycenter_single};
pub use dtw::{Cells, LocalCost, MAX_SAMPLES, Warping, warp};
pub use error::AlignError;
pub use matched::MatchedSample;
pub use options::{AlignOptions, MAX_OPEN_ENDS, Mode};
pub use series::Timed;
pub use step::StepPattern;
pub use stretch::Stretch;

use crate::plain;
use crate::swing::{InstantName, Swing};
use crate::words::Message;
use series::Series;

/// A segment with fewer samples with data than this shows no path to compare.
pub const MIN_SAMPLES: usize = 3;

/// Two times this close are one, up to rounding of the clock.
const CLOCK_SLACK_S: f64 = 1e-9;

/// A stretch of both swings that was warped as one.
#[derive(Clone, Debug, PartialEq)]
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

plain::record!(Segment {
    from,
    to,
    student,
    reference,
    student_s,
    reference_s,
    time_ratio,
    cost,
    normalised_cost,
    linear_cost,
    path
});

/// A segment that could not be warped.
#[derive(Clone, Debug, PartialEq)]
pub struct Dropped {
    /// Instant it begins with.
    pub from: InstantName,
    /// Instant it ends with.
    pub to: InstantName,
    /// Why.
    pub why: Message,
}

plain::record!(Dropped { from, to, why });

/// Two swings aligned in time.
#[derive(Clone, Debug, PartialEq)]
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

plain::record!(Alignment { mode, step, band, local_cost, segments, samples, dropped, warnings, bias });

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
/// Both in one body-relative frame, metres, the reference at the student's size. What is left out because of gaps is
/// told in a warning, see [`Mode`].
///
/// # Errors
/// [`AlignError`]: options out of range; no common ground; no admissible path.
pub fn align(student: &Timed, reference: &Timed, options: &AlignOptions) -> Result<Alignment, AlignError> {
    options.check()?;
    let (student, reference) = (Series::new(student)?, Series::new(reference)?);
    match options.mode {
        Mode::Anchored => anchored::align(&student, &reference, options),
        Mode::Free => free::align(&student, &reference, options),
    }
}

/// Aligns the hand paths of two swings: [`align`] on [`Timed::of`] each.
///
/// # Errors
/// As [`align`].
pub fn align_swings(student: &Swing, reference: &Swing, options: &AlignOptions) -> Result<Alignment, AlignError> {
    align(&Timed::of(student), &Timed::of(reference), options)
}
