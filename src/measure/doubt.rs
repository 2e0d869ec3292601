//! Values that no usual swing has: warnings, with the source of each limit.

use super::Measure;
use crate::settings::SwingKind;
use crate::swing::Swing;
use crate::words::Message;

/// A plane through the lead arm lies at 47 degrees when the downswing starts and at 78 at impact (Coleman and Rankin
/// 2005, abstract, n = 7; acute angles derived from it). The limit is ours, and wide.
const FLATTEST_PLANE_DEG: f64 = 35.0;
/// Peak hand speeds are about 7 to 11 m/s (from memory). The limit is ours, and wide.
const FASTEST_HANDS_M_S: f64 = 15.0;
/// Low-handicap players reach 40 to 58 m/s with the driver (MacKenzie, Ryan and Rice 2015, n = 18). The limit is ours.
const FASTEST_HEAD_M_S: f64 = 60.0;
/// The backswing takes about three times as long as the downswing (Grober and Cholewicki 2006, a preprint). The limits
/// are ours.
const RATIOS: std::ops::RangeInclusive<f64> = 1.5..=5.0;
/// Shoulder to fingertip: 0.44 of stature (Drillis and Contini 1966, from memory).
const LONGEST_REACH: f64 = 0.44;

/// What is hard to believe about a swing's measures.
pub fn doubts(swing: &Swing, measures: &[Measure]) -> Vec<Message> {
    let value = |name: &str| measures.iter().find(|measure| measure.name == name).and_then(|measure| measure.value);
    let full = swing.kind == SwingKind::Full;
    let reach = swing.size.reach_m.zip(swing.size.stature_m).map(|(reach, stature)| reach / stature);
    let plane = value("hand plane, inclination").filter(|angle| *angle < FLATTEST_PLANE_DEG);
    let hands = value("hand speed, peak").filter(|speed| *speed > FASTEST_HANDS_M_S);
    let head = value("club head speed, at impact").filter(|speed| *speed > FASTEST_HEAD_M_S);
    let ratio = value("backswing to downswing ratio").filter(|ratio| full && !RATIOS.contains(ratio));
    [
        plane.map(|angle| Message::new("measure.doubt_plane").with("angle", angle)),
        hands.map(|speed| Message::new("measure.doubt_hands").with("speed", speed)),
        head.map(|speed| Message::new("measure.doubt_head").with("speed", speed)),
        ratio.map(|ratio| Message::new("measure.doubt_ratio").with("ratio", ratio)),
        reach
            .filter(|reach| *reach > LONGEST_REACH)
            .map(|reach| Message::new("measure.doubt_reach").with("share", reach)),
    ]
    .into_iter()
    .flatten()
    .collect()
}
