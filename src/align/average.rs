//! The average of several swings, segment by segment between the instants all of them have, so that an instant of the
//! average is the mean of that instant.

use super::barycenter::{BarycenterOptions, barycenter_in};
use super::series::{Series, Timed};
use super::stretch::{Sampled, Stretch};
use super::{AlignError, LocalCost, fast};
use crate::formats::{Point, is_gap};
use crate::swing::InstantName;
use std::ops::RangeInclusive;

/// Samples lie about this far apart along the longest of the paths, metres.
const SPACING_M: f64 = 0.01;
/// Samples of a segment.
const SAMPLES: RangeInclusive<usize> = 40..=400;
/// How far matched samples may lie apart, as a share of the segment.
const BAND: f64 = 0.15;
/// Rows with data that a segment needs in every swing.
const LEAST_ROWS: usize = 2;

/// A stretch between two instants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AveragedSegment {
    /// Instant it begins with.
    pub from: InstantName,
    /// Instant it ends with.
    pub to: InstantName,
    /// Number of its first place; its last is the first of the next segment.
    pub first: usize,
    /// Number of its last place.
    pub last: usize,
    /// Sum over the swings of their warping costs onto the average, see [`super::Barycenter::cost`].
    pub cost: f64,
}

/// The average of several swings, and what each of them has at its places.
#[derive(Clone, Debug, PartialEq)]
pub struct Average {
    /// Segments in order.
    pub segments: Vec<AveragedSegment>,
    /// The average path, one point per place.
    pub mean: Vec<Point>,
    /// Seconds since the first shared instant, at each place: the mean over the swings.
    pub time_s: Vec<f64>,
    /// For each swing, the mean of its samples that belong to each place; three NaN in a gap.
    pub curves: Vec<Vec<Point>>,
    /// Instants that some of the swings have, but not all in one order with data in between: no segment ends there.
    pub left_out: Vec<InstantName>,
}

/// Averages hand paths. All in body-relative frames, metres, at one size.
///
/// Time warping chooses the match with the smallest distance: what is left between the swings at a place, along the path
/// above all, is a lower bound of a kind.
///
/// # Errors
/// [`AlignError::NothingInCommon`]: fewer than two instants that all swings have; [`AlignError::UnevenSeries`].
pub fn average(swings: &[Timed]) -> Result<Average, AlignError> {
    let several = Several::of(swings)?;
    let mut average = Average {
        segments: vec![],
        mean: vec![],
        time_s: vec![],
        curves: vec![vec![]; swings.len()],
        left_out: several.left_out.clone(),
    };
    for ends in several.shared.windows(2) {
        several.between(ends[0], ends[1]).add_to(&mut average)?;
    }
    Ok(average)
}

/// How far each swing is from each other one: the mean distance of matched points, metres, by row and column of the list.
///
/// # Errors
/// As [`average`].
pub fn distances(swings: &[Timed]) -> Result<Vec<Vec<f64>>, AlignError> {
    let several = Several::of(swings)?;
    let segments: Vec<Sides> = several.shared.windows(2).map(|ends| several.between(ends[0], ends[1])).collect();
    let mut table: Vec<Vec<f64>> = vec![];
    for a in 0..swings.len() {
        // Warping costs the same both ways.
        let mut row = (0..a).map(|b| mean_distance(&segments, a, b)).collect::<Result<Vec<f64>, _>>()?;
        table.iter_mut().zip(&row).for_each(|(above, distance)| above.push(*distance));
        row.push(0.0);
        table.push(row);
    }
    Ok(table)
}

fn mean_distance(segments: &[Sides], a: usize, b: usize) -> Result<f64, AlignError> {
    let (mut cost, mut samples) = (0.0, 0.0);
    for segment in segments {
        cost += segment.distance(a, b)?;
        samples += 2.0 * segment.swings[a].points.len() as f64;
    }
    Ok(cost / samples)
}

/// Several swings and the instants that tie them together.
struct Several<'a> {
    series: Vec<Series<'a>>,
    shared: Vec<InstantName>,
    left_out: Vec<InstantName>,
}

impl<'a> Several<'a> {
    fn of(swings: &'a [Timed]) -> Result<Several<'a>, AlignError> {
        let series = swings.iter().map(Series::new).collect::<Result<Vec<_>, _>>()?;
        let (mut shared, mut left_out) = (vec![], vec![]);
        for name in InstantName::ALL {
            if series.iter().all(|swing| swing.anchor(name).is_some_and(|at| follows(swing, shared.last(), at))) {
                shared.push(name);
            } else if series.iter().any(|swing| swing.anchor(name).is_some()) {
                left_out.push(name);
            }
        }
        if shared.len() < 2 || series.is_empty() {
            return Err(AlignError::NothingInCommon { common: shared.len().min(series.len()) });
        }
        Ok(Several { series, shared, left_out })
    }

    /// The swings between two shared instants, at one common count of samples.
    fn between(&self, from: InstantName, to: InstantName) -> Sides {
        let span = |swing: &Series| swing.anchor(from).zip(swing.anchor(to)).unwrap_or_default();
        let longest_m = self.series.iter().map(|swing| swing.length_m(span(swing))).fold(0.0, f64::max);
        let samples = ((longest_m / SPACING_M) as usize).clamp(*SAMPLES.start(), *SAMPLES.end());
        let sampled = |swing: &Series| {
            let (start_s, end_s) = span(swing);
            Sampled::new(&swing.curve, Stretch::between(start_s, end_s, samples))
        };
        Sides { from, to, swings: self.series.iter().map(sampled).collect() }
    }
}

/// Is there data between the instant before (if there is one) and this time?
fn follows(swing: &Series, before: Option<&InstantName>, at_s: f64) -> bool {
    let since = before.and_then(|name| swing.anchor(*name));
    since.is_none_or(|since_s| swing.usable((since_s, at_s)).count() >= LEAST_ROWS)
}

/// Several swings between two instants.
struct Sides {
    from: InstantName,
    to: InstantName,
    swings: Vec<Sampled>,
}

impl Sides {
    fn options(&self) -> BarycenterOptions {
        let samples = self.swings.first().map_or(0, |swing| swing.points.len());
        BarycenterOptions { band: Some((BAND * samples as f64) as usize), ..BarycenterOptions::default() }
    }

    fn add_to(&self, average: &mut Average) -> Result<(), AlignError> {
        let curves: Vec<Vec<Point>> = self.swings.iter().map(|swing| swing.points.clone()).collect();
        let found = barycenter_in::<f32>(&mean_by_share(&curves), &curves, &self.options())?;
        // The place two segments share is kept once.
        let again = usize::from(!average.mean.is_empty());
        let first = average.mean.len() - again;
        average.mean.extend(&found.points[again..]);
        for (curve, matched) in average.curves.iter_mut().zip(&found.matched) {
            curve.extend(matched[again..].iter().map(|(point, _)| *point));
        }
        let start_s = average.time_s.last().copied().unwrap_or(0.0);
        let places = again..found.points.len();
        average.time_s.extend(places.map(|place| start_s + self.mean_time_s(&found.matched, place)));
        let last = average.mean.len() - 1;
        average.segments.push(AveragedSegment { from: self.from, to: self.to, first, last, cost: found.cost });
        Ok(())
    }

    /// Mean time of a place since the segment's first instant.
    fn mean_time_s(&self, matched: &[Vec<(Point, f64)>], place: usize) -> f64 {
        let (mut sum, mut count) = (0.0, 0.0);
        for (swing, matched) in self.swings.iter().zip(matched) {
            // In a gap: the same share of the segment.
            let number = if matched[place].1.is_nan() { place as f64 } else { matched[place].1 };
            sum += number * swing.at.step_s;
            count += 1.0;
        }
        sum / count
    }

    /// Cost of warping one swing onto another, metres times weights.
    fn distance(&self, a: usize, b: usize) -> Result<f64, AlignError> {
        let (a, b) = (&self.swings[a].points, &self.swings[b].points);
        let BarycenterOptions { step, band, .. } = self.options();
        Ok(fast::warp::<f32>(a, b, LocalCost::Euclidean, step, band)?.cost)
    }
}

/// The first guess: the mean at the same share of the segment; a gap where all have one.
fn mean_by_share(curves: &[Vec<Point>]) -> Vec<Point> {
    let at = |place: usize| {
        let (mut sum, mut count) = ([0.0; 3], 0.0);
        for point in curves.iter().map(|curve| &curve[place]).filter(|point| !is_gap(point)) {
            sum = std::array::from_fn(|axis| sum[axis] + point[axis]);
            count += 1.0;
        }
        sum.map(|x: f64| x / count)
    };
    (0..curves.first().map_or(0, Vec::len)).map(at).collect()
}
