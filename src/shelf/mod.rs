//! A shelf of references: the hand paths of many swings, brought to one size and one number of points, and the nearest of
//! them to a student's.
//!
//! A path is cut at the top and at impact, and each part has its own number of points, evenly in time: so that instants
//! are matched with instants, up to the band. Lengths are in arms of the player (own bones of the lead arm, else its reach),
//! in the body-relative frame. Distances are those of dynamic time warping: sums of square distances of matched points, any
//! steps, under a band.

mod pack;

pub use pack::{PackError, VERSION, sealed};

use crate::align::LocalCost;
use crate::body::BodySize;
use crate::formats::Point;
use crate::plain;
use crate::settings::{Club, Hand, SwingKind};
use crate::swing::{InstantName, Swing};
use handpath_kernel::Many;

/// Points from address (else the takeaway) to the top, to impact, and to the finish.
const PARTS: [usize; 3] = [48, 48, 32];

/// Points of a path.
pub const POINTS: usize = 128;

/// Matched points lie at most this many places apart: a tenth of the path.
pub const BAND: usize = 13;

/// Coordinates are kept in steps of this many arms, a twentieth of a millimetre or so.
pub const STEP: f64 = 1e-4;

/// What is known of a swing beside its path.
#[derive(Clone, Debug, PartialEq)]
pub struct Tags {
    /// Its name.
    pub label: String,
    /// Hand the player plays; paths of left-handers are mirrored.
    pub hand: Hand,
    /// Club kind.
    pub club: Club,
    /// Swing kind.
    pub kind: SwingKind,
    /// Distance of the hands from the ball line at the top, arms; `None` without a ball or a body.
    pub depth: Option<f64>,
}

plain::record!(Tags { label, hand, club, kind, depth });

/// A swing as it lies on a shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What is known of it.
    pub tags: Tags,
    /// [`POINTS`] points, arms.
    pub points: Vec<Point>,
}

/// Length of the lead arm that a path is measured by.
pub fn arm_m(size: &BodySize) -> Option<f64> {
    size.arm_bones_m.or(size.reach_m).filter(|metres| *metres > 0.1)
}

impl Entry {
    /// A swing at unit arm size. `None`: it has no body, no arm, no top or no impact, does not go on to a finish, or has a gap
    /// between.
    pub fn of(swing: &Swing) -> Option<Entry> {
        let arm_m = arm_m(&swing.size).filter(|_| swing.has_body)?;
        let at = |name| Some(swing.instant(name)?.time_s);
        let start = at(InstantName::Address).filter(|_| !swing.address_is_separate).or(at(InstantName::Takeaway))?;
        let ends = [start, at(InstantName::Top)?, at(InstantName::Impact)?, at(InstantName::Finish)?];
        let curve = swing.hand_curve();
        let mut points = Vec::with_capacity(POINTS);
        for (part, ends) in PARTS.into_iter().zip(ends.windows(2)) {
            // The last point of a part is the first of the next.
            let place = |k: usize| ends[0] + (ends[1] - ends[0]) * (k + 1) as f64 / part as f64;
            for k in 0..part {
                points.push(curve.position(place(k))?.map(|metres| rounded(metres / arm_m)));
            }
        }
        let top = curve.position(ends[1])?;
        let depth = swing.ball.map(|ball| (ball[0] - top[0]) / arm_m).filter(|depth| depth.is_finite());
        let (label, hand, club, kind) = (swing.label.clone(), swing.hand, swing.club, swing.kind);
        Some(Entry { tags: Tags { label, hand, club, kind, depth }, points })
    }
}

/// Whole steps; far out, the last that is kept.
fn steps(arms: f64) -> i16 {
    // A cast stops at the ends of its type.
    (arms / STEP).round() as i16
}

/// A coordinate as it is kept.
fn rounded(arms: f64) -> f64 {
    f64::from(steps(arms)) * STEP
}

/// Which entries are looked through; `None`: all.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Filter {
    /// Club kind.
    pub club: Option<Club>,
    /// Hand the player plays.
    pub hand: Option<Hand>,
    /// Swing kind.
    pub kind: Option<SwingKind>,
    /// Depth at the top, and how far from it is still good, arms. Entries without a depth are left out then.
    pub depth: Option<(f64, f64)>,
}

impl Filter {
    /// Is an entry with these tags looked through?
    pub fn admits(&self, tags: &Tags) -> bool {
        let deep = |(wanted, within): (f64, f64)| tags.depth.is_some_and(|depth| (depth - wanted).abs() <= within);
        self.club.is_none_or(|club| club == tags.club)
            && self.hand.is_none_or(|hand| hand == tags.hand)
            && self.kind.is_none_or(|kind| kind == tags.kind)
            && self.depth.is_none_or(deep)
    }
}

/// An entry that is near.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neighbour {
    /// Number of the entry, in the order of the shelf.
    pub number: usize,
    /// Sum of square distances of matched points, square arms.
    pub cost: f64,
    /// Root of the mean square distance, arms: the cost by [`POINTS`], rooted.
    pub apart: f64,
}

plain::record!(Neighbour { number, cost, apart });

/// Many references.
#[derive(Clone, Debug)]
pub struct Shelf {
    tags: Vec<Tags>,
    paths: Many,
}

impl Default for Shelf {
    fn default() -> Shelf {
        Shelf { tags: vec![], paths: Many::new(POINTS) }
    }
}

impl Shelf {
    /// How many.
    pub fn len(&self) -> usize {
        self.tags.len()
    }

    /// None?
    pub fn is_empty(&self) -> bool {
        self.tags.is_empty()
    }

    /// What is known of the entries, in order.
    pub fn tags(&self) -> &[Tags] {
        &self.tags
    }

    /// Puts an entry behind the others.
    pub fn push(&mut self, entry: &Entry) {
        self.tags.push(entry.tags.clone());
        self.paths.push(entry.points.iter().map(|point| point.map(|arms| arms as f32)));
    }

    /// The path of an entry, arms; empty of a number that none has.
    pub fn path(&self, number: usize) -> Vec<Point> {
        self.paths.curve(number).into_iter().map(|point| point.map(|arms| rounded(f64::from(arms)))).collect()
    }

    /// The `wanted` entries nearest to a path of [`POINTS`] points, nearest first; of equal ones the first. Exact: what
    /// warping every admitted entry in double precision finds.
    pub fn nearest(&self, path: &[Point], wanted: usize, filter: &Filter) -> Vec<Neighbour> {
        let query: Vec<[f32; 3]> = path.iter().map(|point| point.map(|arms| arms as f32)).collect();
        let admitted = |number: usize| self.tags.get(number).is_some_and(|tags| filter.admits(tags));
        let candidates = self.paths.nearest(&query, BAND, wanted, admitted);
        let mut found: Vec<Neighbour> = candidates.iter().map(|near| self.neighbour(path, near.number)).collect();
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.number.cmp(&b.number)));
        found.truncate(wanted);
        found
    }

    fn neighbour(&self, path: &[Point], number: usize) -> Neighbour {
        let cost = banded(path, &self.path(number));
        Neighbour { number, cost, apart: (cost / POINTS as f64).sqrt() }
    }
}

/// What warping costs, in double precision, row by row.
fn banded(a: &[Point], b: &[Point]) -> f64 {
    let mut costs = vec![f64::INFINITY; b.len() + 1];
    costs[0] = 0.0;
    for (i, point) in a.iter().enumerate() {
        let columns = i.saturating_sub(BAND)..b.len().min(i + BAND + 1);
        let mut diagonal = std::mem::replace(&mut costs[columns.start], f64::INFINITY);
        for j in columns {
            let up = costs[j + 1];
            costs[j + 1] = LocalCost::SquaredEuclidean.between(point, &b[j]) + up.min(diagonal).min(costs[j]);
            diagonal = up;
        }
    }
    costs.last().copied().unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::align::{StepPattern, warp};
    use crate::signal::Random;

    fn entry(random: &mut Random, label: usize) -> Entry {
        let (phase, pace, lift) = (random.uniform(), 1.0 + 0.3 * random.uniform(), random.uniform());
        let at = |k: usize| k as f64 / POINTS as f64;
        let point = |t: f64| [(6.0 * pace * t + phase).sin(), (4.0 * t + phase).cos(), lift + (9.0 * t).sin() / 2.0];
        let points = (0..POINTS).map(|k| point(at(k)).map(rounded)).collect();
        let club = Club::ALL[label % 4];
        let depth = (!label.is_multiple_of(5)).then_some(lift);
        let tags = Tags { label: format!("{label}"), hand: Hand::ALL[label % 2], club, kind: SwingKind::Full, depth };
        Entry { tags, points }
    }

    fn shelf(count: usize) -> (Shelf, Vec<Entry>) {
        let mut random = Random::new(3);
        let entries: Vec<Entry> = (0..count).map(|label| entry(&mut random, label)).collect();
        let mut shelf = Shelf::default();
        entries.iter().for_each(|entry| shelf.push(entry));
        (shelf, entries)
    }

    /// Every entry warped by the plain version of the align room.
    #[test]
    fn the_nearest_are_those_that_brute_force_finds() {
        let (shelf, entries) = shelf(300);
        let filters = [
            Filter::default(),
            Filter { club: Some(Club::Iron), ..Filter::default() },
            Filter { hand: Some(Hand::Left), depth: Some((0.4, 0.2)), ..Filter::default() },
            Filter { kind: Some(SwingKind::Part), ..Filter::default() },
        ];
        let mut random = Random::new(4);
        for filter in filters {
            let query = entry(&mut random, 0).points;
            let cost = |(number, entry): (usize, &Entry)| {
                let symmetric = StepPattern::Symmetric1;
                let warped = warp(&query, &entry.points, LocalCost::SquaredEuclidean, symmetric, Some(BAND)).unwrap();
                (warped.cost, number)
            };
            let admitted = entries.iter().enumerate().filter(|(_, entry)| filter.admits(&entry.tags));
            let mut all: Vec<(f64, usize)> = admitted.map(cost).collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            let found = shelf.nearest(&query, 5, &filter);
            assert_eq!(found.len(), all.len().min(5));
            for (found, (cost, number)) in found.iter().zip(&all) {
                assert_eq!(found.number, *number);
                assert!((found.cost - cost).abs() <= 1e-12 * cost);
                assert!((found.apart - (cost / 128.0).sqrt()).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn an_entry_is_its_own_nearest() {
        let (shelf, entries) = shelf(40);
        for number in [0, 17, 39] {
            let found = shelf.nearest(&entries[number].points, 1, &Filter::default());
            assert_eq!(found, [Neighbour { number, cost: 0.0, apart: 0.0 }]);
            assert_eq!(shelf.path(number), entries[number].points);
        }
        assert!(shelf.nearest(&[[0.0; 3]; 5], 1, &Filter::default()).is_empty() && shelf.path(40).is_empty());
    }
}
