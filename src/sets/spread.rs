use super::sd_factors;
use crate::plain;

/// Mean and standard deviation of one number over several swings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Swings that have the number.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// Standard deviation from swing to swing (divisor: count less one); `None` for one swing.
    pub sd: Option<f64>,
    /// Lower end of the 95 % interval of the standard deviation, by chi-square.
    pub sd_low_95: Option<f64>,
    /// Upper end.
    pub sd_high_95: Option<f64>,
}

plain::record!(Spread { count, mean, sd, sd_low_95, sd_high_95 });

impl Spread {
    /// The spread of some numbers; `None` where there are none.
    pub fn of(values: &[f64]) -> Option<Spread> {
        let (mean, sd) = mean_and_sd(values)?;
        let (low, high) = sd_factors(values.len());
        let (sd_low_95, sd_high_95) = (sd.map(|sd| low * sd), sd.map(|sd| high * sd));
        Some(Spread { count: values.len(), mean, sd, sd_low_95, sd_high_95 })
    }

    /// Variance of the mean, and its degrees of freedom; `None` for one swing.
    pub(super) fn of_mean(&self) -> Option<(f64, f64)> {
        Some((self.sd?.powi(2) / self.count as f64, self.count as f64 - 1.0))
    }
}

/// Mean and standard deviation (none of one number); `None` of no numbers.
pub(super) fn mean_and_sd(values: &[f64]) -> Option<(f64, Option<f64>)> {
    if values.is_empty() {
        return None;
    }
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|x| (x - mean).powi(2)).sum();
    Some((mean, (count > 1.0).then(|| (squares / (count - 1.0)).sqrt())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_tells_how_well_it_is_known() {
        // By hand: mean 3, squares 4 + 1 + 0 + 1 + 4 = 10, over 4.
        let spread = Spread::of(&[1.0, 2.0, 3.0, 4.0, 5.0]).unwrap();
        assert_eq!((spread.count, spread.mean, spread.sd), (5, 3.0, Some(2.5_f64.sqrt())));
        assert!((spread.sd_high_95.unwrap() / spread.sd.unwrap() - 2.874).abs() < 6e-4);
        assert_eq!(spread.of_mean(), Some((2.5_f64.sqrt().powi(2) / 5.0, 4.0)));
        let single = Spread::of(&[7.0]).unwrap();
        assert_eq!((single.mean, single.sd, single.sd_low_95), (7.0, None, None));
        assert_eq!(Spread::of(&[]), None);
    }
}
