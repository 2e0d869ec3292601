//! From draws to a 90 % interval.

use super::Spec;
use crate::order;
use crate::signal::Random;

/// Draws per swing.
pub(super) const DRAWS: usize = 2 * SCORES.len();
/// Upper half of the quantiles of the standard normal distribution at 1/129, 2/129 ... 128/129 (scipy's `norm.ppf`).
#[rustfmt::skip]
const SCORES: [f32; 64] = [
    0.010, 0.029, 0.049, 0.068, 0.088, 0.107, 0.127, 0.146, 0.166, 0.186, 0.205, 0.225, 0.245, 0.265, 0.286, 0.306,
    0.326, 0.347, 0.368, 0.388, 0.410, 0.431, 0.452, 0.474, 0.496, 0.518, 0.540, 0.563, 0.586, 0.609, 0.632, 0.656,
    0.681, 0.705, 0.730, 0.756, 0.782, 0.809, 0.836, 0.864, 0.893, 0.922, 0.952, 0.983, 1.015, 1.048, 1.082, 1.118,
    1.155, 1.194, 1.234, 1.277, 1.322, 1.370, 1.422, 1.478, 1.538, 1.605, 1.680, 1.765, 1.866, 1.991, 2.157, 2.420,
];
/// With fewer draws that have a value than this share there is no interval.
const LEAST_SHARE: f64 = 0.5;

/// The 90 % interval of a value from pairs of draws (see `perturb`), or `None` with too few of them.
///
/// Its ends are percentiles of the candidates for the truth. Where it crosses a bound that the measure cannot cross, the
/// noisy draws themselves count as well. The interval holds the value.
pub(super) fn interval(spec: &Spec, value: f64, pairs: impl Iterator<Item = (f64, f64)>) -> Option<(f64, f64)> {
    let (mut truths, mut noisy): (Vec<f64>, Vec<f64>) = pairs
        .map(|(framed, noisy)| (away(spec.unit, candidate(spec, framed, noisy), value), away(spec.unit, noisy, value)))
        .unzip();
    if (truths.len() as f64) < LEAST_SHARE * DRAWS as f64 {
        return None;
    }
    order::sort_numbers(&mut truths);
    let (mut low, mut high) = (value + percentile(&truths, 0.05), value + percentile(&truths, 0.95));
    let (least, most) = spec.bounds;
    if low < least || high > most {
        order::sort_numbers(&mut noisy);
    }
    if low < least {
        high = high.max(value + percentile(&noisy, 0.95));
    }
    if high > most {
        low = low.min(value + percentile(&noisy, 0.05));
    }
    (low, high) = (order::within(low, least, most), order::within(high, least, most));
    Some((low.min(value), high.max(value)))
}

/// Normal values, one for each draw, in any order: as many between two quantiles as there should be. Chance would make
/// the 90 % interval of so few values a fifth too wide or too narrow.
pub(super) fn normals(random: &mut Random) -> Vec<f64> {
    let mut values: Vec<f64> = SCORES.iter().flat_map(|score| [f64::from(*score), -f64::from(*score)]).collect();
    for k in (1..values.len()).rev() {
        values.swap(k, (random.uniform() * (k + 1) as f64) as usize);
    }
    values
}

/// A candidate for the truth. The noisy draw differs from the framed one as what was measured differs from the truth, so
/// it is reflected about it (the basic bootstrap of Davison and Hinkley 1997, from memory): a greatest value, which
/// noise raises, is corrected downwards.
pub(super) fn candidate(spec: &Spec, framed: f64, noisy: f64) -> f64 {
    framed - away(spec.unit, noisy, framed)
}

/// How far a value in some unit lies from another; angles go round.
pub(crate) fn away(unit: &str, value: f64, from: f64) -> f64 {
    if unit == "deg" { turned(value - from) } else { value - from }
}

/// An angle as a turn of at most half a circle, degrees.
pub(super) fn turned(angle_deg: f64) -> f64 {
    angle_deg - 360.0 * (angle_deg / 360.0).round()
}

/// A percentile of sorted values, interpolated; NaN of no values. Between the 5th and the 95th lie on average 90 % of further draws (type 6
/// of Hyndman and Fan 1996, The American Statistician 50:361, from memory).
fn percentile(sorted: &[f64], share: f64) -> f64 {
    let place = (share * (sorted.len() + 1) as f64 - 1.0).max(0.0);
    let at = |k: usize| sorted.get(k).or(sorted.last()).copied().unwrap_or(f64::NAN);
    let (below, part) = (at(place as usize), place.fract());
    below + part * (at(place as usize + 1) - below)
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
        // Draws from 1 to 3 above the value: the truth lies as far below it. Of 201 the 10.1th counts.
        let draws = (0..=200).map(|k| (10.0, 10.0 + 1.0 + f64::from(k) / 100.0));
        let (low, high) = interval(&open("m"), 10.0, draws).unwrap();
        assert!((low - 7.091).abs() < 1e-9 && (high - 10.0).abs() < 1e-9, "{low} {high}");
    }

    #[test]
    fn frames_are_candidates_as_they_are() {
        let draws = (0..=200).map(|k| f64::from(k) / 100.0).map(|x| (10.0 - x, 10.0 - x));
        let (low, high) = interval(&open("m"), 10.0, draws).unwrap();
        assert!((low - 8.091).abs() < 1e-9 && (high - 10.0).abs() < 1e-9, "{low} {high}");
    }

    #[test]
    fn at_a_bound_the_draws_themselves_count() {
        let draws = || (0..=200).map(|k| (0.0, f64::from(k) / 200.0));
        let (low, high) = interval(&spec("m", (0.0, f64::INFINITY)), 0.0, draws()).unwrap();
        assert!(low == 0.0 && (high - 0.9545).abs() < 1e-9, "{low} {high}");
        let (low, high) =
            interval(&spec("m", (f64::NEG_INFINITY, 0.0)), 0.0, draws().map(|(framed, noisy)| (framed, -noisy)))
                .unwrap();
        assert!(high == 0.0 && (low + 0.9545).abs() < 1e-9, "{low} {high}");
    }

    /// Of a normal variable 90 % lie within 1.645 SD; tables of scipy.
    #[test]
    fn scores_are_those_of_a_normal_distribution_in_any_order() {
        let mut random = Random::new(1);
        let (mut one, other) = (normals(&mut random), normals(&mut random));
        assert!(one.len() == DRAWS && one != other);
        order::sort_numbers(&mut one);
        for (share, score) in [(0.05, -1.645), (0.25, -0.674), (0.5, 0.0), (0.95, 1.645)] {
            assert!((percentile(&one, share) - score).abs() < 0.005, "{share}");
        }
        let product = one.iter().zip(&other).map(|(a, b)| a * b).sum::<f64>() / DRAWS as f64;
        assert!(product.abs() < 3.0 / (DRAWS as f64).sqrt(), "{product}");
    }

    #[test]
    fn angles_go_round_and_few_draws_say_nothing() {
        let angles = (0..=200).map(|k| 178.0 + 4.0 * f64::from(k) / 200.0);
        let draws = angles.map(|a| (180.0, if a > 180.0 { a - 360.0 } else { a }));
        let (low, high) = interval(&open("deg"), 180.0, draws).unwrap();
        assert!((low - 178.182).abs() < 1e-9 && (high - 181.818).abs() < 1e-9, "{low} {high}");
        assert_eq!(interval(&open("m"), 1.0, [(1.0, 1.0); 63].into_iter()), None);
    }
}
