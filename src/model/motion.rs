//! The swing as functions of time: trunk, arms and club, each given by its own channels.
//!
//! Body-relative frame `[out, target, up]`, a right-hander's (a left-hander is mirrored when sampled).
//!
//! - Mid-hip `p`: three channels.
//! - Thorax `R = Ry(bend) Rx(side) Rz(turn)`, columns forward, lead and long axis; mid-shoulder `o = p + R (0, 0, trunk)`,
//!   so that the shoulder line and the mid-hip-to-mid-shoulder line are exact axes. The pelvis turns likewise about `p`.
//! - Mid-hands in the thorax frame: `r = lead shoulder + reach * unit(reach * d + push)` with
//!   `d = (cos lift cos across, -cos lift sin across, sin lift)`: a push moves the hands without stretching the lead arm.
//! - Mid-hands `h = o + R r`.
//! - Club direction `c = cos(swing) (cos slope, 0, -sin slope) + sin(swing) (0, 1, 0)`.

use super::params::{Build, ModelParams};
use super::smooth::Channel;
use crate::settings::Club;
use crate::signal::Random;
use nalgebra::{Matrix3, Rotation3, Vector3};

/// Vector in the body-relative frame, or in the thorax frame where said so.
pub type V = Vector3<f64>;

/// Nominal times of one swing, seconds from the start of the model's time. The instants of the trade are defined in
/// [`super::Truth`]; these are where the steps begin and end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Times {
    /// Stillness begins.
    pub still_s: f64,
    /// Takeaway begins.
    pub takeaway_s: f64,
    /// Backswing ends.
    pub top_s: f64,
    /// The arms' downswing begins (later than the top after a pause or a pump).
    pub down_s: f64,
    /// Club head meets the ball.
    pub impact_s: f64,
    /// Follow-through ends.
    pub finish_s: f64,
    /// The hold at the finish ends.
    pub end_s: f64,
}

/// Three angles of a segment.
#[derive(Clone, Debug, Default)]
pub(super) struct Angles {
    bend: Channel,
    side: Channel,
    turn: Channel,
}

impl Angles {
    fn at_rest([bend, side, turn]: [f64; 3]) -> Self {
        let [bend, side, turn] = [bend, side, turn].map(|angle| Channel::at_rest(angle.to_radians()));
        Angles { bend, side, turn }
    }

    fn rotation(&self, t_s: f64) -> Matrix3<f64> {
        let [bend, side, turn] = [&self.bend, &self.side, &self.turn].map(|c| c.value(t_s));
        let about = |axis, angle| Rotation3::from_axis_angle(&axis, angle);
        (about(V::y_axis(), bend) * about(V::x_axis(), side) * about(V::z_axis(), turn)).into_inner()
    }

    /// Angular velocity, rad/s, in the body-relative frame.
    fn spin(&self, t_s: f64) -> V {
        let bend = Rotation3::from_axis_angle(&V::y_axis(), self.bend.value(t_s));
        let tilt = bend * Rotation3::from_axis_angle(&V::x_axis(), self.side.value(t_s));
        V::y() * self.bend.rate(t_s) + bend * V::x() * self.side.rate(t_s) + tilt * V::z() * self.turn.rate(t_s)
    }

    fn to(&mut self, from_s: f64, to_s: f64, [bend, side, turn]: [f64; 3]) {
        self.bend.to(from_s, to_s, bend.to_radians());
        self.side.to(from_s, to_s, side.to_radians());
        self.turn.to(from_s, to_s, turn.to_radians());
    }

    fn through(&mut self, from_s: f64, at_s: f64, to_s: f64, [bend, side, turn]: [f64; 3]) {
        self.bend.through(from_s, at_s, to_s, bend.to_radians());
        self.side.through(from_s, at_s, to_s, side.to_radians());
        self.turn.through(from_s, at_s, to_s, turn.to_radians());
    }
}

/// Mid-hands relative to the thorax.
#[derive(Clone, Debug, Default)]
pub(super) struct Arms {
    across: Channel,
    lift: Channel,
    reach: Channel,
    push: [Channel; 3],
}

impl Arms {
    fn direction(&self, t_s: f64) -> V {
        let (across, lift) = (self.across.value(t_s), self.lift.value(t_s));
        V::new(lift.cos() * across.cos(), -lift.cos() * across.sin(), lift.sin())
    }

    /// Before the reach is restored: what the angles say, pushed aside.
    fn pushed(&self, t_s: f64) -> V {
        self.direction(t_s) * self.reach.value(t_s) + V::from_fn(|i, _| self.push[i].value(t_s))
    }

    fn place(&self, t_s: f64, lead_shoulder: V) -> V {
        lead_shoulder + self.pushed(t_s).normalize() * self.reach.value(t_s)
    }

    fn velocity(&self, t_s: f64) -> V {
        let (across, lift) = (self.across.value(t_s), self.lift.value(t_s));
        let (across_rate, lift_rate) = (self.across.rate(t_s), self.lift.rate(t_s));
        let (reach, reach_rate) = (self.reach.value(t_s), self.reach.rate(t_s));
        let turning = V::new(
            -lift.sin() * across.cos() * lift_rate - lift.cos() * across.sin() * across_rate,
            lift.sin() * across.sin() * lift_rate - lift.cos() * across.cos() * across_rate,
            lift.cos() * lift_rate,
        );
        let push = V::from_fn(|i, _| self.push[i].rate(t_s));
        let pushed_rate = self.direction(t_s) * reach_rate + turning * reach + push;
        let pushed = self.pushed(t_s);
        let unit = pushed.normalize();
        unit * reach_rate + (pushed_rate - unit * unit.dot(&pushed_rate)) * (reach / pushed.norm())
    }
}

/// Where arms and club stand at a key moment: `across`, `lift` (radians) and `reach` (metres).
#[derive(Clone, Copy, Debug)]
struct ArmKey {
    across: f64,
    lift: f64,
    reach: f64,
}

impl ArmKey {
    /// From a point in the thorax frame.
    fn of(from_lead_shoulder: V) -> Self {
        let reach = from_lead_shoulder.norm();
        ArmKey {
            across: (-from_lead_shoulder.y).atan2(from_lead_shoulder.x),
            lift: (from_lead_shoulder.z / reach).clamp(-1.0, 1.0).asin(),
            reach,
        }
    }
}

/// The whole recording as functions of time.
#[derive(Clone, Debug)]
pub struct Motion {
    /// Bones and club.
    pub build: Build,
    /// One entry per swing.
    pub times: Vec<Times>,
    /// Ball centre per swing.
    pub balls: Vec<V>,
    pub(super) mid_hip: [Channel; 3],
    pub(super) pelvis: Angles,
    pub(super) thorax: Angles,
    pub(super) arms: Arms,
    pub(super) club_swing: Channel,
    pub(super) club_slope: Channel,
    pub(super) heel: Channel,
}

/// Swing-to-swing variation of one swing, drawn once.
struct Draw {
    top: V,
    throw_m: f64,
    turn_deg: f64,
    tempo: f64,
    impact: V,
    address: V,
}

impl Draw {
    fn new(random: &mut Random, size: f64) -> Self {
        let mut normal = |sd: f64| sd * size * random.normal();
        Draw {
            top: V::new(normal(0.009), normal(0.009), normal(0.009)),
            throw_m: normal(0.006),
            turn_deg: normal(1.0),
            tempo: 1.0 + normal(0.015),
            impact: V::new(0.0, normal(0.003), normal(0.002)),
            address: V::new(normal(0.002), normal(0.002), 0.0),
        }
    }
}

/// Plays out one swing on the channels of a [`Motion`].
struct Play<'a> {
    motion: &'a mut Motion,
    params: &'a ModelParams,
    draw: Draw,
    at: Times,
}

/// Turn and bend of the trunk at the ends of the movement, degrees: bend, side, turn.
const PELVIS_ADDRESS: [f64; 3] = [14.0, 1.0, 0.0];
const PELVIS_IMPACT: [f64; 3] = [6.0, 4.0, 38.0];
const PELVIS_FINISH: [f64; 3] = [2.0, 3.0, 86.0];
const THORAX_FINISH: [f64; 3] = [4.0, 8.0, 105.0];
/// Seconds between the end of one swing and stillness before the next.
const RETURN_S: f64 = 1.6;
/// Seconds of one pump, down and up again.
const PUMP_S: f64 = 1.0;

impl Motion {
    /// Lays out the recording that the parameters ask for.
    pub fn new(params: &ModelParams) -> Self {
        let build = Build::new(params.stature_m, params.club);
        let scale = build.scale;
        let sway = |centre: f64, phase: f64| Channel::at_rest(centre).with_sway(0.0012 * scale, 2.0 + phase, phase);
        let mut motion = Motion {
            mid_hip: [sway(-0.11 * scale, 0.3), sway(0.04 * scale, 1.1), Channel::at_rest(0.905 * scale)],
            pelvis: Angles::at_rest(PELVIS_ADDRESS),
            thorax: Angles::at_rest(thorax_address(params.club)),
            arms: Arms::default(),
            club_swing: Channel::default(),
            club_slope: Channel::default(),
            heel: Channel::at_rest(0.0),
            times: Vec::new(),
            balls: Vec::new(),
            build,
        };
        let mut random = Random::new(params.seed);
        let mut start_s = 0.0;
        for _ in 0..params.swings.max(1) {
            let draw = Draw::new(&mut random, params.variation);
            let at = Times::of(params, start_s, draw.tempo);
            Play { motion: &mut motion, params, draw, at }.swing();
            motion.times.push(at);
            start_s = at.end_s + RETURN_S;
        }
        motion
    }

    /// Lead shoulder in the thorax frame.
    pub(super) fn lead_shoulder(&self) -> V {
        V::new(0.0, self.build.half_shoulders, 0.0)
    }

    /// Rotation of the thorax: columns forward, lead, long axis.
    pub fn thorax_rotation(&self, t_s: f64) -> Matrix3<f64> {
        self.thorax.rotation(t_s)
    }

    /// Angular velocity of the thorax, rad/s.
    pub fn thorax_spin(&self, t_s: f64) -> V {
        self.thorax.spin(t_s)
    }

    /// Rotation of the pelvis: columns forward, lead, up.
    pub fn pelvis_rotation(&self, t_s: f64) -> Matrix3<f64> {
        self.pelvis.rotation(t_s)
    }

    /// Mid-hip.
    pub fn mid_hip(&self, t_s: f64) -> V {
        V::from_fn(|i, _| self.mid_hip[i].value(t_s))
    }

    /// Velocity of mid-hip, m/s.
    pub fn mid_hip_velocity(&self, t_s: f64) -> V {
        V::from_fn(|i, _| self.mid_hip[i].rate(t_s))
    }

    /// Mid-shoulder `o`.
    pub fn mid_shoulder(&self, t_s: f64) -> V {
        self.mid_hip(t_s) + self.thorax_rotation(t_s) * V::z() * self.build.trunk
    }

    /// Mid-hands in the thorax frame, `r`.
    pub fn hands_in_thorax(&self, t_s: f64) -> V {
        self.arms.place(t_s, self.lead_shoulder())
    }

    /// `dr/dt`, thorax frame, m/s.
    pub fn hands_in_thorax_velocity(&self, t_s: f64) -> V {
        self.arms.velocity(t_s)
    }

    /// Mid-hands `h = o + R r`.
    pub fn hands(&self, t_s: f64) -> V {
        self.mid_shoulder(t_s) + self.thorax_rotation(t_s) * self.hands_in_thorax(t_s)
    }

    /// `dh/dt`, m/s: `dp/dt + w x (h - p) + R dr/dt`.
    pub fn hands_velocity(&self, t_s: f64) -> V {
        let carried = self.thorax_spin(t_s).cross(&(self.hands(t_s) - self.mid_hip(t_s)));
        self.mid_hip_velocity(t_s) + carried + self.thorax_rotation(t_s) * self.hands_in_thorax_velocity(t_s)
    }

    /// Speed of the mid-hands, m/s.
    pub fn hand_speed(&self, t_s: f64) -> f64 {
        self.hands_velocity(t_s).norm()
    }

    /// Direction from mid-grip to club head, unit.
    pub fn club_direction(&self, t_s: f64) -> V {
        let (swing, slope) = (self.club_swing.value(t_s), self.club_slope.value(t_s));
        V::new(swing.cos() * slope.cos(), swing.sin(), -swing.cos() * slope.sin())
    }

    /// Normal of the plane in which the club swings, unit: square to the target line and to the slope.
    pub fn club_plane(&self, t_s: f64) -> V {
        let slope = self.club_slope.value(t_s);
        V::new(slope.sin(), 0.0, slope.cos())
    }

    /// Club head.
    pub fn club_head(&self, t_s: f64) -> V {
        self.hands(t_s) + self.club_direction(t_s) * self.build.club
    }

    /// Velocity of the club head, m/s.
    pub fn club_head_velocity(&self, t_s: f64) -> V {
        let (swing, slope) = (self.club_swing.value(t_s), self.club_slope.value(t_s));
        let by_swing = V::new(-swing.sin() * slope.cos(), swing.cos(), swing.sin() * slope.sin());
        let by_slope = V::new(-swing.cos() * slope.sin(), 0.0, -swing.cos() * slope.cos());
        let turning = by_swing * self.club_swing.rate(t_s) + by_slope * self.club_slope.rate(t_s);
        self.hands_velocity(t_s) + turning * self.build.club
    }

    /// First and last time of the recording that the parameters ask for.
    pub fn window(&self, params: &ModelParams) -> [f64; 2] {
        let (first, last) = (self.times[0], self.times[self.times.len() - 1]);
        let start = params.start_before_top_s.map_or(0.0, |before| (first.top_s - before).max(0.0));
        [start, params.stop_before_impact_s.map_or(last.end_s, |before| last.impact_s - before)]
    }
}

/// Thorax at address, degrees: the longer the club, the more upright; the trail shoulder lower and a little forward.
fn thorax_address(club: Club) -> [f64; 3] {
    let bend = match club {
        Club::Driver => 32.0,
        Club::FairwayWood => 34.0,
        Club::Iron => 35.0,
        Club::Wedge => 37.0,
    };
    [bend, 9.0, 8.0]
}

/// Thorax at impact, degrees: side bend away from the target, opened towards it.
fn thorax_impact(club: Club) -> [f64; 3] {
    let lost = if matches!(club, Club::Driver | Club::FairwayWood) { 5.0 } else { 2.0 };
    [thorax_address(club)[0] - lost, 16.0, 22.0]
}

/// Where hands and ball are at address, metres for a stature of 1.80 m.
struct SetUp {
    hands_out: f64,
    hands_target: f64,
    ball_target: f64,
    /// Ball's height over its rest on the ground.
    tee: f64,
    /// How much nearer the target the hands are at impact (common practice: irons about 8 cm, driver 4).
    lead: f64,
}

fn set_up(club: Club) -> SetUp {
    let [hands_out, hands_target, ball_target, tee, lead] = match club {
        Club::Driver => [0.45, 0.08, 0.14, 0.025, 0.04],
        Club::FairwayWood => [0.43, 0.05, 0.08, 0.0, 0.06],
        Club::Iron => [0.34, 0.02, 0.03, 0.0, 0.08],
        Club::Wedge => [0.33, 0.01, 0.01, 0.0, 0.08],
    };
    SetUp { hands_out, hands_target, ball_target, tee, lead }
}

/// Height of a resting ball's centre: its radius, metres.
const BALL_RADIUS_M: f64 = 0.021;
/// The hands at impact are this much higher than at address, metres for a stature of 1.80 m.
const IMPACT_RISE_M: f64 = 0.025;

impl Times {
    fn of(params: &ModelParams, start_s: f64, tempo: f64) -> Self {
        let effort = params.effort.clamp(0.2, 1.0);
        let still_s = start_s + f64::from(params.waggles) * 0.9 + if params.press_m == 0.0 { 0.0 } else { 0.4 };
        let takeaway_s = still_s + params.still_s;
        let top_s = takeaway_s + params.backswing_s * tempo / effort.sqrt();
        let down_s = top_s + params.pause_s + f64::from(params.pumps) * PUMP_S;
        let impact_s = down_s + params.downswing_s * tempo / effort;
        let finish_s = impact_s + (0.35 + 0.6 * (impact_s - down_s)).max(0.5);
        Times { still_s, takeaway_s, top_s, down_s, impact_s, finish_s, end_s: finish_s + params.hold_s }
    }

    /// Time of a share of the downswing after its start.
    fn down(&self, share: f64) -> f64 {
        self.down_s + share * (self.impact_s - self.down_s)
    }
}

impl Play<'_> {
    fn swing(mut self) {
        let ball = self.address();
        self.waggle_and_press();
        self.backswing();
        self.pumps();
        self.downswing(ball);
        self.follow_through();
        self.motion.balls.push(ball);
    }

    fn scale(&self) -> f64 {
        self.motion.build.scale
    }

    /// Hands, club swing angle and ball at address, the sway and the variation left out.
    fn stance(&self) -> (V, f64, V) {
        let (scale, build) = (self.scale(), &self.motion.build);
        let place = set_up(self.params.club);
        let from_hands_m = (place.ball_target - place.hands_target) * scale - HEAD_BEHIND_BALL_M;
        let swing = (from_hands_m / build.club).asin();
        let to_head = club_vector(swing, build.shaft_rad) * build.club;
        let up = BALL_RADIUS_M + place.tee * scale - to_head.z;
        let hands = V::new(place.hands_out * scale, place.hands_target * scale, up);
        (hands, swing, hands + to_head + V::y() * HEAD_BEHIND_BALL_M)
    }

    /// Brings everything to address (in the first swing: starts there) and returns the ball's place.
    fn address(&mut self) -> V {
        let (hands, swing, ball) = self.stance();
        let shaft_rad = self.motion.build.shaft_rad;
        let first = self.motion.times.is_empty();
        if !first {
            self.return_to_address();
        }
        let from_s = self.at.still_s - self.lead_in_s();
        let key = self.arm_key(from_s, hands + self.draw.address);
        if first {
            self.start_arms(key, swing);
        } else {
            let (a, b) = (from_s - RETURN_S, from_s);
            self.move_arms([a, b], [a, b], [a, b], key, None);
            self.motion.club_swing.to(a, b, swing);
            self.motion.club_slope.to(a, b, shaft_rad);
        }
        ball
    }

    /// Waggle and press come before the stillness.
    fn lead_in_s(&self) -> f64 {
        f64::from(self.params.waggles) * 0.9 + if self.params.press_m == 0.0 { 0.0 } else { 0.4 }
    }

    fn return_to_address(&mut self) {
        let to_s = self.at.still_s - self.lead_in_s();
        let from_s = to_s - RETURN_S;
        let scale = self.scale();
        for (channel, value) in self.motion.mid_hip.iter_mut().zip([-0.11, 0.04, 0.905]) {
            channel.to(from_s, to_s, value * scale);
        }
        self.motion.pelvis.to(from_s, to_s, PELVIS_ADDRESS);
        self.motion.thorax.to(from_s, to_s, thorax_address(self.params.club));
        self.motion.heel.to(from_s, to_s, 0.0);
    }

    fn start_arms(&mut self, key: ArmKey, swing: f64) {
        self.motion.arms.across = Channel::at_rest(key.across);
        self.motion.arms.lift = Channel::at_rest(key.lift);
        self.motion.arms.reach = Channel::at_rest(key.reach);
        self.motion.club_swing = Channel::at_rest(swing);
        self.motion.club_slope = Channel::at_rest(self.motion.build.shaft_rad);
    }

    /// The arm angles that put the mid-hands at a place while the trunk is where it is at a time.
    fn arm_key(&self, t_s: f64, hands: V) -> ArmKey {
        let inverse = self.motion.thorax_rotation(t_s).transpose();
        let place = inverse * (hands - self.motion.mid_shoulder(t_s));
        ArmKey::of(place - self.motion.lead_shoulder())
    }

    /// Steps of lift, across and reach to a key; through it at a time where one is given.
    fn move_arms(&mut self, lift: [f64; 2], across: [f64; 2], reach: [f64; 2], key: ArmKey, at_s: Option<f64>) {
        let arms = &mut self.motion.arms;
        let turns = [
            (&mut arms.lift, lift, key.lift),
            (&mut arms.across, across, key.across),
            (&mut arms.reach, reach, key.reach),
        ];
        for (channel, [from_s, to_s], value) in turns {
            match at_s {
                Some(at_s) => channel.through(from_s, at_s, to_s, value),
                None => channel.to(from_s, to_s, value),
            }
        }
    }

    fn waggle_and_press(&mut self) {
        let mut t = self.at.still_s - self.lead_in_s();
        for _ in 0..self.params.waggles {
            for (channel, size) in [
                (&mut self.motion.club_swing, -0.4),
                (&mut self.motion.arms.across, 0.06),
                (&mut self.motion.arms.lift, 0.04),
            ] {
                channel.by(t, t + 0.35, size);
                channel.by(t + 0.4, t + 0.75, -size);
            }
            t += 0.9;
        }
        if self.params.press_m != 0.0 {
            let press = self.params.press_m * self.scale();
            let back = [self.at.takeaway_s, self.at.takeaway_s + 0.4 * (self.at.top_s - self.at.takeaway_s)];
            self.motion.arms.push[1].by(t, t + 0.3, press);
            self.motion.arms.push[1].by(back[0], back[1], -press);
        }
    }

    fn backswing(&mut self) {
        let (a, b) = (self.at.takeaway_s, self.at.top_s);
        let lead_s = self.params.trunk_lead_s;
        let scale = self.scale();
        let [address_bend, ..] = thorax_address(self.params.club);
        let turn = self.params.turn_deg + self.draw.turn_deg;
        for (channel, by) in self.motion.mid_hip.iter_mut().zip([0.035, -0.02, -0.012]) {
            channel.by(a, b - 0.1 * (b - a), by * scale);
        }
        self.motion.pelvis.to(a + 0.05, b - lead_s, [9.0, -2.0, -self.params.pelvis_turn_deg]);
        self.motion.thorax.to(a, b - 0.4 * lead_s, [address_bend + 1.0 - self.params.flat_deg, -3.0, -turn]);
        let swing_top = -252.0_f64.to_radians();
        let top_club = club_vector(swing_top, 56.0_f64.to_radians());
        let key = self.arm_key(b, self.hands_at_top(b, top_club));
        let length = b - a;
        self.move_arms([a + 0.06 * length, b], [a, b], [a, b], key, None);
        self.motion.club_swing.to(a, b + 0.06 * length, swing_top);
        self.motion.club_slope.to(a, b, 56.0_f64.to_radians());
    }

    /// Where the parameters want the hands at the top, drawn in along the lead arm as far as the arm reaches.
    fn hands_at_top(&self, t_s: f64, club: V) -> V {
        let params = self.params;
        let wish = V::new(-0.12 - params.top_depth_m, -0.30 + params.top_across_m, 1.63 + params.top_up_m);
        let hands = wish * self.scale() + self.draw.top;
        let build = &self.motion.build;
        let shoulder = self.motion.mid_shoulder(t_s) + self.motion.thorax_rotation(t_s) * self.motion.lead_shoulder();
        let fist = hands - club * build.half_grip - shoulder;
        let most = 0.97 * build.reach();
        if fist.norm() <= most { hands } else { shoulder + fist.normalize() * most + club * build.half_grip }
    }

    /// Part-way down and up again, arms and trunk.
    fn pumps(&mut self) {
        for k in 0..self.params.pumps {
            let from_s = self.at.top_s + self.params.pause_s + f64::from(k) * PUMP_S;
            let motion = &mut *self.motion;
            let turns = [
                (&mut motion.arms.lift, -0.55),
                (&mut motion.thorax.turn, 0.35),
                (&mut motion.pelvis.turn, 0.25),
                (&mut motion.club_swing, 0.3),
            ];
            for (channel, by) in turns {
                channel.by(from_s, from_s + 0.48 * PUMP_S, by);
                channel.by(from_s + 0.5 * PUMP_S, from_s + 0.98 * PUMP_S, -by);
            }
        }
    }

    fn downswing(&mut self, ball: V) {
        self.trunk_down();
        self.push_down();
        let at = self.at;
        let hands = self.hands_at_impact(ball);
        let club = (ball - hands) / self.motion.build.club;
        let key = self.arm_key(at.impact_s, hands);
        self.move_arms(
            [at.down(-0.06), at.down(1.25)],
            [at.down(0.18), at.down(1.3)],
            [at.down(0.4), at.down(1.04)],
            key,
            Some(at.impact_s),
        );
        let motion = &mut *self.motion;
        motion.club_slope.by(at.down(-0.05), at.down(0.45), -12.0_f64.to_radians());
        motion.club_slope.through(at.down(0.3), at.impact_s, at.down(1.4), (-club.z).atan2(club.x));
        motion.club_swing.through(at.down(0.14), at.impact_s, at.down(1.8), club.y.asin());
    }

    fn trunk_down(&mut self) {
        let at = self.at;
        let scale = self.scale();
        let pace = (at.impact_s - at.down_s) / 0.26;
        let lead_s = self.params.trunk_lead_s * pace;
        let (pelvis_s, trunk_s) = (at.down(-0.1) - lead_s, at.down(-0.1) - 0.4 * lead_s);
        let motion = &mut *self.motion;
        motion.mid_hip[0].by(trunk_s, at.down(0.5), self.params.lunge_m);
        motion.mid_hip[0].through(pelvis_s, at.impact_s, at.down(1.6), -0.06 * scale + self.params.lunge_m);
        motion.mid_hip[1].through(pelvis_s, at.impact_s, at.down(1.6), 0.12 * scale);
        motion.mid_hip[2].through(at.down(0.2), at.impact_s, at.down(1.5), 0.893 * scale);
        motion.pelvis.through(pelvis_s, at.impact_s, at.down(1.9), PELVIS_IMPACT);
        let [bend, side, turn] = thorax_impact(self.params.club);
        motion.thorax.bend.by(trunk_s, at.down(0.5), self.params.tip_deg.to_radians());
        let thorax_s = trunk_s + self.params.trunk_wait_s * pace;
        motion.thorax.through(thorax_s, at.impact_s, at.down(1.9), [bend, side, turn]);
    }

    /// What the arms do on top of the base motion: out and down from the top to the middle of the downswing, and back
    /// again until impact. Square to the lead arm (which keeps its length), and as long as the wish needs it.
    fn push_down(&mut self) {
        let at = self.at;
        let middle_s = at.down(0.3);
        let arm = self.motion.thorax_rotation(middle_s) * self.motion.arms.direction(middle_s);
        let square = |wish: V, by: f64| {
            let aside = wish - arm * arm.dot(&wish);
            aside * (by / aside.dot(&wish))
        };
        let out = square(V::x(), self.params.throw_m + self.draw.throw_m);
        let push = self.motion.thorax_rotation(middle_s).transpose() * (out + square(-V::z(), self.params.drop_m));
        for (channel, by) in self.motion.arms.push.iter_mut().zip(push.iter()) {
            channel.by(at.down(-0.1), at.down(0.5), *by);
            channel.by(at.down(0.5), at.down(1.0), -by);
        }
    }

    /// The hands are a little higher and nearer the target than at address; how far out follows from the club's length.
    fn hands_at_impact(&self, ball: V) -> V {
        let (address, ..) = self.stance();
        let scale = self.scale();
        let target = address.y + set_up(self.params.club).lead * scale + self.draw.impact.y;
        let up = address.z + IMPACT_RISE_M * scale + self.draw.impact.z;
        let across_sq = self.motion.build.club.powi(2) - (ball.y - target).powi(2) - (up - ball.z).powi(2);
        V::new(ball.x - across_sq.max(0.0).sqrt(), target, up)
    }

    fn follow_through(&mut self) {
        let (a, b) = (self.at.impact_s, self.at.finish_s);
        let scale = self.scale();
        let motion = &mut *self.motion;
        for (channel, value) in motion.mid_hip.iter_mut().zip([0.0, 0.15, 0.90]) {
            channel.to(a, b, value * scale);
        }
        motion.pelvis.to(a, b, PELVIS_FINISH);
        motion.thorax.to(a, b, THORAX_FINISH);
        motion.heel.to(a, b, 50.0_f64.to_radians());
        let key = ArmKey { across: -0.1, lift: 0.75, reach: 0.36 * scale };
        motion.club_swing.to(a, b, 250.0_f64.to_radians());
        motion.club_slope.to(a, b, 50.0_f64.to_radians());
        self.move_arms([a, b], [a, b], [a, a + 0.5 * (b - a)], key, None);
    }
}

/// At address the club head stands this far behind the ball's centre, metres.
pub const HEAD_BEHIND_BALL_M: f64 = 0.021;

fn club_vector(swing: f64, slope: f64) -> V {
    V::new(swing.cos() * slope.cos(), swing.sin(), -swing.cos() * slope.sin())
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLUBS: [Club; 4] = [Club::Driver, Club::FairwayWood, Club::Iron, Club::Wedge];

    #[test]
    fn velocities_are_the_derivatives_of_the_places() {
        let params = ModelParams { throw_m: 0.08, waggles: 1, press_m: 0.02, ..ModelParams::default() };
        let motion = Motion::new(&params);
        for k in 0..400 {
            let t = f64::from(k) * 0.011;
            let by_difference = |f: &dyn Fn(f64) -> V| (f(t + 1e-6) - f(t - 1e-6)) / 2e-6;
            let hands = by_difference(&|t| motion.hands(t)) - motion.hands_velocity(t);
            let in_thorax = by_difference(&|t| motion.hands_in_thorax(t)) - motion.hands_in_thorax_velocity(t);
            let head = by_difference(&|t| motion.club_head(t)) - motion.club_head_velocity(t);
            assert!(
                hands.norm() < 1e-6 && in_thorax.norm() < 1e-6 && head.norm() < 1e-5,
                "{t}: {hands} {in_thorax} {head}"
            );
        }
    }

    #[test]
    fn the_club_head_meets_the_ball_with_any_club() {
        for club in CLUBS {
            let motion = Motion::new(&ModelParams { club, variation: 1.0, throw_m: 0.1, ..ModelParams::default() });
            let gap = motion.club_head(motion.times[0].impact_s) - motion.balls[0];
            assert!(gap.norm() < 1e-9, "{club:?}: {gap}");
        }
    }
}
