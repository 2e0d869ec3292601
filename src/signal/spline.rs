use crate::formats::Point;

/// What a cubic spline does at its ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Second derivative zero at both ends.
    Natural,
    /// The first two and the last two intervals each share one cubic (three knots: one parabola).
    NotAKnot,
}

/// A cubic spline through 3-D points: twice continuously differentiable, exact at its knots.
///
/// Made by solving the tridiagonal system for the second derivatives at the knots (de Boor, A Practical Guide to
/// Splines, chapter IV); checked against scipy's `CubicSpline`.
#[derive(Clone, Debug)]
pub struct Spline {
    knots: Vec<f64>,
    values: Vec<Point>,
    /// Second derivatives at the knots.
    bends: Vec<Point>,
}

impl Spline {
    /// Fits a spline. O(n).
    ///
    /// `knots` strictly increasing and finite, one value each, no gaps. Two knots give a straight line. `None` where
    /// there are fewer than two knots or they do not increase.
    pub fn fit(knots: &[f64], values: &[Point], end: End) -> Option<Spline> {
        let n = knots.len();
        if n < 2
            || values.len() != n
            || knots.windows(2).any(|pair| pair[1].partial_cmp(&pair[0]) != Some(std::cmp::Ordering::Greater))
        {
            return None;
        }
        let bends = match (n, end) {
            (2, _) => vec![[0.0; 3]; 2],
            (3, End::NotAKnot) => vec![second_difference(knots, values, 1); 3],
            _ => second_derivatives(knots, values, end),
        };
        Some(Spline { knots: knots.to_vec(), values: values.to_vec(), bends })
    }

    /// The point at `t`; outside the knots the first or last cubic goes on.
    pub fn value(&self, t: f64) -> Point {
        let (i, h, a, b) = self.place(t);
        let (y0, y1, m0, m1) = self.interval(i);
        let sixth = h * h / 6.0;
        let (first, last) = ((a * a * a - a) * sixth, (b * b * b - b) * sixth);
        std::array::from_fn(|c| a * y0[c] + b * y1[c] + (first * m0[c] + last * m1[c]))
    }

    /// First derivative at `t`.
    pub fn first(&self, t: f64) -> Point {
        let (i, h, a, b) = self.place(t);
        let (y0, y1, m0, m1) = self.interval(i);
        let (first, last) = ((3.0 * a * a - 1.0) * h / 6.0, (3.0 * b * b - 1.0) * h / 6.0);
        let rate = 1.0 / h;
        std::array::from_fn(|c| (y1[c] - y0[c]) * rate + (last * m1[c] - first * m0[c]))
    }

    /// Second derivative at `t`.
    pub fn second(&self, t: f64) -> Point {
        let (i, _, a, b) = self.place(t);
        std::array::from_fn(|c| a * self.bends[i][c] + b * self.bends[i + 1][c])
    }

    /// Interval, its length, and the shares of its two ends at `t`.
    fn place(&self, t: f64) -> (usize, f64, f64, f64) {
        let i = self.interval_of(t);
        let h = self.knots[i + 1] - self.knots[i];
        let rate = 1.0 / h;
        (i, h, (self.knots[i + 1] - t) * rate, (t - self.knots[i]) * rate)
    }

    /// The last interval that begins at or before `t`; the first before all. Looked for where it is among even knots
    /// first, which most are.
    fn interval_of(&self, t: f64) -> usize {
        let (knots, last) = (&self.knots, self.knots.len() - 2);
        let even = (t - knots[0]) / (knots[last + 1] - knots[0]) * (last + 1) as f64;
        let near = (even.max(0.0) as usize).min(last);
        if knots[near] <= t && t < knots[near + 1] {
            return near;
        }
        knots.partition_point(|knot| *knot <= t).clamp(1, last + 1) - 1
    }

    fn interval(&self, i: usize) -> (Point, Point, Point, Point) {
        (self.values[i], self.values[i + 1], self.bends[i], self.bends[i + 1])
    }
}

/// Twice the second divided difference at knot `i`: the second derivative of the parabola through its neighbours.
fn second_difference(knots: &[f64], values: &[Point], i: usize) -> Point {
    let (h0, h1) = (knots[i] - knots[i - 1], knots[i + 1] - knots[i]);
    let (before, after, whole) = (1.0 / h0, 1.0 / h1, 2.0 / (h0 + h1));
    std::array::from_fn(|c| {
        whole * ((values[i + 1][c] - values[i][c]) * after - (values[i][c] - values[i - 1][c]) * before)
    })
}

/// Solves `h0 m[i-1] + 2 (h0 + h1) m[i] + h1 m[i+1] = 3 (h0 + h1) * second_difference` by the Thomas algorithm, with the
/// outer unknowns replaced by the end condition.
fn second_derivatives(knots: &[f64], values: &[Point], end: End) -> Vec<Point> {
    let n = knots.len();
    let h = |i: usize| knots[i + 1] - knots[i];
    let mut upper = vec![0.0; n];
    let mut m = vec![[0.0; 3]; n];
    for i in 1..n - 1 {
        let (h0, h1) = (h(i - 1), h(i));
        let (mut low, mut diagonal, mut up) = (h0, 2.0 * (h0 + h1), h1);
        if end == End::NotAKnot && i == 1 {
            // m[0] = m[1] + (m[1] - m[2]) h0 / h1
            diagonal += h0 * (1.0 + h0 / h1);
            up -= h0 * h0 / h1;
        }
        if end == End::NotAKnot && i == n - 2 {
            // m[n-1] = m[n-2] + (m[n-2] - m[n-3]) h1 / h0
            diagonal += h1 * (1.0 + h1 / h0);
            low -= h1 * h1 / h0;
        }
        low = if i == 1 { 0.0 } else { low };
        up = if i == n - 2 { 0.0 } else { up };
        let share = 1.0 / (diagonal - low * upper[i - 1]);
        upper[i] = up * share;
        let right = second_difference(knots, values, i);
        m[i] = std::array::from_fn(|c| (3.0 * (h0 + h1) * right[c] - low * m[i - 1][c]) * share);
    }
    for i in (1..n - 2).rev() {
        m[i] = std::array::from_fn(|c| m[i][c] - upper[i] * m[i + 1][c]);
    }
    if end == End::NotAKnot {
        let (first, last) = (h(0) / h(1), h(n - 2) / h(n - 3));
        m[0] = std::array::from_fn(|c| m[1][c] + (m[1][c] - m[2][c]) * first);
        m[n - 1] = std::array::from_fn(|c| m[n - 2][c] + (m[n - 2][c] - m[n - 3][c]) * last);
    }
    m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_is_reproduced_exactly_with_not_a_knot_ends() {
        let cubic = |t: f64| [t * t * t - t, 2.0 - t * t, t];
        for knots in [vec![0.0, 0.5, 2.0, 3.0], vec![-1.0, 0.0, 0.1, 0.7, 2.0, 5.0]] {
            let values: Vec<Point> = knots.iter().map(|t| cubic(*t)).collect();
            let spline = Spline::fit(&knots, &values, End::NotAKnot).unwrap();
            for k in -10..60 {
                let t = k as f64 * 0.1;
                assert!((spline.value(t)[0] - cubic(t)[0]).abs() < 1e-9 * (1.0 + t.abs().powi(3)), "{t}");
                assert!((spline.first(t)[0] - (3.0 * t * t - 1.0)).abs() < 1e-9 * (1.0 + t * t));
                assert!((spline.second(t)[1] + 2.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn three_knots_give_a_parabola_two_a_line() {
        let parabola = Spline::fit(&[0.0, 1.0, 3.0], &[[0.0; 3], [1.0; 3], [9.0; 3]], End::NotAKnot).unwrap();
        assert!((parabola.value(2.0)[0] - 4.0).abs() < 1e-12);
        let line = Spline::fit(&[0.0, 2.0], &[[0.0; 3], [2.0; 3]], End::Natural).unwrap();
        assert!((line.value(1.5)[0] - 1.5).abs() < 1e-15);
    }

    #[test]
    fn knots_that_do_not_increase_are_refused() {
        assert!(Spline::fit(&[0.0, 0.0], &[[0.0; 3]; 2], End::Natural).is_none());
        assert!(Spline::fit(&[0.0, f64::NAN], &[[0.0; 3]; 2], End::Natural).is_none());
        assert!(Spline::fit(&[0.0], &[[0.0; 3]], End::Natural).is_none());
    }
}
