//! The kernel in single precision, see [`handpath_kernel`], in the words of this room.

use super::{AlignError, LocalCost, StepPattern, Warping};
use crate::formats::{Point, is_gap};
use handpath_kernel::{Curve, Local, Rules, Step, Warper};

/// The rules in the kernel's words; it passes over cells that cannot matter.
pub(super) fn rules(local: LocalCost, step: StepPattern, band: Option<usize>) -> Rules {
    let step = match step {
        StepPattern::Symmetric1 => Step::Symmetric1,
        StepPattern::Symmetric2 => Step::Symmetric2,
        StepPattern::P1 => Step::P1,
    };
    let local = match local {
        LocalCost::Euclidean => Local::Euclidean,
        LocalCost::SquaredEuclidean => Local::Squared,
    };
    Rules { step, local, band, prune: true }
}

/// A path that costs, added up in double precision, at most 1e-5 more than the cheapest, for series without gaps that lie
/// no nearer together than single precision tells their points apart; `None`: none is admissible.
fn cheapest(
    warper: &mut Warper,
    (a, b): (&Curve, &Curve),
    (student, reference): (&[Point], &[Point]),
    rules: &Rules,
) -> Option<Warping> {
    let path = warper.path(a, b, rules)?;
    let local = if rules.local == Local::Squared { LocalCost::SquaredEuclidean } else { LocalCost::Euclidean };
    let (mut cost, mut weights, mut before) = (0.0, 0.0, None);
    for &(i, j) in &path {
        let weight = weight(rules.step, before, (i, j));
        cost += weight * local.between(&student[i], &reference[j]);
        weights += weight;
        before = Some((i, j));
    }
    Some(Warping { cost, normalised: (rules.step != Step::Symmetric1).then(|| cost / (weights + 1.0)), path })
}

/// Several curves that are warped onto one again and again.
pub(super) struct Warps<'a> {
    points: &'a [Vec<Point>],
    /// Those without gaps, for the kernel.
    curves: Vec<Option<Curve>>,
    origin: Point,
    rules: Rules,
    warper: Warper,
}

impl<'a> Warps<'a> {
    pub(super) fn of(points: &'a [Vec<Point>], rules: Rules) -> Warps<'a> {
        let origin = points.iter().flatten().find(|point| !is_gap(point)).copied().unwrap_or_default();
        let whole = |curve: &Vec<Point>| whole(curve).then(|| Curve::new(curve, &origin));
        let curves = points.iter().map(whole).collect();
        Warps { points, curves, origin, rules, warper: Warper::default() }
    }

    /// Each of the curves on one.
    pub(super) fn onto(
        &mut self,
        one: &[Point],
        step: StepPattern,
        band: Option<usize>,
    ) -> Vec<Result<Warping, AlignError>> {
        let local = if self.rules.local == Local::Squared { LocalCost::SquaredEuclidean } else { LocalCost::Euclidean };
        let first = whole(one).then(|| Curve::new(one, &self.origin));
        let (rules, warper) = (self.rules, &mut self.warper);
        let warp = |(points, curve): (&Vec<Point>, &Option<Curve>)| match (&first, curve) {
            (Some(first), Some(curve)) => {
                let found = cheapest(warper, (first, curve), (one, points), &rules);
                let (student, reference) = (one.len(), points.len());
                found.ok_or(AlignError::NoAdmissiblePath { student, reference, step, band })
            }
            _ => super::warp(one, points, local, step, band),
        };
        self.points.iter().zip(&self.curves).map(warp).collect()
    }
}

/// Has the kernel something to do, and can it?
fn whole(points: &[Point]) -> bool {
    (1..=super::MAX_SAMPLES).contains(&points.len()) && !points.iter().any(is_gap)
}

/// What a cell of a path weighs: see [`StepPattern`].
fn weight(step: Step, before: Option<(usize, usize)>, cell: (usize, usize)) -> f64 {
    match before {
        Some((i, j)) if step != Step::Symmetric1 => (cell.0 - i + cell.1 - j) as f64,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::super::{Cells, brute};
    use super::*;

    const ORIGIN: Point = [0.0; 3];

    fn agree(warper: &mut Warper, a: &[Point], b: &[Point], rules: &Rules, oracle: Option<&Warping>, what: &str) {
        let curves = (Curve::new(a, &ORIGIN), Curve::new(b, &ORIGIN));
        let found = cheapest(warper, (&curves.0, &curves.1), (a, b), rules);
        let distance = warper.distance(&curves.0, &curves.1, rules);
        match (found, oracle, distance) {
            (Some(found), Some(oracle), Some(distance)) => {
                assert!(found.cost <= oracle.cost * (1.0 + 1e-5) + 1e-9, "{what}: {} {}", found.cost, oracle.cost);
                assert!(found.cost >= oracle.cost * (1.0 - 1e-9) - 1e-12, "{what}: {} {}", found.cost, oracle.cost);
                assert!((f64::from(distance) - oracle.cost).abs() <= 2e-5 * oracle.cost + 1e-9, "{what}: {distance}");
                assert_eq!(found.normalised.is_some(), oracle.normalised.is_some());
            }
            (found, oracle, distance) => {
                assert!(found.is_none() && oracle.is_none() && distance.is_none(), "{what}: {found:?} {oracle:?}");
            }
        }
    }

    /// The plain version is the oracle, for all patterns, bands, local costs and lengths, pruned and not.
    #[test]
    fn finds_what_the_plain_version_finds() {
        let (mut random, mut warper, mut found) = (Random::new(7), Warper::default(), 0);
        for round in 0..600 {
            let most = [4, 12, 40, 150][round % 4];
            let (n, m) = (1 + random.below(most), 1 + random.below(most));
            let m = if round % 3 == 0 { n } else { m };
            let (a, b) = (random.nasty(n), random.nasty(m));
            if a.iter().chain(&b).any(is_gap) {
                continue;
            }
            for step in StepPattern::ALL {
                for (local, band) in [
                    (LocalCost::Euclidean, None),
                    (LocalCost::SquaredEuclidean, Some(random.below(6))),
                    (LocalCost::SquaredEuclidean, Some(random.below(40))),
                    (LocalCost::SquaredEuclidean, None),
                ] {
                    let cells = Cells::of_points(&a, &b, local, step).unwrap().band(band);
                    let oracle = cells.cheapest();
                    found += usize::from(oracle.is_some());
                    for prune in [false, true] {
                        let rules = Rules { prune, ..rules(local, step, band) };
                        let what = format!("{n} x {m} {rules:?}");
                        agree(&mut warper, &a, &b, &rules, oracle.as_ref(), &what);
                    }
                }
            }
        }
        assert!(found > 1000, "only {found}");
    }

    /// Like curves: most cells are passed over.
    #[test]
    fn pruning_changes_nothing_of_like_curves() {
        let mut warper = Warper::default();
        let curve = |n: usize, late: f64, off: f64| -> Vec<Point> {
            let at = |k: usize| k as f64 / (n - 1) as f64;
            let warped = |t: f64| t + late * (std::f64::consts::TAU * t).sin();
            let wave = |t: f64, axis: f64| (5.0 * t + axis).sin() + 0.3 * (17.0 * t * (1.0 + axis)).cos() + off;
            (0..n).map(|k| warped(at(k))).map(|t| [wave(t, 0.0), wave(t, 1.0), wave(t, 2.0)]).collect()
        };
        for (n, m, off) in [(250, 250, 0.02), (300, 260, 0.005), (97, 301, 0.2)] {
            let (a, b) = (curve(n, 0.03, 0.0), curve(m, -0.02, off));
            for step in StepPattern::ALL {
                let oracle = super::super::warp(&a, &b, LocalCost::SquaredEuclidean, step, None).ok();
                let rules = rules(LocalCost::SquaredEuclidean, step, None);
                agree(&mut warper, &a, &b, &rules, oracle.as_ref(), &format!("{n} x {m} {step:?}"));
            }
        }
    }

    #[test]
    fn paths_are_admissible() {
        let (mut random, mut warper) = (Random::new(11), Warper::default());
        for _ in 0..60 {
            let points = |random: &mut Random, n: usize| -> Vec<Point> {
                random.nasty(n).into_iter().map(|p| if is_gap(&p) { [0.5; 3] } else { p }).collect()
            };
            let (n, m) = (20 + random.below(20), 20 + random.below(20));
            let (a, b) = (points(&mut random, n), points(&mut random, m));
            for step in StepPattern::ALL {
                for band in [None, Some(25)] {
                    let rules = rules(LocalCost::Euclidean, step, band);
                    let curves = (Curve::new(&a, &ORIGIN), Curve::new(&b, &ORIGIN));
                    let Some(found) = cheapest(&mut warper, (&curves.0, &curves.1), (&a, &b), &rules) else { continue };
                    brute::admissible(&found, n, m, step, band);
                }
            }
        }
    }
}
