use super::spline::{End, Spline};
use super::{Grid, runs};
use crate::formats::Point;
use std::ops::Range;

/// A track as a smooth curve of time, with gaps.
///
/// One cubic spline per run of at least two samples; derivatives are those of the spline, so they do not lose size at
/// low sampling rates as finite differences do.
#[derive(Clone, Debug)]
pub struct Curve {
    pieces: Vec<(Range<f64>, Spline)>,
}

impl Curve {
    /// The curve through a (filtered) track, one point per sample of `grid`.
    pub fn new(grid: &Grid, points: &[Point]) -> Curve {
        Curve::through(&grid.time_s, points)
    }

    /// The curve through points at increasing times.
    pub fn through(time_s: &[f64], points: &[Point]) -> Curve {
        let pieces = runs(points)
            .into_iter()
            .filter_map(|run| {
                let knots = &time_s[run.clone()];
                let spline = Spline::fit(knots, &points[run], End::NotAKnot)?;
                Some((knots[0]..knots[knots.len() - 1], spline))
            })
            .collect();
        Curve { pieces }
    }

    fn piece(&self, t: f64) -> Option<&Spline> {
        // Ends are inclusive up to rounding of the clock.
        const SLACK_S: f64 = 1e-9;
        let next = self.pieces.partition_point(|(span, _)| span.start - SLACK_S <= t);
        let (span, spline) = self.pieces.get(next.checked_sub(1)?)?;
        (t <= span.end + SLACK_S).then_some(spline)
    }

    /// Position at `t`, metres; `None` in a gap.
    pub fn position(&self, t: f64) -> Option<Point> {
        self.piece(t).map(|spline| spline.value(t))
    }

    /// Velocity at `t`, m/s.
    pub fn velocity(&self, t: f64) -> Option<Point> {
        self.piece(t).map(|spline| spline.first(t))
    }

    /// Speed at `t`, m/s.
    pub fn speed(&self, t: f64) -> Option<f64> {
        self.velocity(t).map(|v| (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt())
    }

    /// Speed at each time; NaN in a gap.
    pub fn speeds(&self, time_s: &[f64]) -> Vec<f64> {
        time_s.iter().map(|t| self.speed(*t).unwrap_or(f64::NAN)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::GAP;

    #[test]
    fn speed_on_a_circle_is_radius_times_angular_speed_even_at_60_hz() {
        let (radius, omega) = (0.6, 12.0);
        let time: Vec<f64> = (0..60).map(|k| k as f64 / 60.0).collect();
        let points: Vec<Point> =
            time.iter().map(|t| [radius * (omega * t).cos(), radius * (omega * t).sin(), 0.1]).collect();
        let curve = Curve::through(&time, &points);
        assert!((curve.speed(0.505).unwrap() / (radius * omega) - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_gap_has_no_position() {
        let time = [0.0, 1.0, 2.0, 3.0, 4.0];
        let curve = Curve::through(&time, &[[0.0; 3], [1.0; 3], GAP, [3.0; 3], [4.0; 3]]);
        assert!(curve.position(0.5).is_some() && curve.position(2.0).is_none() && curve.position(4.0).is_some());
    }
}
