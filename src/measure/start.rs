//! Arm start against turn: when the arms have begun to drop, minus when the trunk has begun to unwind; and how far the
//! trunk has opened when the lead arm is level.

use super::course::{Clock, Course};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::order::within;
use crate::swing::InstantName::{Impact, LeadArmLevel};
use crate::swing::{Pose, arm_up};

/// The arms have started when their own `up` share is this far below its highest value, metres.
const ARM_DROP_M: f64 = 0.02;
/// The trunk has started when it is this far past its most wound position, radians.
const UNWOUND_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

/// Step of the sums, seconds, as nearly as samples and parts of samples let it: on it the arms' course is straight to a
/// millimetre.
const STEP_S: f64 = 0.0105;

/// The way back ends where the trunk is so far from its most wound position, radians, and the arms so far from their
/// highest share, metres: what lies before that is the backswing.
const WELL_BEFORE_RAD: f64 = 0.4;
const WELL_BEFORE_M: f64 = 0.1;

/// Both courses are smoothed over so much on either side, seconds: at the start they are nearly parabolas, on which that
/// changes nothing, while noise makes slow slopes cross their mark at any time.
const SMOOTH_S: f64 = 0.05;
/// But over so many steps at most.
const MOST_STEPS: f64 = 12.0;

pub(super) const SPECS: [Spec; 2] = [
    Spec {
        name: "arm start against turn",
        key: "measure.arm_start_against_turn",
        unit: "s",
        drawer: Drawer::First,
        rests_on: &["hands", "thorax", "hips", "impact"],
        bounds: ANY,
    },
    Spec {
        name: "trunk opening, at lead arm level",
        key: "measure.trunk_opening_at_lead_arm_level",
        unit: "deg",
        drawer: Drawer::Second,
        rests_on: &["hands", "thorax", "hips", "lead arm level"],
        bounds: ANY,
    }
    .not_negative(),
];

pub(super) fn values(course: &Course) -> [Found; 2] {
    match Sums::of(course) {
        Ok(sums) => [sums.arms_against_trunk(), course.time(LeadArmLevel).and_then(|t| sums.opened(t))],
        Err(why) => [Err(why); 2],
    }
}

/// How far the arms have lowered the hands, metres, and the trunk has turned towards the target, radians; from impact
/// back to before the top, each less what it is at impact.
struct Sums {
    list: Vec<At>,
    /// Metres of the frame in one of the file.
    scale: f64,
}

impl Sums {
    fn of(course: &Course) -> Result<Sums, Why> {
        course.framed()?;
        let impact_s = course.time(Impact)?;
        course.hands(impact_s)?;
        let list = smooth(&backwards(course, impact_s));
        if list.len() < 2 { Err(Why::Gap) } else { Ok(Sums { list, scale: course.view.turn[(2, 2)] }) }
    }

    fn arms_against_trunk(&self) -> Found {
        let arms_s = start(&self.list, |at| at.drop_m, ARM_DROP_M / self.scale).ok_or(Why::ArmsStay)?;
        Ok(arms_s - start(&self.list, |at| at.turn_rad, UNWOUND_RAD).ok_or(Why::NotUnwound)?)
    }

    /// How far the trunk has turned from its most wound position to `t`, degrees.
    fn opened(&self, t: f64) -> Found {
        let k = self.list.partition_point(|at| at.time_s > t);
        let (Some(before), Some(after)) = (self.list.get(k), k.checked_sub(1).map(|k| &self.list[k])) else {
            return Err(Why::Gap);
        };
        let share = (t - before.time_s) / (after.time_s - before.time_s);
        let now = before.turn_rad + share * (after.turn_rad - before.turn_rad);
        let wound = self.list[k..].iter().map(|at| at.turn_rad).fold(f64::INFINITY, f64::min);
        Ok((now - wound).max(0.0).to_degrees())
    }
}

/// How far the arms have dropped and the trunk has turned, counted from the last of them.
struct At {
    time_s: f64,
    drop_m: f64,
    turn_rad: f64,
}

/// Even steps back from a time to well before the top, or to the first gap: the hands may be hidden on the way back.
fn backwards(course: &Course, from_s: f64) -> Vec<At> {
    let Ok(trunk) = course.trunk() else { return vec![] };
    // Whole samples, or whole parts of one.
    let Clock { start_s, step_s, samples } = course.clock;
    let (stride, parts) = ((STEP_S / step_s).round().max(1.0) as usize, within((step_s / STEP_S).ceil(), 1.0, 8.0));
    let steps = within((from_s - start_s) / step_s, 0.0, samples.saturating_sub(1) as f64);
    let (mut list, mut after): (Vec<At>, Option<Pose>) = (vec![], None);
    let (mut highest, mut wound) = (f64::INFINITY, f64::INFINITY);
    for k in (0..=(steps * parts) as usize / stride).rev() {
        let time_s = start_s + (k * stride) as f64 / parts * step_s;
        let Ok(pose) = (if parts > 1.0 { trunk.at(time_s) } else { trunk.at_sample(k * stride) }) else { break };
        let (drop_m, turn_rad) = list
            .last()
            .zip(after.as_ref())
            .map_or((0.0, 0.0), |(at, after)| (at.drop_m + arm_up(&pose, after), at.turn_rad - pose.turn_to(after)));
        list.push(At { time_s, drop_m, turn_rad });
        after = Some(pose);
        (highest, wound) = (drop_m.min(highest), turn_rad.min(wound));
        if drop_m > highest + WELL_BEFORE_M && turn_rad > wound + WELL_BEFORE_RAD {
            break;
        }
    }
    list
}

/// The list through a parabola of least squares around each step (Savitzky and Golay 1964, Analytical Chemistry 36:1627,
/// from memory), which is shorter at both ends.
fn smooth(list: &[At]) -> Vec<At> {
    let step_s = list.first().zip(list.get(1)).map_or(SMOOTH_S, |(after, before)| after.time_s - before.time_s);
    let most = within((SMOOTH_S / step_s).round(), 0.0, MOST_STEPS) as usize;
    let weights: Vec<Vec<f64>> = (0..=most).map(parabola_weights).collect();
    let smoothed = |(k, at): (usize, &At)| {
        let half = most.min(k).min(list.len() - 1 - k);
        let around = || list[k - half..=k + half].iter().zip(&weights[half]);
        At {
            time_s: at.time_s,
            drop_m: around().map(|(at, weight)| weight * at.drop_m).sum(),
            turn_rad: around().map(|(at, weight)| weight * at.turn_rad).sum(),
        }
    };
    list.iter().enumerate().map(smoothed).collect()
}

/// What each of `half` steps on either side adds to the middle of their parabola.
fn parabola_weights(half: usize) -> Vec<f64> {
    let m = half as f64;
    let whole = (2.0 * m - 1.0) * (2.0 * m + 1.0) * (2.0 * m + 3.0) / 3.0;
    let weight = |k: usize| (3.0 * m * (m + 1.0) - 1.0 - 5.0 * (k as f64 - m).powi(2)) / whole;
    (0..=2 * half).map(weight).collect()
}

/// When a value has risen by `rise` above its lowest, after it; the list runs backwards.
fn start(list: &[At], value: impl Fn(&At) -> f64, rise: f64) -> Option<f64> {
    let lowest = (0..list.len()).rev().min_by(|a, b| value(&list[*a]).total_cmp(&value(&list[*b])))?;
    let goal = value(&list[lowest]) + rise;
    let k = (0..lowest).rev().find(|k| value(&list[*k]) >= goal)?;
    let (before, after) = (&list[k + 1], &list[k]);
    let share = (goal - value(before)) / (value(after) - value(before));
    Some(before.time_s + share * (after.time_s - before.time_s))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Weights of 7 points: tables of Savitzky and Golay (from memory).
    #[test]
    fn smoothing_leaves_parabolas_and_has_the_weights_of_the_tables() {
        let table = [-2.0, 3.0, 6.0, 7.0, 6.0, 3.0, -2.0].map(|weight| weight / 21.0);
        assert!(parabola_weights(3).iter().zip(table).all(|(ours, theirs)| (ours - theirs).abs() < 1e-12));
        let at = |k: u32| At { time_s: -0.01 * f64::from(k), drop_m: f64::from(k * k), turn_rad: 3.0 - f64::from(k) };
        let list: Vec<At> = (0..20).map(at).collect();
        let same = |a: &At, b: &At| (a.drop_m - b.drop_m).abs() < 1e-9 && (a.turn_rad - b.turn_rad).abs() < 1e-9;
        assert!(smooth(&list).iter().zip(&list).all(|(smooth, at)| same(smooth, at)));
    }

    #[test]
    fn a_start_is_interpolated_and_comes_after_the_lowest_value() {
        let list = [(0.3, 4.0), (0.2, 2.0), (0.1, 1.0), (0.0, 5.0)];
        let list = list.map(|(time_s, drop_m)| At { time_s, drop_m, turn_rad: 0.0 });
        assert!((start(&list, |at| at.drop_m, 2.0).unwrap() - 0.25).abs() < 1e-12);
        assert_eq!(start(&list, |at| at.drop_m, 3.5), None);
    }
}
