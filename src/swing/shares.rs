//! Who moved the hands: the arms themselves, or the body that carries them.
//!
//! With the mid-hands `h`, the origin `o` and rotation `R` of the thorax, and `r = R^T (h - o)`, between samples k and
//! k+1:
//!
//! ```text
//! arm  = 1/2 (R_k + R_k+1) (r_k+1 - r_k)
//! body = (o_k+1 - o_k) + (R_k+1 - R_k) 1/2 (r_k + r_k+1)
//! ```
//!
//! Each is computed by itself; their sum is the displacement of the hands, and they tend to `R dr/dt` and
//! `do/dt + w x (h - o)`. The body's share splits into *shift* (mid-hip), *turn* (`w` along the long axis, through `o`)
//! and *tilt* (the rest). The arms-only path `o(top) + R(top) r(t)` is another quantity: what the arms would draw if the
//! body stood still.

use super::{BodyPoint, Swing};
use crate::body::Thorax;
use crate::formats::Point;
use crate::plain;
use crate::signal::Curve;
use crate::words::Message;
use nalgebra::{Matrix3, Vector3};

/// Which landmarks make the thorax frame. Motion of the shoulder girdle is booked to the body in the first and to the
/// arms in the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThoraxFrame {
    /// Shoulder line exact (trail to lead); long axis the part of mid-hip to mid-shoulder perpendicular to it; origin
    /// mid-shoulder.
    ShoulderLine,
    /// [`Thorax::isb`]: notch, C7, xiphoid, T8; origin the notch.
    Isb,
}

plain::words!(ThoraxFrame { ShoulderLine = "shoulder line", Isb = "ISB trunk landmarks" });

impl ThoraxFrame {
    /// Points of the frame, mid-hip last.
    pub(crate) fn landmarks(self) -> &'static [BodyPoint] {
        use BodyPoint as B;
        match self {
            ThoraxFrame::ShoulderLine => &[B::LeadShoulder, B::TrailShoulder, B::MidHip],
            ThoraxFrame::Isb => &[B::Notch, B::C7, B::Xiphoid, B::T8, B::MidHip],
        }
    }
}

/// Displacement of the hands between two times, split by cause; `[out, target, up]`, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// Thorax frame used.
    pub frame: ThoraxFrame,
    /// Whole displacement.
    pub displacement: Point,
    /// The arms themselves.
    pub arm: Point,
    /// The body that carries them: shift, turn and tilt together.
    pub body: Point,
    /// Part of the body's share: mid-hip moves.
    pub shift: Point,
    /// Part of the body's share: the trunk turns about its long axis.
    pub turn: Point,
    /// Part of the body's share: the rest.
    pub tilt: Point,
    /// Displacement along the arms-only path.
    pub arms_only: Point,
}

/// Thorax and hands at one time.
#[derive(Clone, Copy)]
pub(crate) struct Pose {
    hands: Vector3<f64>,
    origin: Vector3<f64>,
    /// Takes thorax coordinates to body-relative ones.
    rotation: Matrix3<f64>,
    long_axis: Vector3<f64>,
    mid_hip: Vector3<f64>,
    /// Hands in the thorax.
    in_thorax: Vector3<f64>,
}

impl Pose {
    /// `places`: mid-hands, then the landmarks of the frame in its order. `None` where they fix no frame.
    pub(crate) fn of(places: &[Vector3<f64>], frame: ThoraxFrame) -> Option<Pose> {
        let (hands, mid_hip) = (*places.first()?, *places.last()?);
        match (frame, places) {
            (ThoraxFrame::ShoulderLine, [_, lead, trail, _]) => {
                let origin = 0.5 * (lead + trail);
                let line = (lead - trail).try_normalize(1e-9)?;
                let trunk = origin - mid_hip;
                let long_axis = (trunk - line * trunk.dot(&line)).try_normalize(1e-9)?;
                let rotation = Matrix3::from_columns(&[line.cross(&long_axis), line, long_axis]);
                let in_thorax = rotation.tr_mul(&(hands - origin));
                Some(Pose { hands, origin, rotation, long_axis, mid_hip, in_thorax })
            }
            (ThoraxFrame::Isb, [_, notch, c7, xiphoid, t8, _]) => {
                let [ij, c7, px, t8] = [notch, c7, xiphoid, t8].map(|v| Point::from(*v));
                let Thorax { origin, axes } = Thorax::isb(&ij, &c7, &px, &t8)?;
                let in_thorax = axes.tr_mul(&(hands - origin));
                Some(Pose { hands, origin, rotation: axes, long_axis: axes.column(1).into(), mid_hip, in_thorax })
            }
            _ => None,
        }
    }

    /// Long axis of the thorax on the way to the next pose, and the turn about it, radians.
    fn turn(&self, next: &Pose) -> (Vector3<f64>, f64) {
        let along = self.long_axis + next.long_axis;
        let axis = along * (1.0 / along.norm());
        // The rotation from one to the next is the sum of `b a^T` over their axes.
        let (mut twice_sine, mut trace) = (Vector3::zeros(), 0.0);
        for (a, b) in self.rotation.data.0.iter().zip(&next.rotation.data.0) {
            twice_sine.x += a[1] * b[2] - a[2] * b[1];
            twice_sine.y += a[2] * b[0] - a[0] * b[2];
            twice_sine.z += a[0] * b[1] - a[1] * b[0];
            trace += a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        }
        (axis, turned(&(0.5 * twice_sine), 0.5 * (trace - 1.0)).dot(&axis))
    }

    /// Angle between the long axis of the thorax and the vertical, radians.
    pub(crate) fn lean(&self) -> f64 {
        let [out, target, up] = Point::from(self.long_axis);
        out.hypot(target).atan2(up)
    }

    /// Turn about the long axis of the thorax to the next pose, radians; towards the target is positive.
    pub(crate) fn turn_to(&self, next: &Pose) -> f64 {
        self.turn(next).1
    }
}

/// Shares of the displacement from `from_s` to `to_s`, seconds of the swing's own time. Instants lie between rows: path
/// and landmarks are interpolated at both ends (cubic), rows in between are taken as they are.
///
/// # Errors
/// A [`Message`]: a landmark of the frame is not known, or missing for some of the time.
pub fn shares(swing: &Swing, frame: ThoraxFrame, from_s: f64, to_s: f64) -> Result<Shares, Message> {
    let poses = poses(swing, frame, from_s, to_s)?;
    let mut sums = [Vector3::zeros(); 4];
    for pair in poses.windows(2) {
        for (sum, part) in sums.iter_mut().zip(step(&pair[0], &pair[1])) {
            *sum += part;
        }
    }
    let [arm, body, shift, turn] = sums;
    let (first, last) = (poses[0], poses[poses.len() - 1]);
    let place = |v: Vector3<f64>| Point::from(v);
    Ok(Shares {
        frame,
        displacement: place(last.hands - first.hands),
        arm: place(arm),
        body: place(body),
        shift: place(shift),
        turn: place(turn),
        tilt: place(body - shift - turn),
        arms_only: place(first.rotation * (last.in_thorax - first.in_thorax)),
    })
}

/// The arms-only path from `from_s` to `to_s`: times and places at both ends and at the rows between.
///
/// # Errors
/// As [`shares`].
pub fn arms_only_path(swing: &Swing, frame: ThoraxFrame, from_s: f64, to_s: f64) -> Result<Vec<(f64, Point)>, Message> {
    let poses = poses(swing, frame, from_s, to_s)?;
    let first = poses[0];
    let place = |pose: &Pose| Point::from(first.origin + first.rotation * pose.in_thorax);
    Ok(times(swing, from_s, to_s).into_iter().zip(poses.iter().map(place)).collect())
}

/// Arm share and body share since `from_s`, summed up: times and both, at both ends and at the rows between.
///
/// # Errors
/// As [`shares`].
pub fn share_path(
    swing: &Swing,
    frame: ThoraxFrame,
    from_s: f64,
    to_s: f64,
) -> Result<Vec<(f64, [Point; 2])>, Message> {
    let poses = poses(swing, frame, from_s, to_s)?;
    let mut sums = [Vector3::zeros(); 2];
    let steps = poses.windows(2).map(|pair| {
        let [arm, body, ..] = step(&pair[0], &pair[1]);
        sums[0] += arm;
        sums[1] += body;
        sums.map(Point::from)
    });
    let all = std::iter::once([[0.0; 3]; 2]).chain(steps);
    Ok(times(swing, from_s, to_s).into_iter().zip(all).collect())
}

/// Ratios of one term of the arcsine's series to the one before: `(2k - 1)^2 / (2k (2k + 1))`.
const ARCSINE: [f64; 7] = [1.0 / 6.0, 9.0 / 20.0, 25.0 / 42.0, 49.0 / 72.0, 81.0 / 110.0, 121.0 / 156.0, 169.0 / 210.0];

/// Axis of a rotation times its angle, radians, from its axis times its sine, and its cosine. The arctangent keeps its
/// digits where the angle is next to nothing, as in a rest; the arccosine of the trace loses them, or is no number.
/// Between two samples the angle is small, and eight terms of the arcsine have all its digits.
fn turned(sine: &Vector3<f64>, cosine: f64) -> Vector3<f64> {
    const SMALL: f64 = 0.1;
    let square = sine.norm_squared();
    if square < SMALL * SMALL && cosine > 0.0 {
        return sine * ARCSINE.iter().rev().fold(1.0, |sum, ratio| 1.0 + square * ratio * sum);
    }
    let size = square.sqrt();
    sine * (size.atan2(cosine) / size)
}

/// What the arms do between two samples.
fn arm(a: &Pose, b: &Pose) -> Vector3<f64> {
    0.5 * (a.rotation + b.rotation) * (b.in_thorax - a.in_thorax)
}

/// How far the arms raise the hands between two samples.
pub(crate) fn arm_up(a: &Pose, b: &Pose) -> f64 {
    let moved = b.in_thorax - a.in_thorax;
    (0..3).map(|k| 0.5 * (a.rotation[(2, k)] + b.rotation[(2, k)]) * moved[k]).sum()
}

/// What the body does between two samples.
fn body(a: &Pose, b: &Pose) -> Vector3<f64> {
    (b.origin - a.origin) + (b.rotation - a.rotation) * (0.5 * (a.in_thorax + b.in_thorax))
}

/// Arm, body, shift and turn between two samples.
pub(crate) fn step(a: &Pose, b: &Pose) -> [Vector3<f64>; 4] {
    let (axis, angle) = a.turn(b);
    let lever = 0.5 * ((a.hands - a.origin) + (b.hands - b.origin));
    [arm(a, b), body(a, b), b.mid_hip - a.mid_hip, (axis * angle).cross(&lever)]
}

/// Both ends and the rows between them.
fn times(swing: &Swing, from_s: f64, to_s: f64) -> Vec<f64> {
    let inner = swing.time_s.iter().copied().filter(|t| *t > from_s && *t < to_s);
    std::iter::once(from_s).chain(inner).chain(std::iter::once(to_s)).collect()
}

/// Rows beside a stretch that shape its splines.
const BESIDE: usize = 32;

fn poses(swing: &Swing, frame: ThoraxFrame, from_s: f64, to_s: f64) -> Result<Vec<Pose>, Message> {
    if from_s >= to_s {
        return Err(Message::new("shares.no_time"));
    }
    // A knot's influence on a spline falls to a quarter with every further knot.
    let near = swing.time_s.partition_point(|t| *t < from_s).saturating_sub(BESIDE)
        ..(swing.time_s.partition_point(|t| *t <= to_s) + BESIDE).min(swing.time_s.len());
    let curve =
        |series: &[Point]| Curve::through(&swing.time_s[near.clone()], series.get(near.clone()).unwrap_or_default());
    let mut curves = vec![curve(&swing.hands)];
    for point in frame.landmarks() {
        let series = swing.body.get(point);
        curves.push(curve(series.ok_or_else(|| Message::new("shares.landmark").with("point", point.name()))?));
    }
    let at = |t: f64| -> Option<Pose> {
        let places: Option<Vec<Vector3<f64>>> =
            curves.iter().map(|curve| curve.position(t).map(Vector3::from)).collect();
        Pose::of(&places?, frame)
    };
    let gap = |t: f64| Message::new("shares.gap").with("time", t);
    times(swing, from_s, to_s).into_iter().map(|t| at(t).ok_or_else(|| gap(t))).collect()
}
