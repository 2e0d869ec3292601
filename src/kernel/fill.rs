//! Two anti-diagonals at a time, four rows at a time.

use crate::Curve;
use crate::lanes::{Lanes, WIDTH};
use crate::shape::Rows;
use std::ops::Range;

/// Cells on either side of those of a row that cost infinitely much: later rows reach out so far.
const BEFORE: usize = WIDTH;
const AFTER: usize = 12;

/// Accumulated costs of an anti-diagonal, infinite where no path comes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Row {
    /// The row of the first cell.
    low: isize,
    /// Number of cells that count; there may be older ones behind them.
    end: usize,
    cells: Vec<f32>,
}

impl Row {
    /// Room for `count` cells from row `start` on, a multiple of four. Room that was there stays, with what is in it.
    fn begin(&mut self, start: isize, count: usize) {
        self.low = start - BEFORE as isize;
        self.end = BEFORE + count + AFTER;
        if self.cells.len() < self.end {
            self.cells.resize(self.end.next_power_of_two(), 0.0);
        }
        let infinite = Lanes::splat(f32::INFINITY);
        infinite.store(&mut self.cells, 0);
        let after = &mut self.cells[BEFORE + count..][..AFTER];
        infinite.store(after, 0);
        infinite.store(after, WIDTH);
        infinite.store(after, 2 * WIDTH);
    }

    /// Nothing but infinite cells.
    pub(crate) fn clear(&mut self) {
        self.begin(0, 0);
    }

    /// One cell.
    pub(crate) fn single(&mut self, cost: f32) {
        self.begin(0, 0);
        self.cells[BEFORE] = cost;
    }

    pub(crate) fn at(&self, i: isize) -> f32 {
        let place = usize::try_from(i - self.low).ok();
        place.and_then(|place| self.cells[..self.end].get(place)).copied().unwrap_or(f32::INFINITY)
    }

    /// From `WIDTH` before `start` on.
    fn before(&self, start: isize, count: usize) -> Fours<'_> {
        let at = (start - self.low) as usize - BEFORE;
        &self.cells[at..at + BEFORE + count]
    }

    /// Those that are to be filled.
    fn fours(&mut self, count: usize) -> &mut [f32] {
        &mut self.cells[BEFORE..BEFORE + count]
    }

    /// Which rows cost no more than `bound`; none where the first is the greater.
    pub(crate) fn alive(&self, (low, high): Rows, bound: f32) -> Rows {
        let good = |i: &isize| self.at(*i) <= bound;
        match (low..=high).find(good) {
            Some(first) => (first, (low..=high).rev().find(good).unwrap_or(first)),
            None => (isize::MAX / 2, isize::MIN / 2),
        }
    }
}

/// The anti-diagonals that two new ones are reached from, and the local costs of the last.
pub(crate) struct Known<'a> {
    pub(crate) last: &'a Row,
    pub(crate) second: &'a Row,
    pub(crate) third: &'a Row,
    pub(crate) local: &'a Row,
}

/// Two new ones, and the local costs of the later.
pub(crate) struct New<'a> {
    pub(crate) first: &'a mut Row,
    pub(crate) second: &'a mut Row,
    pub(crate) local: &'a mut Row,
}

pub(crate) const SYMMETRIC1: u8 = 0;
pub(crate) const SYMMETRIC2: u8 = 1;
pub(crate) const P1: u8 = 2;

/// Costs of a cell that is reached from others.
#[inline(always)]
fn reached<const STEP: u8>(local: Lanes, left: Lanes, up: Lanes, diagonal: Lanes) -> Lanes {
    match STEP {
        SYMMETRIC1 => local.add(left.min(up).min(diagonal)),
        _ => local.add(left.min(up).min(diagonal.add(local))),
    }
}

/// Numbers that are read four by four.
type Fours<'a> = &'a [f32];

#[inline(always)]
fn local<const ROOT: bool>(a: &[Lanes; 3], b: &[Fours; 3], at: usize) -> Lanes {
    let b = [Lanes::load(b[0], at), Lanes::load(b[1], at), Lanes::load(b[2], at)];
    let apart = Lanes::apart(a, &b);
    if ROOT { apart.sqrt() } else { apart }
}

/// Four lanes inside, four outside, four inside: what a mask is read from.
const MASKS: [f32; 12] = {
    let mut masks = [0.0; 12];
    let mut at = 4;
    while at < 8 {
        masks[at] = f32::INFINITY;
        at += 1;
    }
    masks
};

/// Infinity for the lanes that lie outside.
#[inline(always)]
fn outside(first: isize, (low, high): Rows) -> Lanes {
    let after = (first + 3 - high).clamp(0, 4) as usize;
    let before = (low - first).clamp(0, 4) as usize;
    Lanes::load(&MASKS, after).add(Lanes::load(&MASKS, 8 - before))
}

/// The rows of two anti-diagonals, `s` and `s + 1`.
#[derive(Clone, Copy)]
pub(crate) struct Pair {
    pub(crate) s: isize,
    pub(crate) first: Rows,
    pub(crate) second: Rows,
    /// Do they end where the curves end? What the curves are padded with keeps paths inside.
    pub(crate) whole: bool,
}

impl Pair {
    /// The first row that is filled, and how many. With P1 a move passes a cell beside those that count.
    fn extent<const STEP: u8>(&self, rows: usize) -> (isize, usize) {
        let beside = isize::from(STEP == P1);
        // Where no row is left, the first of none lies anywhere.
        let start = self.first.0.min(self.second.0).min(rows as isize) - beside;
        let end = self.first.1.max(self.second.1) + beside;
        (start, ((end + 1 - start).max(0) as usize).next_multiple_of(WIDTH))
    }

    /// The places of the fours that need no mask.
    fn inside(&self, start: isize, count: usize) -> Range<usize> {
        if self.whole {
            return 0..count;
        }
        let low = (self.first.0.max(self.second.0) - start).max(0) as usize;
        let high = (self.first.1.min(self.second.1) + 1 - start).max(0) as usize;
        let from = low.next_multiple_of(WIDTH).min(count);
        from..(high - high % WIDTH).clamp(from, count)
    }
}

/// Fills two anti-diagonals.
pub(crate) fn fill<const STEP: u8, const ROOT: bool>(a: &Curve, b: &Curve, pair: Pair, known: &Known, new: New) {
    let (start, count) = pair.extent::<STEP>(a.len());
    new.first.begin(start, count);
    new.second.begin(start, count);
    let sides = Sides {
        a: a.from(start, count),
        first: b.back_from(pair.s - start, count),
        second: b.back_from(pair.s + 1 - start, count),
    };
    let edges = Edges { pair, start, inside: pair.inside(start, count) };
    let (last, second) = (known.last.before(start, count), known.second.before(start, count));
    let (out, next) = (new.first.fours(count), new.second.fours(count));
    if STEP == P1 {
        new.local.begin(start, count);
        let from = [last, second, known.third.before(start, count), known.local.before(start, count)];
        sloped::<ROOT>(&sides, from, &edges, (out, next, new.local.fours(count)));
    } else {
        steps::<STEP, ROOT>(&sides, [last, second], &edges, (out, next));
    }
}

/// The points of the rows, and those that they meet on either anti-diagonal.
struct Sides<'a> {
    a: [Fours<'a>; 3],
    first: [Fours<'a>; 3],
    second: [Fours<'a>; 3],
}

impl<'a> Sides<'a> {
    /// The local costs of both anti-diagonals.
    #[inline(always)]
    fn locals<const ROOT: bool>(&self, at: usize) -> (Lanes, Lanes) {
        let a = [Lanes::load(self.a[0], at), Lanes::load(self.a[1], at), Lanes::load(self.a[2], at)];
        (local::<ROOT>(&a, &self.first, at), local::<ROOT>(&a, &self.second, at))
    }

    /// Along some places; said once that all are as long, it is not looked up for every four.
    #[inline(always)]
    fn cut(&self, places: &Range<usize>) -> Sides<'a> {
        let axes =
            |axes: &[Fours<'a>; 3]| [&axes[0][places.clone()], &axes[1][places.clone()], &axes[2][places.clone()]];
        Sides { a: axes(&self.a), first: axes(&self.first), second: axes(&self.second) }
    }
}

/// Where cells end.
struct Edges {
    pair: Pair,
    start: isize,
    inside: Range<usize>,
}

impl Edges {
    /// From a place on.
    fn from(&self, place: usize) -> Edges {
        Edges { start: self.start + place as isize, inside: self.inside.clone(), ..*self }
    }

    /// Places, and whether some of them lie outside.
    fn parts(&self, count: usize) -> [(Range<usize>, bool); 3] {
        let Range { start, end } = self.inside;
        [(0..start, true), (start..end, false), (end..count, true)]
    }

    #[inline(always)]
    fn masks(&self, at: usize) -> (Lanes, Lanes) {
        let first = self.start + at as isize;
        (outside(first, self.pair.first), outside(first, self.pair.second))
    }
}

/// What lies behind: the last four, and what is made of them.
#[derive(Clone, Copy)]
struct Behind {
    last: Lanes,
    second: Lanes,
    third: Lanes,
    known: Lanes,
    second_up: Lanes,
    third_up: Lanes,
    here: Lanes,
}

impl Behind {
    fn of(rows: [Fours; 4], here: Lanes) -> Behind {
        let first = |row: Fours| Lanes::load(row, 0);
        let [last, second, third, known] = rows.map(first);
        // Lanes before the first of these are infinite, or not used.
        Behind { last, second, third, known, second_up: second.shifted(second), third_up: third.shifted(third), here }
    }
}

/// Costs of two anti-diagonals, four by four.
type Out<'a> = &'a mut [f32];

/// The four at a place of a row that begins four earlier.
#[inline(always)]
fn ahead(row: Fours, at: usize) -> Lanes {
    Lanes::load(row, at + BEFORE)
}

fn steps<const STEP: u8, const ROOT: bool>(sides: &Sides, rows: [Fours; 2], edges: &Edges, (out, next): (Out, Out)) {
    let mut behind = Behind::of([rows[0], rows[1], rows[1], rows[1]], Lanes::splat(f32::INFINITY));
    for (part, masked) in edges.parts(out.len()) {
        if part.is_empty() {
            continue;
        }
        let (sides, edges) = (sides.cut(&part), edges.from(part.start));
        let rows = [cut(rows[0], &part), cut(rows[1], &part)];
        let out = (&mut out[part.clone()], &mut next[part]);
        if masked {
            stepped::<STEP, ROOT, true>(&sides, rows, &mut behind, &edges, out);
        } else {
            stepped::<STEP, ROOT, false>(&sides, rows, &mut behind, &edges, out);
        }
    }
}

/// A row that begins `BEFORE` earlier, along the places.
fn cut<'a>(row: Fours<'a>, places: &Range<usize>) -> Fours<'a> {
    &row[places.start..places.end + BEFORE]
}

/// A loop of its own, from place 0 and with nothing beside it: then one index does for all rows.
#[inline(never)]
fn stepped<const STEP: u8, const ROOT: bool, const MASKED: bool>(
    sides: &Sides,
    rows: [Fours; 2],
    kept: &mut Behind,
    edges: &Edges,
    (out, next): (Out, Out),
) {
    let (count, mut behind) = (out.len(), *kept);
    let (sides, next) = (sides.cut(&(0..count)), &mut next[..count]);
    let rows = [&rows[0][..count + BEFORE], &rows[1][..count + BEFORE]];
    for at in (0..count).step_by(WIDTH) {
        if at + WIDTH > count {
            break;
        }
        step::<STEP, ROOT>(&sides, rows, &mut behind, MASKED.then_some(edges), at, (out, next));
    }
    *kept = behind;
}

#[inline(always)]
fn step<const STEP: u8, const ROOT: bool>(
    sides: &Sides,
    rows: [Fours; 2],
    behind: &mut Behind,
    edges: Option<&Edges>,
    at: usize,
    (out, next): (&mut [f32], &mut [f32]),
) {
    let (here, there) = sides.locals::<ROOT>(at);
    let (left, diagonal) = (ahead(rows[0], at), ahead(rows[1], at));
    let up = left.shifted(behind.last);
    let mut cost = reached::<STEP>(here, left, up, diagonal.shifted(behind.second));
    if let Some(edges) = edges {
        cost = cost.add(edges.masks(at).0);
    }
    let mut later = reached::<STEP>(there, cost, cost.shifted(behind.here), up);
    if let Some(edges) = edges {
        later = later.add(edges.masks(at).1);
    }
    (behind.last, behind.second, behind.here) = (left, diagonal, cost);
    cost.store(out, at);
    later.store(next, at);
}

fn sloped<const ROOT: bool>(sides: &Sides, rows: [Fours; 4], edges: &Edges, (out, next, local): (Out, Out, Out)) {
    let mut behind = Behind::of(rows, Lanes::splat(0.0));
    for (part, masked) in edges.parts(out.len()) {
        if part.is_empty() {
            continue;
        }
        let (sides, edges) = (sides.cut(&part), edges.from(part.start));
        let rows = rows.map(|row| cut(row, &part));
        let out = (&mut out[part.clone()], &mut next[part.clone()], &mut local[part]);
        if masked {
            slid::<ROOT, true>(&sides, rows, &mut behind, &edges, out);
        } else {
            slid::<ROOT, false>(&sides, rows, &mut behind, &edges, out);
        }
    }
}

#[inline(never)]
fn slid<const ROOT: bool, const MASKED: bool>(
    sides: &Sides,
    rows: [Fours; 4],
    kept: &mut Behind,
    edges: &Edges,
    (out, next, local): (Out, Out, Out),
) {
    let (count, mut behind) = (out.len(), *kept);
    let (sides, next, local) = (sides.cut(&(0..count)), &mut next[..count], &mut local[..count]);
    let rows = rows.map(|row| &row[..count + BEFORE]);
    for at in (0..count).step_by(WIDTH) {
        if at + WIDTH > count {
            break;
        }
        slope::<ROOT>(&sides, rows, &mut behind, MASKED.then_some(edges), at, (out, next, local));
    }
    *kept = behind;
}

#[inline(always)]
fn slope<const ROOT: bool>(
    sides: &Sides,
    rows: [Fours; 4],
    behind: &mut Behind,
    edges: Option<&Edges>,
    at: usize,
    (out, next, local): (&mut [f32], &mut [f32], &mut [f32]),
) {
    let (here, there) = sides.locals::<ROOT>(at);
    let (last, second, third, known) = (ahead(rows[0], at), ahead(rows[1], at), ahead(rows[2], at), ahead(rows[3], at));
    let (last_up, second_up) = (last.shifted(behind.last), second.shifted(behind.second));
    let (third_up, known_up) = (third.shifted(behind.third), known.shifted(behind.known));
    let (second_two, third_two) = (second_up.shifted(behind.second_up), third_up.shifted(behind.third_up));
    let mut cost = sloped_to(here, second_up, (third_up, known), (third_two, known_up));
    let mut later = sloped_to(there, last_up, (second_up, here), (second_two, here.shifted(behind.here)));
    if let Some(edges) = edges {
        let masks = edges.masks(at);
        (cost, later) = (cost.add(masks.0), later.add(masks.1));
    }
    *behind = Behind { last, second, third, known, second_up, third_up, here };
    cost.store(out, at);
    later.store(next, at);
    there.store(local, at);
}

/// Reached along the diagonal, or from a cell and over another that costs double.
#[inline(always)]
fn sloped_to(local: Lanes, diagonal: Lanes, reference: (Lanes, Lanes), student: (Lanes, Lanes)) -> Lanes {
    let over = |(from, passed): (Lanes, Lanes)| from.add(passed.add(passed));
    local.add(diagonal.add(local).min(over(reference)).min(over(student)))
}
