//! The same warping as [`Cells`](super::Cells) finds, for the usual case: step pattern P1, closed ends, no gaps.
//!
//! P1 reaches a row from the rows before it alone, so that a row's cells do not wait for each other; and as its slope lies
//! between one half and two, only a third of the cells can lie on a path from the first to the last. In double precision
//! sums are added in the order of the plain version, so that both find the same path and the same cost, to the last bit.
//! In single precision, which takes half the time, the path costs at most 1e-5 more.

use super::{AlignError, LocalCost, MAX_SAMPLES, StepPattern, Warping};
use crate::formats::{Point, is_gap};
use std::ops::{Add, Mul, Range, Sub};

/// What costs are added up in.
pub(super) trait Number:
    Copy + PartialOrd + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self>
{
    const ZERO: Self;
    const TWO: Self;
    const INFINITE: Self;

    /// A coordinate, which may be told from `origin`.
    fn coordinate(x: f64, origin: f64) -> Self;

    fn root(self) -> Self;
}

impl Number for f64 {
    const ZERO: Self = 0.0;
    const TWO: Self = 2.0;
    const INFINITE: Self = f64::INFINITY;

    fn coordinate(x: f64, _: f64) -> Self {
        x
    }

    fn root(self) -> Self {
        self.sqrt()
    }
}

impl Number for f32 {
    const ZERO: Self = 0.0;
    const TWO: Self = 2.0;
    const INFINITE: Self = f32::INFINITY;

    fn coordinate(x: f64, origin: f64) -> Self {
        (x - origin) as f32
    }

    fn root(self) -> Self {
        self.sqrt()
    }
}

/// Infinite cells on either side of a row's corridor: no move reaches farther out.
const PAD: usize = 4;

/// The path of least cost of any pattern: the fast way where it goes, else the plain one.
///
/// # Errors
/// As [`super::warp`].
pub(super) fn warp<T: Number>(
    a: &[Point],
    b: &[Point],
    local: LocalCost,
    step: StepPattern,
    band: Option<usize>,
) -> Result<Warping, AlignError> {
    let plain = step != StepPattern::P1 || a.iter().chain(b).any(is_gap);
    if plain || a.is_empty() || b.is_empty() || a.len().max(b.len()) > MAX_SAMPLES {
        return super::warp(a, b, local, step, band);
    }
    let (student, reference) = (a.len(), b.len());
    cheapest::<T>(a, b, local, band).ok_or(AlignError::NoAdmissiblePath { student, reference, step, band })
}

/// The path of least cost and that cost, or `None` where the band leaves none.
pub(super) fn cheapest<T: Number>(a: &[Point], b: &[Point], local: LocalCost, band: Option<usize>) -> Option<Warping> {
    let corridor = Corridor::of(a.len(), b.len(), band)?;
    let origin = *a.first()?;
    let place = |point: &Point| std::array::from_fn(|c| T::coordinate(point[c], origin[c]));
    let [ours, theirs]: [Vec<[T; 3]>; 2] = [a, b].map(|points| points.iter().map(place).collect());
    let reached = corridor.reach(&ours, &theirs, local);
    reached.last().filter(|cost| **cost < T::INFINITE)?;
    let (path, weights) = corridor.trace(&reached, |i: usize, j: usize| between(&ours[i], &theirs[j], local));
    let local = |i: usize, j: usize| local.between(&a[i], &b[j]);
    let cost = path.iter().zip(&weights).map(|(&(i, j), weight)| weight * local(i, j)).sum();
    let weight: f64 = weights.iter().sum();
    Some(Warping { cost, normalised: Some(cost / (weight + 1.0)), path })
}

/// What it costs to match each sample with the one of the same number.
pub(super) fn unwarped(a: &[Point], b: &[Point], local: LocalCost) -> f64 {
    let cost = |(k, (a, b)): (usize, (&Point, &Point))| if k == 0 { 1.0 } else { 2.0 } * local.between(a, b);
    a.iter().zip(b).enumerate().map(cost).sum()
}

/// The cells that a path can pass: in each row from one column to another, both included.
struct Corridor {
    rows: Vec<(usize, usize)>,
    columns: usize,
}

/// Accumulated costs of the corridor's cells, row after row, each row between two pads.
struct Reached<T> {
    cost: Vec<T>,
    /// Where column 0 of a row would be.
    zero: Vec<isize>,
}

impl<T: Number> Reached<T> {
    fn at(&self, i: usize, j: usize) -> T {
        self.cost[(self.zero[i] + j as isize) as usize]
    }

    fn last(&self) -> Option<&T> {
        self.cost.get(self.cost.len().checked_sub(PAD + 1)?)
    }
}

/// Local costs of a row, one column further on: a row can be asked for the column before its first.
type Local<T> = Vec<T>;

impl Corridor {
    /// `None` where no path can go from the first to the last cell.
    fn of(rows: usize, columns: usize, band: Option<usize>) -> Option<Corridor> {
        let (last_i, last_j) = (rows.checked_sub(1)?, columns.checked_sub(1)?);
        let row = |i: usize| {
            let left = last_i - i;
            let w = band.unwrap_or(columns.max(rows));
            let low = i.div_ceil(2).max(last_j.saturating_sub(2 * left)).max(i.saturating_sub(w));
            let high = (2 * i).min(last_j.checked_sub(left.div_ceil(2))?).min(i + w);
            (low <= high).then_some((low, high))
        };
        Some(Corridor { rows: (0..rows).map(row).collect::<Option<_>>()?, columns })
    }

    fn reach<T: Number>(&self, a: &[[T; 3]], b: &[[T; 3]], local: LocalCost) -> Reached<T> {
        let cells = self.rows.iter().map(|(low, high)| high + 1 - low + 2 * PAD).sum();
        let mut reached = Reached { cost: Vec::with_capacity(cells), zero: Vec::with_capacity(self.rows.len()) };
        let axes: [Vec<T>; 3] = std::array::from_fn(|axis| b.iter().map(|point| point[axis]).collect());
        let (mut here, mut before): (Local<T>, Local<T>) =
            (vec![T::ZERO; self.columns + 1], vec![T::ZERO; self.columns + 1]);
        for (i, &(low, high)) in self.rows.iter().enumerate() {
            // The next row asks this one for up to two columns more.
            locals(&a[i], &axes, local, low.saturating_sub(1)..self.columns.min(high + 3), &mut here);
            let start = reached.cost.len() + PAD;
            reached.cost.resize(start + high + 1 - low + PAD, T::INFINITE);
            reached.zero.push(start as isize - low as isize);
            match i {
                0 => reached.cost[start] = here[1],
                _ => reached.fill(i, low..high + 1, &here, &before),
            }
            std::mem::swap(&mut here, &mut before);
        }
        reached
    }

    /// Back from the last cell: path and weights, both in path order.
    fn trace<T: Number>(
        &self,
        reached: &Reached<T>,
        local: impl Fn(usize, usize) -> T,
    ) -> (Vec<(usize, usize)>, Vec<f64>) {
        let (mut i, mut j) = (self.rows.len() - 1, self.columns - 1);
        let (mut path, mut weights) = (vec![], vec![]);
        while i > 0 && j > 0 {
            let (cost, here) = (reached.at(i, j), local(i, j));
            path.push((i, j));
            if reached.at(i - 1, j - 1) + T::TWO * here == cost {
                weights.push(2.0);
                (i, j) = (i - 1, j - 1);
                continue;
            }
            let by_reference = j > 1 && reached.at(i - 1, j - 2) + T::TWO * local(i, j - 1) + here == cost;
            path.push(if by_reference { (i, j - 1) } else { (i - 1, j) });
            weights.extend([1.0, 2.0]);
            (i, j) = if by_reference { (i - 1, j - 2) } else { (i.saturating_sub(2), j - 1) };
        }
        path.push((i, j));
        weights.push(1.0);
        path.reverse();
        weights.reverse();
        (path, weights)
    }
}

/// Local costs of one row.
fn locals<T: Number>(a: &[T; 3], b: &[Vec<T>; 3], local: LocalCost, columns: Range<usize>, out: &mut Local<T>) {
    let [x, y, z] = [0, 1, 2].map(|axis| &b[axis][columns.clone()]);
    for (((out, x), y), z) in out[1..][columns].iter_mut().zip(x).zip(y).zip(z) {
        let (x, y, z) = (a[0] - *x, a[1] - *y, a[2] - *z);
        *out = x * x + y * y + z * z;
        if local == LocalCost::Euclidean {
            *out = out.root();
        }
    }
}

/// The local cost of two points, added up as in a row.
fn between<T: Number>(a: &[T; 3], b: &[T; 3], local: LocalCost) -> T {
    let (x, y, z) = (a[0] - b[0], a[1] - b[1], a[2] - b[2]);
    let square = x * x + y * y + z * z;
    if local == LocalCost::Euclidean { square.root() } else { square }
}

impl<T: Number> Reached<T> {
    /// Accumulated costs of row `i`, from the two rows before it.
    fn fill(&mut self, i: usize, columns: Range<usize>, here: &Local<T>, before: &Local<T>) {
        let (low, count) = (columns.start, columns.len());
        let (done, row) = self.cost.split_at_mut((self.zero[i] + low as isize) as usize);
        let part = |i: usize, back: isize| &done[(self.zero[i] + low as isize - back) as usize..][..count];
        let none = [T::INFINITE; 2];
        let (diagonal, far) = (part(i - 1, 1), part(i - 1, 2));
        // The second row is two cells wide at most.
        let above = if i > 1 { part(i - 2, 1) } else { &none[..count] };
        let (left, here, before) = (&here[low..][..count], &here[low + 1..][..count], &before[low + 1..][..count]);
        let row = &mut row[..count];
        for k in 0..count {
            let by_both = diagonal[k] + T::TWO * here[k];
            let by_reference = far[k] + T::TWO * left[k] + here[k];
            let by_student = above[k] + T::TWO * before[k] + here[k];
            let best = if by_reference < by_both { by_reference } else { by_both };
            row[k] = if by_student < best { by_student } else { best };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::super::{Cells, StepPattern};
    use super::*;
    use crate::formats::is_gap;

    /// The plain version is the oracle: same path, same cost, to the last bit.
    #[test]
    fn finds_what_the_plain_version_finds() {
        let mut random = Random::new(5);
        for round in 0..400 {
            let n = 1 + random.below(if round < 300 { 12 } else { 120 });
            let m = if round % 2 == 0 { n } else { (n + random.below(n)).min(2 * n - 1) };
            let (a, b) = (random.nasty(n), random.nasty(m));
            if a.iter().chain(&b).any(is_gap) {
                continue;
            }
            let local = [LocalCost::Euclidean, LocalCost::SquaredEuclidean][round % 3 % 2];
            for band in [None, Some(0), Some(1), Some(5)] {
                let cells = Cells::of_points(&a, &b, local, StepPattern::P1).unwrap().band(band);
                let plain = cells.cheapest();
                let single = cheapest::<f32>(&a, &b, local, band).map(|found| found.cost);
                assert_eq!(cheapest::<f64>(&a, &b, local, band), plain, "{n} x {m}, {band:?}");
                assert_eq!(single.is_some(), plain.is_some(), "{n} x {m}, {band:?}");
                for (single, plain) in single.iter().zip(&plain) {
                    let (least, most) = (plain.cost * (1.0 - 1e-12), plain.cost * (1.0 + 1e-5) + 1e-9);
                    assert!((least..=most).contains(single), "{single} {}, {n} x {m}, {band:?}", plain.cost);
                }
                if n == m {
                    assert_eq!(Some(unwarped(&a, &b, local)), cells.band(Some(0)).cheapest().map(|found| found.cost));
                }
            }
        }
        let (a, b) = (random.nasty(3), random.nasty(9));
        assert_eq!(cheapest::<f64>(&a, &b, LocalCost::Euclidean, None), None);
    }
}
