//! The swing as it might have been: the errors of a capture, drawn once more on top of the swing as analysed.
//!
//! Two kinds of error differ in what they say about the truth. *Frame* errors (target line, scale, origin, ball) are undone
//! as they were made: the swing in a frame that is as likely *is* a candidate for the truth. *Track* errors (noise, filter,
//! instants) cannot be taken out again; drawing them once more shows how far measuring goes astray, and that is taken
//! off. Each is drawn by its stated 1 SD; but what is drawn once more comes on top of what is there, and where a little
//! more noise does a lot more, both together tell too much. So track errors are drawn at [`PART`] of their size, and what
//! they do is enlarged again (as in Cook and Stefanski 1994, Journal of the American Statistical Association 89:1314,
//! from memory, who add errors of several sizes to learn what none would do).
//!
//! The noise has the size and the correlation that the filter leaves, because it is white noise run through the same
//! filter. The top, lead arm level and hip height are found again on the noisy tracks. What the filter takes from a
//! track is told by what it takes when it is run again. Draws are seeded: the same swing gives the same draws on
//! every machine.

use super::again::{self, Top};
use super::course::{Clock, Course, Frame, Moment, Samples, Track, V, Wave, samples};
use super::interval::normals;
use crate::formats::Point;
use crate::letters::holds;
use crate::signal::{Curve, DEFAULT_CUTOFF_HZ, LowPass, Noise, Random};
use crate::swing::{BodyPoint, GuessValue, InstantName, Swing};
use crate::table::Table;
use nalgebra::Rotation3;
use std::rc::Rc;

const SEED: u64 = 1;
/// Share of their size that errors of tracks and instants are drawn in.
pub(super) const PART: f64 = 0.5;
/// Points that no filter smooths.
const UNFILTERED: [BodyPoint; 3] = [BodyPoint::ClubHead, BodyPoint::ShaftLower, BodyPoint::ShaftUpper];
/// Samples of noise that draws take their stretches from, beyond the length of one.
const BANK_SAMPLES: usize = 2048;
/// 1 SD of what the filter takes, as a share of what it takes by and large (assumed). It is drawn as noise is.
const FILTER_SD: f64 = 0.25;
/// What a track that has been filtered once, twice and so on adds up to, where it is made of itself once more.
const SERIES: [f64; 5] = [-3.0, 10.0, -10.0, 5.0, -1.0];
/// 1 SD of the height of the front hip bones over hip joints, metres (assumed, as for the instant).
const HIP_BONE_SD_M: f64 = 0.02;
/// What finding the top again leaves out of its error: a share of its stated 1 SD, and seconds (from the forward model).
const TOP_SHARE: f64 = 0.7;
const TOP_BLUR_S: f64 = 0.0025;
/// Samples of noise that tell what noise makes of the filter's part.
const NOISE_SAMPLES: usize = 1024;
/// Draws that tell how far noise moves the top.
const TOP_DRAWS: usize = 20;
/// A median of normal values is this much less certain than their mean.
const MEDIAN_LOSS: f64 = 1.25;

/// Unit noise: white, of 1 SD, through `filter` where there is one; and as it is.
fn banks(course: &Clock, filter: Option<&LowPass>, random: &mut Random) -> [Rc<Samples>; 2] {
    let clock = Clock { start_s: 0.0, samples: BANK_SAMPLES + course.samples, ..*course };
    let white: Vec<Point> = (0..clock.samples).map(|_| std::array::from_fn(|_| random.normal())).collect();
    let times: Vec<f64> = clock.times().collect();
    let bank = |points: &[Point]| Rc::new(samples(&clock, &Curve::through(&times, points)));
    let raw = bank(&white);
    [filter.map_or_else(|| Rc::clone(&raw), |filter| bank(&filter.apply(&white))), raw]
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
    /// The top, where it is found by the least hand speed.
    top: Option<Top>,
    /// Of the origin: feet at address.
    origin_m: f64,
    /// Of the mid-hands and of one marker, before the filter.
    hands_m: f64,
    marker_m: f64,
    filtered: Rc<Samples>,
    raw: Rc<Samples>,
    /// What the filter does once more to the hands, and to each of the other points that it smooths.
    filter_change: Option<Change>,
    filter_changes: Table<BodyPoint, Option<Change>>,
    /// Share of the noise that the filter leaves.
    left: f64,
    random: Random,
    /// Normal values for the frames, one of each list for a draw.
    frames: [Vec<f64>; 7],
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
        // Swings of other lengths have draws of their own: what chance makes of one set is not the same in all swings.
        let mut random = Random::new(SEED + swing.time_s.len() as u64);
        let cutoff_hz = number(swing, "cutoff").map_or(DEFAULT_CUTOFF_HZ, |(value, _)| value);
        let filter = LowPass::new(cutoff_hz, swing.rate_hz);
        let left = filter.map_or(1.0, |_| Noise::after_filter(1.0, cutoff_hz, swing.rate_hz).position_m);
        let hands_m = if left > 0.0 { swing.noise_m / left } else { 0.0 };
        let marker_m = hands_m * (hand_tracks(swing) as f64).sqrt();
        let [filtered, raw] = banks(&course.clock, filter.as_ref(), &mut random);
        let frames = std::array::from_fn(|_| normals(&mut random));
        let origin_m = MEDIAN_LOSS * marker_m / still_samples(swing).sqrt();
        let told_m = filter.map_or(0.0, |filter| noise_told(&filter, &mut Random::new(SEED)));
        let change = |point: Option<BodyPoint>| {
            let filter = filter.filter(|_| point.is_none_or(|point| !UNFILTERED.contains(&point)))?;
            let change = course.changed(swing, point, |path| filtered_again(&filter, path))?;
            Change::beyond(told_m * if point.is_none() { hands_m } else { marker_m }, change, course)
        };
        Errors {
            target_rad: swing.target_sd_deg.to_radians(),
            scale: number(swing, "scale").map_or(0.0, |(value, sd)| sd / value),
            ball_m: number(swing, "ball").map_or(0.0, |(_, sd)| sd),
            ball: ball_link(swing),
            times_s: InstantName::ALL.map(|name| swing.instant(name).map_or(0.0, |instant| instant.sd_s)),
            hip_m: hip_sd(swing),
            top: top(swing, course, &filtered, hands_m),
            origin_m,
            hands_m,
            marker_m,
            filtered,
            raw,
            filter_change: change(None),
            filter_changes: course.points.iter().map(|(point, _)| (*point, change(Some(*point)))).collect(),
            left,
            random,
            frames,
        }
    }

    /// Draws the errors of tracks and instants once more, in [`PART`] of their size, into a copy of the swing.
    pub(super) fn draw(&mut self, course: &Course, drawn: &mut Course) {
        self.shake(drawn);
        self.shift_times(course, drawn);
        drawn.changed_now();
    }

    /// Noise on every track, and the filter's part.
    fn shake(&mut self, drawn: &mut Course) {
        let random = &mut self.random;
        let mut shake = |track: &mut Track, bank: &Rc<Samples>, noise_m: f64, change: &Option<Change>| {
            let off_m = change.as_ref().map_or(0.0, |change| FILTER_SD * change.size_m);
            let noise = stretch(bank, PART * noise_m.hypot(off_m / self.left), random);
            track.errors = change.iter().map(Change::wave).chain([noise]).collect();
        };
        shake(&mut drawn.hands, &self.filtered, self.hands_m, &self.filter_change);
        for ((point, track), (_, change)) in drawn.points.iter_mut().zip(self.filter_changes.iter()) {
            let (bank, noise_m) = match point {
                point if UNFILTERED.contains(point) => (&self.raw, self.marker_m),
                BodyPoint::MidHip => (&self.filtered, self.marker_m / 2.0_f64.sqrt()),
                _ => (&self.filtered, self.marker_m),
            };
            shake(track, bank, noise_m, change);
        }
    }

    /// Moves the instants that are not stated: found again where the rule is known, else by their own 1 SD.
    fn shift_times(&mut self, course: &Course, drawn: &mut Course) {
        let hips_m = PART * self.hip_m * self.random.normal();
        for name in InstantName::ALL {
            let (sd_s, normal) = (self.times_s[name as usize], PART * self.random.normal());
            let Some(t) = course.times[name as usize].filter(|_| sd_s > 0.0) else { continue };
            let again = match name {
                InstantName::Top => self.top.as_ref().and_then(|top| {
                    let blur_s = (TOP_SHARE * sd_s).hypot(TOP_BLUR_S).hypot(top.early_sd_s);
                    Some(top.again(drawn, t, PART)? + blur_s * normal)
                }),
                InstantName::HipHeight => again::passed_again(course, drawn, name, t, hips_m),
                _ => again::passed_again(course, drawn, name, t, 0.0),
            };
            drawn.times[name as usize] = Some(again.unwrap_or(t + sd_s * normal));
        }
    }

    /// The frame of a draw.
    pub(super) fn framing(&self, draw: usize) -> Framing {
        let at = |list: &Vec<f64>| list.get(draw).copied().unwrap_or(0.0);
        let [target, others @ ..] = &self.frames;
        Framing { target: at(target), others: std::array::from_fn(|k| at(&others[k])) }
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

/// The top, unless the hands rest there.
fn top(swing: &Swing, course: &Course, filtered: &Rc<Samples>, hands_m: f64) -> Option<Top> {
    swing.instant(InstantName::Top).filter(|top| !holds(top.source.as_bytes(), b"rest"))?;
    let mut random = Random::new(SEED);
    let shaken = |_| {
        let mut shaken = course.clone();
        shaken.hands.errors = vec![stretch(filtered, hands_m, &mut random)];
        shaken
    };
    Top::of(course, &(0..TOP_DRAWS).map(shaken).collect::<Vec<_>>())
}

/// What the filter does once more to a track.
struct Change {
    samples: Rc<Samples>,
    /// Its size from the top to impact, per coordinate, metres.
    size_m: f64,
}

impl Change {
    /// What the filter seems to take from a track is partly noise, of 1 SD `noise_m` per coordinate: the share that is not
    /// is left; `None` where all may be noise.
    fn beyond(noise_m: f64, mut change: Samples, course: &Course) -> Option<Change> {
        let share = 1.0 - (noise_m / size(&change)).powi(2);
        (share > 0.0).then(|| {
            change.iter_mut().flatten().for_each(|vector| *vector *= share);
            let down = course.span(InstantName::Top, InstantName::Impact).map_or(0..0, |(top_s, impact_s)| {
                let mut between = course.between(top_s, impact_s);
                between.next().map_or(0..0, |first| first..between.last().unwrap_or(first) + 1)
            });
            let size_m = size(change.get(down).unwrap_or_default());
            Change { samples: Rc::new(change), size_m }
        })
    }

    fn wave(&self) -> Wave {
        Wave { samples: Rc::clone(&self.samples), from: 0, factor: V::repeat(PART) }
    }
}

/// Root of the mean square of the coordinates that are known, metres; 0 of none.
fn size(change: &[Moment]) -> f64 {
    let known = || change.iter().filter(|[place, _]| !place.x.is_nan());
    (known().map(|[place, _]| place.norm_squared()).sum::<f64>() / (3 * known().count().max(1)) as f64).sqrt()
}

/// 1 SD of what white noise of 1 SD, filtered, seems to lose.
fn noise_told(filter: &LowPass, random: &mut Random) -> f64 {
    let white: Vec<Point> = (0..NOISE_SAMPLES).map(|_| std::array::from_fn(|_| random.normal())).collect();
    let noise = filter.apply(&white);
    let again = filtered_again(filter, &noise);
    let squares = noise.iter().zip(&again).flat_map(|(a, b)| (0..3).map(|c| (a[c] - b[c]).powi(2)));
    (squares.sum::<f64>() / (3 * NOISE_SAMPLES) as f64).sqrt()
}

/// What the filter made of a track, made of it once more. A second run takes less than the first took, because little
/// is left of what is fastest; further runs tell by how much (the series of van Cittert, from memory).
fn filtered_again(filter: &LowPass, path: &[Point]) -> Vec<Point> {
    let mut runs = vec![path.to_vec()];
    for k in 1..SERIES.len() {
        runs.push(filter.apply(&runs[k - 1]));
    }
    let more = |k: usize, c: usize| SERIES.iter().zip(&runs).map(|(weight, run)| weight * run[k][c]).sum();
    (0..path.len()).map(|k| std::array::from_fn(|c| more(k, c))).collect()
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
