use super::spline::{End, Spline};
use crate::formats::{GAP, Point, is_gap};
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

/// Speed that no hand or body point reaches, m/s: the fastest hands of a full swing stay well under half of it
/// (assumed).
const SPIKE_M_S: f64 = 40.0;
/// Longest spike, samples: what jumps away for longer and comes back may be another point.
const SPIKE_SAMPLES: usize = 3;

/// Makes gaps of spikes: up to three samples (metres) that jump away from both neighbours faster than 40 m/s.
/// Returns how many samples went.
pub fn drop_spikes(points: &mut [Point], rate_hz: f64) -> usize {
    let jump = |a: &Point, b: &Point| {
        let distance = (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt();
        // An overflow is a jump too; a gap is not.
        distance * rate_hz > SPIKE_M_S
    };
    let mut dropped = 0;
    let mut k = 1;
    while k < points.len() {
        let before = points[k - 1];
        let back = (1..=SPIKE_SAMPLES).find(|n| points.get(k + n).is_some_and(|p| !is_gap(p) && !jump(&before, p)));
        match back {
            Some(n) if jump(&before, &points[k]) => {
                points[k..k + n].fill(GAP);
                dropped += n;
                k += n + 1;
            }
            _ => k += 1,
        }
    }
    dropped
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
    fn a_spike_becomes_a_gap_and_a_fast_hand_does_not() {
        let mut points = arc(120, 120.0);
        points[40][1] += 0.5;
        points[80][0] = 1e300;
        points[81][0] = -7.0;
        assert_eq!(drop_spikes(&mut points, 120.0), 3);
        assert_eq!(runs(&points), vec![0..40, 41..80, 82..120]);
        let mut fast: Vec<Point> = (0..60).map(|k| [k as f64 * 15.0 / 120.0, 0.0, 0.0]).collect();
        assert_eq!(drop_spikes(&mut fast, 120.0), 0);
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
