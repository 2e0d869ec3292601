//! A swing to try: a few sliders, and the recording of a player who swings that way.

use super::{ModelParams, Motion, SampleOptions, reference, sample};
use crate::formats::write::{C3dOptions, c3d};

/// A slider: what it changes, and how far it goes. Within all ranges together the model stays plausible: its hands reach
/// every place, and all instants are found (a test tries the corners).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slider {
    /// Documented name.
    pub name: &'static str,
    /// Least value, in its unit: metres, seconds, or a share.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// By how much a press of a key changes it.
    pub step: f64,
    /// Where it stands at first.
    pub start: f64,
}

const fn slider(name: &'static str, [low, high]: [f64; 2], step: f64, start: f64) -> Slider {
    Slider { name, low, high, step, start }
}

/// The sliders, in the order of the values that [`trial`] takes:
///
/// | name | unit | from | to |
/// | --- | --- | --- | --- |
/// | carrier | share | the arms move the hands out, the trunk hardly turns | the turning body carries them |
/// | depth | m | hands at the top nearer the ball line | deeper, away from it |
/// | opening | s | the trunk unwinds after the arms | before them |
/// | drop | m | the arms do not drop by themselves | they drop more |
/// | hold | m | the arms let themselves be carried | they hold the hands back |
///
/// All sizes are the model's own choice.
pub const SLIDERS: [Slider; 5] = [
    slider("carrier", [0.0, 1.0], 0.05, 0.9),
    slider("depth", [-0.06, 0.06], 0.01, 0.0),
    slider("opening", [0.0, 0.1], 0.01, 0.05),
    slider("drop", [-0.06, 0.06], 0.01, 0.0),
    slider("hold", [0.0, 0.12], 0.01, 0.0),
];

/// The player of a trial; values beyond a range count as its end, missing ones as the start.
pub fn trial(values: &[f64]) -> ModelParams {
    let value = |at: usize| {
        let Slider { low, high, start, .. } = SLIDERS[at];
        values.get(at).copied().filter(|value| value.is_finite()).unwrap_or(start).clamp(low, high)
    };
    let [carrier, depth, opening, drop, hold] = [0, 1, 2, 3, 4].map(value);
    let between = |arms: f64, body: f64| arms + (body - arms) * carrier;
    ModelParams {
        stature_m: 1.76,
        backswing_s: 0.9,
        downswing_s: 0.28,
        turn_deg: between(20.0, 90.0),
        pelvis_turn_deg: between(10.0, 42.0),
        trunk_wait_s: between(0.08, 0.0),
        trunk_lead_s: opening,
        throw_m: between(0.14, 0.0) - hold,
        drop_m: drop,
        top_depth_m: between(-0.1, 0.0) + depth,
        ..ModelParams::default()
    }
}

/// Seconds kept before the takeaway and after impact.
const BEFORE_S: f64 = 0.4;
const AFTER_S: f64 = 0.45;

/// Frames per second: as fine as the page's curves need.
const RATE_HZ: f64 = 200.0;

/// The recording of a player as a file (C3D); empty where the bones do not allow it.
pub fn recorded(params: &ModelParams) -> Vec<u8> {
    let motion = Motion::new(params);
    let Some(times) = motion.times.first() else { return vec![] };
    let window_s = Some([(times.takeaway_s - BEFORE_S).max(0.0), times.impact_s + AFTER_S]);
    let options = SampleOptions { rate_hz: RATE_HZ, window_s, ..SampleOptions::default() };
    sample(&motion, params, &options).map_or(vec![], |recording| c3d(&recording, &C3dOptions::default()))
}

/// The player that a trial is held against where there is no reference.
pub fn trial_reference() -> ModelParams {
    ModelParams { variation: 0.0, ..reference('A') }
}
