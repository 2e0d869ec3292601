//! The swing as it might have been: the errors of a capture, drawn once more on top of the swing as analysed.
//!
//! Two kinds of error differ in what they say about the truth. *Frame* errors (target line, scale, origin, ball) are undone
//! as they were made: the swing in a frame that is as likely *is* a candidate for the truth. *Track* errors (noise, filter,
//! instants) cannot be taken out again; drawing them once more shows how far measuring goes astray, and that is taken
//! off. Each is drawn by its stated 1 SD.
//!
//! The noise has the size and the correlation that the filter leaves, because it is white noise run through the same
//! filter. The top, lead arm level and hip height are found again on the noisy tracks. What the filter takes from the
//! hands is about what it takes when it is run a second time. Draws are seeded: the same swing gives the same draws on
//! every machine.

use super::again::{self, Fit};
use super::course::{Clock, Course, Frame, Samples, V, Wave, samples};
use crate::formats::Point;
use crate::letters::holds;
use crate::signal::{Curve, DEFAULT_CUTOFF_HZ, LowPass, Noise, Random};
use crate::swing::{BodyPoint, GuessValue, InstantName, Swing};
use nalgebra::Rotation3;
use std::rc::Rc;

const SEED: u64 = 1;
/// Samples of noise that draws take their stretches from, beyond the length of one.
const BANK_SAMPLES: usize = 4096;
/// 1 SD of what the filter takes from the hands, as a share of the estimate (assumed).
const FILTER_SD: f64 = 0.5;
/// 1 SD of the height of the front hip bones over hip joints, metres (assumed, as for the instant).
const HIP_BONE_SD_M: f64 = 0.02;
/// What finding the top again leaves out of its error: a share of its stated 1 SD, and seconds (from the forward model).
const TOP_SHARE: f64 = 0.75;
const TOP_BLUR_S: f64 = 0.004;
/// A median of normal values is this much less certain than their mean.
const MEDIAN_LOSS: f64 = 1.25;

/// Unit noise: white, of 1 SD, through `filter` where there is one.
fn bank(course: &Clock, filter: Option<&LowPass>, random: &mut Random) -> Rc<Samples> {
    let count = BANK_SAMPLES + course.samples;
    let white: Vec<Point> = (0..count).map(|_| std::array::from_fn(|_| random.normal())).collect();
    let points = filter.map_or(white.clone(), |filter| filter.apply(&white));
    let clock = Clock { start_s: 0.0, samples: count, ..*course };
    let times: Vec<f64> = clock.times().collect();
    Rc::new(samples(&clock, &Curve::through(&times, &points)))
}

/// A stretch of unit noise from anywhere in the bank, with any signs, of 1 SD `sd_m`.
fn stretch(bank: &Rc<Samples>, sd_m: f64, random: &mut Random) -> Wave {
    let from = (random.uniform() * BANK_SAMPLES as f64) as usize;
    let factor = V::from_fn(|_, _| if random.uniform() < 0.5 { -sd_m } else { sd_m });
    Wave { samples: Rc::clone(bank), from, factor }
}

/// Sizes of the errors of one swing.
pub(super) struct Errors {
    target_rad: f64,
    /// Relative.
    scale: f64,
    ball_m: f64,
    /// How the ball's `out` was found: does it turn with the target line?
    ball: BallLink,
    times_s: [f64; 8],
    hip_m: f64,
    /// Do the hands rest at the top?
    rests: bool,
    /// Least hand speed near the top, and the parabola that finds it again.
    least_speed: Option<(f64, Fit)>,
    /// Of the origin: feet at address.
    origin_m: f64,
    /// Of the mid-hands and of one marker, before the filter.
    hands_m: f64,
    marker_m: f64,
    filtered: Rc<Samples>,
    raw: Rc<Samples>,
    /// What a second run of the filter does to the hands.
    filter_change: Rc<Samples>,
    random: Random,
}

/// What the ball's place hangs on.
#[derive(Clone, Copy)]
enum BallLink {
    /// A point of its own.
    Point,
    /// So far out from the hands at address.
    Hands { at_address: V },
    /// A distance stated by the user.
    Stated,
}

impl Errors {
    pub(super) fn of(swing: &Swing, course: &Course) -> Errors {
        let mut random = Random::new(SEED);
        let cutoff_hz = number(swing, "cutoff").map_or(DEFAULT_CUTOFF_HZ, |(value, _)| value);
        let filter = LowPass::new(cutoff_hz, swing.rate_hz);
        let left = filter.map_or(1.0, |_| Noise::after_filter(1.0, cutoff_hz, swing.rate_hz).position_m);
        let hands_m = if left > 0.0 { swing.noise_m / left } else { 0.0 };
        let marker_m = hands_m * (hand_tracks(swing) as f64).sqrt();
        Errors {
            target_rad: swing.target_sd_deg.to_radians(),
            scale: number(swing, "scale").map_or(0.0, |(value, sd)| sd / value),
            ball_m: number(swing, "ball").map_or(0.0, |(_, sd)| sd),
            ball: ball_link(swing),
            times_s: InstantName::ALL.map(|name| swing.instant(name).map_or(0.0, |instant| instant.sd_s)),
            hip_m: hip_sd(swing),
            rests: swing.instant(InstantName::Top).is_some_and(|top| holds(top.source.as_bytes(), b"rest")),
            least_speed: least_speed(course),
            origin_m: MEDIAN_LOSS * marker_m / still_samples(swing).sqrt(),
            hands_m,
            marker_m,
            filtered: bank(&course.clock, filter.as_ref(), &mut random),
            raw: bank(&course.clock, None, &mut random),
            filter_change: Rc::new(course.changed(swing, |hands| filter.map_or(hands.to_vec(), |f| f.apply(hands)))),
            random,
        }
    }

    /// Draws the errors of tracks, instants and frame once more, into a copy of the swing.
    pub(super) fn draw(&mut self, course: &Course, drawn: &mut Course) -> Framing {
        drawn.view = course.view;
        self.shake(drawn);
        self.shift_times(course, drawn);
        let framing = self.framing();
        self.put(course, drawn, &framing);
        framing
    }

    /// Noise on every track, and the filter's part on the hands.
    fn shake(&mut self, drawn: &mut Course) {
        let random = &mut self.random;
        let factor = V::repeat(1.0 + FILTER_SD * random.normal());
        let filter = Wave { samples: Rc::clone(&self.filter_change), from: 0, factor };
        drawn.hands.errors = vec![filter, stretch(&self.filtered, self.hands_m, random)];
        for (point, track) in drawn.points.iter_mut() {
            track.errors = vec![match point {
                BodyPoint::ClubHead | BodyPoint::ShaftLower | BodyPoint::ShaftUpper => {
                    stretch(&self.raw, self.marker_m, random)
                }
                BodyPoint::MidHip => stretch(&self.filtered, self.marker_m / 2.0_f64.sqrt(), random),
                _ => stretch(&self.filtered, self.marker_m, random),
            }];
        }
    }

    /// Moves the instants that are not stated: found again where the rule is known, else by their own 1 SD.
    fn shift_times(&mut self, course: &Course, drawn: &mut Course) {
        let hips_m = self.hip_m * self.random.normal();
        for name in InstantName::ALL {
            let (sd_s, normal) = (self.times_s[name as usize], self.random.normal());
            let Some(t) = course.times[name as usize].filter(|_| sd_s > 0.0) else { continue };
            let again = match name {
                InstantName::Top if !self.rests => {
                    self.top_again(drawn, t).map(|t| t + (TOP_SHARE * sd_s).hypot(TOP_BLUR_S) * normal)
                }
                InstantName::HipHeight => again::passed_again(course, drawn, name, t, hips_m),
                _ => again::passed_again(course, drawn, name, t, 0.0),
            };
            drawn.times[name as usize] = Some(again.unwrap_or(t + sd_s * normal));
        }
    }

    /// The top of a draw: as far from `t` as the parabola through the draw's hand speed lies from the least speed of the
    /// swing itself.
    fn top_again(&self, drawn: &Course, t: f64) -> Option<f64> {
        let (least_s, parabola) = self.least_speed.as_ref()?;
        Some(t + parabola.lowest(drawn, t)? - least_s)
    }

    fn framing(&mut self) -> Framing {
        let random = &mut self.random;
        let (target, scale) = (random.normal(), random.normal());
        let [x, y, z, out, along] = std::array::from_fn(|_| random.normal());
        Framing { target, others: [scale, x, y, z, out, along] }
    }

    /// Puts a copy of the swing into another frame.
    pub(super) fn put(&self, course: &Course, drawn: &mut Course, framing: &Framing) {
        let [scale, x, y, z, out, along] = framing.others;
        let rotation = Rotation3::from_axis_angle(&V::z_axis(), self.target_rad * framing.target).into_inner();
        let view = Frame { turn: rotation * (1.0 + self.scale * scale), origin: self.origin_m * V::new(x, y, z) };
        let Frame { turn, origin } = &view;
        let placed = |ball: V| match self.ball {
            BallLink::Point => turn * ball + origin,
            BallLink::Hands { at_address } => ball + (turn * at_address - at_address) + origin,
            BallLink::Stated => ball,
        };
        drawn.ball = course.ball.map(|ball| placed(ball) + self.ball_m * V::new(out, along, 0.0));
        drawn.view = view;
        drawn.changed_now();
    }
}

fn least_speed(course: &Course) -> Option<(f64, Fit)> {
    let top_s = course.time(InstantName::Top).ok()?;
    again::least_speed(course, top_s).zip(Fit::parabola())
}

/// Target line, and scale, origin (out, target, up) and ball (out, target), as they might be: each in its own 1 SD.
#[derive(Clone, Copy, Default)]
pub(super) struct Framing {
    pub(super) target: f64,
    pub(super) others: [f64; 6],
}

/// Value and 1 SD of a guess that is a number.
fn number(swing: &Swing, what: &str) -> Option<(f64, f64)> {
    let guess = swing.guesses.iter().find(|guess| guess.what == what)?;
    let GuessValue::Number(value) = guess.value else { return None };
    Some((value, guess.sd.unwrap_or(0.0))).filter(|(value, sd)| value.is_finite() && sd.is_finite() && *value != 0.0)
}

fn ball_link(swing: &Swing) -> BallLink {
    let source = swing.guesses.iter().find(|guess| guess.what == "ball").map_or("", |guess| guess.source);
    match swing.hands_at_address {
        _ if source == "stated by the user" => BallLink::Stated,
        Some(hands) if source.starts_with("assumed") => BallLink::Hands { at_address: hands.into() },
        _ => BallLink::Point,
    }
}

/// 1 SD of the height that counts as hip height.
fn hip_sd(swing: &Swing) -> f64 {
    let joints =
        swing.instant(InstantName::HipHeight).is_some_and(|instant| holds(instant.source.as_bytes(), b"joint"));
    if joints { HIP_BONE_SD_M } else { 0.0 }
}

/// Samples of the still interval whose median is the address: its 1 SD is that of a uniform distribution over it.
fn still_samples(swing: &Swing) -> f64 {
    let still_s = swing.instant(InstantName::Address).map_or(0.0, |address| address.sd_s * 12.0_f64.sqrt());
    (still_s * swing.rate_hz).max(1.0)
}

/// Tracks whose mean the mid-hands are.
fn hand_tracks(swing: &Swing) -> usize {
    let guess = swing.guesses.iter().find(|guess| guess.what == "mid-hands");
    match guess.map(|guess| &guess.value) {
        Some(GuessValue::Text(names)) => names.split('+').count(),
        _ => 1,
    }
}
