//! A calibration pose that some exporters put before the recorded motion.

use super::motion::Motion;
use super::skeleton::{Channel, Skeleton};
use crate::formats::{Track, is_gap};

/// A cut from a calibration pose into the motion moves the joints by this share of the body's extent on average.
/// Smaller steps may be noise or the start of a movement, and keeping such a row does no harm.
const STEP_SHARE: f64 = 0.05;

/// Such a step is also this many times the greatest of the steps that follow. Recorded motion, even one that starts in
/// full swing, does not slow down so much within one row and then stay slow.
const STEP_RATIO: f64 = 10.0;

/// The same where every rotation is zero up to the step: that pose is a rest pose already, so less proof is needed; but
/// a model that rests in its address pose and starts to move smoothly keeps its rows.
const STEP_RATIO_FROM_ZERO: f64 = 2.0;

/// Following steps that the step is compared with: enough to hold the motion's usual speed.
const STEPS_COMPARED: usize = 30;

/// With fewer following steps, a pose that is not all zero is kept.
const STEPS_NEEDED: usize = 4;

/// Number of leading rows that hold a calibration pose: the rows before the first rotation, else one row, where the
/// body leaves it by a jump out of proportion to the following steps. Less than the number of rows.
pub(super) fn leading_rows(skeleton: &Skeleton, motion: &Motion<'_>, tracks: &[Track]) -> usize {
    let rows = motion.rows();
    let still = rows_before_rotation(skeleton, motion);
    if still >= rows || rows < 2 {
        return 0;
    }
    let (pose, ratio) = if still > 0 { (still, STEP_RATIO_FROM_ZERO) } else { (1, STEP_RATIO) };
    let following = (pose..rows - 1).take(STEPS_COMPARED);
    if still == 0 && following.len() < STEPS_NEEDED {
        return 0;
    }
    let jump = step(tracks, pose - 1);
    let usual = following.map(|row| step(tracks, row)).fold(0.0, f64::max);
    if jump > STEP_SHARE * extent(tracks, pose) && jump > ratio * usual { pose } else { 0 }
}

fn rows_before_rotation(skeleton: &Skeleton, motion: &Motion<'_>) -> usize {
    let channels = || skeleton.joints.iter().flat_map(|joint| &joint.channels);
    let turns = |row: &[f64]| {
        let rotation = |(channel, value): (&Channel, &f64)| matches!(channel, Channel::Rotation(_)) && *value != 0.0;
        channels().zip(row).any(rotation)
    };
    motion.each_row().take_while(|row| !turns(row)).count()
}

/// Mean distance that the points move from a row to the next, relative to the first root.
fn step(tracks: &[Track], row: usize) -> f64 {
    let moved = tracks.iter().map(|track| distance(from_root(tracks, track, row), from_root(tracks, track, row + 1)));
    let (sum, count) = moved.filter(|d| d.is_finite()).fold((0.0, 0.0), |(sum, count), d| (sum + d, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}

/// Greatest distance of a point from the first root.
fn extent(tracks: &[Track], row: usize) -> f64 {
    let far = tracks.iter().map(|track| distance(from_root(tracks, track, row), [0.0; 3]));
    far.filter(|d| d.is_finite()).fold(0.0, f64::max)
}

fn from_root(tracks: &[Track], track: &Track, row: usize) -> [f64; 3] {
    let (point, root) = (track.points[row], tracks[0].points[row]);
    std::array::from_fn(|axis| point[axis] - root[axis])
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    if is_gap(&a) || is_gap(&b) {
        return f64::NAN;
    }
    (0..3).map(|axis| (a[axis] - b[axis]).powi(2)).sum::<f64>().sqrt()
}
