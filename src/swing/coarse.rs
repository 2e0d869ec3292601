//! Coarse instants from hand speed alone: where in a recording is a downswing, and where did it start?

use crate::formats::Point;
use nalgebra::Vector3;
use std::ops::Range;

/// Slowest hands that are still a swing, m/s: a drill swing of the slowest rung has a peak of about 1 m/s (assumed).
const SLOWEST_PEAK_M_S: f64 = 0.7;
/// A second movement counts as another swing when its peak reaches this share of the fastest.
const OTHER_SWING: f64 = 0.4;
/// The hands drop at least this far from the top to their lowest point, metres (assumed; a half swing drops more).
const LEAST_DROP_M: f64 = 0.25;
/// Hands on one grip are this near each other, metres.
const ON_ONE_GRIP_M: f64 = 0.40;
/// A swing comes from the side: along the line of the feet the hands are at least this far from their lowest point
/// somewhere between the top and it, metres (assumed; arms that are raised and dropped in front of the body are not).
const LEAST_SIDE_M: f64 = 0.12;
/// A rise of hand speed by this share of the peak ends the search back for the top: before it lies the backswing.
const BUMP_SHARE: f64 = 0.05;
/// The least such rise, m/s.
const BUMP_M_S: f64 = 0.15;
/// Hands slower than this share of the peak have come to a top; faster ones may only have slowed on the way down.
const AT_REST_SHARE: f64 = 0.2;
/// Longest downswing, seconds (a slow drill takes about one).
const LONGEST_DOWNSWING_S: f64 = 2.5;

/// What the search looks at; all series have one value per sample.
pub(super) struct Trace<'a> {
    pub(super) step_s: f64,
    pub(super) hands: &'a [Point],
    /// Hand speed, m/s; NaN in gaps.
    pub(super) speed: &'a [f64],
    /// Hand height, metres.
    pub(super) height: &'a [f64],
    /// Distance between the hands, metres, where both are tracked.
    pub(super) apart: Option<&'a [f64]>,
    /// From the right to the left ankle (else hip, else shoulder), any length, where they are tracked.
    pub(super) stance: Option<&'a [Point]>,
}

/// One movement from a top down to the ball, as sample indices.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Downswing {
    pub(super) top: usize,
    pub(super) peak: usize,
    /// Lowest hands after the top.
    pub(super) low: usize,
}

/// Why a movement is not a swing; the one that came furthest is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rejected {
    TooSlow,
    NoTop,
    NoDrop,
    NotFromTheSide,
    HandsApart,
}

impl Trace<'_> {
    /// All downswings in time order, or why there is none.
    pub(super) fn downswings(&self) -> Result<Vec<Downswing>, Rejected> {
        let fastest = self.speed.iter().copied().filter(|v| !v.is_nan()).fold(0.0, f64::max);
        if fastest < SLOWEST_PEAK_M_S {
            return Err(Rejected::TooSlow);
        }
        let least = (OTHER_SWING * fastest).max(SLOWEST_PEAK_M_S);
        let mut found: Vec<Downswing> = Vec::new();
        let mut reason = Rejected::TooSlow;
        for peak in self.peaks(least) {
            match self.downswing_to(peak) {
                Ok(swing) => match found.last_mut() {
                    // Two peaks on the way down from one top: the faster is the peak.
                    Some(last) if last.low >= swing.top => {
                        if self.speed[swing.peak] > self.speed[last.peak] {
                            *last = swing;
                        }
                    }
                    _ => found.push(swing),
                },
                Err(why) => reason = reason.max(why),
            }
        }
        if found.is_empty() { Err(reason) } else { Ok(found) }
    }

    /// Local maxima of speed of at least `least`.
    fn peaks(&self, least: f64) -> Vec<usize> {
        let value = |k: usize| self.speed.get(k).copied().filter(|v| !v.is_nan()).unwrap_or(f64::MIN);
        (0..self.speed.len())
            .filter(|&k| {
                let before = if k == 0 { f64::MIN } else { value(k - 1) };
                value(k) >= least && value(k) > before && value(k) >= value(k + 1)
            })
            .collect()
    }

    fn downswing_to(&self, peak: usize) -> Result<Downswing, Rejected> {
        let slowest = self.top_before(peak).ok_or(Rejected::NoTop)?;
        let Downswing { top, low, .. } =
            self.not_on_the_way(Downswing { top: slowest, peak, low: self.low_after(slowest, peak) });
        if self.height[top] - self.height[low] < LEAST_DROP_M {
            return Err(Rejected::NoDrop);
        }
        if self.side(top, low).is_some_and(|side| side < LEAST_SIDE_M) {
            return Err(Rejected::NotFromTheSide);
        }
        if self.hands_apart(top..peak + 1) {
            return Err(Rejected::HandsApart);
        }
        Ok(Downswing { top, peak, low })
    }

    /// The least speed before the peak, searched back until the speed has risen again or the recording begins.
    fn top_before(&self, peak: usize) -> Option<usize> {
        let rise = (BUMP_SHARE * self.speed[peak]).max(BUMP_M_S);
        let mut top = peak;
        for k in (self.earliest(peak)..peak).rev() {
            let v = self.speed[k];
            if v < self.speed[top] {
                top = k;
            } else if v > self.speed[top] + rise && self.speed[top] < 0.6 * self.speed[peak] {
                break;
            }
        }
        (self.speed[top] < 0.6 * self.speed[peak]).then_some(top)
    }

    fn earliest(&self, peak: usize) -> usize {
        peak.saturating_sub((LONGEST_DOWNSWING_S / self.step_s) as usize)
    }

    /// Arms held back slow the hands again on their way down: the top is then the last time they were all but at rest,
    /// already high, before that. (The last top of a pump drill is itself a rest.)
    fn not_on_the_way(&self, swing: Downswing) -> Downswing {
        let Downswing { top: slow, peak, .. } = swing;
        let at_rest = AT_REST_SHARE * self.speed[peak];
        if self.speed[slow] <= at_rest {
            return swing;
        }
        let rests = |k: &usize| self.speed[*k] < at_rest.min(0.5 * self.speed[slow]);
        match self.earlier_tops(self.earliest(peak), &swing).into_iter().rfind(rests) {
            Some(top) => Downswing { top, low: self.low_after(top, peak), ..swing },
            None => swing,
        }
    }

    /// Lowest hands from the top to as long after the peak as the downswing took before it.
    fn low_after(&self, top: usize, peak: usize) -> usize {
        let last = (peak + (peak - top).max((0.15 / self.step_s) as usize)).min(self.height.len() - 1);
        let usable = (top..=last).filter(|k| !self.height[*k].is_nan());
        usable.min_by(|a, b| self.height[*a].total_cmp(&self.height[*b])).unwrap_or(peak)
    }

    /// Greatest distance of the hands from their lowest point along the line of the feet at that moment.
    fn side(&self, top: usize, low: usize) -> Option<f64> {
        let place = |k: usize| Vector3::from(self.hands[k]);
        let line = Vector3::from(self.stance?[low]).try_normalize(1e-6)?;
        let offsets = (top..=low).map(|k| (place(k) - place(low)).dot(&line).abs()).filter(|x| !x.is_nan());
        offsets.reduce(f64::max)
    }

    fn hands_apart(&self, range: Range<usize>) -> bool {
        let Some(apart) = self.apart else { return false };
        crate::signal::median(apart[range].iter().copied()).is_some_and(|distance| distance > ON_ONE_GRIP_M)
    }

    /// Distance between the hands at two samples.
    pub(super) fn distance(&self, a: usize, b: usize) -> f64 {
        (Vector3::from(self.hands[a]) - Vector3::from(self.hands[b])).norm()
    }

    /// Other moments of least speed between `from` and the top where the hands are already high: pumps and pauses.
    pub(super) fn earlier_tops(&self, from: usize, swing: &Downswing) -> Vec<usize> {
        let high = self.height[swing.top] - 0.4 * (self.height[swing.top] - self.height[swing.low]);
        let rise = (BUMP_SHARE * self.speed[swing.peak]).max(BUMP_M_S);
        self.valleys(from..swing.top, rise).into_iter().filter(|k| self.height[*k] > high).collect()
    }

    /// Moments of least speed between two rises of at least `rise`.
    fn valleys(&self, range: Range<usize>, rise: f64) -> Vec<usize> {
        let mut found = Vec::new();
        let (mut highest, mut lowest, mut falling) = (range.start, range.start, false);
        for k in range {
            let v = self.speed[k];
            if falling {
                lowest = if v < self.speed[lowest] { k } else { lowest };
                if v > self.speed[lowest] + rise {
                    found.push(lowest);
                    (highest, falling) = (k, false);
                }
            } else {
                highest = if v > self.speed[highest] { k } else { highest };
                if v < self.speed[highest] - rise {
                    (lowest, falling) = (k, true);
                }
            }
        }
        found
    }
}
