use crate::fill::Row;
use crate::{Curve, Rules, Step};

/// Reads the way back from kept costs.
pub(crate) struct Trace<'a> {
    pub(crate) a: &'a Curve,
    pub(crate) b: &'a Curve,
    pub(crate) rules: &'a Rules,
    /// The costs of the anti-diagonals from -2 on.
    pub(crate) rows: &'a [Row],
}

impl Trace<'_> {
    fn cost(&self, i: isize, j: isize) -> f32 {
        self.rows.get((i + j + 2) as usize).map_or(f32::INFINITY, |row| row.at(i))
    }

    fn local(&self, i: isize, j: isize) -> f32 {
        self.rules.local.between(self.a, i, self.b, j)
    }

    /// Cells in path order; of equal ways the diagonal, then the one that goes on in `b`.
    pub(crate) fn path(&self) -> Vec<(usize, usize)> {
        let (mut i, mut j) = (self.a.len() as isize - 1, self.b.len() as isize - 1);
        let mut path = Vec::with_capacity(self.a.len() + self.b.len());
        while i > 0 || j > 0 {
            path.push((i as usize, j as usize));
            if self.rules.step == Step::P1 {
                (i, j) = self.sloped(i, j, &mut path);
            } else {
                (i, j) = self.back(i, j);
            }
            if i < 0 || j < 0 {
                // Only where no path comes, and then nobody asks.
                return vec![];
            }
        }
        path.push((0, 0));
        path.reverse();
        path
    }

    fn back(&self, i: isize, j: isize) -> (isize, isize) {
        let twice = if self.rules.step == Step::Symmetric2 { self.local(i, j) } else { 0.0 };
        let diagonal = self.cost(i - 1, j - 1) + twice;
        let (left, up) = (self.cost(i, j - 1), self.cost(i - 1, j));
        if diagonal <= left && diagonal <= up {
            (i - 1, j - 1)
        } else if left <= up {
            (i, j - 1)
        } else {
            (i - 1, j)
        }
    }

    /// The cell that a move comes from; the one that it passes is put on the path.
    fn sloped(&self, i: isize, j: isize, path: &mut Vec<(usize, usize)>) -> (isize, isize) {
        let over = |from: (isize, isize), passed: (isize, isize)| {
            let cost = self.cost(from.0, from.1);
            if cost.is_finite() { cost + 2.0 * self.local(passed.0, passed.1) } else { cost }
        };
        let diagonal = self.cost(i - 1, j - 1) + self.local(i, j);
        let (reference, student) = (over((i - 1, j - 2), (i, j - 1)), over((i - 2, j - 1), (i - 1, j)));
        if diagonal <= reference && diagonal <= student {
            return (i - 1, j - 1);
        }
        let (from, passed) =
            if reference <= student { ((i - 1, j - 2), (i, j - 1)) } else { ((i - 2, j - 1), (i - 1, j)) };
        path.push((passed.0 as usize, passed.1 as usize));
        from
    }
}
