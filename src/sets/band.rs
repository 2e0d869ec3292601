//! Bands around an average path, for one new swing: pointwise, or for the whole curve by bootstrap.
//!
//! Both say where nine of ten new swings lie, of players or swings like those of the set, and in each direction by
//! itself. A **pointwise** band holds nine of ten at any one place: far fewer stay inside along the whole path. A
//! **whole-curve** band holds nine of ten along the whole path. Lenhoff et al., "Bootstrap prediction and confidence bands",
//! Gait & Posture 9, 1999: of bands meant for 90 % the bootstrap's held 86 % of whole curves, the pointwise ones 54 %.

use super::spread::mean_and_sd;
use super::t_quantile;
use crate::formats::Point;
use crate::order;
use crate::plain;
use crate::signal::Random;

/// Fewer swings than this are drawn one by one.
pub const LEAST_SWINGS: usize = 8;
/// Share of new swings that a band is to hold.
pub const COVERAGE: f64 = 0.90;
/// Sets drawn by bootstrap.
const DRAWS: usize = 300;
/// Places of a path that the bootstrap looks at, about: neighbours tell the same.
const PLACES: usize = 80;
const SEED: u64 = 3;
/// Part of the mean spread that counts everywhere.
const FLOOR: f64 = 0.25;

/// What a band promises.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BandKind {
    /// At each place by itself: `mean +- t sqrt(1 + 1/n) SD`.
    Pointwise,
    /// Along the whole path, by bootstrap.
    #[default]
    WholeCurve,
}

plain::words!(BandKind { Pointwise = "pointwise", WholeCurve = "whole-curve" });

/// Half the width of a band at each place, metres; `None` with fewer than [`LEAST_SWINGS`].
///
/// `curves`: one list of points per swing, all of one length; three NaN in a gap. A whole-curve band is as wide as the
/// standard deviation plus a quarter of its root mean square along the path (in quadrature): where an instant is *defined*
/// by a height, the deviation of that height is all but zero, and a share of it would say nothing.
pub fn half_widths(kind: BandKind, curves: &[Vec<Point>]) -> Option<Vec<Point>> {
    if curves.len() < LEAST_SWINGS {
        return None;
    }
    let half = |axis: usize| match kind {
        BandKind::Pointwise => pointwise(curves, axis),
        BandKind::WholeCurve => whole_curve(curves, axis),
    };
    let by_axis = [half(0), half(1), half(2)];
    Some((0..by_axis[0].len()).map(|place| std::array::from_fn(|axis| by_axis[axis][place])).collect())
}

/// One direction of the curves, by place.
fn by_place(curves: &[Vec<Point>], axis: usize) -> impl Iterator<Item = Vec<f64>> {
    let places = curves.first().map_or(0, Vec::len);
    (0..places).map(move |place| curves.iter().map(|curve| curve[place][axis]).collect())
}

/// Standard deviation; NaN where a swing has a gap.
fn sd(values: &[f64]) -> f64 {
    mean_and_sd(values).and_then(|(_, sd)| sd).unwrap_or(f64::NAN)
}

fn pointwise(curves: &[Vec<Point>], axis: usize) -> Vec<f64> {
    let count = curves.len() as f64;
    let factor = t_quantile(0.5 * (1.0 + COVERAGE), count - 1.0) * (1.0 + 1.0 / count).sqrt();
    by_place(curves, axis).map(|values| factor * sd(&values)).collect()
}

fn whole_curve(curves: &[Vec<Point>], axis: usize) -> Vec<f64> {
    let values: Vec<Vec<f64>> = by_place(curves, axis).collect();
    let sds: Vec<f64> = values.iter().map(|values| sd(values)).collect();
    let known = sds.iter().filter(|sd| sd.is_finite());
    let mean_square = known.clone().map(|sd| sd * sd).sum::<f64>() / known.count().max(1) as f64;
    let floor = FLOOR * mean_square.sqrt();
    let step = (values.len() / PLACES).max(1);
    let looked_at: Vec<&Vec<f64>> = values.iter().step_by(step).filter(|v| v.iter().all(|x| x.is_finite())).collect();
    let factor = bootstrap(&looked_at, curves.len(), floor);
    sds.iter().map(|sd| factor * sd.hypot(floor)).collect()
}

/// The factor that holds [`COVERAGE`] of the curves along their whole length: for sets drawn with replacement, how far the
/// swings of the set itself leave the drawn mean at most, in drawn standard deviations.
fn bootstrap(places: &[&Vec<f64>], count: usize, floor: f64) -> f64 {
    let mut random = Random::new(SEED);
    let mut farthest = Vec::with_capacity(DRAWS * count);
    for _ in 0..DRAWS {
        let drawn: Vec<usize> = (0..count).map(|_| (random.uniform() * count as f64) as usize).collect();
        let mut most = vec![0.0; count];
        for values in places {
            let again: Vec<f64> = drawn.iter().map(|swing| values[*swing]).collect();
            let Some((mean, Some(sd))) = mean_and_sd(&again) else { continue };
            let width = sd.hypot(floor);
            if width > 0.0 {
                most.iter_mut().zip(*values).for_each(|(most, x)| *most = f64::max(*most, (x - mean).abs() / width));
            }
        }
        farthest.extend(most);
    }
    order::sort_numbers(&mut farthest);
    farthest.get((COVERAGE * farthest.len() as f64) as usize).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Smooth random curves: four cosines with normal amplitudes, in each direction.
    fn curve(random: &mut Random) -> Vec<Point> {
        let amplitudes: [Point; 4] =
            std::array::from_fn(|k| [0; 3].map(|_: i32| random.normal() * (1.0 - 0.2 * k as f64)));
        let at = |t: f64| {
            let sum =
                |axis: usize| (0..4).map(|k| amplitudes[k][axis] * (k as f64 * std::f64::consts::PI * t).cos()).sum();
            std::array::from_fn(sum)
        };
        (0..60).map(|place| at(f64::from(place) / 59.0)).collect()
    }

    /// Shares of new whole curves inside the band, of `sets` sets of `swings`: 1.645 SD, pointwise, whole curve.
    fn held(sets: usize, swings: usize) -> [f64; 3] {
        let mut random = Random::new(11);
        let mut held = [0.0; 3];
        for _ in 0..sets {
            let curves: Vec<Vec<Point>> = (0..swings).map(|_| curve(&mut random)).collect();
            let of = |place: usize| mean_and_sd(&curves.iter().map(|c| c[place][0]).collect::<Vec<_>>()).unwrap();
            let gaussian: Vec<Point> = (0..60).map(|place| [1.645 * of(place).1.unwrap(); 3]).collect();
            let [pointwise, whole] =
                [BandKind::Pointwise, BandKind::WholeCurve].map(|kind| half_widths(kind, &curves).unwrap());
            for _ in 0..20 {
                let new = curve(&mut random);
                let inside = |half: &[Point]| (0..60).all(|k| (new[k][0] - of(k).0).abs() <= half[k][0]);
                for (held, half) in held.iter_mut().zip([&gaussian, &pointwise, &whole]) {
                    *held += f64::from(inside(half)) / (20 * sets) as f64;
                }
            }
        }
        held
    }

    /// Lenhoff et al. 1999: 54 % of whole curves in a pointwise Gaussian band meant for 90 %, 86 % in a bootstrap band.
    #[test]
    fn a_pointwise_band_holds_far_fewer_whole_curves_than_a_bootstrap_band() {
        for swings in [8, 20] {
            let [gaussian, pointwise, whole] = held(60, swings);
            assert!(gaussian < pointwise && pointwise < 0.72, "{gaussian} {pointwise}");
            assert!((0.82..0.95).contains(&whole), "{whole}");
        }
    }

    #[test]
    fn at_one_place_a_pointwise_band_holds_nine_of_ten() {
        let mut random = Random::new(4);
        let (mut inside, sets) = (0, 2000);
        for _ in 0..sets {
            let curves: Vec<Vec<Point>> = (0..8).map(|_| vec![[random.normal(), 0.0, 0.0]]).collect();
            let (mean, sd) = mean_and_sd(&curves.iter().map(|c| c[0][0]).collect::<Vec<_>>()).unwrap();
            let half = half_widths(BandKind::Pointwise, &curves).unwrap()[0][0];
            // t(0.95, 7) sqrt(1 + 1/8), t from scipy: 1.894579.
            assert!((half / sd.unwrap() - 1.894_579 * 1.125_f64.sqrt()).abs() < 1e-6);
            inside += usize::from((random.normal() - mean).abs() <= half);
        }
        let (low, high) = super::super::wilson(inside, sets, 0.99);
        assert!((low..=high).contains(&0.9), "{inside} of {sets}");
    }

    #[test]
    fn seven_swings_make_no_band() {
        assert_eq!(half_widths(BandKind::Pointwise, &vec![vec![[0.0; 3]]; 7]), None);
        assert_eq!(half_widths(BandKind::WholeCurve, &[]), None);
        // Swings that are all one, and gaps.
        let same = vec![vec![[1.0; 3], [f64::NAN; 3]]; 9];
        assert!(half_widths(BandKind::WholeCurve, &same).unwrap()[0].iter().all(|x| *x == 0.0));
    }
}
