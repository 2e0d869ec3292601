//! The stretch of a swing that measures look at: tracks with their velocities, instants, ball.

use super::why::Why;
use crate::formats::{GAP, Point, is_gap};
use crate::signal::Curve;
use crate::swing::{BodyPoint, InstantName, Pose, Swing, ThoraxFrame};
use crate::table::Table;
use nalgebra::{Matrix3, Rotation3, Vector3};
use std::rc::Rc;

pub(super) type V = Vector3<f64>;

/// Paths are looked at in steps of at most this, whatever the sampling rate, seconds.
const FINE_S: f64 = 0.004;
/// The stretch begins this long before the top at least, and ends this long after impact, seconds.
const BEFORE_TOP_S: f64 = 0.5;
const AFTER_IMPACT_S: f64 = 0.1;
/// Samples beyond the stretch that shape its splines: their influence falls to a quarter with every sample.
const PAD: usize = 32;

/// Points that measures use beside the mid-hands.
const POINTS: [BodyPoint; 12] = [
    BodyPoint::LeadShoulder,
    BodyPoint::TrailShoulder,
    BodyPoint::MidHip,
    BodyPoint::LeadHip,
    BodyPoint::TrailHip,
    BodyPoint::Notch,
    BodyPoint::C7,
    BodyPoint::Xiphoid,
    BodyPoint::T8,
    BodyPoint::ClubHead,
    BodyPoint::ShaftLower,
    BodyPoint::ShaftUpper,
];

/// Uniform sample times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Clock {
    pub(super) start_s: f64,
    pub(super) step_s: f64,
    pub(super) samples: usize,
}

impl Clock {
    pub(super) fn time(&self, k: usize) -> f64 {
        self.start_s + k as f64 * self.step_s
    }

    pub(super) fn times(self) -> impl Iterator<Item = f64> {
        (0..self.samples).map(move |k| self.time(k))
    }

    fn end_s(&self) -> f64 {
        self.time(self.samples.saturating_sub(1))
    }
}

/// Places and velocities at the samples of a clock. A gap is three NaN.
#[derive(Debug, Default)]
pub(super) struct Samples {
    pub(super) places: Vec<V>,
    pub(super) velocities: Vec<V>,
}

impl Samples {
    pub(super) fn of(clock: &Clock, curve: &Curve) -> Samples {
        let or_gap = |point: Option<Point>| V::from(point.unwrap_or(GAP));
        Samples {
            places: clock.times().map(|t| or_gap(curve.position(t))).collect(),
            velocities: clock.times().map(|t| or_gap(curve.velocity(t))).collect(),
        }
    }
}

/// An error along a track: samples, taken from one of them on (as many as the track has), times a factor for each axis.
#[derive(Clone, Debug)]
pub(super) struct Wave {
    pub(super) samples: Rc<Samples>,
    pub(super) from: usize,
    pub(super) factor: V,
}

/// One point over the clock: the cubic between places and velocities at the samples. Taken from a spline, this *is* the
/// spline. Errors and another frame are added where the track is looked at, so that a draw copies no samples.
#[derive(Clone, Debug)]
pub(super) struct Track {
    samples: Rc<Samples>,
    pub(super) errors: Vec<Wave>,
    pub(super) frame: Frame,
}

/// Another frame: `turn * place + origin`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub(super) turn: Matrix3<f64>,
    pub(super) origin: V,
}

impl Track {
    fn of(clock: &Clock, curve: &Curve) -> Track {
        let frame = Frame { turn: Matrix3::identity(), origin: V::zeros() };
        Track { samples: Rc::new(Samples::of(clock, curve)), errors: vec![], frame }
    }

    /// Place at a sample.
    pub(super) fn sample(&self, k: usize) -> V {
        self.frame.turn * self.shaken(k).0 + self.frame.origin
    }

    /// Place and velocity at a sample, with errors, before the frame.
    fn shaken(&self, k: usize) -> (V, V) {
        let (mut place, mut velocity) = (self.samples.places[k], self.samples.velocities[k]);
        for Wave { samples, from, factor } in &self.errors {
            place += factor.component_mul(&samples.places[from + k]);
            velocity += factor.component_mul(&samples.velocities[from + k]);
        }
        (place, velocity)
    }

    /// Place, velocity and acceleration at `t`.
    fn at(&self, clock: &Clock, t: f64) -> Option<[V; 3]> {
        const SLACK_S: f64 = 1e-9;
        if t.is_nan() || t < clock.start_s - SLACK_S || t > clock.end_s() + SLACK_S || clock.samples < 2 {
            return None;
        }
        let h = clock.step_s;
        let k = (((t - clock.start_s) / h).max(0.0) as usize).min(clock.samples - 2);
        let s = (t - clock.time(k)) / h;
        let ((p0, v0), (p1, v1)) = (self.shaken(k), self.shaken(k + 1));
        let (rise, m0, m1) = (p1 - p0, v0 * h, v1 * h);
        // p0 + s m0 + s^2 (3 rise - 2 m0 - m1) + s^3 (m0 + m1 - 2 rise)
        let (second, third) = (3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise);
        let place = p0 + s * (m0 + s * (second + s * third));
        let velocity = (m0 + s * (2.0 * second + 3.0 * s * third)) / h;
        let bend = (2.0 * second + 6.0 * s * third) / (h * h);
        let Frame { turn, origin } = &self.frame;
        (!place.x.is_nan()).then(|| [turn * place + origin, turn * velocity, turn * bend])
    }
}

/// A swing as measures see it.
#[derive(Clone, Debug)]
pub(super) struct Course {
    pub(super) clock: Clock,
    pub(super) hands: Track,
    pub(super) points: Table<BodyPoint, Track>,
    pub(super) times: [Option<f64>; 8],
    pub(super) ball: Option<V>,
    pub(super) noise_m: f64,
    pub(super) has_body: bool,
    pub(super) frame: ThoraxFrame,
}

impl Course {
    pub(super) fn of(swing: &Swing) -> Course {
        let window = window(swing);
        let padded = padded(swing);
        let clock = Clock {
            start_s: swing.time_s.get(window.start).copied().unwrap_or(0.0),
            step_s: 1.0 / swing.rate_hz,
            samples: window.len(),
        };
        let track = |points: &[Point]| {
            let cut = points.get(padded.clone()).unwrap_or_default();
            Track::of(&clock, &Curve::through(&swing.time_s[padded.clone()], cut))
        };
        let points: Table<BodyPoint, Track> =
            POINTS.into_iter().filter_map(|point| Some((point, track(swing.body.get(&point)?)))).collect();
        let line = ThoraxFrame::ShoulderLine.landmarks().iter().all(|point| points.contains_key(point));
        Course {
            clock,
            hands: track(&swing.hands),
            points,
            times: InstantName::ALL.map(|name| swing.instant(name).map(|instant| instant.time_s)),
            ball: swing.ball.map(V::from),
            noise_m: swing.noise_m,
            has_body: swing.has_body,
            frame: if line { ThoraxFrame::ShoulderLine } else { ThoraxFrame::Isb },
        }
    }

    /// The same course in the frame of a target line turned by so many degrees, with the ball at its place there.
    pub(super) fn turned(&self, degrees: f64, ball: Option<Point>) -> Course {
        let turn = Rotation3::from_axis_angle(&V::z_axis(), degrees.to_radians()).into_inner();
        let mut turned = Course { ball: ball.map(V::from), ..self.clone() };
        for track in turned.points.values_mut().chain(std::iter::once(&mut turned.hands)) {
            track.frame = Frame { turn, origin: V::zeros() };
        }
        turned
    }

    /// What a treatment of the whole hand path changes about it.
    pub(super) fn changed(&self, swing: &Swing, treat: impl Fn(&[Point]) -> Vec<Point>) -> Samples {
        let padded = padded(swing);
        let hands = swing.hands.get(padded.clone()).unwrap_or_default();
        let times = swing.time_s.get(padded).unwrap_or_default();
        let mut change = Samples::of(&self.clock, &Curve::through(times, &treat(hands)));
        let pairs = |new: &mut [V], old: &[V]| new.iter_mut().zip(old).for_each(|(new, old)| *new -= old);
        pairs(&mut change.places, &self.hands.samples.places);
        pairs(&mut change.velocities, &self.hands.samples.velocities);
        change
    }

    /// Time of an instant.
    pub(super) fn time(&self, name: InstantName) -> Result<f64, Why> {
        self.times[name as usize].ok_or(Why::NoInstant(name))
    }

    /// Times of two instants, the second after the first.
    pub(super) fn span(&self, from: InstantName, to: InstantName) -> Result<(f64, f64), Why> {
        let (from_s, to_s) = (self.time(from)?, self.time(to)?);
        if from_s < to_s { Ok((from_s, to_s)) } else { Err(Why::Order(from, to)) }
    }

    /// Only with a body there are out and target.
    pub(super) fn framed(&self) -> Result<(), Why> {
        if self.has_body { Ok(()) } else { Err(Why::NoBody) }
    }

    /// Mid-hands at a time: place, velocity, acceleration.
    pub(super) fn hands(&self, t: f64) -> Result<[V; 3], Why> {
        self.hands.at(&self.clock, t).ok_or(Why::Gap)
    }

    /// Mid-hands at an instant.
    pub(super) fn hands_at(&self, name: InstantName) -> Result<V, Why> {
        Ok(self.hands(self.time(name)?)?[0])
    }

    /// Another point at a time: place, velocity, acceleration.
    pub(super) fn point(&self, point: BodyPoint, t: f64) -> Result<[V; 3], Why> {
        let track = self.points.get(&point).ok_or(Why::NoPoint(point.name()))?;
        track.at(&self.clock, t).ok_or(Why::Gap)
    }

    /// Mid-hands from one time to another, both included, in fine steps.
    pub(super) fn path(&self, from_s: f64, to_s: f64) -> Result<Vec<V>, Why> {
        fine(from_s, to_s).map(|t| Ok(self.hands(t)?[0])).collect()
    }

    /// Thorax and hands at a time.
    pub(super) fn pose(&self, t: f64) -> Result<Pose, Why> {
        let mut places = [V::zeros(); 6];
        let landmarks = self.frame.landmarks();
        places[0] = self.hands(t)?[0];
        for (place, point) in places[1..].iter_mut().zip(landmarks) {
            *place = self.point(*point, t)?[0];
        }
        Pose::of(&places[..=landmarks.len()], self.frame).ok_or(Why::Gap)
    }
}

/// Samples from well before the top to just after impact, or to the end.
fn window(swing: &Swing) -> std::ops::Range<usize> {
    let time = |name| swing.instant(name).map(|instant| instant.time_s);
    let Some(top_s) = time(InstantName::Top) else { return 0..0 };
    let last_s = time(InstantName::Impact).or(time(InstantName::Finish));
    let down_s = last_s.map_or(0.0, |last_s| last_s - top_s);
    let from = swing.time_s.partition_point(|t| *t < top_s - BEFORE_TOP_S.max(down_s));
    let to =
        last_s.map_or(swing.time_s.len(), |last_s| swing.time_s.partition_point(|t| *t <= last_s + AFTER_IMPACT_S));
    from..to.max(from)
}

/// The window and the samples beside it that shape its splines.
fn padded(swing: &Swing) -> std::ops::Range<usize> {
    let window = window(swing);
    window.start.saturating_sub(PAD)..(window.end + PAD).min(swing.time_s.len())
}

/// Times from one to another, both included, in equal steps of at most [`FINE_S`].
pub(super) fn fine(from_s: f64, to_s: f64) -> impl DoubleEndedIterator<Item = f64> {
    let steps = ((to_s - from_s) / FINE_S).ceil().max(1.0) as usize;
    (0..=steps).map(move |k| from_s + (to_s - from_s) * k as f64 / steps as f64)
}

/// No path has more points than this: wild coordinates must not fill the memory.
const MOST_POINTS: f64 = 4096.0;

/// Points every `step_m` of path length along a polyline, its first point included.
pub(super) fn resampled(path: &[V], step_m: f64) -> Vec<V> {
    let mut points: Vec<V> = path.first().copied().into_iter().collect();
    let step_m = step_m.max(length(path) / MOST_POINTS);
    if !(step_m > 0.0 && step_m.is_finite()) {
        return points;
    }
    let mut left_m = step_m;
    for pair in path.windows(2) {
        let (length, mut done) = ((pair[1] - pair[0]).norm(), 0.0);
        while length - done >= left_m {
            done += left_m;
            points.push(pair[0].lerp(&pair[1], done / length));
            left_m = step_m;
        }
        left_m -= length - done;
    }
    points
}

/// Length of a polyline.
pub(super) fn length(path: &[V]) -> f64 {
    path.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum()
}

/// Is a place unknown?
pub(super) fn unknown(place: &V) -> bool {
    is_gap(&Point::from(*place))
}
