//! What is true of a model swing: instants, path and shares, from the closed forms and not from samples.

use super::motion::{Motion, Times, V};
use crate::swing::InstantName;
use crate::table::Table;

/// Hands slower than this stand still, or rest at the top, m/s.
const STILL_M_S: f64 = 0.10;
/// The finish: hand speed has fallen to this share of its peak.
const FINISH_SHARE: f64 = 0.15;
/// A rest at the top shorter than this is a turning point, seconds.
const REST_S: f64 = 0.04;
/// Step of the scans before a root is closed in, seconds.
const SCAN_S: f64 = 0.001;
/// Roots are closed in to this, seconds.
const ROOT_S: f64 = 1e-9;
/// The front hip bones in the pelvis, pelvis axes from mid-hip, metres for a stature of 1.80 m (lead side).
pub(super) const HIP_BONE: [f64; 3] = [0.045, 0.125, 0.085];

/// Truth of one swing. Times are the model's; subtract the start of the sampled window for a recording's clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// Instants that this swing has, seconds of the model:
    ///
    /// | instant | definition on the closed forms |
    /// | --- | --- |
    /// | address | centre of the last stretch of hand speed under 0.10 m/s before the takeaway |
    /// | takeaway | hand speed last rises through 0.10 m/s before the top |
    /// | top | least hand speed between backswing and downswing, or the centre of a rest (under 0.10 m/s for over 0.04 s) |
    /// | lead arm level | mid-hands last fall through the height of the lead shoulder before impact |
    /// | hip height | same, the mean height of the front hip bones |
    /// | shaft level | club head last falls through the height of the mid-hands before impact |
    /// | impact | club head nearest the ball (distance 0) |
    /// | finish | hand speed has fallen to 0.15 of its peak |
    pub instants: Table<InstantName, f64>,
    /// Ball centre, metres.
    pub ball: V,
    /// Mid-hands at address, metres.
    pub hands_at_address: V,
}

/// Displacement of the hands between two instants, split by cause, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// The arms: integral of `R dr/dt`.
    pub arms: V,
    /// The body: integral of `do/dt + w x (h - o)`.
    pub body: V,
    /// Part of the body's share: displacement of mid-hip.
    pub shift: V,
    /// Part of the body's share: turn about the long axis of the thorax through mid-shoulder.
    pub turn: V,
    /// Part of the body's share: the rest.
    pub tilt: V,
}

impl Motion {
    /// Truth of one swing of the recording, 0-based; `None` beyond the last.
    pub fn truth(&self, swing: usize) -> Option<Truth> {
        let times = self.times.get(swing)?;
        let mut instants = Table::new();
        let top_s = self.top(times);
        let (still_s, takeaway_s) = self.stillness(times, top_s);
        instants.insert(InstantName::Address, 0.5 * (still_s + takeaway_s));
        instants.insert(InstantName::Takeaway, takeaway_s);
        instants.insert(InstantName::Top, top_s);
        instants.insert(InstantName::Impact, times.impact_s);
        let falls: [(InstantName, &dyn Fn(f64) -> f64); 3] = [
            (InstantName::LeadArmLevel, &|t| self.hands(t).z - self.lead_shoulder_at(t).z),
            (InstantName::HipHeight, &|t| self.hands(t).z - self.hip_bone_height(t)),
            (InstantName::ShaftLevel, &|t| self.club_direction(t).z),
        ];
        for (name, height) in falls {
            instants.extend(last_fall(height, top_s, times.impact_s).map(|t| (name, t)));
        }
        instants.insert(InstantName::Finish, self.finish(times));
        let address_s = 0.5 * (still_s + takeaway_s);
        Some(Truth { instants, ball: self.balls[swing], hands_at_address: self.hands(address_s) })
    }

    /// Lead shoulder in the body-relative frame.
    pub fn lead_shoulder_at(&self, t_s: f64) -> V {
        self.mid_shoulder(t_s) + self.thorax_rotation(t_s) * self.lead_shoulder()
    }

    /// Mean height of the front hip bones.
    fn hip_bone_height(&self, t_s: f64) -> f64 {
        let [forward, _, up] = HIP_BONE;
        (self.mid_hip(t_s) + self.pelvis_rotation(t_s) * V::new(forward, 0.0, up) * self.build.scale).z
    }

    /// Start and end of the last stillness before the takeaway.
    fn stillness(&self, times: &Times, top_s: f64) -> (f64, f64) {
        let excess = |t: f64| self.hand_speed(t) - STILL_M_S;
        let takeaway_s =
            last_fall(|t| -excess(t), times.still_s, top_s.min(times.top_s - 0.1)).unwrap_or(times.takeaway_s);
        let start_s = last_fall(excess, times.still_s - 1.0, takeaway_s - ROOT_S).unwrap_or(0.0);
        (start_s.max(0.0), takeaway_s)
    }

    /// Least hand speed between backswing and downswing, or the centre of a rest there.
    fn top(&self, times: &Times) -> f64 {
        let from_s = times.down_s - 0.25 * (times.top_s - times.takeaway_s);
        let to_s = times.down_s + 0.4 * (times.impact_s - times.down_s);
        let least = lowest(|t| self.hand_speed(t), from_s, to_s);
        let excess = |t: f64| self.hand_speed(t) - STILL_M_S;
        let start = last_fall(excess, times.takeaway_s, least);
        let end = first_rise(excess, least, to_s);
        match (start, end) {
            (Some(start), Some(end)) if end - start > REST_S => 0.5 * (start + end),
            _ => least,
        }
    }

    fn finish(&self, times: &Times) -> f64 {
        let steps = ((times.end_s - times.down_s) / SCAN_S) as usize;
        let speeds = (0..=steps).map(|k| self.hand_speed(times.down_s + k as f64 * SCAN_S));
        let limit = FINISH_SHARE * speeds.fold(0.0, f64::max);
        first_rise(|t| limit - self.hand_speed(t), times.impact_s, times.end_s).unwrap_or(times.end_s)
    }

    /// How arms and body moved the hands between two times. The four-point Gauss rule on steps of at most 0.5 ms: the
    /// error is under 1e-9 m (the third derivative jumps where a step begins).
    pub fn shares(&self, from_s: f64, to_s: f64) -> Shares {
        let mut sums = [V::zeros(); 3];
        let steps = ((to_s - from_s).abs() / 0.0005).ceil().max(1.0) as usize;
        let step_s = (to_s - from_s) / steps as f64;
        for k in 0..steps {
            for (at, weight) in GAUSS {
                let rates = self.share_rates(from_s + (k as f64 + at) * step_s);
                sums.iter_mut().zip(rates).for_each(|(sum, rate)| *sum += rate * (weight * step_s));
            }
        }
        let [arms, body, turn] = sums;
        let shift = self.mid_hip(to_s) - self.mid_hip(from_s);
        Shares { arms, body, shift, turn, tilt: body - shift - turn }
    }

    /// Velocities: of the arms, of the body, of the body's turn.
    fn share_rates(&self, t_s: f64) -> [V; 3] {
        let rotation = self.thorax_rotation(t_s);
        let spin = self.thorax_spin(t_s);
        let long_axis = rotation * V::z();
        let from_shoulder = rotation * self.hands_in_thorax(t_s);
        let shoulder_velocity = self.mid_hip_velocity(t_s) + spin.cross(&(long_axis * self.build.trunk));
        let turn = (long_axis * spin.dot(&long_axis)).cross(&from_shoulder);
        [rotation * self.hands_in_thorax_velocity(t_s), shoulder_velocity + spin.cross(&from_shoulder), turn]
    }
}

impl Truth {
    /// An instant, seconds of the model.
    pub fn instant(&self, name: InstantName) -> Option<f64> {
        self.instants.get(&name).copied()
    }
}

/// Places and weights of the four-point Gauss-Legendre rule on [0, 1].
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_93),
    (0.330_009_478_207_571_87, 0.326_072_577_431_273_07),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_07),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_93),
];

/// The last time in a span at which a function falls through zero.
fn last_fall(f: impl Fn(f64) -> f64, from_s: f64, to_s: f64) -> Option<f64> {
    let steps = ((to_s - from_s) / SCAN_S).ceil().max(1.0) as usize;
    let at = |k: usize| from_s + (to_s - from_s) * k as f64 / steps as f64;
    let k = (0..steps).rev().find(|k| f(at(*k)) > 0.0 && f(at(k + 1)) <= 0.0)?;
    Some(root(&f, at(k), at(k + 1)))
}

/// The first time in a span at which a function rises through zero.
fn first_rise(f: impl Fn(f64) -> f64, from_s: f64, to_s: f64) -> Option<f64> {
    let steps = ((to_s - from_s) / SCAN_S).ceil().max(1.0) as usize;
    let at = |k: usize| from_s + (to_s - from_s) * k as f64 / steps as f64;
    let k = (0..steps).find(|k| f(at(*k)) < 0.0 && f(at(k + 1)) >= 0.0)?;
    Some(root(&|t| -f(t), at(k), at(k + 1)))
}

/// Bisection of a fall from `f(a) > 0` to `f(b) <= 0`.
fn root(f: &impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    while b - a > ROOT_S {
        let middle = 0.5 * (a + b);
        if f(middle) > 0.0 {
            a = middle;
        } else {
            b = middle;
        }
    }
    0.5 * (a + b)
}

/// Lowest point of a function: a scan, then golden-section search between its neighbours.
fn lowest(f: impl Fn(f64) -> f64, from_s: f64, to_s: f64) -> f64 {
    let steps = ((to_s - from_s) / SCAN_S).ceil().max(1.0) as usize;
    let least =
        (0..=steps).map(|k| from_s + k as f64 * SCAN_S).min_by(|a, b| f(*a).total_cmp(&f(*b))).unwrap_or(from_s);
    let (mut a, mut b) = (least - SCAN_S, least + SCAN_S);
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    while b - a > ROOT_S {
        let (left, right) = (b - golden * (b - a), a + golden * (b - a));
        if f(left) < f(right) {
            b = right;
        } else {
            a = left;
        }
    }
    0.5 * (a + b)
}
