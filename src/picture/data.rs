use crate::formats::{GAP, Point, is_gap};
use crate::order;
use crate::plain;
use crate::sets::{BandKind, SwingSet};
use crate::settings::Hand;
use crate::swing::{BodyPoint, InstantName, Swing, ThoraxFrame, arms_only_path, share_path};
use crate::words::Message;

/// What the picture needs of a comparison.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// The student.
    pub student: Figure,
    /// The references, in the user's order.
    pub references: Vec<Figure>,
    /// Where references like these run; empty of too few. It comes by itself, later than the rest.
    pub band: Band,
    /// Downswings of the student's other swings of the lesson, flat points each; a gap is NaN.
    pub others: Vec<Vec<f64>>,
}

/// A band around the mean of several references, from the top to impact. Flat points, as in a [`Figure`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// Swings it is made of.
    pub swings: usize,
    /// How many of them are unlike the student.
    pub unlike: usize,
    /// Does it hold nine of ten at each place by itself, and not along the whole path?
    pub pointwise: bool,
    /// Middle.
    pub mean: Vec<f64>,
    /// Half the width at each place, in each direction.
    pub half: Vec<f64>,
}

plain::record!(Picture { student, references, band, others });
plain::record!(Band { swings, unlike, pointwise, mean, half });
plain::record!(Figure {
    label,
    left_handed,
    time_s,
    hands,
    joints,
    limbs,
    club,
    marks,
    ball,
    matched_s,
    arms_only,
    shares,
    measures: apart,
});
plain::record!(Mark { name, time_s, deviation });

impl Band {
    /// Of a set of references, some of them unlike the student; empty where it has none.
    pub fn new(set: &SwingSet, unlike: usize) -> Band {
        let place = |name| set.segments.iter().find(|segment| segment.from == name).map(|segment| segment.first);
        let (Some(band), Some(first)) = (&set.band, place(InstantName::Top)) else { return Band::default() };
        let last = set.segments.iter().find(|segment| segment.to == InstantName::Impact).map(|segment| segment.last);
        let Some(last) = last.filter(|last| *last < set.mean.len() && first < *last) else { return Band::default() };
        let half = (first..=last).flat_map(|i| [0, 1, 2].map(|axis| 0.5 * (band.high[i][axis] - band.low[i][axis])));
        Band {
            swings: set.labels.len(),
            unlike,
            pointwise: band.kind == BandKind::Pointwise,
            mean: flat(&set.mean[first..=last]),
            half: half.collect(),
        }
    }
}

/// One swing as it is drawn. Series are flat, `[out, target, up, out, ...]` metres, one point per time; a gap is NaN.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figure {
    /// Name shown.
    pub label: String,
    /// Is this a left-hander, whose points are stored mirrored?
    pub left_handed: bool,
    /// The swing's own time, seconds, increasing.
    pub time_s: Vec<f64>,
    /// Mid-hands.
    pub hands: Vec<f64>,
    /// Body and club points.
    pub joints: Vec<Vec<f64>>,
    /// Lines of the stick figure: pairs of indices into `joints`.
    pub limbs: Vec<[usize; 2]>,
    /// Lines of the club, likewise.
    pub club: Vec<[usize; 2]>,
    /// Instants in time order.
    pub marks: Vec<Mark>,
    /// Ball centre at address; `target` may be NaN.
    pub ball: Option<Point>,
    /// Per student sample, the time of this swing matched to it; NaN without a match. Empty for the student.
    pub matched_s: Vec<f64>,
    /// What the arms would draw from the top to lead arm level if the body stopped at the top; empty where it cannot be
    /// told.
    pub arms_only: Vec<f64>,
    /// From the top to lead arm level: time, and how far out arms and body have moved the hands since; three numbers a row.
    pub shares: Vec<f64>,
    /// Measures by documented name, from the student's report: value and both ends of its 90 % interval.
    pub measures: Vec<(String, [f64; 3])>,
}

/// An instant on the path.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Documented name.
    pub name: String,
    /// Own time of the swing, seconds.
    pub time_s: f64,
    /// The student's place minus the reference's, each at its own instant; none for the student or without a partner.
    pub deviation: Option<Point>,
}

/// Ends of the drawn limbs.
const LIMBS: [(BodyPoint, BodyPoint); 15] = {
    use BodyPoint as B;
    [
        (B::LeadShoulder, B::TrailShoulder),
        (B::LeadShoulder, B::LeadElbow),
        (B::LeadElbow, B::LeadHand),
        (B::TrailShoulder, B::TrailElbow),
        (B::TrailElbow, B::TrailHand),
        (B::LeadShoulder, B::LeadHip),
        (B::TrailShoulder, B::TrailHip),
        (B::LeadHip, B::TrailHip),
        (B::LeadHip, B::LeadKnee),
        (B::TrailHip, B::TrailKnee),
        (B::LeadKnee, B::LeadAnkle),
        (B::TrailKnee, B::TrailAnkle),
        (B::LeadAnkle, B::LeadToe),
        (B::TrailAnkle, B::TrailToe),
        (B::Head, B::C7),
    ]
};

const CLUB: [(BodyPoint, BodyPoint); 2] =
    [(BodyPoint::ShaftUpper, BodyPoint::ShaftLower), (BodyPoint::ShaftLower, BodyPoint::ClubHead)];

impl Figure {
    /// The drawn part of a swing.
    pub fn new(swing: &Swing) -> Self {
        let mut figure = Figure {
            label: swing.label.clone(),
            left_handed: swing.hand == Hand::Left,
            time_s: swing.time_s.clone(),
            hands: flat(&swing.hands),
            ball: swing.ball,
            arms_only: arms_only(swing),
            shares: shares_out(swing),
            ..Figure::default()
        };
        figure.marks = swing.instants.iter().map(|instant| Mark::new(instant.name.name(), instant.time_s)).collect();
        figure.add_limbs(swing);
        figure
    }

    /// The hand path of a swing from the top to impact (else its end), as a flat series; empty without a top.
    pub fn downswing(swing: &Swing) -> Vec<f64> {
        let time = |name| swing.instant(name).map(|instant| instant.time_s);
        let Some(top) = time(InstantName::Top) else { return vec![] };
        let low = time(InstantName::Impact).unwrap_or(f64::INFINITY);
        let times = swing.time_s.iter().zip(&swing.hands);
        times.filter(|(t, _)| (top..=low).contains(*t)).flat_map(|(_, place)| *place).collect()
    }

    fn add_limbs(&mut self, swing: &Swing) {
        let has = |point: &BodyPoint| swing.body.contains_key(point);
        let both = |(a, b): &(BodyPoint, BodyPoint)| has(a) && has(b);
        let limbs: Vec<_> = LIMBS.into_iter().chain(shortcuts(swing)).filter(both).collect();
        let club: Vec<_> = CLUB.into_iter().filter(both).collect();
        let mut used: Vec<BodyPoint> = limbs.iter().chain(&club).flat_map(|(a, b)| [*a, *b]).collect();
        used.push(BodyPoint::ClubHead);
        used.retain(has);
        order::sort(&mut used);
        used.dedup();
        self.joints = used.iter().filter_map(|point| Some(flat(swing.body.get(point)?))).collect();
        let index = |point| used.binary_search(&point).ok();
        let indices = |(a, b): (BodyPoint, BodyPoint)| Some([index(a)?, index(b)?]);
        self.limbs = limbs.into_iter().filter_map(indices).collect();
        self.club = club.into_iter().filter_map(indices).collect();
        self.add_grip(index(BodyPoint::ClubHead));
    }

    /// The club begins at the hands; without shaft markers it is a line from there to its head.
    fn add_grip(&mut self, club_head: Option<usize>) {
        let first = self.club.first().map(|[upper, _]| *upper).or(club_head);
        if let Some(first) = first {
            self.joints.push(self.hands.clone());
            self.club.push([self.joints.len() - 1, first]);
        }
    }

    /// A measure of this swing by its documented name: value and both ends of its 90 % interval (the value itself where
    /// there is none).
    pub fn measured(&self, name: &str) -> Option<[f64; 3]> {
        self.measures.iter().find(|(own, _)| own == name).map(|(_, measure)| *measure)
    }

    /// Point `index` of a flat series.
    pub fn point(series: &[f64], index: usize) -> Point {
        match series.get(3 * index..3 * index + 3) {
            Some([out, target, up]) => [*out, *target, *up],
            _ => GAP,
        }
    }

    /// All points of the hand path.
    pub fn path(&self) -> Vec<Point> {
        self.hands.as_chunks::<3>().0.to_vec()
    }

    /// A series at a time, linear between samples; beyond its ends, the end. A gap where a neighbour is one.
    pub fn at(&self, series: &[f64], time_s: f64) -> Point {
        let (index, part) = locate(&self.time_s, time_s);
        let (a, b) = (Figure::point(series, index), Figure::point(series, index + 1));
        if part <= 0.0 || is_gap(&b) { a } else { [0, 1, 2].map(|i| a[i] + part * (b[i] - a[i])) }
    }

    /// Time of a named instant.
    pub fn mark_s(&self, name: InstantName) -> Option<f64> {
        self.marks.iter().find(|mark| mark.name == name.name()).map(|mark| mark.time_s)
    }

    /// The drawn stretch: address (else takeaway, else the start) to finish (else the end).
    pub fn span(&self) -> (f64, f64) {
        let first = self.mark_s(InstantName::Address).or(self.mark_s(InstantName::Takeaway));
        let (start, end) = (self.time_s.first().copied(), self.time_s.last().copied());
        let from = first.or(start).unwrap_or(0.0).max(start.unwrap_or(0.0));
        (from, self.mark_s(InstantName::Finish).or(end).unwrap_or(from).max(from))
    }
}

impl Mark {
    /// Without a deviation.
    pub fn new(name: &str, time_s: f64) -> Self {
        Mark { name: name.to_owned(), time_s, deviation: None }
    }
}

/// Limbs over a missing joint: no elbow, no knee.
fn shortcuts(swing: &Swing) -> Vec<(BodyPoint, BodyPoint)> {
    use BodyPoint as B;
    let spans = [
        (B::LeadShoulder, B::LeadElbow, B::LeadHand),
        (B::TrailShoulder, B::TrailElbow, B::TrailHand),
        (B::LeadHip, B::LeadKnee, B::LeadAnkle),
        (B::TrailHip, B::TrailKnee, B::TrailAnkle),
    ];
    spans.into_iter().filter(|(_, middle, _)| !swing.body.contains_key(middle)).map(|(a, _, b)| (a, b)).collect()
}

fn arms_only(swing: &Swing) -> Vec<f64> {
    by_thorax(swing, arms_only_path).iter().flat_map(|(_, place)| *place).collect()
}

fn shares_out(swing: &Swing) -> Vec<f64> {
    by_thorax(swing, share_path).iter().flat_map(|(t, [arm, body])| [*t, arm[0], body[0]]).collect()
}

/// What goes by a thorax frame, between two times.
type ByThorax<T> = fn(&Swing, ThoraxFrame, f64, f64) -> Result<Vec<T>, Message>;

/// From the top to lead arm level, by the shoulder line, else by the trunk landmarks; nothing where neither will do.
fn by_thorax<T>(swing: &Swing, path: ByThorax<T>) -> Vec<T> {
    let [from, to] = [InstantName::Top, InstantName::LeadArmLevel].map(|name| swing.instant(name));
    let (Some(from), Some(to)) = (from, to) else { return vec![] };
    let found = |frame| path(swing, frame, from.time_s, to.time_s);
    found(ThoraxFrame::ShoulderLine).or_else(|_| found(ThoraxFrame::Isb)).unwrap_or_default()
}

fn flat(points: &[Point]) -> Vec<f64> {
    points.iter().flatten().copied().collect()
}

/// Index of the sample at or before a time, and the part of the way to the next.
pub(super) fn locate(times: &[f64], time_s: f64) -> (usize, f64) {
    let after = times.partition_point(|t| *t <= time_s);
    match (times.get(after.wrapping_sub(1)), times.get(after)) {
        (Some(before), Some(next)) => (after - 1, (time_s - before) / (next - before)),
        (Some(_), None) => (after - 1, 0.0),
        _ => (0, 0.0),
    }
}

/// A series of numbers at a time; NaN next to a NaN.
pub(super) fn number_at(times: &[f64], series: &[f64], time_s: f64) -> f64 {
    let (index, part) = locate(times, time_s);
    let value = |i: usize| series.get(i).copied().unwrap_or(f64::NAN);
    if part <= 0.0 { value(index) } else { value(index) + part * (value(index + 1) - value(index)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_is_linear_between_samples_and_holds_its_ends() {
        let figure = Figure { time_s: vec![0.0, 1.0, 2.0], ..Figure::default() };
        let series = [0.0, 0.0, 0.0, 2.0, 4.0, 6.0, f64::NAN, f64::NAN, f64::NAN];
        assert_eq!(figure.at(&series, 0.5), [1.0, 2.0, 3.0]);
        assert_eq!(figure.at(&series, -1.0), [0.0; 3]);
        assert_eq!(figure.at(&series, 1.0), [2.0, 4.0, 6.0]);
        assert!(is_gap(&figure.at(&series, 9.0)));
        assert!(is_gap(&Figure::default().at(&[], 0.0)));
    }

    #[test]
    fn numbers_between_samples() {
        assert!((number_at(&[0.0, 1.0], &[3.0, 5.0], 0.25) - 3.5).abs() < 1e-12);
        assert!(number_at(&[0.0, 1.0], &[3.0, f64::NAN], 0.25).is_nan());
        assert!(number_at(&[], &[], 0.25).is_nan());
    }
}
