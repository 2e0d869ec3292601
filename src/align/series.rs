use super::{AlignError, CLOCK_SLACK_S, LocalCost};
use crate::formats::{GAP, Point, is_gap};
use crate::signal::{Curve, runs};
use crate::swing::{InstantName, Swing};
use std::ops::Range;

/// One hand path over time, as the alignment sees it.
#[derive(Clone, Debug)]
pub struct Timed<'a> {
    /// Seconds, strictly increasing.
    pub time_s: &'a [f64],
    /// One point per time, metres, in the body-relative frame; three NaN in a gap. A coordinate beyond 1000 km counts as
    /// a gap.
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
}

/// No hand is farther than this from its body; sums of squares stay far from overflow.
const FARTHEST_M: f64 = 1e6;

/// A checked hand path with the curve through it.
pub(super) struct Series<'a> {
    time_s: &'a [f64],
    points: Vec<Point>,
    anchors: &'a [(InstantName, f64)],
    pub(super) curve: Curve,
}

impl<'a> Series<'a> {
    /// # Errors
    /// [`AlignError::UnevenSeries`].
    pub(super) fn new(timed: &'a Timed) -> Result<Self, AlignError> {
        let time_s = timed.time_s;
        let rising = time_s.windows(2).all(|pair| pair[0] < pair[1]) && time_s.iter().all(|t| t.is_finite());
        if time_s.len() != timed.points.len() || !rising {
            return Err(AlignError::UnevenSeries { times: time_s.len(), points: timed.points.len() });
        }
        let near = |point: &Point| point.iter().all(|x| x.abs() <= FARTHEST_M);
        let points: Vec<Point> = timed.points.iter().map(|point| if near(point) { *point } else { GAP }).collect();
        let curve = Curve::through(time_s, &points);
        Ok(Series { time_s, points, anchors: &timed.anchors, curve })
    }

    /// Time of an instant, if it lies in the recording.
    pub(super) fn anchor(&self, name: InstantName) -> Option<f64> {
        let recorded = *self.time_s.first()?..=*self.time_s.last()?;
        self.anchors
            .iter()
            .find(|(found, _)| *found == name)
            .map(|(_, time_s)| *time_s)
            .filter(|t| recorded.contains(t))
    }

    /// Times of the rows with data from `from_s` to `to_s`.
    pub(super) fn usable(&self, span: (f64, f64)) -> impl Iterator<Item = f64> {
        self.rows(span).filter(|&row| !is_gap(&self.points[row])).map(|row| self.time_s[row])
    }

    /// The rows from `from_s` to `to_s`, both included up to rounding of the clock.
    pub(super) fn rows(&self, (from_s, to_s): (f64, f64)) -> Range<usize> {
        let first = self.time_s.partition_point(|t| *t < from_s - CLOCK_SLACK_S);
        let last = self.time_s.partition_point(|t| *t <= to_s + CLOCK_SLACK_S);
        first..last.max(first)
    }

    /// Rows without data from `from_s` to `to_s`.
    pub(super) fn gaps(&self, span: (f64, f64)) -> usize {
        self.rows(span).len() - self.usable(span).count()
    }

    /// Length of the path from `from_s` to `to_s`, metres, straight across gaps.
    pub(super) fn length_m(&self, span: (f64, f64)) -> f64 {
        let points: Vec<&Point> = self.points[self.rows(span)].iter().filter(|point| !is_gap(point)).collect();
        points.windows(2).map(|pair| LocalCost::Euclidean.between(pair[0], pair[1])).sum()
    }

    /// Number of rows, and first and last time, of the longest stretch without a gap.
    pub(super) fn longest_run(&self) -> (usize, (f64, f64)) {
        let longest = runs(&self.points).into_iter().rev().max_by_key(Range::len).unwrap_or_default();
        let ends = self.time_s[longest.clone()].first().zip(self.time_s[longest.clone()].last());
        (longest.len(), ends.map_or((0.0, 0.0), |(first, last)| (*first, *last)))
    }
}
