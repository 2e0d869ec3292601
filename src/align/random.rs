//! Seeded inputs for the tests, nasty on purpose.

use crate::formats::{GAP, Point};
use crate::signal;

/// A stream of the core's random numbers.
pub(super) struct Random(signal::Random);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Random(signal::Random::new(seed))
    }

    pub(super) fn below(&mut self, limit: usize) -> usize {
        (self.share() * limit as f64) as usize
    }

    /// From 0 to 1.
    pub(super) fn share(&mut self) -> f64 {
        self.0.uniform()
    }

    fn point(&mut self) -> Point {
        std::array::from_fn(|_| 2.0 * self.share() - 1.0)
    }

    /// A series of one of these kinds: noise, all but equal, on a line, with repeats, with gaps.
    pub(super) fn nasty(&mut self, samples: usize) -> Vec<Point> {
        let kind = self.below(5);
        let (start, direction) = (self.point(), self.point());
        let mut points: Vec<Point> = Vec::with_capacity(samples);
        for k in 0..samples {
            let next = match (kind, points.last()) {
                (1, _) => start.map(|x| x + 1e-12 * k as f64),
                (2, _) => std::array::from_fn(|c| start[c] + k as f64 * direction[c]),
                (3, Some(&last)) if self.below(2) == 0 => last,
                (4, _) if self.below(4) == 0 => GAP,
                _ => self.point(),
            };
            points.push(next);
        }
        points
    }
}
