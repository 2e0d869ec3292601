use super::CLOCK_SLACK_S;
use super::series::Series;
use super::stretch::Sampled;
use crate::formats::{Point, is_gap};
use crate::order;
use crate::plain;

/// One sample of the student's own timeline and what it is matched to.
#[derive(Clone, Debug, PartialEq)]
pub struct MatchedSample {
    /// The sample's time, seconds on the student's clock.
    pub time_s: f64,
    /// Mean time of its matches, seconds on the reference's clock.
    pub matched_time_s: f64,
    /// Time since the last anchor in the student's swing, minus that of the matches in the reference: positive where
    /// the student is later. Free mode has no anchors and counts from the first match.
    pub lateness_s: f64,
    /// Student minus the mean of its matches, over the ball line, metres.
    pub out_m: f64,
    /// The same towards the target, metres.
    pub target_m: f64,
    /// The same upwards, metres.
    pub up_m: f64,
    /// Length of that mean deviation, metres.
    pub distance_m: f64,
    /// Index of its segment.
    pub segment: usize,
}

plain::record!(MatchedSample { time_s, matched_time_s, lateness_s, out_m, target_m, up_m, distance_m, segment });

/// What one resampled sample, or a place between two, is matched to: deviation from the mean match, and its mean time.
#[derive(Clone, Copy)]
struct Match {
    deviation: Point,
    time_s: f64,
}

/// The matches of every resampled student sample of a segment.
pub(super) struct Matches<'a> {
    pub(super) student: &'a Sampled,
    pub(super) reference: &'a Sampled,
    pub(super) path: &'a [(usize, usize)],
}

impl Matches<'_> {
    /// Pairs on the path in which neither sample is missing.
    pub(super) fn pairs(&self) -> usize {
        self.path.iter().filter(|cell| self.pair(cell).is_some()).count()
    }

    fn pair(&self, &(i, j): &(usize, usize)) -> Option<(Point, Point)> {
        let pair = (self.student.points[i], self.reference.points[j]);
        (!is_gap(&pair.0) && !is_gap(&pair.1)).then_some(pair)
    }

    /// The student's own samples in a span of time that have a match, numbered as of segment `segment`.
    ///
    /// A sample lies between two resampled ones; its deviation and matched time are interpolated between theirs. (Places
    /// are not: they run along a curve, and a straight line between two of them would cut its corner.) `anchor_s`: the
    /// student's and the reference's time from which lateness counts.
    pub(super) fn samples(
        &self,
        student: &Series,
        span: (f64, f64),
        anchor_s: (f64, f64),
        segment: usize,
    ) -> Vec<MatchedSample> {
        let means = self.means();
        let sampled = |time_s: f64| {
            let found = between(&means, self.student.at.place(time_s))?;
            let [out_m, target_m, up_m] = found.deviation;
            Some(MatchedSample {
                time_s,
                matched_time_s: found.time_s,
                lateness_s: (time_s - anchor_s.0) - (found.time_s - anchor_s.1),
                out_m,
                target_m,
                up_m,
                distance_m: (out_m * out_m + target_m * target_m + up_m * up_m).sqrt(),
                segment,
            })
        };
        student.usable(span).filter_map(sampled).collect()
    }

    /// The match of each resampled student sample; `None` where it, or all it is matched to, is missing.
    fn means(&self) -> Vec<Option<Match>> {
        let mut sums = vec![(0.0, Match { deviation: [0.0; 3], time_s: 0.0 }); self.student.points.len()];
        for cell in self.path {
            let Some((ours, theirs)) = self.pair(cell) else { continue };
            let (count, sum) = &mut sums[cell.0];
            *count += 1.0;
            sum.deviation = std::array::from_fn(|c| sum.deviation[c] + (ours[c] - theirs[c]));
            sum.time_s += self.reference.at.time_s(cell.1 as f64);
        }
        let mean = |(count, sum): (f64, Match)| {
            let deviation = sum.deviation.map(|x| x / count);
            (count > 0.0).then(|| Match { deviation, time_s: sum.time_s / count })
        };
        sums.into_iter().map(mean).collect()
    }
}

/// The match at a place in samples, interpolated between its neighbours; `None` where a needed neighbour has none.
fn between(means: &[Option<Match>], place: f64) -> Option<Match> {
    let last = means.len() - 1;
    let place = order::within(place, 0.0, last as f64);
    let (low, share) = (place.floor() as usize, place.fract());
    if share < CLOCK_SLACK_S {
        return means[low];
    }
    if share > 1.0 - CLOCK_SLACK_S {
        return means[low + 1];
    }
    let (a, b) = (means[low]?, means[low + 1]?);
    let mix = |x: f64, y: f64| x + share * (y - x);
    let deviation = std::array::from_fn(|c| mix(a.deviation[c], b.deviation[c]));
    Some(Match { deviation, time_s: mix(a.time_s, b.time_s) })
}
