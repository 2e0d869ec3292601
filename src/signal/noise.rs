use super::{LowPass, median};
use crate::formats::{Point, is_gap};

/// 1 SD of white marker noise per coordinate, from the third differences of the unfiltered track.
///
/// Third differences remove smooth motion; for white noise their variance is 20 times that of the noise. The median of
/// their magnitudes keeps the fast part of the swing out. `None` with fewer than 12 usable differences.
pub fn noise_sd(points: &[Point]) -> Option<f64> {
    let mut sizes = Vec::new();
    for window in points.windows(4) {
        if window.iter().any(is_gap) {
            continue;
        }
        let [a, b, c, d] = [window[0], window[1], window[2], window[3]];
        sizes.extend((0..3).map(|axis| (d[axis] - 3.0 * c[axis] + 3.0 * b[axis] - a[axis]).abs()));
    }
    // 0.6745: the median magnitude of a standard normal variable.
    (sizes.len() >= 36).then(|| median(sizes).unwrap_or(0.0) / (0.6745 * 20.0_f64.sqrt()))
}

/// What white noise of one coordinate becomes after the zero-lag filter.
///
/// With the amplitude 1 / (1 + (f/a)^4) of both passes (`a`: corrected cut-off) and noise density 2 sd^2 / fs, position,
/// velocity and acceleration have the variances 2 sd^2 / fs (2 pi)^(2k) a^(2k+1) I_k with
/// I_0 = 0.8330, I_1 = I_2 = 0.2777 (quarter beta functions).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Noise {
    /// 1 SD of one coordinate, metres.
    pub position_m: f64,
    /// 1 SD of one coordinate's velocity, m/s.
    pub velocity_m_s: f64,
    /// 1 SD of one coordinate's acceleration, m/s^2.
    pub acceleration_m_s2: f64,
}

impl Noise {
    /// Noise left after filtering at `cutoff_hz`, from the unfiltered 1 SD per coordinate.
    pub fn after_filter(sd_m: f64, cutoff_hz: f64, rate_hz: f64) -> Noise {
        let a = LowPass::corrected_hz(cutoff_hz.min(0.45 * rate_hz), rate_hz);
        let density = 2.0 * sd_m * sd_m / rate_hz;
        let turn = std::f64::consts::TAU;
        Noise {
            position_m: (density * a * 0.8330).sqrt().min(sd_m),
            velocity_m_s: (density * turn.powi(2) * a.powi(3) * 0.2777).sqrt(),
            acceleration_m_s2: (density * turn.powi(4) * a.powi(5) * 0.2777).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small linear congruential generator: twelve uniforms make one normal variable.
    fn normals(count: usize) -> Vec<f64> {
        let mut state = 1_u64;
        let mut uniform = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..count).map(|_| (0..12).map(|_| uniform()).sum::<f64>() - 6.0).collect()
    }

    #[test]
    fn noise_on_a_moving_track_is_recovered_and_its_filtered_size_predicted() {
        let (sd, rate) = (0.002, 240.0);
        let noise = normals(60_000);
        let smooth = |k: usize| [(k as f64 / rate * 2.0).sin(), 0.3, (k as f64 / rate).cos()];
        let points: Vec<Point> =
            (0..20_000).map(|k| std::array::from_fn(|c| smooth(k)[c] + sd * noise[3 * k + c])).collect();
        let found = noise_sd(&points).unwrap();
        assert!((found / sd - 1.0).abs() < 0.03, "{found}");

        let still: Vec<Point> = (0..20_000).map(|k| std::array::from_fn(|c| sd * noise[3 * k + c])).collect();
        let filtered = LowPass::new(10.0, rate).unwrap().apply(&still);
        let predicted = Noise::after_filter(sd, 10.0, rate);
        let rms = |values: Vec<f64>| (values.iter().map(|x| x * x).sum::<f64>() / values.len() as f64).sqrt();
        let position = rms(filtered.iter().map(|p| p[0]).collect());
        let velocity = rms(filtered.windows(3).map(|w| (w[2][0] - w[0][0]) * rate / 2.0).collect());
        assert!((position / predicted.position_m - 1.0).abs() < 0.1, "{position} {predicted:?}");
        assert!((velocity / predicted.velocity_m_s - 1.0).abs() < 0.1, "{velocity} {predicted:?}");
    }

    #[test]
    fn too_little_data_has_no_noise_estimate() {
        assert_eq!(noise_sd(&[[0.0; 3]; 10]), None);
    }
}
