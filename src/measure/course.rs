//! The stretch of a swing that measures look at: tracks with their velocities, instants, ball.

use super::why::Why;
use crate::formats::{GAP, Point, is_gap};
use crate::signal::Curve;
use crate::swing::{BodyPoint, InstantName, Pose, Swing, ThoraxFrame};
use crate::table::Table;
use nalgebra::{Matrix3, Rotation3, Vector3};
use std::cell::OnceCell;
use std::rc::Rc;

pub(super) type V = Vector3<f64>;

/// Paths are looked at in steps of at most this, whatever the sampling rate, seconds.
const FINE_S: f64 = 0.004;
/// The stretch begins this long before the top at least, and ends this long after impact, seconds.
const BEFORE_TOP_S: f64 = 0.5;
const AFTER_IMPACT_S: f64 = 0.1;
/// Points that no filter smooths are looked at over so much on either side, but at least two samples, seconds.
const HALF_SPAN_S: f64 = 0.025;
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

/// Place and velocity at one time, before the frame.
pub(super) type Moment = [V; 2];

/// Moments at the samples of a clock. A gap is NaN.
pub(super) type Samples = Vec<Moment>;

pub(super) fn samples(clock: &Clock, curve: &Curve) -> Samples {
    let or_gap = |point: Option<Point>| V::from(point.unwrap_or(GAP));
    clock.times().map(|t| [or_gap(curve.position(t)), or_gap(curve.velocity(t))]).collect()
}

/// An error along a track: samples, taken from one of them on (as many as the track has), times a factor for each axis.
#[derive(Clone, Debug)]
pub(super) struct Wave {
    pub(super) samples: Rc<Samples>,
    pub(super) from: usize,
    pub(super) factor: V,
}

/// One point over the clock: the cubic between places and velocities at the samples. Taken from a spline, this *is* the
/// spline. Errors are added where the track is looked at, so that a draw copies no samples.
#[derive(Clone, Debug)]
pub(super) struct Track {
    samples: Rc<Samples>,
    pub(super) errors: Vec<Wave>,
}

/// Another frame: `turn * place + origin`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub(super) turn: Matrix3<f64>,
    pub(super) origin: V,
}

impl Frame {
    fn place(&self, place: &V) -> V {
        self.turn * place + self.origin
    }
}

/// The cubic between two samples, by the share `s` of the way between them, which takes `h` seconds.
struct Cubic {
    terms: [V; 4],
    s: f64,
    h: f64,
}

impl Cubic {
    fn place(&self) -> V {
        let ([a, b, c, d], s) = (&self.terms, self.s);
        a + s * (b + s * (c + s * d))
    }

    fn velocity(&self) -> V {
        let ([_, b, c, d], s) = (&self.terms, self.s);
        (b + s * (2.0 * c + 3.0 * s * d)) / self.h
    }

    fn bend(&self) -> V {
        let ([.., c, d], s) = (&self.terms, self.s);
        (2.0 * c + 6.0 * s * d) / (self.h * self.h)
    }
}

impl Track {
    fn of(clock: &Clock, curve: &Curve) -> Track {
        Track { samples: Rc::new(samples(clock, curve)), errors: vec![] }
    }

    /// Place at a sample, before the frame.
    pub(super) fn place(&self, k: usize) -> V {
        let mut place = self.samples[k][0];
        for Wave { samples, from, factor } in &self.errors {
            place += factor.component_mul(&samples[from + k][0]);
        }
        place
    }

    /// Place and velocity at a sample.
    fn moment(&self, k: usize) -> Moment {
        let [mut place, mut velocity] = self.samples[k];
        for Wave { samples, from, factor } in &self.errors {
            let [off, drift] = &samples[from + k];
            place += factor.component_mul(off);
            velocity += factor.component_mul(drift);
        }
        [place, velocity]
    }

    fn cubic(&self, clock: &Clock, t: f64) -> Option<Cubic> {
        const SLACK_S: f64 = 1e-9;
        if t.is_nan() || t < clock.start_s - SLACK_S || t > clock.end_s() + SLACK_S || clock.samples < 2 {
            return None;
        }
        let h = clock.step_s;
        let k = (((t - clock.start_s) / h).max(0.0) as usize).min(clock.samples - 2);
        let ([p0, v0], [p1, v1]) = (self.moment(k), self.moment(k + 1));
        let (rise, m0, m1) = (p1 - p0, v0 * h, v1 * h);
        // p0 + s m0 + s^2 (3 rise - 2 m0 - m1) + s^3 (m0 + m1 - 2 rise)
        let terms = [p0, m0, 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise];
        (!terms[3].x.is_nan()).then_some(Cubic { terms, s: (t - clock.time(k)) / h, h })
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
    pub(super) thorax: ThoraxFrame,
    /// The frame that places are told in.
    pub(super) view: Frame,
    /// Hands from the top to impact in fine steps; made when it is asked for.
    way: OnceCell<Result<Way, Why>>,
}

/// Hands from the top to impact in fine steps, in the frame of the view. A gap is NaN.
#[derive(Clone, Debug)]
struct Way {
    times: Vec<f64>,
    places: Vec<V>,
    speeds: Vec<f64>,
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
        let has = |frame: ThoraxFrame| frame.landmarks().iter().all(|point| points.contains_key(point));
        let by_trunk = has(ThoraxFrame::Isb) && !has(ThoraxFrame::ShoulderLine);
        Course {
            clock,
            hands: track(&swing.hands),
            points,
            times: InstantName::ALL.map(|name| swing.instant(name).map(|instant| instant.time_s)),
            ball: swing.ball.map(V::from),
            noise_m: swing.noise_m,
            has_body: swing.has_body,
            thorax: if by_trunk { ThoraxFrame::Isb } else { ThoraxFrame::ShoulderLine },
            view: Frame { turn: Matrix3::identity(), origin: V::zeros() },
            way: OnceCell::new(),
        }
    }

    /// The same course in the frame of a target line turned by so many degrees, with the ball at its place there.
    pub(super) fn turned(&self, degrees: f64, ball: Option<Point>) -> Course {
        let turn = Rotation3::from_axis_angle(&V::z_axis(), degrees.to_radians()).into_inner();
        let view = Frame { turn, origin: V::zeros() };
        Course { ball: ball.map(V::from), view, way: OnceCell::new(), ..self.clone() }
    }

    /// What a treatment of the mid-hands' whole path, or of another point's, changes about it.
    pub(super) fn changed(
        &self,
        swing: &Swing,
        point: Option<BodyPoint>,
        treat: impl Fn(&[Point]) -> Vec<Point>,
    ) -> Option<Samples> {
        let (path, track) = match point {
            None => (&swing.hands, &self.hands),
            Some(point) => (swing.body.get(&point)?, self.points.get(&point)?),
        };
        let padded = padded(swing);
        let times = swing.time_s.get(padded.clone()).unwrap_or_default();
        let treated = treat(path.get(padded).unwrap_or_default());
        let mut change = samples(&self.clock, &Curve::through(times, &treated));
        for (new, old) in change.iter_mut().zip(track.samples.iter()) {
            *new = [new[0] - old[0], new[1] - old[1]];
        }
        Some(change)
    }

    /// Says that tracks, instants or view have changed.
    pub(super) fn changed_now(&mut self) {
        self.way = OnceCell::new();
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

    fn track(&self, point: BodyPoint) -> Result<&Track, Why> {
        self.points.get(&point).ok_or(Why::NoPoint(point.name()))
    }

    fn cubic(&self, track: &Track, t: f64) -> Result<Cubic, Why> {
        track.cubic(&self.clock, t).ok_or(Why::Gap)
    }

    /// Mid-hands at a time: place, velocity, acceleration.
    pub(super) fn hands(&self, t: f64) -> Result<[V; 3], Why> {
        let (cubic, Frame { turn, .. }) = (self.cubic(&self.hands, t)?, &self.view);
        Ok([self.view.place(&cubic.place()), turn * cubic.velocity(), turn * cubic.bend()])
    }

    /// Mid-hands at a time: place and velocity.
    fn hands_moment(&self, t: f64) -> Result<Moment, Why> {
        let cubic = self.cubic(&self.hands, t)?;
        Ok([self.view.place(&cubic.place()), self.view.turn * cubic.velocity()])
    }

    /// Speed of the mid-hands at a time.
    pub(super) fn speed(&self, t: f64) -> Result<f64, Why> {
        Ok((self.view.turn * self.cubic(&self.hands, t)?.velocity()).norm())
    }

    /// Mid-hands at an instant.
    pub(super) fn hands_at(&self, name: InstantName) -> Result<V, Why> {
        Ok(self.hands(self.time(name)?)?[0])
    }

    /// Another point at a time: its place.
    pub(super) fn point(&self, point: BodyPoint, t: f64) -> Result<V, Why> {
        Ok(self.view.place(&self.cubic(self.track(point)?, t)?.place()))
    }

    /// A point that is not filtered, at a time: by a parabola through the samples around it, none of them after impact.
    pub(super) fn unfiltered(&self, point: BodyPoint, t: f64) -> Result<V, Why> {
        let (track, clock) = (self.track(point)?, &self.clock);
        let half_s = HALF_SPAN_S.max(2.0 * clock.step_s);
        let last_s = self.time(InstantName::Impact).ok().filter(|impact_s| *impact_s > t).unwrap_or(f64::INFINITY);
        let around = || {
            let near = self.between(t - half_s - 1e-9, (t + half_s + 1e-9).min(last_s));
            near.map(|k| ((clock.time(k) - t) / half_s, track.place(k)))
        };
        // Moments of the samples' distances; the first row of the inverse normal matrix gives the value at `t`.
        let mut m = [0.0; 5];
        around().for_each(|(u, _)| (0..5).for_each(|power| m[power] += u.powi(power as i32)));
        let row = [m[2] * m[4] - m[3] * m[3], m[2] * m[3] - m[1] * m[4], m[1] * m[3] - m[2] * m[2]];
        let whole = m[0] * row[0] + m[1] * row[1] + m[2] * row[2];
        let sum: V = around().map(|(u, place)| place * ((row[0] + u * (row[1] + u * row[2])) / whole)).sum();
        if whole > 1e-3 && !sum.x.is_nan() { Ok(self.view.place(&sum)) } else { self.point(point, t) }
    }

    /// Height of another point at a time, and its rate.
    pub(super) fn height(&self, point: BodyPoint, t: f64) -> Result<[f64; 2], Why> {
        let cubic = self.cubic(self.track(point)?, t)?;
        Ok([self.view.place(&cubic.place()).z, (self.view.turn * cubic.velocity()).z])
    }

    /// Club head from the mid-hands at a sample.
    pub(super) fn lever(&self, k: usize) -> Result<V, Why> {
        Ok(self.view.turn * (self.track(BodyPoint::ClubHead)?.place(k) - self.hands.place(k)))
    }

    /// Hands in fine steps from the top to impact, or to the last instant before it that is known.
    fn way(&self) -> Result<&Way, Why> {
        let found = self.way.get_or_init(|| {
            let from_s = self.time(InstantName::Top)?.max(self.clock.start_s);
            let ends = [InstantName::Impact, InstantName::HipHeight, InstantName::LeadArmLevel];
            let ends = ends.iter().filter_map(|name| self.time(*name).ok());
            let to_s = ends.fold(from_s, f64::max).min(self.clock.end_s());
            let times: Vec<f64> = fine(from_s, to_s).collect();
            let moment = |t: &f64| self.hands_moment(*t).unwrap_or([V::from(GAP); 2]);
            let (places, speeds) = times.iter().map(moment).map(|[place, speed]| (place, speed.norm())).unzip();
            Ok(Way { times, places, speeds })
        });
        found.as_ref().map_err(|why| *why)
    }

    /// Something of the mid-hands from one instant to another, both included, in fine steps that all such paths share:
    /// at both ends as `end` tells, between them what `of` the way is known.
    fn stretch<T: Copy>(
        &self,
        [from, to]: [InstantName; 2],
        of: impl Fn(&Way) -> &[T],
        end: impl Fn(f64) -> Result<T, Why>,
    ) -> Result<Vec<T>, Why> {
        let (from_s, to_s) = self.span(from, to)?;
        let way = self.way()?;
        let at = |t: f64| way.times.partition_point(|time| *time < t);
        // Not the start itself, should it be a step.
        let first = at(from_s) + usize::from(way.times.get(at(from_s)) == Some(&from_s));
        let inner = first..at(to_s).max(first);
        if way.places.get(inner.clone()).is_none_or(|places| places.iter().any(unknown)) {
            return Err(Why::Gap);
        }
        let mut all = Vec::with_capacity(inner.len() + 2);
        all.push(end(from_s)?);
        all.extend_from_slice(of(way).get(inner).unwrap_or_default());
        all.push(end(to_s)?);
        Ok(all)
    }

    /// Places of the mid-hands from one instant to another.
    pub(super) fn path(&self, from: InstantName, to: InstantName) -> Result<Vec<V>, Why> {
        self.stretch([from, to], |way| &way.places, |t| Ok(self.hands_moment(t)?[0]))
    }

    /// Speeds of the mid-hands, likewise.
    pub(super) fn speeds(&self, from: InstantName, to: InstantName) -> Result<Vec<f64>, Why> {
        self.stretch([from, to], |way| &way.speeds, |t| self.speed(t))
    }

    /// Times of both.
    pub(super) fn times(&self, from: InstantName, to: InstantName) -> Result<Vec<f64>, Why> {
        self.stretch([from, to], |way| &way.times, |t| self.cubic(&self.hands, t).map(|_| t))
    }

    /// The tracks of hands and thorax.
    pub(super) fn trunk(&self) -> Result<Trunk<'_>, Why> {
        let landmarks = self.thorax.landmarks();
        let mut tracks = [&self.hands; 6];
        for (track, point) in tracks[1..].iter_mut().zip(landmarks) {
            *track = self.track(*point)?;
        }
        Ok(Trunk { tracks, count: landmarks.len() + 1, clock: self.clock, thorax: self.thorax })
    }

    /// Samples between two times, neither included.
    pub(super) fn between(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = usize> {
        let at = |t: f64| ((t - self.clock.start_s) / self.clock.step_s).max(0.0);
        let (from, to) = (at(from_s) as usize, (at(to_s) as usize).saturating_add(1).min(self.clock.samples));
        let clock = self.clock;
        (from..to).filter(move |k| clock.time(*k) > from_s && clock.time(*k) < to_s)
    }
}

/// Hands and thorax over the clock, before the view.
pub(super) struct Trunk<'a> {
    tracks: [&'a Track; 6],
    count: usize,
    clock: Clock,
    thorax: ThoraxFrame,
}

impl Trunk<'_> {
    /// At a time.
    pub(super) fn at(&self, t: f64) -> Result<Pose, Why> {
        self.of(|track| track.cubic(&self.clock, t).map_or(V::from(GAP), |cubic| cubic.place()))
    }

    /// At a sample.
    pub(super) fn at_sample(&self, k: usize) -> Result<Pose, Why> {
        self.of(|track| track.place(k))
    }

    fn of(&self, place: impl Fn(&Track) -> V) -> Result<Pose, Why> {
        let mut places = [V::zeros(); 6];
        let places = &mut places[..self.count];
        places.iter_mut().zip(self.tracks).for_each(|(at, track)| *at = place(track));
        if places.iter().any(|place| place.x.is_nan()) {
            return Err(Why::Gap);
        }
        Pose::of(places, self.thorax).ok_or(Why::Gap)
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
