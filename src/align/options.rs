use super::{AlignError, LocalCost, MAX_SAMPLES, MIN_SAMPLES, StepPattern};
use crate::plain::{self, Given, GivenError, Read};
use std::ops::RangeInclusive;

/// Samples of a segment that are taken unasked. With 400 the downswing, where it matters, has about one per millimetre,
/// and backswing and follow-through lie within 4 mm along the path of what 2000 find.
const UNASKED: RangeInclusive<usize> = 100..=400;
/// Samples of a whole recording that are taken unasked.
const UNASKED_OF_ALL: usize = 1000;

/// How far apart samples are to lie unasked, on the longer of the two paths. A match is found to half a sample; with
/// the rows of a 60 Hz camera that would be up to 8 cm along the path, which would show as deviation.
const SPACING_M: f64 = 0.001;

/// Largest share of a series that may be left out at one open end; with more, what is left could be a sliver.
pub const MAX_OPEN_ENDS: f64 = 0.4;

/// How the two swings are brought together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// Segment by segment between the instants both swings have. Instants meet exactly; how long each took is told
    /// apart, as a time ratio. Samples in a gap keep their place, cost nothing and get no match, so that the path crosses
    /// the gap at any slope the step pattern allows.
    #[default]
    Anchored,
    /// The whole paths in their own time, without instants, with open ends. Of a path with gaps the longest stretch
    /// without one is taken.
    Free,
}

plain::words!(Mode { Anchored = "anchored", Free = "free" });

/// How to align.
#[derive(Clone, Debug, PartialEq)]
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
    /// to half a sample, so that few samples make deviations along the path. Default: one per millimetre of the longer
    /// path, but at least 100 and at most 400, however many rows there are: hands that rest need few; in free mode 1000.
    pub samples: Option<usize>,
    /// Free mode: the largest share of a series that may be left out at one end, from 0 (closed) to
    /// [`MAX_OPEN_ENDS`]. Default: 0.3.
    pub open_ends: f64,
}

impl Read for AlignOptions {
    fn read(given: &Given) -> Result<Self, GivenError> {
        let fields = given.fields()?;
        let default = AlignOptions::default();
        let options = AlignOptions {
            mode: fields.or("mode", default.mode)?,
            step: fields.or("step", default.step)?,
            band: fields.take("band")?,
            local_cost: fields.or("local-cost", default.local_cost)?,
            samples: fields.take("samples")?,
            open_ends: fields.or("open-ends", default.open_ends)?,
        };
        fields.all_known()?;
        Ok(options)
    }
}

plain::readable!(AlignOptions);

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

    /// Samples for a segment whose longer path is `length_m`.
    pub(super) fn samples_for(&self, length_m: f64) -> usize {
        let by_length = (length_m / SPACING_M).min(MAX_SAMPLES as f64) as usize;
        self.samples.unwrap_or(by_length.clamp(*UNASKED.start(), *UNASKED.end()))
    }

    /// Samples for a whole recording.
    pub(super) fn samples_for_all(&self) -> usize {
        self.samples.unwrap_or(UNASKED_OF_ALL)
    }

    /// The band in samples, for `n` samples.
    pub(super) fn band_for(&self, n: usize) -> Option<usize> {
        self.band.map(|share| (share * (n - 1) as f64).round() as usize)
    }
}
