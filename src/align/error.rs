//! Why two swings could not be aligned.

use super::dtw::MAX_SAMPLES;
use super::step::StepPattern;
use super::{MAX_OPEN_ENDS, MIN_SAMPLES};
use crate::words::Message;
use std::fmt;

/// Why two swings could not be aligned.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum AlignError {
    /// Band and step pattern leave no path from one end to the other, because the lengths differ too much. (Anchored
    /// segments have one length, so that the diagonal is always admissible.)
    NoAdmissiblePath {
        /// Samples of the student.
        student: usize,
        /// Samples of the reference.
        reference: usize,
        /// Step pattern.
        step: StepPattern,
        /// Band in samples; `None`: no band.
        band: Option<usize>,
    },
    /// Anchored: fewer than two instants are found in both swings.
    NothingInCommon {
        /// Instants found in both: none or one.
        common: usize,
    },
    /// Anchored: every segment between common instants was left out, because of its order or its length.
    NothingLeft {
        /// Segments left out.
        segments: usize,
    },
    /// Free: the student's hand path has too few samples with data.
    StudentTooShort {
        /// Samples with data.
        usable: usize,
    },
    /// Free: the reference's hand path has too few samples with data.
    ReferenceTooShort {
        /// Samples with data.
        usable: usize,
    },
    /// A series without samples.
    NoSamples,
    /// A series beyond the limit of the exact method.
    TooManySamples {
        /// Samples asked for.
        samples: usize,
    },
    /// A count of samples per segment too small to show a path.
    TooFewAskedFor {
        /// Samples asked for.
        samples: usize,
    },
    /// A band that is not a share from 0 to 1.
    BadBand {
        /// What was given.
        band: f64,
    },
    /// A share of open ends outside its range.
    BadOpenEnds {
        /// What was given.
        open_ends: f64,
    },
    /// Open ends with a step pattern whose cost cannot be normalised.
    OpenEndsNeedWeights {
        /// The pattern.
        step: StepPattern,
    },
    /// Times and points of a series differ in number, or the times do not rise.
    UnevenSeries {
        /// Number of times.
        times: usize,
        /// Number of points.
        points: usize,
    },
}

impl AlignError {
    /// Key and parameters.
    pub fn message(&self) -> Message {
        match self {
            AlignError::NoAdmissiblePath { student, reference, step, band } => {
                let band = band.unwrap_or((*student).max(*reference).saturating_sub(1));
                let message = Message::new("align.no_path").with("student", *student).with("reference", *reference);
                message.with("step", step.name()).with("band", band)
            }
            AlignError::NothingInCommon { common } => Message::new("align.nothing_in_common").with("common", *common),
            AlignError::NothingLeft { segments } => {
                Message::new("align.nothing_left").with("segments", *segments).with("needed", MIN_SAMPLES)
            }
            AlignError::StudentTooShort { usable } => {
                Message::new("align.student_too_short").with("usable", *usable).with("needed", MIN_SAMPLES)
            }
            AlignError::ReferenceTooShort { usable } => {
                Message::new("align.reference_too_short").with("usable", *usable).with("needed", MIN_SAMPLES)
            }
            AlignError::NoSamples => Message::new("align.no_samples"),
            AlignError::TooManySamples { samples } => {
                Message::new("align.too_many_samples").with("samples", *samples).with("limit", MAX_SAMPLES)
            }
            AlignError::TooFewAskedFor { samples } => {
                Message::new("align.too_few_asked_for").with("samples", *samples).with("needed", MIN_SAMPLES)
            }
            AlignError::BadBand { band } => Message::new("align.bad_band").with("band", *band),
            AlignError::BadOpenEnds { open_ends } => {
                Message::new("align.bad_open_ends").with("open_ends", *open_ends).with("limit", MAX_OPEN_ENDS)
            }
            AlignError::OpenEndsNeedWeights { step } => {
                Message::new("align.open_ends_need_weights").with("step", step.name())
            }
            AlignError::UnevenSeries { times, points } => {
                Message::new("align.uneven_series").with("times", *times).with("points", *points)
            }
        }
    }
}

impl fmt::Display for AlignError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.message().fmt(f)
    }
}

impl std::error::Error for AlignError {}
