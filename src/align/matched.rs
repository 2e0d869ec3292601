use super::stretch::Sampled;
use super::{CLOCK_SLACK_S, Timed};
use crate::formats::{Point, is_gap};
use serde::Serialize;

/// One sample of the student's own timeline and what it is matched to.
#[derive(Clone, Debug, PartialEq, Serialize)]
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

/// Mean of what one sample, or a place between two, is matched to.
#[derive(Clone, Copy)]
struct Match {
    point: Point,
    time_s: f64,
}

/// The matches of every resampled student sample of a segment.
pub(super) struct Matches<'a> {
    pub(super) student: &'a Sampled,
    pub(super) reference: &'a Sampled,
    pub(super) path: &'a [(usize, usize)],
}

impl Matches<'_> {
    /// The student's own samples from `from_s` to `to_s` that have a match, numbered as of segment `segment`.
    ///
    /// A sample lies between two resampled ones; its match is interpolated between theirs. `anchor_s`: the student's and
    /// the reference's time from which lateness counts.
    pub(super) fn samples(
        &self,
        student: &Timed,
        (from_s, to_s): (f64, f64),
        anchor_s: (f64, f64),
        segment: usize,
    ) -> Vec<MatchedSample> {
        let means = self.means();
        let sampled = |(time_s, point): (f64, Point)| {
            let found = between(&means, self.student.at.place(time_s))?;
            let [out_m, target_m, up_m] = [0, 1, 2].map(|c| point[c] - found.point[c]);
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
        student.usable(from_s, to_s).filter_map(sampled).collect()
    }

    /// Per resampled student sample the mean of its matches; `None` where it or all of them are missing.
    fn means(&self) -> Vec<Option<Match>> {
        let mut sums = vec![(0.0, Match { point: [0.0; 3], time_s: 0.0 }); self.student.points.len()];
        for &(i, j) in self.path {
            let point = self.reference.points[j];
            if is_gap(&self.student.points[i]) || is_gap(&point) {
                continue;
            }
            let (count, sum) = &mut sums[i];
            *count += 1.0;
            sum.point = std::array::from_fn(|c| sum.point[c] + point[c]);
            sum.time_s += self.reference.at.time_s(j as f64);
        }
        let mean = |(count, sum): (f64, Match)| {
            (count > 0.0).then(|| Match { point: sum.point.map(|x| x / count), time_s: sum.time_s / count })
        };
        sums.into_iter().map(mean).collect()
    }
}

/// The match at a place in samples, interpolated between its neighbours; `None` where a needed neighbour has none.
fn between(means: &[Option<Match>], place: f64) -> Option<Match> {
    let last = means.len() - 1;
    let place = place.clamp(0.0, last as f64);
    let (low, share) = (place.floor() as usize, place.fract());
    if share < CLOCK_SLACK_S {
        return means[low];
    }
    if share > 1.0 - CLOCK_SLACK_S {
        return means[low + 1];
    }
    let (a, b) = (means[low]?, means[low + 1]?);
    let mix = |x: f64, y: f64| x + share * (y - x);
    Some(Match { point: std::array::from_fn(|c| mix(a.point[c], b.point[c])), time_s: mix(a.time_s, b.time_s) })
}
