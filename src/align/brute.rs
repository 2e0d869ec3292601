//! The slow oracle: every admissible path of a tiny warping, from the definition of the patterns in words.

use super::{LocalCost, StepPattern, Warping};
use crate::formats::Point;

type Path = Vec<(usize, usize)>;

/// All admissible paths from (0, 0) to (n - 1, m - 1). Steps go one sample on in one series or in both; with P = 1 a
/// step in one series has to follow a step in both.
pub(super) fn paths(n: usize, m: usize, step: StepPattern) -> Vec<Path> {
    let mut found = Vec::new();
    extend(&mut vec![(0, 0)], false, (n - 1, m - 1), step, &mut found);
    found
}

fn extend(path: &mut Path, after_diagonal: bool, end: (usize, usize), step: StepPattern, found: &mut Vec<Path>) {
    let (i, j) = path[path.len() - 1];
    if (i, j) == end {
        found.push(path.clone());
        return;
    }
    for next in [(i + 1, j + 1), (i, j + 1), (i + 1, j)] {
        let diagonal = next == (i + 1, j + 1);
        let allowed = diagonal || step != StepPattern::P1 || after_diagonal;
        if allowed && next.0 <= end.0 && next.1 <= end.1 {
            path.push(next);
            extend(path, diagonal, end, step, found);
            path.pop();
        }
    }
}

/// What a path costs: steps in both series weigh 2, others and the first cell 1; in symmetric1 all weigh 1.
pub(super) fn cost(path: &[(usize, usize)], a: &[Point], b: &[Point], local: LocalCost, step: StepPattern) -> f64 {
    let weight = |k: usize| {
        let diagonal = k > 0 && path[k].0 > path[k - 1].0 && path[k].1 > path[k - 1].1;
        if diagonal && step != StepPattern::Symmetric1 { 2.0 } else { 1.0 }
    };
    let charge = |(k, &(i, j)): (usize, &(usize, usize))| {
        let squared: f64 = (0..3).map(|c| (a[i][c] - b[j][c]).powi(2)).sum();
        let each = if local == LocalCost::Euclidean { squared.sqrt() } else { squared };
        if each.is_nan() { 0.0 } else { weight(k) * each }
    };
    path.iter().enumerate().map(charge).sum()
}

/// The least cost over all admissible paths inside the band.
pub(super) fn cheapest(
    a: &[Point],
    b: &[Point],
    local: LocalCost,
    step: StepPattern,
    band: Option<usize>,
) -> Option<f64> {
    let inside = |path: &Path| band.is_none_or(|w| path.iter().all(|&(i, j)| i.abs_diff(j) <= w));
    let all = paths(a.len(), b.len(), step).into_iter().filter(inside);
    all.map(|path| cost(&path, a, b, local, step)).min_by(f64::total_cmp)
}

/// The least cost per weight over all allowed ends and all paths between them. A cell with a missing sample neither
/// costs nor weighs.
pub(super) fn cheapest_open(a: &[Point], b: &[Point], step: StepPattern, open: (usize, usize)) -> Option<f64> {
    let far = |n: usize, open: usize| (n - 1 - open.min(n - 1))..n;
    let starts = (0..=open.0.min(a.len() - 1)).map(|i| (i, 0)).chain((0..=open.1.min(b.len() - 1)).map(|j| (0, j)));
    let ends: Path =
        far(a.len(), open.0).map(|i| (i, b.len() - 1)).chain(far(b.len(), open.1).map(|j| (a.len() - 1, j))).collect();
    let pairs = starts.flat_map(|start| ends.iter().map(move |&end| (start, end)));
    let ordered = pairs.filter(|(start, end)| start.0 <= end.0 && start.1 <= end.1);
    let parts = ordered.map(|(start, end)| (&a[start.0..=end.0], &b[start.1..=end.1]));
    let ratios = parts.flat_map(|(a, b)| {
        paths(a.len(), b.len(), step).into_iter().map(move |path| {
            let weights = cost(&path, &ones(a), &zeros(b), LocalCost::Euclidean, step);
            cost(&path, a, b, LocalCost::Euclidean, step) / (weights + 1.0)
        })
    });
    ratios.min_by(f64::total_cmp)
}

/// Points one metre from those of [`zeros`], so that a cost adds up weights; gaps stay gaps.
fn ones(points: &[Point]) -> Vec<Point> {
    points.iter().map(|p| if p[0].is_nan() { *p } else { [1.0, 0.0, 0.0] }).collect()
}

fn zeros(points: &[Point]) -> Vec<Point> {
    points.iter().map(|p| if p[0].is_nan() { *p } else { [0.0; 3] }).collect()
}

/// Is the path monotone, from corner to corner, inside the band, and within the pattern?
pub(super) fn admissible(found: &Warping, n: usize, m: usize, step: StepPattern, band: Option<usize>) {
    let path = &found.path;
    assert_eq!((path.first(), path.last()), (Some(&(0, 0)), Some(&(n - 1, m - 1))));
    assert!(path.iter().all(|&(i, j)| band.is_none_or(|w| i.abs_diff(j) <= w)), "outside the band");
    let steps: Path = path.windows(2).map(|pair| (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1)).collect();
    assert!(steps.iter().all(|step| [(1, 1), (0, 1), (1, 0)].contains(step)), "{steps:?}");
    if step == StepPattern::P1 {
        let sides_follow_diagonals = (0..steps.len()).all(|k| steps[k] == (1, 1) || (k > 0 && steps[k - 1] == (1, 1)));
        assert!(sides_follow_diagonals, "{steps:?}");
    }
}

/// Equal up to rounding.
pub(super) fn same(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} instead of {expected}");
}
