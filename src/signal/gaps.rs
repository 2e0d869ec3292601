use super::spline::{End, Spline};
use crate::formats::{Point, is_gap};
use std::ops::Range;

/// Longest gap that is closed, seconds. A downswing lasts about a quarter of a second: a longer bridge would invent
/// the very thing that is looked for. (Assumed limit.)
pub const MAX_GAP_S: f64 = 0.06;

/// Samples on each side of a gap that carry the bridge.
const SUPPORT: usize = 8;

/// A gap that was closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    /// Samples that were filled.
    pub samples: Range<usize>,
}

/// Stretches without a gap, in order.
pub fn runs(points: &[Point]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = None;
    for (k, point) in points.iter().enumerate() {
        match (is_gap(point), start) {
            (false, None) => start = Some(k),
            (true, Some(from)) => {
                found.push(from..k);
                start = None;
            }
            _ => {}
        }
    }
    if let Some(from) = start {
        found.push(from..points.len());
    }
    found
}

/// Closes inner gaps of at most [`MAX_GAP_S`] by a cubic spline (not-a-knot ends) through up to eight samples on each
/// side; a gap needs at least two samples on each side. Longer gaps, and those at either end, stay.
pub fn fill_gaps(points: &mut [Point], rate_hz: f64) -> Vec<Filled> {
    let longest = (MAX_GAP_S * rate_hz).floor() as usize;
    let stretches = runs(points);
    let mut filled = Vec::new();
    for pair in stretches.windows(2) {
        let gap = pair[0].end..pair[1].start;
        let left = pair[0].end.saturating_sub(SUPPORT).max(pair[0].start)..pair[0].end;
        let right = pair[1].start..(pair[1].start + SUPPORT).min(pair[1].end);
        if gap.len() > longest || left.len() < 2 || right.len() < 2 {
            continue;
        }
        let support: Vec<usize> = left.chain(right).collect();
        let knots: Vec<f64> = support.iter().map(|&k| k as f64).collect();
        let values: Vec<Point> = support.iter().map(|&k| points[k]).collect();
        if let Some(spline) = Spline::fit(&knots, &values, End::NotAKnot) {
            gap.clone().for_each(|k| points[k] = spline.value(k as f64));
            filled.push(Filled { samples: gap });
        }
    }
    filled
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::GAP;

    fn arc(samples: usize, rate_hz: f64) -> Vec<Point> {
        (0..samples).map(|k| (k as f64 / rate_hz * 6.0).sin_cos()).map(|(s, c)| [s, c, 0.5 * s]).collect()
    }

    #[test]
    fn a_short_gap_on_an_arc_is_closed_to_a_tenth_of_a_millimetre() {
        let whole = arc(120, 120.0);
        let mut points = whole.clone();
        points[60..66].fill(GAP);
        assert_eq!(fill_gaps(&mut points, 120.0), vec![Filled { samples: 60..66 }]);
        let worst = (60..66).map(|k| (points[k][0] - whole[k][0]).abs()).fold(0.0, f64::max);
        assert!(worst < 1e-4, "{worst}");
    }

    #[test]
    fn long_gaps_and_ends_stay() {
        let mut points = arc(120, 120.0);
        points[0] = GAP;
        points[60..68].fill(GAP);
        assert_eq!(fill_gaps(&mut points, 120.0), vec![]);
        assert_eq!(runs(&points), vec![1..60, 68..120]);
    }
}
