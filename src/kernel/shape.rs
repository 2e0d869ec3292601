use crate::Curve;

/// Which moves a warping path may make, as `handpath::align::StepPattern` writes them down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Diagonal and side steps cost the same.
    Symmetric1,
    /// A diagonal costs double.
    Symmetric2,
    /// A diagonal costs double, and every side step follows one.
    P1,
}

/// What two matched points cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Local {
    /// Their distance.
    Euclidean,
    /// Its square.
    Squared,
}

impl Local {
    pub(crate) fn between(self, a: &Curve, i: isize, b: &Curve, j: isize) -> f32 {
        let squared = a.apart(i, b, j);
        match self {
            Local::Euclidean => squared.sqrt(),
            Local::Squared => squared,
        }
    }
}

/// How to warp.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rules {
    /// The moves.
    pub step: Step,
    /// The cost of a cell.
    pub local: Local,
    /// Only cells with `|i - j| <= w`; `None`: all.
    pub band: Option<usize>,
    /// Passes over cells that cost more than some whole path already does. The answer is the same; of like curves it
    /// comes sooner, of others a little later.
    pub prune: bool,
}

impl Rules {
    /// Any steps, square distances, all cells, none passed over: what most libraries call DTW.
    pub const PLAIN: Rules = Rules { step: Step::Symmetric1, local: Local::Squared, band: None, prune: false };
}

/// Lowest and highest row of an anti-diagonal; none where the first is the greater.
pub(crate) type Rows = (isize, isize);

/// The cells of a warping, by anti-diagonal `s = i + j`.
#[derive(Clone, Copy)]
pub(crate) struct Shape {
    last_i: isize,
    last_j: isize,
    band: isize,
    sloped: bool,
}

impl Shape {
    pub(crate) fn of(rows: usize, columns: usize, rules: &Rules) -> Shape {
        let (last_i, last_j) = (rows as isize - 1, columns as isize - 1);
        let widest = last_i + last_j;
        let band = rules.band.map_or(widest, |w| widest.min(w.min(isize::MAX as usize) as isize));
        Shape { last_i, last_j, band, sloped: rules.step == Step::P1 }
    }

    pub(crate) fn last(&self) -> isize {
        self.last_i + self.last_j
    }

    pub(crate) fn last_row(&self) -> isize {
        self.last_i
    }

    /// Are all cells admitted?
    pub(crate) fn whole(&self) -> bool {
        !self.sloped && self.band >= self.last_i.max(self.last_j)
    }

    /// Is there a path at all?
    pub(crate) fn admits(&self) -> bool {
        let (i, j) = (self.last_i, self.last_j);
        (i - j).abs() <= self.band && !(self.sloped && (i > 2 * j || j > 2 * i))
    }

    /// The rows that a path can come to, and go on from to the end.
    pub(crate) fn rows(&self, s: isize) -> Rows {
        let low = (s - self.last_j).max(0).max((s - self.band + 1).div_euclid(2));
        let high = s.min(self.last_i).min((s + self.band).div_euclid(2));
        if !self.sloped {
            return (low, high);
        }
        // Between half and double the pace, seen from either end.
        let left = self.last() - s;
        let low = low.max((s + 2).div_euclid(3)).max(self.last_i - (2 * left).div_euclid(3));
        (low, high.min((2 * s).div_euclid(3)).min(self.last_i - (left + 2).div_euclid(3)))
    }
}
