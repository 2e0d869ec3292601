//! DTW barycenter averaging: the curve with the least sum of squared distances to several, each warped onto it.
//!
//! Petitjean, Ketterlin and Gançarski, "A global averaging method for dynamic time warping", Pattern Recognition 44(3),
//! 2011: every curve is warped onto the average, every sample of the average moves to the mean of what it is matched
//! to, and again. Where a step of the path weighs 2, so does its sample in the mean: then no round raises the cost.

use super::fast::{self, Number};
use super::kernel::{self, Warps};
use super::{AlignError, LocalCost, StepPattern, Warping};
use crate::formats::{GAP, Point, is_gap};

/// How to average.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarycenterOptions {
    /// Which moves the warping paths may make. [`StepPattern::Symmetric1`] without a band is the published method.
    pub step: StepPattern,
    /// Only cells with `|i - j| <= w`; `None`: all.
    pub band: Option<usize>,
    /// The ends are matched to the ends alone, and so are the means of the curves' ends.
    pub hold_ends: bool,
    /// Most rounds.
    pub most_rounds: usize,
    /// Stops after a round that takes no more than this share off the cost.
    pub tolerance: f64,
}

impl Default for BarycenterOptions {
    fn default() -> Self {
        BarycenterOptions {
            step: StepPattern::default(),
            band: None,
            hold_ends: true,
            most_rounds: 30,
            tolerance: 1e-3,
        }
    }
}

/// An average of several curves.
#[derive(Clone, Debug, PartialEq)]
pub struct Barycenter {
    /// The average.
    pub points: Vec<Point>,
    /// Sum over the curves of their warping costs onto it, squared metres (weighted as the step pattern says).
    pub cost: f64,
    /// Rounds done.
    pub rounds: usize,
    /// Did the cost settle before the rounds were used up?
    pub settled: bool,
    /// What each curve has at each place of the average: the mean of its matched samples, and their mean number; NaN
    /// where all of them are missing.
    pub matched: Vec<Vec<(Point, f64)>>,
}

/// Averages curves, from a first guess on; the average has as many samples as the guess.
///
/// The same curves in the same order give the same average, on every machine. A point with NaN is missing. A sample of
/// the average to which nothing is matched stays where it was.
///
/// # Errors
/// As [`super::warp`].
pub fn barycenter(
    start: &[Point],
    curves: &[Vec<Point>],
    options: &BarycenterOptions,
) -> Result<Barycenter, AlignError> {
    barycenter_in::<f64>(start, curves, options)
}

/// The same on paths found with numbers of some precision.
pub(super) fn barycenter_in<T: Number>(
    start: &[Point],
    curves: &[Vec<Point>],
    options: &BarycenterOptions,
) -> Result<Barycenter, AlignError> {
    let onto = |average: &[Point], curve: &[Point]| {
        fast::warp::<T>(average, curve, LocalCost::SquaredEuclidean, options.step, options.band)
    };
    rounds(start, curves, options, |average| curves.iter().map(|curve| onto(average, curve)).collect())
}

/// The same on paths that are found in single precision: sooner, and its cost is that of [`barycenter`] within 1e-5.
/// WebAssembly that does not call it does not hold the kernel.
///
/// # Errors
/// As [`super::warp`].
pub fn barycenter_single(
    start: &[Point],
    curves: &[Vec<Point>],
    options: &BarycenterOptions,
) -> Result<Barycenter, AlignError> {
    let mut warps = Warps::of(curves, kernel::rules(LocalCost::SquaredEuclidean, options.step, options.band));
    rounds(start, curves, options, |average| warps.onto(average, options.step, options.band))
}

/// Every curve warped onto the average, or why one cannot be.
type Warped = Vec<Result<Warping, AlignError>>;

fn rounds(
    start: &[Point],
    curves: &[Vec<Point>],
    options: &BarycenterOptions,
    mut onto: impl FnMut(&[Point]) -> Warped,
) -> Result<Barycenter, AlignError> {
    let mut warped = |average: Vec<Point>| {
        let warpings = onto(&average);
        Onto::warped(average, curves, warpings, options)
    };
    let mut found = warped(start.to_vec())?;
    let (mut rounds, mut settled) = (0, false);
    while rounds < options.most_rounds && !settled {
        let next = warped(found.mean())?;
        rounds += 1;
        settled = found.cost - next.cost <= options.tolerance * found.cost;
        found = next;
    }
    let matched = found.sums.iter().map(|sums| sums.iter().map(Sum::mean).collect()).collect();
    Ok(Barycenter { points: found.average, cost: found.cost, rounds, settled, matched })
}

/// Weighted sum of the samples matched to one place, and of their numbers.
#[derive(Clone, Copy, Default)]
struct Sum {
    weight: f64,
    point: Point,
    number: f64,
}

impl Sum {
    fn add(&mut self, weight: f64, point: &Point, number: f64) {
        self.weight += weight;
        self.point = std::array::from_fn(|axis| self.point[axis] + weight * point[axis]);
        self.number += weight * number;
    }

    fn mean(&self) -> (Point, f64) {
        if self.weight > 0.0 {
            (self.point.map(|x| x / self.weight), self.number / self.weight)
        } else {
            (GAP, f64::NAN)
        }
    }
}

/// Curves warped onto an average.
struct Onto {
    average: Vec<Point>,
    cost: f64,
    /// For each curve, by place of the average.
    sums: Vec<Vec<Sum>>,
}

impl Onto {
    fn warped(
        average: Vec<Point>,
        curves: &[Vec<Point>],
        warpings: Warped,
        options: &BarycenterOptions,
    ) -> Result<Onto, AlignError> {
        let (mut cost, mut sums) = (0.0, Vec::with_capacity(curves.len()));
        for (curve, warping) in curves.iter().zip(warpings) {
            let (added, matched) = match_to(&average, curve, options, &warping?);
            cost += added;
            sums.push(matched);
        }
        Ok(Onto { average, cost, sums })
    }

    /// The mean of what is matched to each place.
    fn mean(&self) -> Vec<Point> {
        let at = |(place, old): (usize, &Point)| {
            let (mut sum, mut weight) = ([0.0; 3], 0.0);
            for matched in self.sums.iter().map(|sums| &sums[place]) {
                sum = std::array::from_fn(|axis| sum[axis] + matched.point[axis]);
                weight += matched.weight;
            }
            if weight > 0.0 { sum.map(|x: f64| x / weight) } else { *old }
        };
        self.average.iter().enumerate().map(at).collect()
    }
}

/// Cost of warping a curve onto the average, and what each place is matched to.
fn match_to(average: &[Point], curve: &[Point], options: &BarycenterOptions, warping: &Warping) -> (f64, Vec<Sum>) {
    let (places, samples) = (average.len(), curve.len());
    let (mut sums, mut before) = (vec![Sum::default(); places], None);
    for &(i, j) in &warping.path {
        let held = options.hold_ends && (i == 0 || i + 1 == places);
        let counts = if !held { weight(options.step, before, (i, j)) } else { f64::from(ends_meet((i, j), samples)) };
        if counts > 0.0 && !is_gap(&curve[j]) && !is_gap(&average[i]) {
            sums[i].add(counts, &curve[j], j as f64);
        }
        before = Some((i, j));
    }
    (warping.cost, sums)
}

/// Is a cell in the first or the last row in the same column?
fn ends_meet((i, j): (usize, usize), samples: usize) -> bool {
    if i == 0 { j == 0 } else { j + 1 == samples }
}

/// What a cell of a path weighs: see [`StepPattern`].
fn weight(step: StepPattern, before: Option<(usize, usize)>, cell: (usize, usize)) -> f64 {
    match before {
        Some((i, j)) if step.normalisable() => (cell.0 - i + cell.1 - j) as f64,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::*;
    use StepPattern::{P1, Symmetric1, Symmetric2};

    const CLASSIC: BarycenterOptions =
        BarycenterOptions { step: Symmetric1, band: None, hold_ends: false, most_rounds: 5, tolerance: 0.0 };

    fn one(values: &[f64]) -> Vec<Point> {
        values.iter().map(|&x| [x, 0.0, 0.0]).collect()
    }

    /// Doctest of tslearn's barycenters (start: its first curve here).
    #[test]
    fn example_of_tslearn() {
        let curves = [one(&[1.0, 2.0, 3.0, 4.0]), one(&[1.0, 2.0, 4.0, 5.0])];
        let found = barycenter(&curves[0], &curves, &CLASSIC).unwrap();
        assert_eq!(found.points, one(&[1.0, 2.0, 3.5, 4.5]));
    }

    #[test]
    fn no_round_raises_the_cost() {
        let mut random = Random::new(5);
        for step in [Symmetric1, Symmetric2, P1] {
            for hold_ends in [false, true] {
                let curves: Vec<Vec<Point>> = (0..5).map(|_| random.nasty(20)).collect();
                let mean = |i: usize| crate::signal::median_point(&curves.iter().map(|c| c[i]).collect::<Vec<_>>());
                let start: Vec<Point> = (0..20).map(|i| mean(i).unwrap()).collect();
                let after = |most_rounds| {
                    let options = BarycenterOptions { step, hold_ends, most_rounds, tolerance: -1.0, band: None };
                    barycenter(&start, &curves, &options).unwrap().cost
                };
                // Held ends move once, from the guess to the mean of the ends.
                let costs: Vec<f64> = (usize::from(hold_ends)..8).map(after).collect();
                assert!(costs.windows(2).all(|pair| pair[1] <= pair[0] + 1e-12), "{step:?} {hold_ends}: {costs:?}");
            }
        }
    }

    /// Ten rounds of the published method with the kernel's paths and with the plain version's.
    #[test]
    fn the_kernel_averages_as_the_plain_version() {
        let mut random = Random::new(8);
        let mut curve = || {
            let (late, off) = (0.05 * random.share(), random.share());
            let at = |k: i32| f64::from(k) / 79.0;
            let t = move |k: i32| at(k) + late * (std::f64::consts::TAU * at(k)).sin();
            let point = move |t: f64| [(6.0 * t).sin() + 0.2 * off, (9.0 * t + off).cos(), t + (14.0 * t).sin() / 3.0];
            (0..80).map(move |k| point(t(k))).collect::<Vec<Point>>()
        };
        let curves: Vec<Vec<Point>> = (0..6).map(|_| curve()).collect();
        for step in [Symmetric1, P1] {
            let options = BarycenterOptions { step, most_rounds: 10, tolerance: -1.0, ..CLASSIC };
            let found = barycenter_single(&curves[0], &curves, &options).unwrap();
            let oracle = barycenter(&curves[0], &curves, &options).unwrap();
            let none = BarycenterOptions { most_rounds: 0, ..options };
            let first = barycenter(&curves[0], &curves, &none).unwrap().cost;
            assert!((found.cost - oracle.cost).abs() <= 1e-5 * oracle.cost, "{} {}", found.cost, oracle.cost);
            assert!(oracle.cost < 0.9 * first && found.rounds == 10);
        }
    }

    #[test]
    fn held_ends_are_the_means_of_the_ends() {
        let mut random = Random::new(6);
        let curves: Vec<Vec<Point>> = (0..4).map(|_| (0..30).map(|_| random.nasty(1)[0]).collect()).collect();
        let found = barycenter(&curves[0], &curves, &BarycenterOptions::default()).unwrap();
        for end in [0, 29] {
            let present: Vec<&Point> = curves.iter().map(|c| &c[end]).filter(|p| !is_gap(p)).collect();
            for axis in 0..3 {
                let mean = present.iter().map(|p| p[axis]).sum::<f64>() / present.len() as f64;
                assert!((found.points[end][axis] - mean).abs() < 1e-12);
            }
        }
        assert_eq!(found.matched[2][0], (curves[2][0], 0.0));
    }

    #[test]
    fn curves_that_differ_in_time_alone_have_themselves_as_average() {
        let curve = |pace: f64| -> Vec<Point> {
            (0..=100).map(|k| f64::from(k) / 100.0).map(|t| [t.powf(pace), t.powf(pace).powi(2), 0.0]).collect()
        };
        let curves = [curve(1.0), curve(1.2), curve(0.85)];
        let found = barycenter(&curves[1], &curves, &BarycenterOptions::default()).unwrap();
        // On the parabola y = x^2, but for the step between samples.
        assert!(found.points.iter().all(|p| (p[1] - p[0] * p[0]).abs() < 5e-4));
        assert!(found.settled);
        let longest = vec![[0.0; 3]; super::super::MAX_SAMPLES + 1];
        assert!(barycenter(&longest, &curves, &CLASSIC).is_err());
        assert_eq!(barycenter(&curves[0], &[vec![]], &CLASSIC), Err(AlignError::NoSamples));
    }
}
