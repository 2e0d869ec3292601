//! Step patterns: the moves a warping path may make, and what each weighs.

use crate::plain;

/// Which moves a warping path may make.
///
/// `g(i, j)` is the least accumulated cost of a path that ends in cell `(i, j)`, `d(i, j)` the local cost there. Every
/// path starts with `g(0, 0) = d(0, 0)`: the first cell weighs 1, as in dtw-python. (Sakoe and Chiba 1978 give it 2;
/// the path is the same, the cost differs by one `d(0, 0)`.)
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepPattern {
    /// `g(i,j) = min( g(i-1,j-1) + d(i,j), g(i,j-1) + d(i,j), g(i-1,j) + d(i,j) )`
    ///
    /// The classic recurrence. A diagonal costs as much as a side step, so short paths are favoured, and the cost
    /// cannot be normalised by a length known beforehand.
    Symmetric1,
    /// `g(i,j) = min( g(i-1,j-1) + 2 d(i,j), g(i,j-1) + d(i,j), g(i-1,j) + d(i,j) )`
    ///
    /// Sakoe and Chiba's symmetric form with P = 0: no limit on the slope. The weights of any path sum to `N + M - 1`.
    Symmetric2,
    /// `g(i,j) = min( g(i-1,j-1) + 2 d(i,j), g(i-1,j-2) + 2 d(i,j-1) + d(i,j), g(i-2,j-1) + 2 d(i-1,j) + d(i,j) )`
    ///
    /// Sakoe and Chiba's symmetric form with P = 1: every side step follows a diagonal, so that locally one swing is
    /// at most twice as fast as the other. The weights of any path sum to `N + M - 1`. The default: without a limit on
    /// the slope a path may hold one swing still while the other moves on.
    #[default]
    P1,
}

plain::named!(StepPattern);

/// A cell that a move passes: steps back from the move's last cell, and the weight of the local cost there.
pub(super) struct Passed {
    pub(super) back: (usize, usize),
    pub(super) weight: f64,
}

/// One move of a pattern. It starts `origin` steps back (that cell is already paid for) and passes `cells` in path
/// order; the last of them is the cell the move ends in.
pub(super) struct Move {
    pub(super) origin: (usize, usize),
    pub(super) cells: &'static [Passed],
}

const fn passed(back: (usize, usize), weight: f64) -> Passed {
    Passed { back, weight }
}

const PLAIN_DIAGONAL: Move = Move { origin: (1, 1), cells: &[passed((0, 0), 1.0)] };
const DOUBLE_DIAGONAL: Move = Move { origin: (1, 1), cells: &[passed((0, 0), 2.0)] };
const REFERENCE_STEP: Move = Move { origin: (0, 1), cells: &[passed((0, 0), 1.0)] };
const STUDENT_STEP: Move = Move { origin: (1, 0), cells: &[passed((0, 0), 1.0)] };
const REFERENCE_TWICE: Move = Move { origin: (1, 2), cells: &[passed((0, 1), 2.0), passed((0, 0), 1.0)] };
const STUDENT_TWICE: Move = Move { origin: (2, 1), cells: &[passed((1, 0), 2.0), passed((0, 0), 1.0)] };

impl StepPattern {
    /// All, from loose to strict.
    pub const ALL: [StepPattern; 3] = [StepPattern::Symmetric1, StepPattern::Symmetric2, StepPattern::P1];

    /// The documented word: `symmetric1`, `symmetric2`, `P1`.
    pub fn name(self) -> &'static str {
        match self {
            StepPattern::Symmetric1 => "symmetric1",
            StepPattern::Symmetric2 => "symmetric2",
            StepPattern::P1 => "P1",
        }
    }

    /// Does the sum of weights depend on the lengths alone, so that a cost can be normalised by `N + M`?
    pub fn normalisable(self) -> bool {
        self != StepPattern::Symmetric1
    }

    /// The moves; the diagonal first, because of equal moves the first is taken.
    pub(super) fn moves(self) -> &'static [Move] {
        match self {
            StepPattern::Symmetric1 => &[PLAIN_DIAGONAL, REFERENCE_STEP, STUDENT_STEP],
            StepPattern::Symmetric2 => &[DOUBLE_DIAGONAL, REFERENCE_STEP, STUDENT_STEP],
            StepPattern::P1 => &[DOUBLE_DIAGONAL, REFERENCE_TWICE, STUDENT_TWICE],
        }
    }
}
