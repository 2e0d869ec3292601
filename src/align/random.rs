//! Seeded inputs for the tests, nasty on purpose.

use crate::formats::{GAP, Point};

/// SplitMix64 (Steele, Lea and Flood 2014): small, and the same on every machine.
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Random(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub(super) fn below(&mut self, limit: usize) -> usize {
        (self.next() % limit as u64) as usize
    }

    /// From 0 to 1.
    pub(super) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
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
