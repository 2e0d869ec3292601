//! The instants, refined once the frame is known. Each has a source and 1 SD; one that cannot be found has a reason.

use super::{BodyPoint, Instant, InstantName, Swing};
use crate::settings::Club;
use crate::signal::{Curve, Noise};
use crate::words::Message;

/// The top is the lowest point of a parabola through the hand speed over this span, seconds.
const TOP_SPAN_S: f64 = 0.04;
/// What filter and parabola make of a top whose speed falls and rises at different rates, seconds (1 SD; from the
/// forward model).
const TOP_BLUR_S: f64 = 0.005;
/// What the sampling adds, in steps (1 SD; from the forward model, where it can hardly be told from none).
const TOP_STEPS: f64 = 0.1;
/// Most moves of the parabola.
const TOP_MOVES: usize = 5;
/// Hands slower than this at the top nearly rest: the top is the centre of the rest, m/s.
const REST_M_S: f64 = 0.10;
/// Hip joints lie this far below the front hip bones, metres (assumed; 1 SD below).
const HIP_BONE_OVER_JOINT_M: f64 = 0.09;
const HIP_BONE_SD_M: f64 = 0.02;
/// 1 SD of the hands' lead at impact over address, metres.
const LEAD_SD_M: f64 = 0.05;
/// 1 SD of how far along its way the head's marker is from the ball at impact, metres, but for its noise (a ball marker
/// is good to 5 mm).
const HEAD_SD_M: f64 = 0.0055;
/// A turned target line moves that impact by less than this, seconds.
const LEAD_MOVES_S: f64 = 0.1;
/// Impact comes this long after the lowest hands, and its 1 SD, seconds; used without club and address.
const IMPACT_AFTER_LOW_S: f64 = 0.015;
const IMPACT_AFTER_LOW_SD_S: f64 = 0.020;
/// The finish: hand speed has fallen to this share of its peak.
const FINISH_SHARE: f64 = 0.15;
/// Hands that have not come to rest this long after impact have no finish, seconds.
const LONGEST_FOLLOW_S: f64 = 5.0;
/// Step of searches on continuous curves, seconds.
const FINE_S: f64 = 0.0005;

/// Hands' lead at impact over address along the target line, metres (common practice: irons about 8 cm, driver 4 cm).
fn lead_m(club: Club) -> f64 {
    match club {
        Club::Driver => 0.04,
        Club::FairwayWood => 0.06,
        Club::Iron | Club::Wedge => 0.08,
    }
}

pub(super) const LEAD_SOURCE: &str = "hands ahead of address by the usual lead";

/// How far the hands have still to go towards the target until they lead their address by the usual lead, metres.
fn ahead<'a>(swing: &Swing, hands: &'a Curve) -> Option<impl Fn(f64) -> Option<f64> + 'a> {
    let goal = swing.hands_at_address?[1] + lead_m(swing.club);
    Some(move |t: f64| Some(goal - hands.position(t)?[1]))
}

/// The impact of a swing whose target line has turned, by the hands' lead, near the impact before.
pub(super) fn lead_again(swing: &Swing, before_s: f64) -> Option<f64> {
    let hands = swing.hand_curve();
    first_fall(ahead(swing, &hands)?, before_s - LEAD_MOVES_S, before_s + LEAD_MOVES_S)
}

/// What the search works on: curves in the body-relative frame.
pub(super) struct Search<'a> {
    pub(super) swing: &'a Swing,
    pub(super) hands: Curve,
    pub(super) noise: Noise,
    /// 1 SD of the noise of one unfiltered marker per coordinate, metres.
    pub(super) marker_m: f64,
    /// Coarse top, peak and lowest hands, seconds.
    pub(super) top_s: f64,
    pub(super) peak_s: f64,
    pub(super) low_s: f64,
    /// End of this swing's stretch, seconds.
    pub(super) end_s: f64,
    /// 1 SD of the target line, radians.
    pub(super) target_sd_rad: f64,
}

/// A time, its 1 SD, and how it was found.
pub(super) type Found = Result<(f64, f64, &'static str), Message>;

impl Search<'_> {
    fn step_s(&self) -> f64 {
        1.0 / self.swing.rate_hz
    }

    fn curve(&self, point: BodyPoint) -> Option<Curve> {
        Some(Curve::through(&self.swing.time_s, self.swing.body.get(&point)?))
    }

    /// Least hand speed between backswing and downswing.
    pub(super) fn top(&self) -> Found {
        let speed = |t: f64| self.hands.speed(t);
        let least = speed(self.top_s).unwrap_or(f64::MAX);
        if let Some((from, to)) = self.rest_around_top(least) {
            // Anywhere within the rest: a uniform distribution.
            let sd = (to - from) / 12.0_f64.sqrt();
            return Ok((0.5 * (from + to), sd.max(self.step_s() * 0.3), "centre of the rest at the top"));
        }
        // The least sample of a noisy speed can lie beside the bottom: the parabola is moved until it holds it.
        let (mut centre, mut bend) = (self.top_s, f64::MAX);
        for _ in 0..TOP_MOVES {
            let around = fine(centre - TOP_SPAN_S / 2.0, centre + TOP_SPAN_S / 2.0);
            let samples: Vec<(f64, f64)> = around.filter_map(|t| Some((t - centre, speed(t)?))).collect();
            let Some((slope, curvature)) = parabola(&samples).filter(|(_, bend)| *bend > 0.0) else { break };
            let shift = (-slope / curvature).clamp(-TOP_SPAN_S / 2.0, TOP_SPAN_S / 2.0);
            (centre, bend) = (centre + shift, curvature);
            if shift.abs() < TOP_SPAN_S / 4.0 {
                break;
            }
        }
        let sampled = (TOP_STEPS * self.step_s()).hypot(TOP_BLUR_S);
        let sd = (self.noise.acceleration_m_s2 / bend).hypot(sampled).min(TOP_SPAN_S);
        Ok((centre, sd, "least hand speed"))
    }

    /// Span around the top in which the hands nearly rest, if it is longer than the parabola's.
    fn rest_around_top(&self, least: f64) -> Option<(f64, f64)> {
        let limit = REST_M_S.max(least + 2.0 * self.noise.velocity_m_s);
        let rests = |t: &f64| self.hands.speed(*t).is_some_and(|v| v < limit);
        let from = fine(0.0, self.top_s).rev().take_while(rests).last()?;
        let to = fine(self.top_s, self.end_s).take_while(rests).last()?;
        (least < REST_M_S && to - from > TOP_SPAN_S).then_some((from, to))
    }

    /// Mid-hands pass the height of the lead shoulder on the way down.
    pub(super) fn lead_arm_level(&self, top_s: f64, impact_s: f64) -> Found {
        let shoulder = self.curve(BodyPoint::LeadShoulder).ok_or_else(|| Message::new("swing.no_lead_shoulder"))?;
        let height = |t: f64| Some(self.hands.position(t)?[2] - shoulder.position(t)?[2]);
        if height(top_s).is_some_and(|h| h <= 0.0) {
            return Err(Message::new("swing.hands_below_shoulder"));
        }
        let t = last_fall(height, top_s, impact_s).ok_or_else(|| Message::new("swing.shoulder_not_passed"))?;
        Ok((t, self.crossing_sd(height, t, 0.0), "hands at lead shoulder height"))
    }

    /// Mid-hands pass the height of the front hip bones on the way down.
    pub(super) fn hip_height(&self, top_s: f64, impact_s: f64, joints: bool) -> Found {
        let pair = self.curve(BodyPoint::LeadHip).zip(self.curve(BodyPoint::TrailHip));
        let (lead, trail) = pair.ok_or_else(|| Message::new("swing.no_hips"))?;
        let raise = if joints { HIP_BONE_OVER_JOINT_M } else { 0.0 };
        let height = |t: f64| {
            let hips = 0.5 * (lead.position(t)?[2] + trail.position(t)?[2]) + raise;
            Some(self.hands.position(t)?[2] - hips)
        };
        let t = last_fall(height, top_s, impact_s).ok_or_else(|| Message::new("swing.hips_not_passed"))?;
        let (spread, source) = match joints {
            true => (HIP_BONE_SD_M, "hands at hip joint height plus 9 cm"),
            false => (0.0, "hands at front hip bone height"),
        };
        Ok((t, self.crossing_sd(height, t, spread), source))
    }

    /// The shaft is horizontal on the way down.
    pub(super) fn shaft_level(&self, top_s: f64, impact_s: f64) -> Found {
        let lower = self.curve(BodyPoint::ClubHead).or_else(|| self.curve(BodyPoint::ShaftLower));
        let lower = lower.ok_or_else(|| Message::new("swing.no_shaft"))?;
        let upper = self.curve(BodyPoint::ShaftUpper);
        let grip = |t: f64| upper.as_ref().unwrap_or(&self.hands).position(t);
        let height = |t: f64| Some(lower.position(t)?[2] - grip(t)?[2]);
        let t = last_fall(height, top_s, impact_s).ok_or_else(|| Message::new("swing.shaft_not_level"))?;
        Ok((t, self.crossing_sd(height, t, 0.0), "shaft horizontal"))
    }

    /// Club head nearest the ball; the hands' lead over address; the lowest hands.
    pub(super) fn impact(&self) -> Found {
        self.impact_by_club()
            .or_else(|| self.impact_by_lead())
            .or_else(|| self.impact_by_low())
            .ok_or_else(|| Message::new("swing.no_impact"))
    }

    fn impact_by_club(&self) -> Option<(f64, f64, &'static str)> {
        let head = self.curve(BodyPoint::ClubHead)?;
        let ball = self.swing.ball.filter(|ball| !ball[1].is_nan())?;
        let distance = |t: f64| {
            let p = head.position(t)?;
            Some((0..3).map(|c| (p[c] - ball[c]).powi(2)).sum::<f64>())
        };
        let (from, to) = (self.top_s.max(self.peak_s - 0.3), self.low_s + 0.3);
        let (nearest, t) = fine(from, to).filter_map(|t| Some((distance(t)?, t))).min_by(|a, b| a.0.total_cmp(&b.0))?;
        // A recording that stops before impact never brings the head to the ball.
        let reached = nearest.sqrt() < 0.15 && t < to - FINE_S && t < self.end_s - FINE_S;
        let t = t + lowest_between(distance(t - FINE_S), nearest, distance(t + FINE_S)) * FINE_S;
        let speed = head.speed(t).unwrap_or(1.0).max(1.0);
        reached.then_some((t, HEAD_SD_M.hypot(self.marker_m) / speed, "club head nearest the ball"))
    }

    fn impact_by_lead(&self) -> Option<(f64, f64, &'static str)> {
        let ahead = ahead(self.swing, &self.hands)?;
        let (from, to) = (self.peak_s.min(self.low_s) - 0.1, self.low_s + 0.25);
        let t = first_fall(&ahead, from.max(self.top_s), to.min(self.end_s))?;
        let travel = self.swing.hands_at_address.map(|hands| hands[0].abs()).unwrap_or(0.0);
        let spread = LEAD_SD_M.hypot(travel * self.target_sd_rad);
        Some((t, self.crossing_sd(ahead, t, spread), LEAD_SOURCE))
    }

    fn impact_by_low(&self) -> Option<(f64, f64, &'static str)> {
        let height = |t: f64| Some(self.hands.position(t)?[2]);
        let span = fine(self.low_s - self.step_s(), self.low_s + self.step_s());
        let low = span.filter_map(|t| Some((height(t)?, t))).min_by(|a, b| a.0.total_cmp(&b.0))?.1;
        let t = low + IMPACT_AFTER_LOW_S;
        let stops = low > self.end_s - 1.5 * self.step_s() || t > self.end_s;
        (!stops).then_some((t, IMPACT_AFTER_LOW_SD_S, "lowest hands plus 15 ms"))
    }

    /// Hand speed has fallen away after impact, or the recording ends.
    pub(super) fn finish(&self, impact_s: f64) -> Found {
        let peak = self.hands.speed(self.peak_s).unwrap_or(0.0);
        let left = |t: f64| Some(self.hands.speed(t)? - FINISH_SHARE * peak);
        let last = self.end_s.min(impact_s + LONGEST_FOLLOW_S);
        match first_fall(left, impact_s, last) {
            Some(t) => Ok((t, (0.02_f64).hypot(self.step_s()), "hand speed has fallen away")),
            None if last < self.end_s => Err(Message::new("swing.no_finish")),
            None => Ok((self.end_s, self.step_s(), "end of the recording")),
        }
    }

    /// 1 SD of the time at which `value` crosses zero: noise and `spread` over its rate of change.
    fn crossing_sd(&self, value: impl Fn(f64) -> Option<f64>, t: f64, spread: f64) -> f64 {
        let step = 0.5 * self.step_s();
        let rate = value(t + step).zip(value(t - step)).map_or(0.0, |(a, b)| ((a - b) / (2.0 * step)).abs());
        let noise = spread.hypot(2.0_f64.sqrt() * self.noise.position_m);
        (noise / rate.max(0.05)).hypot(0.1 * self.step_s())
    }
}

/// Times from `from` to `to` inclusive in fine steps.
fn fine(from: f64, to: f64) -> impl DoubleEndedIterator<Item = f64> {
    let steps = ((to - from) / FINE_S).floor().max(-1.0) as i64;
    (0..=steps).map(move |k| from + k as f64 * FINE_S)
}

/// The last time in the span at which `value` falls through zero.
fn last_fall(value: impl Fn(f64) -> Option<f64>, from: f64, to: f64) -> Option<f64> {
    falls(value, from, to).last()
}

/// The first time in the span at which `value` falls through zero.
fn first_fall(value: impl Fn(f64) -> Option<f64>, from: f64, to: f64) -> Option<f64> {
    falls(value, from, to).next()
}

fn falls(value: impl Fn(f64) -> Option<f64>, from: f64, to: f64) -> impl Iterator<Item = f64> {
    let samples: Vec<(f64, f64)> = fine(from, to).filter_map(|t| Some((t, value(t)?))).collect();
    let crossing = |pair: &[(f64, f64)]| {
        let ((t0, v0), (t1, v1)) = (pair[0], pair[1]);
        (v0 > 0.0 && v1 <= 0.0).then(|| t0 + (t1 - t0) * v0 / (v0 - v1))
    };
    samples.windows(2).filter_map(crossing).collect::<Vec<_>>().into_iter()
}

/// Where the parabola through three values at -1, 0 and 1 is lowest, the middle one being the lowest of them; 0 where it
/// is flat or a value is unknown.
fn lowest_between(before: Option<f64>, least: f64, after: Option<f64>) -> f64 {
    let place = before.zip(after).map(|(before, after)| 0.5 * (before - after) / (before - 2.0 * least + after));
    place.filter(|place| place.abs() <= 1.0).unwrap_or(0.0)
}

/// Slope at zero and second derivative of the least-squares parabola.
fn parabola(samples: &[(f64, f64)]) -> Option<(f64, f64)> {
    let mut normal = nalgebra::Matrix3::<f64>::zeros();
    let mut right = nalgebra::Vector3::<f64>::zeros();
    for (t, v) in samples {
        let row = nalgebra::Vector3::new(1.0, *t, t * t);
        normal += row * row.transpose();
        right += row * *v;
    }
    let solved = normal.lu().solve(&right)?;
    (samples.len() >= 3).then_some((solved[1], 2.0 * solved[2]))
}

/// Makes an instant from a time.
pub(super) fn instant(swing: &Swing, name: InstantName, found: (f64, f64, &'static str)) -> Instant {
    let (time_s, sd_s, source) = found;
    let last = swing.row.len().saturating_sub(1);
    let sample = ((time_s * swing.rate_hz).round() as usize).min(last);
    Instant { name, time_s, row: swing.row.get(sample).copied(), source, sd_s }
}
