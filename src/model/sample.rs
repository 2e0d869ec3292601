//! From the model to a [`Recording`], as a capture system would export it.

use super::motion::{Motion, V};
use super::params::{Build, ModelParams};
use super::pose::{OutOfReach, Pose, Side};
use super::truth::HIP_BONE;
use crate::formats::{Axis, Format, GAP, LengthUnit, Point, RateSource, Recording, Track};
use crate::settings::Hand;
use crate::signal::Random;
use nalgebra::{Matrix3, Rotation3};

/// Which names the tracks carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Naming {
    /// Short labels of usual marker sets: `LSHO`, `RASI`, `LTOE`.
    Labels,
    /// Words: `Left Shoulder`, `Club Head`.
    Words,
    /// Joint names of usual skeletons: `LeftArm`, `RightFoot` (joints only, no skin landmarks).
    Joints,
}

/// Missing samples of one track.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// Track name.
    pub track: String,
    /// First missing time, seconds of the model.
    pub from_s: f64,
    /// First time present again.
    pub to_s: f64,
}

/// How the capture sees the swing.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleOptions {
    /// Frames per second. Default: 240.
    pub rate_hz: f64,
    /// SD of white noise on each coordinate of each point, metres. Default: 0.
    pub noise_m: f64,
    /// Seed of the noise. Default: 1.
    pub noise_seed: u64,
    /// Gaps.
    pub missing: Vec<Missing>,
    /// Unit of the file. Default: metre.
    pub unit: LengthUnit,
    /// Which file axis is up. Default: +z.
    pub up: Axis,
    /// Turns everything about the vertical, radians, anticlockwise from above. Default: 0 (target along +y).
    pub heading_rad: f64,
    /// Place of the model's origin in the lab, metres `[x, y, up]` before axes are renamed. Default: 0.
    pub shift_m: [f64; 3],
    /// Write the file in a left-handed coordinate system (first coordinate negated). Default: false.
    pub mirrored: bool,
    /// Names. Default: labels.
    pub naming: Naming,
    /// Tracks to leave out, by name.
    pub hidden: Vec<String>,
    /// Only this stretch of the model's time, seconds. Default: all of it.
    pub window_s: Option<[f64; 2]>,
}

impl Default for SampleOptions {
    fn default() -> Self {
        SampleOptions {
            rate_hz: 240.0,
            noise_m: 0.0,
            noise_seed: 1,
            missing: Vec::new(),
            unit: LengthUnit::Metre,
            up: Axis::PlusZ,
            heading_rad: 0.0,
            shift_m: [0.0; 3],
            mirrored: false,
            naming: Naming::Labels,
            hidden: Vec::new(),
            window_s: None,
        }
    }
}

impl SampleOptions {
    /// Times of the rows, seconds of the model.
    pub(super) fn times(&self, motion: &Motion, params: &ModelParams) -> Vec<f64> {
        let [start_s, end_s] = self.window_s.unwrap_or(motion.window(params));
        // A window of whole frames must not lose its last to rounding.
        let rows = ((end_s - start_s) * self.rate_hz + 1e-6).floor().max(0.0) as usize + 1;
        (0..rows).map(|row| start_s + row as f64 / self.rate_hz).collect()
    }
}

/// The way from the body-relative frame of the model to file axes.
#[derive(Clone, Debug)]
pub(super) struct Lab {
    /// Applied to points and to the outermost rotation.
    pub(super) turn: Matrix3<f64>,
    /// Applied to what is fixed in a segment.
    pub(super) basis: Matrix3<f64>,
    shift: V,
    scale: f64,
}

impl Lab {
    pub(super) fn new(hand: Hand, options: &SampleOptions) -> Self {
        let player = match hand {
            Hand::Right => Matrix3::identity(),
            Hand::Left => Matrix3::from_diagonal(&V::new(1.0, -1.0, 1.0)),
        };
        let mut axes = up_axes(options.up);
        if options.mirrored {
            axes = Matrix3::from_diagonal(&V::new(-1.0, 1.0, 1.0)) * axes;
        }
        let heading = Rotation3::from_axis_angle(&V::z_axis(), options.heading_rad).into_inner();
        Lab {
            turn: axes * heading * player,
            basis: axes * player,
            shift: axes * V::from(options.shift_m),
            scale: 1.0 / options.unit.metres(),
        }
    }

    /// A point of the model in file axes and file unit.
    pub(super) fn place(&self, point: V) -> V {
        (self.turn * point + self.shift) * self.scale
    }

    /// A bone in the axes of its segment, in file axes and file unit.
    pub(super) fn direction(&self, bone: V) -> V {
        self.basis * bone * self.scale
    }
}

/// A proper rotation that takes +z to an axis.
fn up_axes(up: Axis) -> Matrix3<f64> {
    match up {
        Axis::PlusX => Matrix3::new(0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0),
        Axis::MinusX => Matrix3::new(0.0, 0.0, -1.0, 1.0, 0.0, 0.0, 0.0, -1.0, 0.0),
        Axis::PlusY => Matrix3::new(1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, -1.0, 0.0),
        Axis::MinusY => Matrix3::new(1.0, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, 1.0, 0.0),
        Axis::PlusZ => Matrix3::identity(),
        Axis::MinusZ => Matrix3::new(1.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0, -1.0),
    }
}

/// Landmarks fixed in the thorax (thorax axes from mid-shoulder) for a stature of 1.80 m: label, words, place.
const ON_THORAX: [(&str, &str, [f64; 3]); 5] = [
    ("HEAD", "Head", [0.0, 0.0, 0.22]),
    ("C7", "C7", [-0.07, 0.0, 0.06]),
    ("T8", "T8", [-0.11, 0.0, -0.16]),
    ("IJ", "IJ", [0.05, 0.0, -0.01]),
    ("PX", "PX", [0.09, 0.0, -0.19]),
];

/// Points of one side: the labels after `L` or `R`, the words after `Left` or `Right`, the joint name.
const ON_SIDE: [(&str, &str, &str); 13] = [
    ("SHO", "Shoulder", "Arm"),
    ("ELB", "Elbow", "ForeArm"),
    ("WRA", "Wrist In", ""),
    ("WRB", "Wrist Out", ""),
    ("", "", "Wrist"),
    ("FIN", "Hand", "Hand"),
    ("ASI", "Front Hip", ""),
    ("PSI", "Back Hip", ""),
    ("HJC", "Hip Joint", "UpLeg"),
    ("KNE", "Knee", "Leg"),
    ("ANK", "Ankle", "Foot"),
    ("HEE", "Heel", ""),
    ("TOE", "Toe", "ToeBase"),
];

/// A point of the model with its three names; a name may be empty where a naming has none.
struct Named {
    names: [String; 3],
    point: V,
}

impl Named {
    fn new(names: [&str; 3], point: V) -> Self {
        Named { names: names.map(str::to_owned), point }
    }
}

fn side_points(pose: &Pose, index: usize, scale: f64) -> [V; 13] {
    let side = Side::BOTH[index];
    let (arm, leg) = (&pose.arms[index], &pose.legs[index]);
    let lower = arm.fist - arm.elbow;
    // The two wrist markers sit on either side of the joint, across forearm and upper arm; their mean is the joint.
    let across = lower.cross(&(arm.elbow - arm.shoulder)).normalize() * (0.03 * scale * side.sign());
    let [forward, aside, up] = HIP_BONE;
    let sided = |x, y, z| pose.on_pelvis(V::new(x, y * side.sign(), z), scale);
    [
        arm.shoulder,
        arm.elbow,
        arm.wrist - across,
        arm.wrist + across,
        arm.wrist,
        arm.fist,
        sided(forward, aside, up),
        sided(-0.115, 0.045, 0.095),
        leg.hip,
        leg.knee,
        leg.ankle,
        leg.heel,
        leg.toe,
    ]
}

/// All points of the body and the club, in the order files list them.
fn named_points(pose: &Pose, hand: Hand, build: &Build) -> Vec<Named> {
    let scale = build.scale;
    let mut out: Vec<Named> = ON_THORAX
        .iter()
        .map(|(label, words, at)| {
            Named::new([label, words, if *label == "HEAD" { "Head" } else { "" }], pose.on_thorax(V::from(*at), scale))
        })
        .collect();
    out.push(Named::new(["", "", "Hips"], pose.mid_hip));
    let lead_is_left = hand == Hand::Right;
    for left in [true, false] {
        let index = usize::from(left != lead_is_left);
        let (letter, word) = if left { ("L", "Left") } else { ("R", "Right") };
        for ((label, words, joint), point) in ON_SIDE.iter().zip(side_points(pose, index, scale)) {
            let name = |side: &str, part: &str| if part.is_empty() { String::new() } else { format!("{side}{part}") };
            let names = [name(letter, label), name(&format!("{word} "), words), name(word, joint)];
            out.push(Named { names, point });
        }
    }
    let on_club = |share: f64| pose.hands + pose.club * (build.club * share);
    out.push(Named::new(["SHAFT1", "Shaft Upper", "ClubShaftUpper"], on_club(0.3)));
    out.push(Named::new(["SHAFT2", "Shaft Lower", "ClubShaftLower"], on_club(0.7)));
    out.push(Named::new(["CLUBHEAD", "Club Head", "ClubHead"], pose.club_head));
    out
}

/// How long the ball is seen after impact, and how much faster than the club head it leaves.
const BALL_SEEN_S: f64 = 0.05;
const BALL_SPEED_RATIO: f64 = 1.4;

impl Motion {
    /// The ball: at rest until impact, then on its way for a moment, then out of sight until the next swing's address.
    pub fn ball(&self, t_s: f64) -> Option<V> {
        let swing = self.times.iter().position(|times| t_s < times.end_s).unwrap_or(self.times.len() - 1);
        let (times, ball) = (&self.times[swing], self.balls[swing]);
        let since_s = t_s - times.impact_s;
        if since_s <= 0.0 {
            return Some(ball);
        }
        let velocity = self.club_head_velocity(times.impact_s) * BALL_SPEED_RATIO;
        let launched = V::new(velocity.x, velocity.y, velocity.y.abs() * 0.3);
        (since_s < BALL_SEEN_S).then(|| ball + launched * since_s)
    }
}

/// Samples a motion as one export.
///
/// # Errors
/// [`OutOfReach`] where the parameters ask for more than the bones allow.
pub fn sample(motion: &Motion, params: &ModelParams, options: &SampleOptions) -> Result<Recording, OutOfReach> {
    let times = options.times(motion, params);
    let lab = Lab::new(params.hand, options);
    let mut random = Random::new(options.noise_seed);
    let mut tracks: Vec<Track> = Vec::new();
    for &t_s in &times {
        let points = visible_points(motion, params, options, t_s)?;
        if tracks.is_empty() {
            tracks =
                points.iter().map(|(name, _)| Track::marker(name.clone(), Vec::with_capacity(times.len()))).collect();
        }
        for (track, (name, point)) in tracks.iter_mut().zip(points) {
            let noise = V::from_fn(|_, _| random.normal()) * options.noise_m;
            let gap = options.missing.iter().any(|m| m.track == name && (m.from_s..m.to_s).contains(&t_s));
            track.points.push(point.filter(|_| !gap).map_or(GAP, |p| Point::from(lab.place(p + noise))));
        }
    }
    tracks.iter_mut().for_each(|track| track.unit = Some(options.unit));
    Ok(Recording {
        format: Format::C3d,
        rate_hz: Some(options.rate_hz),
        rate_source: RateSource::Stated,
        first_row: 0,
        clock_s: (0..times.len()).map(|row| row as f64 / options.rate_hz).collect(),
        tracks,
        up: None,
        usual_up: None,
        events: Vec::new(),
        warnings: Vec::new(),
    })
}

/// Names and places of the tracks that the options want, at one time.
fn visible_points(
    motion: &Motion,
    params: &ModelParams,
    options: &SampleOptions,
    t_s: f64,
) -> Result<Vec<(String, Option<V>)>, OutOfReach> {
    let pose = motion.pose(t_s)?;
    let naming = options.naming as usize;
    let named = named_points(&pose, params.hand, &motion.build).into_iter();
    let mut points: Vec<(String, Option<V>)> =
        named.map(|n| (n.names.into_iter().nth(naming).unwrap_or_default(), Some(n.point))).collect();
    if params.ball {
        points.push((["BALL", "Ball", "Ball"][naming].to_owned(), motion.ball(t_s)));
    }
    points.retain(|(name, _)| !name.is_empty() && !options.hidden.contains(name));
    Ok(points)
}
