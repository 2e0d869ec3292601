use super::runs;
use crate::formats::Point;
use biquad::{Biquad, Coefficients, DirectForm2Transposed, Q_BUTTERWORTH_F64, ToHertz, Type};

/// Default cut-off, Hz. Cut-offs in use for body and hand markers lie at about 6 to 20 Hz (common practice).
pub const DEFAULT_CUTOFF_HZ: f64 = 10.0;

/// Reflected samples before and after a run, in periods of the cut-off: long enough for the filter to settle, and the
/// same time at every sampling rate, so that a swing recorded at two rates has the same ends.
const PAD_PERIODS: f64 = 2.0;

/// A zero-lag low-pass filter: a second-order Butterworth filter run forwards and backwards, with its cut-off corrected
/// so that *both passes together* have an amplitude of 1/sqrt(2) at the stated cut-off.
///
/// The correction acts on the warped frequency: `tan(pi f' / fs) = tan(pi fc / fs) / (2^(1/2) - 1)^(1/4)`
/// (Winter 2009; Robertson et al.). Checked against scipy's `butter` and `filtfilt`.
#[derive(Clone, Copy, Debug)]
pub struct LowPass {
    coefficients: Coefficients<f64>,
    cutoff_hz: f64,
    rate_hz: f64,
}

impl LowPass {
    /// A filter for samples at `rate_hz`. `None` where the cut-off is not below half the rate, or not positive: then
    /// there is nothing to filter.
    pub fn new(cutoff_hz: f64, rate_hz: f64) -> Option<LowPass> {
        if !(cutoff_hz > 0.0 && rate_hz.is_finite() && cutoff_hz < 0.5 * rate_hz) {
            return None;
        }
        let corrected = LowPass::corrected_hz(cutoff_hz, rate_hz);
        let coefficients =
            Coefficients::from_params(Type::LowPass, rate_hz.hz(), corrected.hz(), Q_BUTTERWORTH_F64).ok()?;
        Some(LowPass { coefficients, cutoff_hz, rate_hz })
    }

    /// The cut-off a single pass needs, Hz.
    pub fn corrected_hz(cutoff_hz: f64, rate_hz: f64) -> f64 {
        let passes: f64 = 2.0;
        let correction = (2.0_f64.powf(1.0 / passes) - 1.0).powf(0.25);
        let warped = (std::f64::consts::PI * cutoff_hz / rate_hz).tan() / correction;
        warped.atan() * rate_hz / std::f64::consts::PI
    }

    /// Coefficients `(b0, b1, b2, a1, a2)` of one pass, `y = b0 x + b1 x1 + b2 x2 - a1 y1 - a2 y2`.
    pub fn coefficients(&self) -> [f64; 5] {
        let c = &self.coefficients;
        [c.b0, c.b1, c.b2, c.a1, c.a2]
    }

    /// Filters each run between gaps; gaps stay. Same length as `points`. O(n).
    pub fn apply(&self, points: &[Point]) -> Vec<Point> {
        let mut out = points.to_vec();
        for run in runs(points) {
            out[run.clone()].copy_from_slice(&self.over(&points[run], self.pad_samples()));
        }
        out
    }

    fn pad_samples(&self) -> usize {
        (PAD_PERIODS * self.rate_hz / self.cutoff_hz).ceil() as usize
    }

    /// Forwards and backwards over `values` extended at both ends by up to `pad` samples reflected through the end
    /// point (odd extension), each pass starting in the steady state of its first sample.
    pub fn both_passes(&self, values: &[f64], pad: usize) -> Vec<f64> {
        let rows: Vec<[f64; 1]> = values.iter().map(|value| [*value]).collect();
        self.over(&rows, pad).into_iter().map(|[value]| value).collect()
    }

    /// Both passes over rows of several series: a filter waits for its own last sample, but not for its neighbours.
    fn over<const N: usize>(&self, rows: &[[f64; N]], pad: usize) -> Vec<[f64; N]> {
        let n = rows.len();
        if n < 2 {
            return rows.to_vec();
        }
        let pad = pad.min(n - 1);
        let (first, last) = (rows[0], rows[n - 1]);
        let reflected = |end: [f64; N], row: [f64; N]| std::array::from_fn(|c| 2.0 * end[c] - row[c]);
        let mut extended: Vec<[f64; N]> = Vec::with_capacity(n + 2 * pad);
        extended.extend((1..=pad).rev().map(|k| reflected(first, rows[k])));
        extended.extend_from_slice(rows);
        extended.extend((1..=pad).map(|k| reflected(last, rows[n - 1 - k])));
        self.one_pass(extended.iter_mut());
        self.one_pass(extended.iter_mut().rev());
        extended[pad..pad + n].to_vec()
    }

    fn one_pass<'a, const N: usize>(&self, rows: impl Iterator<Item = &'a mut [f64; N]>) {
        let c = &self.coefficients;
        let mut rows = rows.peekable();
        let Some(first) = rows.peek().map(|row| **row) else { return };
        // Steady state for a constant input equal to the first sample: the output is that constant.
        let mut filters = first.map(|first| {
            let mut filter = DirectForm2Transposed::<f64>::new(*c);
            filter.s1 = first * (1.0 - c.b0);
            filter.s2 = first * (c.b2 - c.a2);
            filter
        });
        for row in rows {
            row.iter_mut().zip(&mut filters).for_each(|(x, filter)| *x = filter.run(*x));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corrected cut-offs and coefficients recomputed from the formula of Winter (2009) with scipy.
    #[test]
    fn corrected_cutoffs_and_coefficients() {
        for (fc, fs, corrected) in [
            (6.0, 60.0, 7.34954),
            (10.0, 100.0, 12.24924),
            (10.0, 240.0, 12.42598),
            (15.0, 240.0, 18.56718),
            (12.0, 250.0, 14.89602),
            (20.0, 500.0, 24.85803),
        ] {
            assert!((LowPass::corrected_hz(fc, fs) - corrected).abs() < 1e-5, "{fc}/{fs}");
        }
        let c = LowPass::new(10.0, 240.0).unwrap().coefficients();
        for (ours, theirs) in c.iter().zip([0.021390287, 0.042780573, 0.021390287, -1.545768195, 0.631329342]) {
            assert!((ours - theirs).abs() < 1e-9, "{c:?}");
        }
    }

    #[test]
    fn both_passes_halve_the_power_at_the_cutoff_without_lag() {
        let (fc, fs) = (10.0, 240.0);
        let wave: Vec<f64> = (0..2400).map(|k| (std::f64::consts::TAU * fc * k as f64 / fs).sin()).collect();
        let smooth = LowPass::new(fc, fs).unwrap().both_passes(&wave, 48);
        for k in 1000..1400 {
            assert!((smooth[k] - wave[k] * std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-9, "{k}");
        }
    }

    #[test]
    fn a_straight_line_passes_unchanged_and_gaps_stay() {
        let mut points: Vec<Point> = (0..200).map(|k| [k as f64, 1.0, -2.0 * k as f64]).collect();
        points[100] = crate::formats::GAP;
        let smooth = LowPass::new(10.0, 120.0).unwrap().apply(&points);
        assert!(smooth[100][0].is_nan());
        for k in (0..200).filter(|k| *k != 100) {
            assert!((smooth[k][0] - k as f64).abs() < 1e-4 && (smooth[k][1] - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn no_filter_at_or_above_half_the_rate() {
        assert!(LowPass::new(30.0, 60.0).is_none());
        assert!(LowPass::new(0.0, 60.0).is_none());
        assert!(LowPass::new(f64::NAN, 60.0).is_none());
    }
}
