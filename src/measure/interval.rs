//! From draws to a 90 % interval.

use super::Spec;

/// Draws per swing.
pub(super) const DRAWS: usize = 200;
/// With fewer draws that have a value than this share there is no interval.
const LEAST_SHARE: f64 = 0.5;

/// The 90 % interval of a value from its draws, or `None` with too few of them.
///
/// A draw differs from the value as the value differs from the truth, so the percentiles are reflected about the value
/// (the basic bootstrap of Davison and Hinkley 1997, from memory): a greatest value, which noise raises, is corrected
/// downwards. Where the reflected interval crosses a bound that the measure cannot cross, the percentiles
/// themselves count as well. The interval holds the value.
pub(super) fn interval(spec: &Spec, value: f64, draws: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let off = |draw: f64| if spec.unit == "deg" { turned(draw - value) } else { draw - value };
    let mut off: Vec<f64> = draws.map(off).filter(|x| x.is_finite()).collect();
    off.sort_by(f64::total_cmp);
    if (off.len() as f64) < LEAST_SHARE * DRAWS as f64 {
        return None;
    }
    let (below, above) = (percentile(&off, 0.05), percentile(&off, 0.95));
    let (mut low, mut high) = (value - above, value - below);
    let (least, most) = spec.bounds;
    if low < least {
        high = high.max(value + above);
    }
    if high > most {
        low = low.min(value + below);
    }
    (low, high) = (low.clamp(least, most), high.clamp(least, most));
    Some((low.min(value), high.max(value)))
}

/// An angle as a turn of at most half a circle, degrees.
fn turned(angle_deg: f64) -> f64 {
    angle_deg - 360.0 * (angle_deg / 360.0).round()
}

/// A percentile of sorted values, interpolated.
fn percentile(sorted: &[f64], share: f64) -> f64 {
    let place = share * (sorted.len() - 1) as f64;
    let (k, part) = (place as usize, place.fract());
    sorted[k] + part * (sorted[(k + 1).min(sorted.len() - 1)] - sorted[k])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Drawer;

    fn spec(unit: &'static str, bounds: (f64, f64)) -> Spec {
        Spec { name: "x", key: "x", unit, drawer: Drawer::First, rests_on: &["hands"], bounds }
    }

    fn open(unit: &'static str) -> Spec {
        spec(unit, (f64::NEG_INFINITY, f64::INFINITY))
    }

    #[test]
    fn a_bias_of_the_draws_is_taken_off_the_value() {
        // Draws from 1 to 3 above the value: the truth lies as far below it.
        let draws = (0..=200).map(|k| 10.0 + 1.0 + f64::from(k) / 100.0);
        let (low, high) = interval(&open("m"), 10.0, draws).unwrap();
        assert!((low - 7.1).abs() < 1e-9 && (high - 10.0).abs() < 1e-9, "{low} {high}");
    }

    #[test]
    fn at_a_bound_the_draws_themselves_count() {
        let draws = || (0..=200).map(|k| f64::from(k) / 200.0);
        let (low, high) = interval(&spec("m", (0.0, f64::INFINITY)), 0.0, draws()).unwrap();
        assert!(low == 0.0 && (high - 0.95).abs() < 1e-9, "{low} {high}");
        let (low, high) = interval(&spec("m", (f64::NEG_INFINITY, 0.0)), 0.0, draws().map(|x| -x)).unwrap();
        assert!(high == 0.0 && (low + 0.95).abs() < 1e-9, "{low} {high}");
    }

    #[test]
    fn angles_go_round_and_few_draws_say_nothing() {
        let draws =
            (0..=200).map(|k| 178.0 + 4.0 * f64::from(k) / 200.0).map(|a| if a > 180.0 { a - 360.0 } else { a });
        let (low, high) = interval(&open("deg"), 180.0, draws).unwrap();
        assert!((low - 178.2).abs() < 1e-9 && (high - 181.8).abs() < 1e-9, "{low} {high}");
        assert_eq!(interval(&open("m"), 1.0, [1.0; 99].into_iter()), None);
        assert_eq!(interval(&open("m"), 1.0, [f64::NAN; 200].into_iter()), None);
    }
}
