//! The nearest of many curves that all have the same number of points: by square distances, any steps, under a band.
//!
//! Eight curves lie side by side, so that a vector holds one place of several curves. Two lower bounds of what a warping costs
//! go before it: how far the places of a curve lie outside the box around the places of the query that they can be matched
//! with (Keogh, "Exact indexing of dynamic time warping", VLDB 2002; here in three dimensions), first for a few places of all
//! curves, then for all places of those that are left. Those that are still left are warped, the likeliest first, eight at a
//! time, and given up once no cell of a row is cheap enough. All of it is exact but for rounding, so nothing is passed over
//! that lies nearer than single precision can tell.

use crate::lanes::{Lanes, WIDTH};

/// Curves that lie side by side.
const SIDE: usize = 2 * WIDTH;

/// Every how many places the first lower bound looks.
const SPARSE: usize = 16;

/// After how many rows it is asked whether to go on.
const ROWS: usize = 8;

/// What rounding may do to a cost, as a share and in itself.
const SLACK: f32 = 1e-4;
const LEAST: f32 = 1e-9;

/// One of many, and what warping it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Its number.
    pub number: usize,
    /// Sum of square distances, in single precision.
    pub cost: f32,
}

/// Curves of one length.
#[derive(Clone, Debug)]
pub struct Many {
    places: usize,
    count: usize,
    /// Block after block of eight curves; in a block place after place, of a place axis after axis.
    numbers: Vec<f32>,
}

/// A lane for each of eight curves.
type Side = [Lanes; 2];

fn side(numbers: &[f32], at: usize) -> Side {
    [Lanes::load(numbers, at), Lanes::load(numbers, at + WIDTH)]
}

impl Many {
    /// Without curves yet; each will have so many points.
    pub fn new(places: usize) -> Many {
        Many { places, count: 0, numbers: vec![] }
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.count
    }

    /// None?
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    fn block(&self) -> usize {
        self.places * 3 * SIDE
    }

    fn place(&self, number: usize, place: usize, axis: usize) -> usize {
        number / SIDE * self.block() + (place * 3 + axis) * SIDE + number % SIDE
    }

    /// Puts a curve behind the others; points that are missing at its end are taken as the origin.
    pub fn push(&mut self, points: impl IntoIterator<Item = [f32; 3]>) {
        let number = self.count;
        self.count += 1;
        if number.is_multiple_of(SIDE) {
            let room = self.numbers.len() + self.block();
            self.numbers.resize(room, 0.0);
        }
        for (place, point) in points.into_iter().take(self.places).enumerate() {
            for (axis, x) in point.into_iter().enumerate() {
                let at = self.place(number, place, axis);
                self.numbers[at] = x;
            }
        }
    }

    /// The points of a curve.
    pub fn curve(&self, number: usize) -> Vec<[f32; 3]> {
        let point = |place| [0, 1, 2].map(|axis| self.numbers[self.place(number, place, axis)]);
        if number < self.count { (0..self.places).map(point).collect() } else { vec![] }
    }

    /// The `wanted` nearest to a query among those that are admitted, and all others that rounding could make one of them;
    /// matched points lie at most `band` places apart. Nearest first.
    ///
    /// Empty where the query has another number of points.
    pub fn nearest(
        &self,
        query: &[[f32; 3]],
        band: usize,
        wanted: usize,
        admitted: impl Fn(usize) -> bool,
    ) -> Vec<Candidate> {
        if query.len() != self.places || wanted == 0 || query.is_empty() {
            return vec![];
        }
        let search = Search { many: self, query, boxes: boxes(query, band), band };
        let mut best = Best { wanted, found: vec![] };
        let first = search.first_bounds(&admitted);
        search.warp_likeliest(&first, &mut best);
        let left = search.second_bounds(&first, best.bound());
        search.warp_all(left, &mut best);
        best.all()
    }
}

/// Least and greatest coordinates of the query within the band of each place.
fn boxes(query: &[[f32; 3]], band: usize) -> Vec<[[f32; 2]; 3]> {
    let around = |place: usize, axis: usize| {
        let near = &query[place.saturating_sub(band)..query.len().min(place.saturating_add(band) + 1)];
        near.iter().fold([f32::INFINITY, f32::NEG_INFINITY], |[low, high], p| [low.min(p[axis]), high.max(p[axis])])
    };
    (0..query.len()).map(|place| [0, 1, 2].map(|axis| around(place, axis))).collect()
}

/// The cheapest so far.
struct Best {
    wanted: usize,
    found: Vec<Candidate>,
}

impl Best {
    /// What is dearer than this is not wanted.
    fn bound(&self) -> f32 {
        match self.found.get(self.wanted - 1) {
            Some(last) => last.cost * (1.0 + SLACK) + LEAST,
            None => f32::INFINITY,
        }
    }

    fn add(&mut self, candidate: Candidate) {
        if candidate.cost <= self.bound() {
            let at = self.found.partition_point(|other| other.cost <= candidate.cost);
            self.found.insert(at, candidate);
        }
    }

    fn all(mut self) -> Vec<Candidate> {
        let bound = self.bound();
        self.found.retain(|candidate| candidate.cost <= bound);
        self.found
    }
}

struct Search<'a> {
    many: &'a Many,
    query: &'a [[f32; 3]],
    boxes: Vec<[[f32; 2]; 3]>,
    band: usize,
}

impl Search<'_> {
    /// How far a place of eight curves lies outside the box, squared.
    #[inline(always)]
    fn outside(&self, block: &[f32], place: usize) -> Side {
        let mut sum = [Lanes::splat(0.0); 2];
        let here = &block[place * 3 * SIDE..(place + 1) * 3 * SIDE];
        let around = &self.boxes[place];
        for (axis, [low, high]) in around.iter().enumerate() {
            let (low, high) = (Lanes::splat(*low), Lanes::splat(*high));
            let [a, b] = side(here, axis * SIDE);
            let apart = |x: Lanes| low.sub(x).max(x.sub(high)).max(Lanes::splat(0.0)).square();
            sum = [sum[0].add(apart(a)), sum[1].add(apart(b))];
        }
        sum
    }

    /// Lower bounds from the ends, which are matched with the ends, and from a few places between; infinite for those that
    /// are not admitted.
    fn first_bounds(&self, admitted: &impl Fn(usize) -> bool) -> Vec<f32> {
        let mut bounds = Vec::with_capacity(self.many.count.next_multiple_of(SIDE));
        for (number, block) in self.many.numbers.chunks_exact(self.many.block()).enumerate() {
            let mut sum = self.ends(block);
            for place in (SPARSE / 2..self.many.places - 1).step_by(SPARSE) {
                let more = self.outside(block, place);
                sum = [sum[0].add(more[0]), sum[1].add(more[1])];
            }
            let lanes = sum[0].array().into_iter().chain(sum[1].array());
            let good = |curve: usize| curve < self.many.count && admitted(curve);
            bounds
                .extend(lanes.enumerate().map(|(lane, x)| if good(number * SIDE + lane) { x } else { f32::INFINITY }));
        }
        bounds
    }

    fn ends(&self, block: &[f32]) -> Side {
        let last = self.many.places - 1;
        let first = self.apart(block, 0, 0);
        if last == 0 {
            return first;
        }
        let end = self.apart(block, last, last);
        [first[0].add(end[0]), first[1].add(end[1])]
    }

    /// The square distance of a place of the query from one of eight curves.
    #[inline(always)]
    fn apart(&self, block: &[f32], of_query: usize, place: usize) -> Side {
        let point = self.query[of_query];
        let query = [Lanes::splat(point[0]), Lanes::splat(point[1]), Lanes::splat(point[2])];
        apart(&query, &block[place * 3 * SIDE..(place + 1) * 3 * SIDE])
    }

    /// Warps those with the least bounds, so that there is something to hold others against.
    fn warp_likeliest(&self, bounds: &[f32], best: &mut Best) {
        let mut likeliest: Vec<usize> = vec![];
        let most = best.wanted.next_multiple_of(SIDE);
        for (number, bound) in bounds.iter().enumerate().filter(|(_, bound)| bound.is_finite()) {
            if likeliest.len() < most || *bound < bounds[likeliest[most - 1]] {
                let at = likeliest.partition_point(|other| bounds[*other] <= *bound);
                likeliest.insert(at, number);
                likeliest.truncate(most);
            }
        }
        let mut room = Room::new(self);
        likeliest.chunks(SIDE).for_each(|eight| self.warp(eight, &mut room, best));
    }

    /// Curves whose second bound is not above `bound`, with it. What was warped already is among them.
    fn second_bounds(&self, first: &[f32], bound: f32) -> Vec<(f32, usize)> {
        let mut left = vec![];
        let blocks = self.many.numbers.chunks_exact(self.many.block()).zip(first.chunks_exact(SIDE));
        for (number, (block, first)) in blocks.enumerate() {
            if !first.iter().any(|first| first.is_finite() && *first <= bound) {
                continue;
            }
            let sum = self.second_bound(block, bound);
            let lanes = sum[0].array().into_iter().chain(sum[1].array()).zip(first);
            let alive = lanes.enumerate().filter(|(_, (sum, first))| first.is_finite() && sum.max(**first) <= bound);
            left.extend(alive.map(|(lane, (sum, first))| (sum.max(*first), number * SIDE + lane)));
        }
        left
    }

    fn second_bound(&self, block: &[f32], bound: f32) -> Side {
        let mut sum = [Lanes::splat(0.0); 2];
        for place in 0..self.many.places {
            let more = self.outside(block, place);
            sum = [sum[0].add(more[0]), sum[1].add(more[1])];
            if place % SPARSE == SPARSE - 1 && least(&sum) > bound {
                break;
            }
        }
        sum
    }

    /// Warps what is left, the likeliest first.
    fn warp_all(&self, mut left: Vec<(f32, usize)>, best: &mut Best) {
        left.retain(|(_, number)| best.found.iter().all(|other| other.number != *number));
        left.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut room = Room::new(self);
        for eight in left.chunks(SIDE) {
            if eight[0].0 > best.bound() {
                break;
            }
            let numbers: Vec<usize> = eight.iter().map(|(_, number)| *number).collect();
            self.warp(&numbers, &mut room, best);
        }
    }

    /// Warps up to eight curves.
    fn warp(&self, numbers: &[usize], room: &mut Room, best: &mut Best) {
        self.gather(numbers, &mut room.block);
        let costs = self.rows(room, best.bound());
        for (number, cost) in numbers.iter().zip(costs) {
            if cost.is_finite() {
                best.add(Candidate { number: *number, cost });
            }
        }
    }

    fn gather(&self, numbers: &[usize], block: &mut [f32]) {
        for lane in 0..SIDE {
            let number = numbers[lane.min(numbers.len() - 1)];
            let from = &self.many.numbers[self.many.place(number, 0, 0)..];
            let from = from.iter().step_by(SIDE);
            block.iter_mut().skip(lane).step_by(SIDE).zip(from).for_each(|(to, x)| *to = *x);
        }
    }

    /// Costs of eight warpings; infinite of all where none can stay within `bound`.
    fn rows(&self, room: &mut Room, bound: f32) -> [f32; SIDE] {
        let places = self.many.places;
        room.costs.fill(f32::INFINITY);
        for i in 0..places {
            let columns = i.saturating_sub(self.band)..places.min(i.saturating_add(self.band) + 1);
            let point = self.query[i];
            let query = [Lanes::splat(point[0]), Lanes::splat(point[1]), Lanes::splat(point[2])];
            row(&query, &room.block, &mut room.costs, columns.clone(), i == 0);
            if i % ROWS == ROWS - 1 && room.least(columns) > bound {
                return [f32::INFINITY; SIDE];
            }
        }
        let mut costs = [f32::INFINITY; SIDE];
        costs.iter_mut().zip(&room.costs[places * SIDE..]).for_each(|(to, cost)| *to = *cost);
        costs
    }
}

fn least(sides: &Side) -> f32 {
    sides[0].min(sides[1]).array().into_iter().fold(f32::INFINITY, f32::min)
}

#[inline(always)]
fn apart(query: &[Lanes; 3], place: &[f32]) -> Side {
    let [x, y, z] = [side(place, 0), side(place, SIDE), side(place, 2 * SIDE)];
    [Lanes::apart(query, &[x[0], y[0], z[0]]), Lanes::apart(query, &[x[1], y[1], z[1]])]
}

/// What eight warpings need: the curves, and the costs of a row, one place further on.
struct Room {
    block: Vec<f32>,
    costs: Vec<f32>,
}

impl Room {
    fn new(search: &Search) -> Room {
        let many = search.many;
        Room { block: vec![0.0; many.block()], costs: vec![f32::INFINITY; (many.places + 1) * SIDE] }
    }

    fn least(&self, columns: std::ops::Range<usize>) -> f32 {
        let costs = &self.costs[(columns.start + 1) * SIDE..(columns.end + 1) * SIDE];
        let all = costs.chunks_exact(SIDE).fold([Lanes::splat(f32::INFINITY); 2], |least, here| {
            let here = side(here, 0);
            [least[0].min(here[0]), least[1].min(here[1])]
        });
        least(&all)
    }
}

/// One row of eight warpings, in place of the row before.
#[inline(never)]
fn row(query: &[Lanes; 3], block: &[f32], costs: &mut [f32], columns: std::ops::Range<usize>, first: bool) {
    let infinite = [Lanes::splat(f32::INFINITY); 2];
    let mut diagonal = if first { [Lanes::splat(0.0); 2] } else { side(costs, columns.start * SIDE) };
    let mut left = infinite;
    let block = &block[columns.start * 3 * SIDE..columns.end * 3 * SIDE];
    let here = &mut costs[columns.start * SIDE..(columns.end + 1) * SIDE];
    let (before, here) = here.split_at_mut(SIDE);
    // What lies before the band cannot be passed any more.
    before.fill(f32::INFINITY);
    for (place, cost) in block.chunks_exact(3 * SIDE).zip(here.chunks_exact_mut(SIDE)) {
        let local = apart(query, place);
        let up = side(cost, 0);
        left = [local[0].add(left[0].min(up[0]).min(diagonal[0])), local[1].add(left[1].min(up[1]).min(diagonal[1]))];
        diagonal = up;
        left[0].store(cost, 0);
        left[1].store(cost, WIDTH);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Curve, Rules, Warper};

    /// A seeded stream (Knuth's constants), for curves that wander.
    fn wander(seed: u64, places: usize, roughness: f32) -> Vec<[f32; 3]> {
        let mut state = seed.wrapping_mul(2_862_933_555_777_941_757).wrapping_add(3_037_000_493);
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f32 / (1_u64 << 24) as f32 - 0.5
        };
        let (phase, pace) = (next(), 1.0 + next());
        let at = |place: usize| place as f32 / places as f32;
        let mut point =
            |place| [0, 1, 2].map(|axis| (6.0 * pace * at(place) + phase + axis as f32).sin() + roughness * next());
        (0..places).map(&mut point).collect()
    }

    fn single(points: &[[f32; 3]]) -> Curve {
        Curve::new(&points.iter().map(|p| p.map(f64::from)).collect::<Vec<_>>(), &[0.0; 3])
    }

    /// One by one, with the other kernel, without bounds.
    #[test]
    fn nothing_nearer_is_passed_over() {
        for (places, count, roughness) in [(1, 9, 0.5), (2, 3, 0.5), (40, 100, 0.02), (64, 77, 1.0), (33, 16, 0.0)] {
            let mut many = Many::new(places);
            let curves: Vec<Vec<[f32; 3]>> = (0..count).map(|seed| wander(seed, places, roughness)).collect();
            curves.iter().for_each(|curve| many.push(curve.iter().copied()));
            assert_eq!((many.len(), many.curve(2)), (count as usize, curves[2].clone()));
            for (band, wanted) in [(0, 1), (4, 1), (4, 5), (200, 3)] {
                let query = wander(1000, places, roughness);
                let admitted = |number: usize| number % 3 != 1;
                let found = many.nearest(&query, band, wanted, admitted);
                let (mut warper, rules) = (Warper::default(), Rules { band: Some(band), ..Rules::PLAIN });
                let cost = |(number, curve): (usize, &Vec<[f32; 3]>)| {
                    let cost = warper.distance(&single(&query), &single(curve), &rules).unwrap();
                    admitted(number).then_some((cost, number))
                };
                let mut all: Vec<(f32, usize)> = curves.iter().enumerate().filter_map(cost).collect();
                all.sort_by(|a, b| a.0.total_cmp(&b.0));
                for (found, (cost, _)) in found.iter().zip(&all) {
                    assert!((found.cost - cost).abs() <= 1e-5 * cost, "{places} {band} {wanted}: {found:?} {cost}");
                }
                assert!(found.len() >= wanted.min(all.len()), "{places} {band} {wanted}");
                assert!(
                    all[..wanted.min(all.len())].iter().all(|(_, number)| found.iter().any(|f| f.number == *number))
                );
            }
        }
    }

    #[test]
    fn odd_questions_find_nothing() {
        let mut many = Many::new(3);
        assert!(many.nearest(&[[0.0; 3]; 3], 1, 1, |_| true).is_empty() && many.is_empty());
        many.push([[1.0; 3]; 3]);
        assert!(many.nearest(&[[0.0; 3]; 2], 1, 1, |_| true).is_empty());
        assert!(many.nearest(&[[0.0; 3]; 3], 1, 0, |_| true).is_empty());
        assert!(many.nearest(&[[0.0; 3]; 3], 1, 1, |_| false).is_empty());
        assert_eq!(many.nearest(&[[0.0; 3]; 3], 1, 9, |_| true), [Candidate { number: 0, cost: 9.0 }]);
        assert!(many.curve(1).is_empty());
    }
}
