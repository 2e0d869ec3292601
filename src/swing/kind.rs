//! Guesses about what was swung and how: club and kind of swing.

use super::{BodyPoint, InstantName, Swing};
use crate::settings::{Club, SwingKind};
use crate::signal::median;

/// A downswing longer than this is a drill, seconds (a full one takes about a quarter of a second; common practice).
const DRILL_DOWNSWING_S: f64 = 0.45;
/// A rest at the top with a larger 1 SD than this is a pause, seconds.
const PAUSE_SD_S: f64 = 0.05;
/// Distance from mid-hands to the club head, metres, up to which a club is a wedge, an iron, a fairway wood (assumed
/// from usual club lengths less the part above the mid-hands).
const REACH_M: [(f64, Club); 3] = [(0.78, Club::Wedge), (0.90, Club::Iron), (0.99, Club::FairwayWood)];

/// The club by its length, where the head is tracked; `None` where it is not.
pub(super) fn club(swing: &Swing) -> Option<Club> {
    let head = swing.body.get(&BodyPoint::ClubHead)?;
    let reach =
        median(head.iter().zip(&swing.hands).map(|(a, b)| (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()))?;
    Some(REACH_M.into_iter().find(|(longest, _)| reach < *longest).map_or(Club::Driver, |(_, club)| club))
}

/// The kind of swing by its course: several tops or a long rest, a slow downswing, hands that stay below the shoulders.
pub(super) fn kind(swing: &Swing, earlier_tops: usize) -> SwingKind {
    let time = |name| swing.instant(name).map(|instant| instant.time_s);
    let top = swing.instant(InstantName::Top);
    let downswing = time(InstantName::Top).zip(time(InstantName::Impact)).map(|(from, to)| to - from);
    let below_shoulder = swing.absent.iter().any(|(_, why)| why.key == "swing.hands_below_shoulder");
    if earlier_tops > 0 || top.is_some_and(|top| top.sd_s > PAUSE_SD_S) {
        SwingKind::Pause
    } else if downswing.is_some_and(|seconds| seconds > DRILL_DOWNSWING_S) {
        SwingKind::Drill
    } else if below_shoulder {
        SwingKind::Part
    } else {
        SwingKind::Full
    }
}
