//! Cleaning of tracks: one uniform clock, short gaps closed, noise filtered, smooth curves with derivatives.
//!
//! Every function works on one track of [`Point`]s sampled on a uniform [`Grid`]; a gap is three NaN and stays a gap
//! unless it is short enough for [`fill_gaps`].

mod curve;
mod filter;
mod gaps;
mod grid;
mod noise;
mod random;
mod spline;

pub use curve::Curve;
pub use filter::{DEFAULT_CUTOFF_HZ, LowPass};
pub use gaps::{Filled, MAX_GAP_S, drop_spikes, fill_gaps, runs};
pub use grid::{Grid, GridError};
pub use noise::{Noise, noise_sd};
pub(crate) use random::Random;
pub use spline::{End, Spline};

use crate::formats::{GAP, Point, is_gap};
use crate::order;

/// The mean of several series, row by row; a gap where one of them has a gap.
pub fn mean(series: &[&[Point]]) -> Vec<Point> {
    let rows = series.iter().map(|points| points.len()).min().unwrap_or(0);
    let share = 1.0 / series.len().max(1) as f64;
    (0..rows)
        .map(|row| {
            let mut sum = [0.0; 3];
            for points in series {
                for (total, x) in sum.iter_mut().zip(points[row]) {
                    *total += x * share;
                }
            }
            if is_gap(&sum) { GAP } else { sum }
        })
        .collect()
}

/// The median of the values that are not NaN; `None` where there are none. O(n).
pub fn median(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    median_of(&values.into_iter().filter(|x| !x.is_nan()).collect::<Vec<_>>())
}

fn median_of(values: &[f64]) -> Option<f64> {
    let all = || values.iter().copied();
    let upper = order::nth(all(), values.len() / 2)?;
    if values.len() % 2 == 1 || all().filter(|x| *x < upper).count() < values.len() / 2 {
        return Some(upper);
    }
    let lower = all().filter(|x| *x < upper).fold(f64::NEG_INFINITY, f64::max);
    Some(0.5 * (lower + upper))
}

/// The coordinate-wise median of the points that are not gaps.
pub fn median_point(points: &[Point]) -> Option<Point> {
    let coordinate = |axis: usize| median(points.iter().filter(|p| !is_gap(p)).map(|p| p[axis]));
    Some([coordinate(0)?, coordinate(1)?, coordinate(2)?])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_has_a_gap_where_one_series_has() {
        let points = mean(&[&[[0.0, 0.0, 0.0], GAP], &[[2.0, 4.0, 6.0], [1.0, 1.0, 1.0]]]);
        assert_eq!(points[0], [1.0, 2.0, 3.0]);
        assert!(is_gap(&points[1]));
    }

    #[test]
    fn medians_skip_gaps() {
        assert_eq!(median([3.0, f64::NAN, 1.0, 2.0]), Some(2.0));
        assert_eq!(median([4.0, 1.0]), Some(2.5));
        assert_eq!(median([f64::NAN]), None);
        assert_eq!(median_point(&[GAP, [1.0, 2.0, 3.0]]), Some([1.0, 2.0, 3.0]));
    }
}
