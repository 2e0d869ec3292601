//! Exact dynamic time warping: every admissible path is considered, none approximated.
//!
//! The plain version in f64, written to be read: it is what anything faster has to agree with.

use super::error::AlignError;
use super::step::StepPattern;
use crate::formats::{Point, is_gap};
use crate::plain;
use std::ops::Range;

/// Most samples of one series in one warping. A cell takes 17 bytes (local cost, accumulated cost, move), so this is
/// 68 MB; the filtered path of a swing is told to the last detail by a tenth of it.
pub const MAX_SAMPLES: usize = 2000;

/// What two matched points cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LocalCost {
    /// Distance, metres. The cost of a path is the weighted sum of distances.
    #[default]
    Euclidean,
    /// Squared distance, square metres. The cost of a path is the weighted sum of squares and is *not* rooted:
    /// libraries that report `sqrt(sum of squares)` report the root of this.
    SquaredEuclidean,
}

plain::words!(LocalCost { Euclidean = "euclidean", SquaredEuclidean = "squared-euclidean" });

impl LocalCost {
    /// The cost between two points; NaN where one of them is missing.
    pub fn between(self, a: &Point, b: &Point) -> f64 {
        if is_gap(a) || is_gap(b) {
            return f64::NAN;
        }
        let squared: f64 = a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum();
        match self {
            LocalCost::Euclidean => squared.sqrt(),
            LocalCost::SquaredEuclidean => squared,
        }
    }
}

/// The least costly way to match two series.
#[derive(Clone, Debug, PartialEq)]
pub struct Warping {
    /// Weighted sum of the local costs along the path: not rooted, not normalised.
    pub cost: f64,
    /// `cost` divided by the weights of the path plus one: by `N + M` where no sample is missing, `N` and `M` being the
    /// lengths of the matched stretches. `None` for a pattern that is not normalisable.
    pub normalised: Option<f64>,
    /// Matched pairs (student, reference), 0-based, in order; every cell passed, those inside a move of
    /// [`StepPattern::P1`] too.
    pub path: Vec<(usize, usize)>,
}

/// The cells of a warping and the rules for passing them.
#[derive(Clone, Debug)]
pub struct Cells {
    rows: usize,
    columns: usize,
    local: Vec<f64>,
    step: StepPattern,
    band: Option<usize>,
    open: (usize, usize),
}

/// Accumulated costs and how each was reached.
struct Reached {
    cost: Vec<f64>,
    by: Vec<u8>,
}

/// Marks a cell where a path starts, and one that no path reaches. Other marks number the moves of the pattern.
const START: u8 = u8::MAX - 1;
const NOT_REACHED: u8 = u8::MAX;

impl Cells {
    /// Cells of two series of points. Every sample counts from the first on; a point with NaN is missing.
    ///
    /// # Errors
    /// [`AlignError::NoSamples`] for an empty series, [`AlignError::TooManySamples`] beyond [`MAX_SAMPLES`].
    pub fn of_points(
        student: &[Point],
        reference: &[Point],
        local: LocalCost,
        step: StepPattern,
    ) -> Result<Self, AlignError> {
        Cells::new(student.len(), reference.len(), step, |i, j| local.between(&student[i], &reference[j]))
    }

    /// Cells with any local cost, given for (row of the student, row of the reference). Finite, or NaN where a sample
    /// is missing: such a cell costs nothing and weighs nothing. Infinite: the cell may not be passed.
    ///
    /// # Errors
    /// As [`Cells::of_points`].
    pub fn new(
        rows: usize,
        columns: usize,
        step: StepPattern,
        local: impl Fn(usize, usize) -> f64,
    ) -> Result<Self, AlignError> {
        if rows == 0 || columns == 0 {
            return Err(AlignError::NoSamples);
        }
        let samples = rows.max(columns);
        if samples > MAX_SAMPLES {
            return Err(AlignError::TooManySamples { samples });
        }
        let local = (0..rows * columns).map(|cell| local(cell / columns, cell % columns)).collect();
        Ok(Cells { rows, columns, local, step, band: None, open: (0, 0) })
    }

    /// Lets in only cells with `|i - j| <= w`. (`w = 0` is the diagonal; series whose lengths differ by more than `w`
    /// have no admissible path.) Default: no band.
    #[must_use]
    pub fn band(mut self, w: Option<usize>) -> Self {
        self.band = w;
        self
    }

    /// Opens both ends: a path may start in `(i, 0)` with `i <= student` or in `(0, j)` with `j <= reference`, and end
    /// as far from the last cell. At either end samples of one series only are left out. Default: closed.
    #[must_use]
    pub fn open_ends(mut self, student: usize, reference: usize) -> Self {
        self.open = (student.min(self.rows - 1), reference.min(self.columns - 1));
        self
    }

    /// The path of least cost. Of equal moves the first in the order of the pattern is taken (the diagonal), of equal
    /// ends the one nearest the last cell. Time and memory grow with the number of cells.
    ///
    /// `None`: no path is admissible.
    pub fn cheapest(&self) -> Option<Warping> {
        self.cheapest_less(0.0)
    }

    /// The path of least *normalised* cost, which is what open ends need: the plain sum would always leave out as much
    /// as it may. For a normalisable pattern only, and for series without long gaps: a path through missing samples alone
    /// would cost nothing.
    ///
    /// Dinkelbach's method for a ratio: the path that minimises `cost - s (weights + 1)` has a ratio below `s` until `s`
    /// is the least ratio; from there each ratio is the next `s`. Exact, and it converges faster than linearly.
    pub fn cheapest_per_weight(&self) -> Option<Warping> {
        let mut best = self.cheapest()?;
        for _ in 0..MAX_ROUNDS {
            let ratio = best.normalised?;
            let next = self.cheapest_less(ratio)?;
            if next.normalised? >= ratio {
                break;
            }
            best = next;
        }
        Some(best)
    }

    /// The path that is cheapest when `discount` is taken off every local cost; its own cost is told undiscounted.
    fn cheapest_less(&self, discount: f64) -> Option<Warping> {
        let reached = self.reach(discount);
        let end = self.best_end(&reached.cost)?;
        Some(self.trace(&reached, end))
    }

    /// The columns that the band admits in row `i`.
    fn admitted(&self, i: usize) -> Range<usize> {
        let w = self.band.unwrap_or(MAX_SAMPLES);
        i.saturating_sub(w)..self.columns.min(i.saturating_add(w).saturating_add(1))
    }

    fn starts(&self, i: usize, j: usize) -> bool {
        (j == 0 && i <= self.open.0) || (i == 0 && j <= self.open.1)
    }

    /// What passing a cell costs: nothing where a sample is missing.
    fn charge(&self, i: usize, j: usize, weight: f64, discount: f64) -> f64 {
        let local = self.local[i * self.columns + j];
        if local.is_nan() { 0.0 } else { weight * (local - discount) }
    }

    /// Accumulated cost of every cell, row by row.
    fn reach(&self, discount: f64) -> Reached {
        let cells = self.rows * self.columns;
        let mut reached = Reached { cost: vec![f64::INFINITY; cells], by: vec![NOT_REACHED; cells] };
        for i in 0..self.rows {
            for j in self.admitted(i) {
                let (cost, by) = self.best_move(&reached.cost, i, j, discount);
                reached.cost[i * self.columns + j] = cost;
                reached.by[i * self.columns + j] = by;
            }
        }
        reached
    }

    fn best_move(&self, cost: &[f64], i: usize, j: usize, discount: f64) -> (f64, u8) {
        let mut best = (f64::INFINITY, NOT_REACHED);
        if self.starts(i, j) {
            best = (self.charge(i, j, 1.0, discount), START);
        }
        for (by, step) in (0_u8..).zip(self.step.moves()) {
            let (Some(from_i), Some(from_j)) = (i.checked_sub(step.origin.0), j.checked_sub(step.origin.1)) else {
                continue;
            };
            let passed = step.cells.iter().map(|c| self.charge(i - c.back.0, j - c.back.1, c.weight, discount));
            let total = passed.fold(cost[from_i * self.columns + from_j], |sum, charge| sum + charge);
            if total < best.0 {
                best = (total, by);
            }
        }
        best
    }

    /// The cheapest cell a path may end in; `None` where no path reaches one.
    fn best_end(&self, cost: &[f64]) -> Option<(usize, usize)> {
        let (last_i, last_j) = (self.rows - 1, self.columns - 1);
        let by_student = (1..=self.open.0).map(|k| (last_i - k, last_j));
        let by_reference = (1..=self.open.1).map(|k| (last_i, last_j - k));
        let ends = std::iter::once((last_i, last_j)).chain(by_student).chain(by_reference);
        let mut best = (f64::INFINITY, None);
        for (i, j) in ends {
            if cost[i * self.columns + j] < best.0 {
                best = (cost[i * self.columns + j], Some((i, j)));
            }
        }
        best.1
    }

    /// Back from an end that is reached, adding up what the path costs and weighs.
    fn trace(&self, reached: &Reached, end: (usize, usize)) -> Warping {
        let (mut i, mut j) = end;
        let mut path = Vec::with_capacity(self.rows + self.columns);
        let mut charged = Vec::with_capacity(self.rows + self.columns);
        while let Some(step) = self.step.moves().get(usize::from(reached.by[i * self.columns + j])) {
            for cell in step.cells.iter().rev() {
                path.push((i - cell.back.0, j - cell.back.1));
                charged.push(cell.weight);
            }
            (i, j) = (i - step.origin.0, j - step.origin.1);
        }
        path.push((i, j));
        charged.push(1.0);
        path.reverse();
        charged.reverse();
        let cost = path.iter().zip(&charged).map(|(&(i, j), &weight)| self.charge(i, j, weight, 0.0)).sum();
        let weights = self.weight_of(&path, &charged);
        Warping { cost, normalised: self.step.normalisable().then(|| cost / (weights + 1.0)), path }
    }

    fn weight_of(&self, path: &[(usize, usize)], weights: &[f64]) -> f64 {
        let counted = path.iter().zip(weights).filter(|(cell, _)| !self.local[cell.0 * self.columns + cell.1].is_nan());
        counted.map(|(_, weight)| weight).sum()
    }
}

/// Dinkelbach's method needs a handful of rounds; this many would mean that rounding keeps it from settling.
const MAX_ROUNDS: usize = 40;

/// Warps two closed series: first sample on first, last on last.
///
/// `band`: only cells with `|i - j| <= w`; `None`: all. The result is neither rooted nor normalised, see [`Warping`].
///
/// # Errors
/// [`AlignError::NoAdmissiblePath`] where band and pattern leave no path; [`AlignError::NoSamples`],
/// [`AlignError::TooManySamples`].
///
/// # Example
/// ```
/// use handpath::align::{LocalCost, StepPattern, warp};
/// let series = |values: &[f64]| values.iter().map(|&x| [x, 0.0, 0.0]).collect::<Vec<_>>();
/// let (student, reference) = (series(&[1.0, 2.0, 3.0]), series(&[1.0, 2.0, 2.0, 3.0]));
/// let warping = warp(&student, &reference, LocalCost::Euclidean, StepPattern::Symmetric1, None)?;
/// assert_eq!(warping.cost, 0.0);
/// assert_eq!(warping.path, [(0, 0), (1, 1), (1, 2), (2, 3)]);
/// # Ok::<(), handpath::align::AlignError>(())
/// ```
pub fn warp(
    student: &[Point],
    reference: &[Point],
    local: LocalCost,
    step: StepPattern,
    band: Option<usize>,
) -> Result<Warping, AlignError> {
    let cells = Cells::of_points(student, reference, local, step)?.band(band);
    cells.cheapest().ok_or(AlignError::NoAdmissiblePath {
        student: student.len(),
        reference: reference.len(),
        step,
        band,
    })
}

#[cfg(test)]
mod tests {
    use super::super::brute;
    use super::super::random::Random;
    use super::*;
    use StepPattern::{P1, Symmetric1, Symmetric2};

    fn one(values: &[f64]) -> Vec<Point> {
        values.iter().map(|&x| [x, 0.0, 0.0]).collect()
    }

    fn two(values: &[(f64, f64)]) -> Vec<Point> {
        values.iter().map(|&(x, y)| [x, y, 0.0]).collect()
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 5e-5, "{found} instead of {expected}");
    }

    /// Sum of squares and its root: most libraries report the root.
    fn rooted(a: &[Point], b: &[Point]) -> f64 {
        warp(a, b, LocalCost::SquaredEuclidean, Symmetric1, None).unwrap().cost.sqrt()
    }

    fn absolute(a: &[Point], b: &[Point]) -> f64 {
        warp(a, b, LocalCost::Euclidean, Symmetric1, None).unwrap().cost
    }

    #[test]
    fn examples_of_tslearn() {
        let (a, b) = (one(&[1.0, 2.0, 3.0]), one(&[1.0, 2.0, 2.0, 3.0]));
        let found = warp(&a, &b, LocalCost::SquaredEuclidean, Symmetric1, None).unwrap();
        assert_eq!((found.cost, &found.path[..]), (0.0, &[(0, 0), (1, 1), (1, 2), (2, 3)][..]));
        let cells = Cells::of_points(&a, &b, LocalCost::SquaredEuclidean, Symmetric1).unwrap();
        assert_eq!(cells.reach(0.0).cost, [0.0, 1.0, 2.0, 6.0, 1.0, 0.0, 0.0, 1.0, 5.0, 1.0, 1.0, 0.0]);

        let longer = one(&[1.0, 2.0, 2.0, 3.0, 4.0]);
        let found = warp(&a, &longer, LocalCost::SquaredEuclidean, Symmetric1, None).unwrap();
        assert_eq!((found.cost, &found.path[3..]), (1.0, &[(2, 3), (2, 4)][..]));
        near(rooted(&a, &one(&[3.0, 4.0, -3.0])), 42.0_f64.sqrt());
        let (p, q) = ([(1.0, 1.0), (2.0, 2.0), (3.0, 3.0)], [(3.0, 3.0), (4.0, 4.0), (-3.0, -3.0)]);
        near(rooted(&two(&p), &two(&q)), 84.0_f64.sqrt());
        near(rooted(&one(&[1.0, 2.0, 2.0, 3.0]), &one(&[2.0, 3.0, 4.0, 5.0])), 2.449_490);
        near(rooted(&one(&[1.0, 2.0, 3.0, 4.0]), &one(&[2.0, 3.0, 4.0, 5.0])), 2.0_f64.sqrt());
        near(rooted(&one(&[1.0, 2.0, 3.0, 4.0]), &a), 1.0);
    }

    #[test]
    fn subsequence_example_of_tslearn() {
        // [2, 3] in [1, 2, 2, 3, 4]: cost 0, ends on element 3 (its start may be either 2).
        let (part, whole) = (one(&[2.0, 3.0]), one(&[1.0, 2.0, 2.0, 3.0, 4.0]));
        let cells = Cells::of_points(&part, &whole, LocalCost::SquaredEuclidean, Symmetric1).unwrap();
        let found = cells.open_ends(0, 4).cheapest().unwrap();
        assert_eq!((found.cost, found.path.last()), (0.0, Some(&(1, 3))));
    }

    #[test]
    fn examples_of_dtaidistance() {
        // README and tests of dtaidistance; window 1 there is band 0 here, window 2 band 1.
        let a = one(&[0.0, 0.0, 1.0, 2.0, 1.0, 0.0, 1.0, 0.0, 0.0]);
        let b = one(&[0.0, 1.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        let c = one(&[1.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 1.0]);
        near(rooted(&a, &b), 2.0_f64.sqrt());
        near(rooted(&b, &c), 3.0_f64.sqrt());
        near(rooted(&a, &c), 5.0_f64.sqrt());
        near(absolute(&a, &b), 2.0);
        for (band, squared) in [(0, 8.0), (1, 2.0)] {
            near(warp(&a, &b, LocalCost::SquaredEuclidean, Symmetric1, Some(band)).unwrap().cost, squared);
        }
        let p = two(&[(0.0, 0.0), (0.0, 1.0), (2.0, 1.0), (0.0, 1.0), (0.0, 0.0)]);
        let q = two(&[(0.0, 0.0), (2.0, 1.0), (0.0, 1.0), (0.0, 0.5), (0.0, 0.0)]);
        let found = warp(&p, &q, LocalCost::SquaredEuclidean, Symmetric1, None).unwrap();
        near(found.cost, 1.25);
        assert_eq!(found.path, [(0, 0), (1, 0), (2, 1), (3, 2), (3, 3), (4, 4)]);
        let p = two(&[(0.0, 0.0), (1.0, 2.0), (1.0, 0.0), (1.0, 0.0)]);
        near(rooted(&p, &two(&[(0.0, 1.0), (2.0, 0.0), (0.0, 0.0), (0.0, 0.0)])), 6.0_f64.sqrt());
    }

    #[test]
    fn examples_of_aeon_fastdtw_and_a_small_package() {
        // aeon reports the sum of squares, unrooted.
        let squared = |a: &[Point], b: &[Point]| rooted(a, b).powi(2);
        let (low, high): (Vec<f64>, Vec<f64>) = (1..=10).map(|k| (f64::from(k), f64::from(k + 10))).unzip();
        near(squared(&one(&low), &one(&high)), 768.0);
        let p = [[1.0, 6.0, 0.0], [2.0, 7.0, 1.0], [3.0, 8.0, 0.0], [4.0, 9.0, 2.0], [5.0, 10.0, 0.0]];
        let q = [[11.0, 7.0, 1.0], [12.0, 8.0, 3.0], [13.0, 9.0, 4.0], [14.0, 20.0, 5.0]];
        near(squared(&p, &q), 564.0);
        near(squared(&one(&[1.0, 2.0, 3.0, 6.0]), &one(&[1.0, 2.0, 3.0, 4.0])), 4.0);
        // Docstring of fastdtw.
        let (a, b) = (one(&[1.0, 2.0, 3.0, 4.0, 5.0]), one(&[2.0, 3.0, 4.0]));
        let found = warp(&a, &b, LocalCost::Euclidean, Symmetric1, None).unwrap();
        assert_eq!((found.cost, &found.path[..]), (2.0, &[(0, 0), (1, 0), (2, 1), (3, 2), (4, 2)][..]));
        // README of a small dtw package (gitee.com/beeworkshop/dtw).
        let a = one(&[2.0, 0.0, 1.0, 1.0, 2.0, 4.0, 2.0, 1.0, 2.0, 0.0]);
        near(absolute(&a, &one(&[1.0, 1.0, 2.0, 4.0, 2.0, 1.0, 2.0, 0.0])), 2.0);
    }

    /// A matrix of dtw-python's documentation: ones; row 2 and column 5 zero; 0.01 where they cross (1-based).
    fn six_by_six(step: StepPattern) -> Cells {
        Cells::new(6, 6, step, |i, j| match (i, j) {
            (1, 4) => 0.01,
            (1, _) | (_, 4) => 0.0,
            _ => 1.0,
        })
        .unwrap()
    }

    #[test]
    fn examples_of_dtw_python() {
        let found = six_by_six(Symmetric2).cheapest().unwrap();
        near(found.cost, 2.0);
        near(found.normalised.unwrap(), 0.166_667);
        let path = [(0, 0), (1, 1), (1, 2), (1, 3), (2, 4), (3, 4), (4, 4), (5, 4), (5, 5)];
        assert_eq!(found.path, path);
        let accumulated = six_by_six(Symmetric2).reach(0.0).cost;
        assert_eq!(accumulated[..12], [1.0, 2.0, 3.0, 4.0, 4.0, 5.0, 1.0, 1.0, 1.0, 1.0, 1.01, 1.01]);
        near(six_by_six(Symmetric1).cheapest().unwrap().cost, 2.0);
        let found = six_by_six(P1).cheapest().unwrap();
        near(found.cost, 5.0);
        near(found.normalised.unwrap(), 0.416_667);
    }

    #[test]
    fn matrix_of_myers_1980_as_dtw_python_prints_it() {
        let rows = [[1, 3, 4, 4, 5], [2, 2, 3, 3, 4], [3, 1, 1, 1, 3], [4, 2, 3, 3, 2], [5, 3, 4, 4, 1]];
        for (step, cost) in [(Symmetric1, 8.0), (Symmetric2, 12.0), (P1, 13.0)] {
            let direct = Cells::new(5, 5, step, |i, j| f64::from(rows[i][j])).unwrap();
            let transposed = Cells::new(5, 5, step, |i, j| f64::from(rows[j][i])).unwrap();
            near(direct.cheapest().unwrap().cost, cost);
            near(transposed.cheapest().unwrap().cost, cost);
        }
    }

    #[test]
    fn open_ends_find_the_part_that_fits() {
        // dtw-python's tests find [2.01, 3.01] on items 2 and 3 of [1, 2, 3, 4] (there with an asymmetric pattern).
        let (part, whole) = (one(&[2.01, 3.01]), one(&[1.0, 2.0, 3.0, 4.0]));
        for step in [Symmetric2, P1] {
            let cells = Cells::of_points(&part, &whole, LocalCost::Euclidean, step).unwrap();
            let found = cells.open_ends(0, 3).cheapest_per_weight().unwrap();
            assert_eq!(found.path, [(0, 1), (1, 2)]);
            near(found.normalised.unwrap(), 0.03 / 4.0);
        }
    }

    #[test]
    fn paths_are_as_many_as_delannoy_says() {
        // Delannoy D(5, 5) = 1683, in dtw-python's tests too.
        assert_eq!(brute::paths(6, 6, Symmetric2).len(), 1683);
        for step in StepPattern::ALL {
            for (n, m) in [(1, 1), (1, 2), (2, 3), (4, 4), (5, 4), (6, 6)] {
                assert_eq!(by_moves(n, m, step), brute::paths(n, m, step).len(), "{step:?} {n} x {m}");
            }
        }
    }

    /// Counts the paths that the table of moves allows.
    fn by_moves(n: usize, m: usize, step: StepPattern) -> usize {
        let mut count = vec![vec![0_usize; m]; n];
        for i in 0..n {
            for j in 0..m {
                let origins = step.moves().iter().map(|s| (i.checked_sub(s.origin.0), j.checked_sub(s.origin.1)));
                let before = origins.filter_map(|(i, j)| Some(count[i?][j?])).sum::<usize>();
                count[i][j] = before + usize::from((i, j) == (0, 0));
            }
        }
        count[n - 1][m - 1]
    }

    #[test]
    fn no_path_is_cheaper_than_the_one_found() {
        let mut random = Random::new(1);
        for round in 0..300 {
            let (n, m) = (1 + random.below(5), 1 + random.below(5));
            let (a, b) = (random.nasty(n), random.nasty(m));
            let local = [LocalCost::Euclidean, LocalCost::SquaredEuclidean][round % 2];
            for step in StepPattern::ALL {
                for band in [None, Some(0), Some(1), Some(2)] {
                    let found = warp(&a, &b, local, step, band).ok();
                    let least = brute::cheapest(&a, &b, local, step, band);
                    match (&found, &least) {
                        (Some(found), Some(least)) => brute::same(found.cost, *least),
                        _ => assert_eq!(found.is_none(), least.is_none(), "{step:?} {band:?} {n} x {m}"),
                    }
                    if let Some(found) = found {
                        brute::admissible(&found, n, m, step, band);
                        brute::same(found.cost, brute::cost(&found.path, &a, &b, local, step));
                    }
                }
            }
        }
    }

    #[test]
    fn no_open_ends_fit_better_than_those_found() {
        let mut random = Random::new(2);
        for _ in 0..200 {
            let (n, m) = (3 + random.below(4), 3 + random.below(4));
            let (a, b) = (random.nasty(n), random.nasty(m));
            let open = (random.below(3), random.below(3));
            for step in [Symmetric2, P1] {
                let cells = Cells::of_points(&a, &b, LocalCost::Euclidean, step).unwrap();
                let found = cells.open_ends(open.0, open.1).cheapest_per_weight();
                let least = brute::cheapest_open(&a, &b, step, open);
                match (found, least) {
                    (Some(found), Some(least)) => brute::same(found.normalised.unwrap(), least),
                    (found, least) => assert_eq!(found.is_none(), least.is_none(), "{step:?} {n} x {m} {open:?}"),
                }
            }
        }
    }

    #[test]
    fn properties_of_longer_series() {
        let mut random = Random::new(3);
        for _ in 0..40 {
            let (n, m) = (20 + random.below(30), 20 + random.below(30));
            let (a, b) = (random.nasty(n), random.nasty(m));
            for step in StepPattern::ALL {
                let warped = |a: &[Point], b: &[Point], band| warp(a, b, LocalCost::Euclidean, step, band).ok();
                brute::same(warped(&a, &a, None).unwrap().cost, 0.0);
                let Some(free) = warped(&a, &b, None) else { continue };
                brute::admissible(&free, n, m, step, None);
                brute::same(free.cost, warped(&b, &a, None).unwrap().cost);
                brute::same(free.cost, brute::cost(&free.path, &a, &b, LocalCost::Euclidean, step));
                if let Some(banded) = warped(&a, &b, Some(n.abs_diff(m) + 3)) {
                    assert!(banded.cost >= free.cost - 1e-9);
                }
                // One warp for all axes costs at least what each axis costs by itself.
                let axis = |points: &[Point]| points.iter().map(|p| [p[0], 0.0, 0.0]).collect::<Vec<_>>();
                assert!(warped(&axis(&a), &axis(&b), None).unwrap().cost <= free.cost + 1e-9);
            }
        }
    }

    #[test]
    fn no_admissible_path_is_an_error_never_an_infinity() {
        let (a, b) = (one(&[0.0; 3]), one(&[0.0; 9]));
        for (step, band) in [(Symmetric1, Some(5)), (Symmetric2, Some(0)), (P1, None)] {
            let found = warp(&a, &b, LocalCost::Euclidean, step, band);
            assert!(matches!(found, Err(AlignError::NoAdmissiblePath { student: 3, reference: 9, .. })), "{found:?}");
        }
        let closed_off = Cells::new(2, 2, Symmetric1, |_, _| f64::INFINITY).unwrap();
        assert_eq!(closed_off.cheapest(), None);
    }

    #[test]
    fn sizes_are_checked_before_anything_is_allocated() {
        assert_eq!(warp(&[], &one(&[1.0]), LocalCost::Euclidean, P1, None), Err(AlignError::NoSamples));
        let much = vec![[0.0; 3]; MAX_SAMPLES + 1];
        let found = warp(&much, &one(&[1.0]), LocalCost::Euclidean, Symmetric1, None);
        assert_eq!(found, Err(AlignError::TooManySamples { samples: MAX_SAMPLES + 1 }));
    }
}
