use crate::fill::{self, Known, New, Pair, Row};
use crate::shape::{Rows, Shape};
use crate::trace::Trace;
use crate::{Curve, Local, Rules, Step};

/// Warps pairs of curves; keeps its room from one to the next, so that none is asked for twice.
#[derive(Clone, Debug, Default)]
pub struct Warper {
    rows: Vec<Row>,
    local: [Row; 2],
}

/// No path costs so much; those that leave the curves for what they are padded with do.
const INFINITE: f32 = 1e30;

/// Rows that are needed at a time where none is kept.
const RING: usize = 5;

impl Warper {
    /// The cost of the cheapest path: the weighted sum of local costs, neither rooted nor normalised; `None`: no path is
    /// admissible. Time grows with the number of cells, memory with the shorter side.
    pub fn distance(&mut self, a: &Curve, b: &Curve, rules: &Rules) -> Option<f32> {
        self.run(a, b, rules, false)
    }

    /// The cheapest path: matched pairs (a, b), 0-based, every cell passed. Four bytes a cell.
    pub fn path(&mut self, a: &Curve, b: &Curve, rules: &Rules) -> Option<Vec<(usize, usize)>> {
        self.run(a, b, rules, true)?;
        Some(Trace { a, b, rules, rows: &self.rows }.path())
    }

    fn run(&mut self, a: &Curve, b: &Curve, rules: &Rules, keep: bool) -> Option<f32> {
        if a.is_empty() || b.is_empty() {
            return None;
        }
        let work = Work { a, b, shape: Shape::of(a.len(), b.len(), rules), rules, keep };
        if !work.shape.admits() {
            return None;
        }
        let cost = match (rules.step, rules.local) {
            (Step::Symmetric1, Local::Squared) => self.pass::<{ fill::SYMMETRIC1 }, false>(&work),
            (Step::Symmetric1, Local::Euclidean) => self.pass::<{ fill::SYMMETRIC1 }, true>(&work),
            (Step::Symmetric2, Local::Squared) => self.pass::<{ fill::SYMMETRIC2 }, false>(&work),
            (Step::Symmetric2, Local::Euclidean) => self.pass::<{ fill::SYMMETRIC2 }, true>(&work),
            (Step::P1, Local::Squared) => self.pass::<{ fill::P1 }, false>(&work),
            (Step::P1, Local::Euclidean) => self.pass::<{ fill::P1 }, true>(&work),
        };
        Some(cost).filter(|cost| *cost < INFINITE)
    }

    fn pass<const STEP: u8, const ROOT: bool>(&mut self, work: &Work) -> f32 {
        let last = work.shape.last();
        let place = |s: isize| if work.keep { s + 2 } else { (s + 2) % RING as isize } as usize;
        let most = if work.keep { last as usize + 4 } else { RING };
        if self.rows.len() < most {
            self.rows.resize_with(most, Row::default);
        }
        self.rows[..2].iter_mut().for_each(Row::clear);
        let start = work.rules.local.between(work.a, 0, work.b, 0);
        self.rows[2].single(start);
        self.local[0].clear();
        let bound = work.bound();
        let mut alive = Alive::first(bound);
        let mut s = 1;
        while s <= last {
            let pair = alive.next(&work.shape, s);
            let [mut first, mut second] = [s, s + 1].map(|s| std::mem::take(&mut self.rows[place(s)]));
            let [known, local] = &mut self.local;
            let row = |s| &self.rows[place(s)];
            let known = Known { last: row(s - 1), second: row(s - 2), third: row((s - 3).max(-2)), local: known };
            let new = New { first: &mut first, second: &mut second, local };
            fill::fill::<STEP, ROOT>(work.a, work.b, pair, &known, new);
            alive.note(pair, &first, &second);
            (self.rows[place(s)], self.rows[place(s + 1)]) = (first, second);
            self.local.swap(0, 1);
            s += 2;
        }
        self.rows[place(last)].at(work.shape.last_row())
    }
}

/// One warping.
struct Work<'a> {
    a: &'a Curve,
    b: &'a Curve,
    shape: Shape,
    rules: &'a Rules,
    keep: bool,
}

impl Work<'_> {
    /// What some whole path costs, added up as the cells are, so that rounding is the same.
    fn bound(&self) -> Option<f32> {
        if !self.rules.prune {
            return None;
        }
        let straight = (self.a.len() == self.b.len()).then(|| self.straight());
        let greedy = (self.rules.step != Step::P1).then(|| self.greedy());
        straight.into_iter().chain(greedy).reduce(f32::min)
    }

    fn local(&self, i: isize, j: isize) -> f32 {
        self.rules.local.between(self.a, i, self.b, j)
    }

    fn straight(&self) -> f32 {
        let first = self.local(0, 0);
        let step = |sum: f32, k: isize| {
            let local = self.local(k, k);
            if self.rules.step == Step::Symmetric1 { sum + local } else { local + (sum + local) }
        };
        (1..self.a.len() as isize).fold(first, step)
    }

    /// Always to the nearest of the next cells.
    fn greedy(&self) -> f32 {
        let (last, mut sum) = (self.shape.last_row(), self.local(0, 0));
        let (mut i, mut j) = (0, 0);
        let inside = |i: isize, j: isize| {
            let (low, high) = self.shape.rows(i + j);
            i <= last && (low..=high).contains(&i)
        };
        let twice = if self.rules.step == Step::Symmetric2 { 2.0 } else { 1.0 };
        while i + j < self.shape.last() {
            let next = [(i + 1, j + 1, twice), (i, j + 1, 1.0), (i + 1, j, 1.0)];
            let costs = next.map(|(i, j, weight)| if inside(i, j) { weight * self.local(i, j) } else { f32::INFINITY });
            let best = (0..3).fold(0, |best, k| if costs[k] < costs[best] { k } else { best });
            if costs[best].is_infinite() {
                return f32::INFINITY;
            }
            let local = self.local(next[best].0, next[best].1);
            sum = if best == 0 && twice > 1.0 { local + (sum + local) } else { sum + local };
            (i, j) = (next[best].0, next[best].1);
        }
        sum
    }
}

/// Which rows of the last anti-diagonals a cheaper path can come from: those that cost no more than one that is known.
struct Alive {
    bound: Option<f32>,
    last: [Rows; 3],
}

const NONE: Rows = (isize::MAX / 2, isize::MIN / 2);

impl Alive {
    fn first(bound: Option<f32>) -> Alive {
        Alive { bound, last: [(0, 0), NONE, NONE] }
    }

    fn next(&self, shape: &Shape, s: isize) -> Pair {
        let (first, second) = (shape.rows(s), shape.rows(s + 1));
        if self.bound.is_none() {
            return Pair { s, first, second, whole: shape.whole() };
        }
        let [one, two, three] = self.last;
        let low = one.0.min(two.0 + 1).min(three.0 + 1);
        let high = (one.1 + 1).max(two.1 + 1).max(three.1 + 2);
        let within = |rows: Rows, beyond: isize| (rows.0.max(low), rows.1.min(high + beyond));
        Pair { s, first: within(first, 0), second: within(second, 1), whole: false }
    }

    fn note(&mut self, pair: Pair, first: &Row, second: &Row) {
        let Some(bound) = self.bound else { return };
        self.last = [second.alive(pair.second, bound), first.alive(pair.first, bound), self.last[0]];
    }
}
