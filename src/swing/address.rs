//! Address: the last still interval before the takeaway, a separate file, or the earliest usable frame.

use super::coarse::{Downswing, Trace};
use super::markers::Markers;
use crate::body::Landmarks;
use crate::formats::{Point, is_gap};
use crate::roles::Role;
use crate::signal::{Curve, LowPass, Noise};
use std::ops::Range;

/// Hand speed under which a player stands still, m/s (assumed: sway and waggle-free address stay well below).
pub const STILL_M_S: f64 = 0.10;
/// Shortest still interval that is an address, seconds.
const STILL_S: f64 = 0.1;
/// Stillness is judged on hands filtered at this cut-off, Hz: noise speed grows with the cut-off to the power 1.5.
const CALM_HZ: f64 = 5.0;
/// Hands nearer the ball than this share of the way from the lowest point to the top are at address, not at the top.
const NEAR_BALL: f64 = 0.45;

/// How the address was found.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum AddressSource {
    SeparateFile,
    Still(Range<usize>),
    Earliest(usize),
}

impl AddressSource {
    /// Documented words.
    pub(super) fn name(&self) -> &'static str {
        match self {
            AddressSource::SeparateFile => "separate address file",
            AddressSource::Still(_) => "still interval",
            AddressSource::Earliest(_) => "assumed: earliest usable frame",
        }
    }
}

/// Pose and hands at address, metres, file axes.
#[derive(Clone, Debug)]
pub(super) struct Address {
    pub(super) source: AddressSource,
    pub(super) pose: Landmarks,
    /// `None` where the recording starts after the takeaway and no address file is given.
    pub(super) hands: Option<Point>,
}

impl Address {
    /// Negates one file axis.
    pub(super) fn mirror(&mut self, axis: usize) {
        self.pose = self.pose.mirrored(axis);
        if let Some(hands) = self.hands.as_mut() {
            hands[axis] = -hands[axis];
        }
    }
}

/// Hand speed after heavy filtering, and the speed under which it counts as still.
pub(super) struct Calm {
    pub(super) speed: Vec<f64>,
    pub(super) still_m_s: f64,
}

impl Calm {
    pub(super) fn of(markers: &Markers) -> Calm {
        let grid = &markers.grid;
        let filtered = LowPass::new(CALM_HZ, grid.rate_hz).map(|filter| filter.apply(&markers.hands_raw));
        let speed = Curve::new(grid, filtered.as_ref().unwrap_or(&markers.hands_raw)).speeds(&grid.time_s);
        let noise = Noise::after_filter(markers.noise_m, CALM_HZ, grid.rate_hz).velocity_m_s;
        // Four times the noise of one coordinate covers the length of a 3-D noise vector.
        Calm { speed, still_m_s: STILL_M_S.max(4.0 * noise) }
    }

    fn is_still(&self, k: usize) -> bool {
        self.speed[k] < self.still_m_s
    }

    /// Still intervals of at least [`STILL_S`] that begin before `end`.
    fn intervals(&self, end: usize, step_s: f64) -> Vec<Range<usize>> {
        let mut found = Vec::new();
        let mut k = 0;
        while k < end {
            let start = k;
            while k < end && self.is_still(k) {
                k += 1;
            }
            if (k - start) as f64 * step_s >= STILL_S {
                found.push(start..k);
            }
            k += 1;
        }
        found
    }

    /// The last time before `top` at which the hands leave stillness near the ball; between samples.
    pub(super) fn takeaway(&self, trace: &Trace, swing: &Downswing, from: usize) -> Option<f64> {
        let leaves = (from + 1..=swing.top)
            .rev()
            .find(|&k| self.is_still(k - 1) && self.speed[k] >= self.still_m_s && near_ball(trace, swing, k))?;
        let (before, after) = (self.speed[leaves - 1], self.speed[leaves]);
        Some(leaves as f64 - 1.0 + (self.still_m_s - before) / (after - before))
    }
}

/// Are the hands at sample `k` near their lowest point, not near the top? (No, in a gap.)
pub(super) fn near_ball(trace: &Trace, swing: &Downswing, k: usize) -> bool {
    trace.distance(k, swing.low) < NEAR_BALL * trace.distance(swing.top, swing.low)
}

/// The address of this swing, from `from` (end of the swing before, or 0).
pub(super) fn find(
    markers: &Markers,
    trace: &Trace,
    calm: &Calm,
    swing: &Downswing,
    from: usize,
    separate: Option<&Markers>,
) -> Address {
    if let Some(file) = separate {
        let pose = Landmarks::median_over(&file.raw, 0..file.grid.len());
        let hands = crate::signal::median_point(&file.hands_raw);
        return Address { source: AddressSource::SeparateFile, pose, hands };
    }
    let still = calm
        .intervals(swing.top, trace.step_s)
        .into_iter()
        .rfind(|range| range.start >= from && near_ball(trace, swing, (range.start + range.end - 1) / 2));
    if let Some(range) = still {
        let pose = Landmarks::median_over(&markers.raw, range.clone());
        let hands = crate::signal::median_point(&markers.hands_raw[range.clone()]);
        return Address { source: AddressSource::Still(range), pose, hands };
    }
    let first = (from..swing.top).find(|k| !is_gap(&markers.hands[*k])).unwrap_or(swing.top);
    let pose = earliest_pose(markers, first, swing.top);
    let hands = near_ball(trace, swing, first).then(|| markers.hands[first]);
    Address { source: AddressSource::Earliest(first), pose, hands }
}

/// Every role at its first usable sample from `first` on: feet are planted, so a late marker still tells.
fn earliest_pose(markers: &Markers, first: usize, top: usize) -> Landmarks {
    let mut pose = Landmarks::default();
    for (role, points) in &markers.smooth {
        if let Some(point) = points[first..=top].iter().find(|p| !is_gap(p)) {
            pose.insert(*role, *point);
        }
    }
    pose
}

/// Distance between both hands (or wrists) per sample, where both are tracked.
pub(super) fn hands_apart(markers: &Markers) -> Option<Vec<f64>> {
    let pair = |a, b| markers.smooth.get(&a).zip(markers.smooth.get(&b));
    let (left, right) = pair(Role::LeftHand, Role::RightHand).or_else(|| pair(Role::LeftWrist, Role::RightWrist))?;
    Some(left.iter().zip(right).map(|(a, b)| (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()).collect())
}
