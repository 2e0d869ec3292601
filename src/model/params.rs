//! What a model swing can be told.

use crate::settings::{Club, Hand};

/// Parameters of the model. Lengths are metres, times seconds, angles degrees. `Default` is a full iron swing of a
/// right-hander of 1.80 m who drops the arms while the body turns. Numbers without a source beside them are the
/// model's own choice of a plausible swing.
#[derive(Clone, Debug, PartialEq)]
pub struct ModelParams {
    /// Stature; all bones and the club scale with it. Range 1.0 to 2.2. Default: 1.80.
    pub stature_m: f64,
    /// Hand the player plays. Default: right.
    pub hand: Hand,
    /// Club: length, shaft angle at address, place of the ball. Default: iron.
    pub club: Club,
    /// Start of the takeaway to the nominal top. Default: 0.85 (take-away to top 0.8 to 0.9 s: McTeigue et al. 1994).
    pub backswing_s: f64,
    /// Start of the arms' downswing to impact. Default: 0.26.
    pub downswing_s: f64,
    /// Share of full speed, 0.2 to 1: divides the downswing time, and its root the backswing time. Default: 1.
    pub effort: f64,
    /// Rest at the top. Default: 0.
    pub pause_s: f64,
    /// Pumps: part-way down and up again before the downswing. Default: 0.
    pub pumps: u32,
    /// Waggles of the club before the takeaway. Default: 0.
    pub waggles: u32,
    /// Forward press: the hands move this far towards the target before the takeaway. Default: 0.
    pub press_m: f64,
    /// Stillness before the takeaway (after waggle and press). Default: 0.7.
    pub still_s: f64,
    /// Stillness after the follow-through. Default: 0.5.
    pub hold_s: f64,
    /// Swings in the recording. Default: 1.
    pub swings: u32,
    /// Turn of the thorax about its long axis at the top. Default: 88.
    pub turn_deg: f64,
    /// Turn of the pelvis at the top. Default: 42.
    pub pelvis_turn_deg: f64,
    /// How long before the arms the trunk starts to unwind. Default: 0.05; negative: the arms start first.
    pub trunk_lead_s: f64,
    /// The thorax waits this much longer before it unwinds, at full speed; less than half of the downswing. Default: 0.
    pub trunk_wait_s: f64,
    /// Forward bend lost on the way to the top, so that the trunk turns down about a more upright axis. Default: 0.
    pub flat_deg: f64,
    /// The arms themselves throw the hands this far outward between the top and the middle of the downswing (and
    /// back until impact), on top of what they do otherwise. Negative: they hold them back. Default: 0.
    pub throw_m: f64,
    /// Same, downwards. Default: 0.
    pub drop_m: f64,
    /// The trunk shifts this far towards the ball line early in the downswing. Default: 0.
    pub lunge_m: f64,
    /// The trunk tips this far towards the ball early in the downswing, and back until impact. Default: 0.
    pub tip_deg: f64,
    /// Hands at the top farther from the ball line than usual (deeper). Negative: nearer. Default: 0.
    pub top_depth_m: f64,
    /// Hands at the top higher than usual. Default: 0.
    pub top_up_m: f64,
    /// Hands at the top nearer the target (across) than usual. Default: 0.
    pub top_across_m: f64,
    /// The recording starts this long before the nominal top. Default: absent (it starts still at address).
    pub start_before_top_s: Option<f64>,
    /// The recording stops this long before impact. Default: absent.
    pub stop_before_impact_s: Option<f64>,
    /// Is a ball there? Without one it is a practice swing through the same place. Default: true.
    pub ball: bool,
    /// Swing-to-swing variation; 1: SD of about 1 cm at the top and 3 mm at impact, 0: none. Default: 0. (That
    /// variability falls from the top to impact: Horan et al. 2011, abstract; the sizes are the model's choice.)
    pub variation: f64,
    /// Seed of the variation. Default: 1.
    pub seed: u64,
}

impl Default for ModelParams {
    fn default() -> Self {
        ModelParams {
            stature_m: 1.80,
            hand: Hand::Right,
            club: Club::Iron,
            backswing_s: 0.85,
            downswing_s: 0.26,
            effort: 1.0,
            pause_s: 0.0,
            pumps: 0,
            waggles: 0,
            press_m: 0.0,
            still_s: 0.7,
            hold_s: 0.5,
            swings: 1,
            turn_deg: 88.0,
            pelvis_turn_deg: 42.0,
            trunk_lead_s: 0.05,
            trunk_wait_s: 0.0,
            flat_deg: 0.0,
            throw_m: 0.0,
            drop_m: 0.0,
            lunge_m: 0.0,
            tip_deg: 0.0,
            top_depth_m: 0.0,
            top_up_m: 0.0,
            top_across_m: 0.0,
            start_before_top_s: None,
            stop_before_impact_s: None,
            ball: true,
            variation: 0.0,
            seed: 1,
        }
    }
}

/// Bone lengths and club of one player, metres.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// Mid-hip to mid-shoulder: 0.288 of stature.
    pub trunk: f64,
    /// Mid-shoulder to each shoulder joint: 0.103 of stature.
    pub half_shoulders: f64,
    /// Shoulder to elbow: 0.186 of stature.
    pub upper_arm: f64,
    /// Elbow to wrist: 0.146 of stature.
    pub forearm: f64,
    /// Elbow to the middle of the fist: forearm and half a hand, 0.200 of stature, one rigid bone.
    pub lower_arm: f64,
    /// Mid-hip to each hip joint: 0.0955 of stature.
    pub half_hips: f64,
    /// Hip to knee: 0.245 of stature.
    pub thigh: f64,
    /// Knee to ankle: 0.246 of stature.
    pub shank: f64,
    /// Ankle over the floor: 0.039 of stature.
    pub ankle: f64,
    /// Half the distance of the hands along the grip, 0.042 for 1.80 m.
    pub half_grip: f64,
    /// Mid-grip to the club head.
    pub club: f64,
    /// Shaft over the ground at address, radians.
    pub shaft_rad: f64,
    /// Size factor: stature over 1.80 m.
    pub scale: f64,
}

impl Build {
    /// Segment shares of stature after Drillis and Contini 1966 (from memory); half the shoulder width is smaller than
    /// theirs, because the model's shoulders are joint centres. Club lengths and shaft angles: common practice.
    pub fn new(stature_m: f64, club: Club) -> Self {
        let (club_m, shaft_deg) = match club {
            Club::Driver => (1.01, 50.0_f64),
            Club::FairwayWood => (0.94, 54.0),
            Club::Iron => (0.82, 58.0),
            Club::Wedge => (0.77, 62.0),
        };
        let scale = stature_m / 1.80;
        Build {
            trunk: 0.288 * stature_m,
            half_shoulders: 0.103 * stature_m,
            upper_arm: 0.186 * stature_m,
            forearm: 0.146 * stature_m,
            lower_arm: 0.200 * stature_m,
            half_hips: 0.0955 * stature_m,
            thigh: 0.245 * stature_m,
            shank: 0.246 * stature_m,
            ankle: 0.039 * stature_m,
            half_grip: 0.042 * scale,
            club: club_m * scale,
            shaft_rad: shaft_deg.to_radians(),
            scale,
        }
    }

    /// Longest shoulder-to-fist distance.
    pub fn reach(&self) -> f64 {
        self.upper_arm + self.lower_arm
    }
}
