//! The ten-second set-up check: a still capture with two markers on the target line gives the target line of a session.
//!
//! Two sticks or markers lie on the line through the ball; the player may stand at the ball. Over one second in which
//! nothing moves the direction from the near to the far marker is the target line, in the axes of the capture system, to be
//! stated for every capture of the session. Its 1 SD is 1 degree: the markers are laid by eye (working assumption).
//!
//! Units do not matter to a direction: stillness is judged as a share of the distance between the markers, and places are
//! told as shares of the stance.

use crate::body::horizontal;
use crate::formats::{Axis, Point, is_gap};
use crate::picture::cloud::{Cloud, from_upright};
use crate::plain::{self, Fields, Given, GivenError, Part, Plain, Read};
use crate::roles::Role;
use crate::settings::{Corrections, Hand, TargetLine};
use crate::words::Message;
use nalgebra::Vector3;

/// 1 SD of a target line that markers show, degrees.
pub const SD_DEG: f64 = 1.0;
/// How long nothing may move, seconds.
const STILL_S: f64 = 1.0;
/// Nothing moves that wanders less than this share of the distance between the markers: a third of a degree.
const STILL_SHARE: f64 = 0.005;
/// Samples of the still second, at least.
const LEAST_SAMPLES: usize = 5;
/// A line that rises more than this is none on the ground, degrees.
const STEEPEST_DEG: f64 = 10.0;

/// Which tracks of a capture are what.
#[derive(Clone, Debug)]
pub struct SetupWish {
    /// Name of the track farther from the target.
    pub near: String,
    /// Name of the track nearer to it.
    pub far: String,
    /// Name of the track that is the ball; `None`: the one with that role, if there is one.
    pub ball: Option<String>,
    /// The axis that is up.
    pub up: Axis,
    /// The hand the player plays.
    pub hand: Hand,
    /// Metres per unit of the file, where it is known.
    pub metres: Option<f64>,
}

/// `{near, far, ball, up, hand, metres}`.
impl Read for SetupWish {
    fn read(given: &Given) -> Result<Self, GivenError> {
        let fields = given.fields()?;
        Ok(SetupWish {
            near: fields.take("near")?,
            far: fields.take("far")?,
            ball: fields.take("ball")?,
            up: axis(&fields)?,
            hand: fields.or("hand", Hand::Right)?,
            metres: fields.take("metres")?,
        })
    }
}

fn axis(fields: &Fields) -> Result<Axis, GivenError> {
    let name: String = fields.take("up")?;
    let problem = || GivenError { place: "up".into(), problem: ["an axis was expected, found: ", &name].concat() };
    Axis::parse(&name).ok_or_else(problem)
}

/// The set-up of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Unit vector towards the target, horizontal, in the axes of the file.
    pub direction: [f64; 3],
    /// Where it comes from.
    pub source: &'static str,
    /// 1 SD, degrees.
    pub sd_deg: f64,
    /// The still second: from, to, seconds from the first row.
    pub still_s: [f64; 2],
    /// How far the line turned within it, degrees, 1 SD.
    pub wander_deg: f64,
    /// The ball ahead of the middle of the stance towards the target, as a share of the distance between the ankles; `None`
    /// where the ball or an ankle is not there.
    pub ball_ahead: Option<f64>,
    /// The ball from the middle between the ankles, metres, out and towards the target; `None` also without a unit.
    pub ball_m: Option<[f64; 2]>,
    /// How far the line of the feet looks past the target line, degrees; positive: to the push side, closed.
    pub stance_deg: Option<f64>,
    /// What to state for every capture of the session; what a capture states itself wins.
    pub corrections: Stated,
}

plain::record!(Setup { direction, source, sd_deg, still_s, wander_deg, ball_ahead, ball_m, stance_deg, corrections });

/// Corrections, by the names that [`Corrections`] have outside: `{"target": {"direction": [x, y, z]}, "ball-out": metres,
/// "ball-target": metres}`, the last two only where they are known.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    direction: Direction,
    ball_m: Option<[f64; 2]>,
}

impl Plain for Stated {
    fn each(&self, part: Part<'_>) {
        part("target", &self.direction);
        if let Some([out, target]) = &self.ball_m {
            part("ball-out", out);
            part("ball-target", target);
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
struct Direction {
    direction: [f64; 3],
}

plain::record!(Direction { direction });

/// The set-up, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupAnswer {
    /// What was found.
    pub setup: Option<Setup>,
    /// Why nothing was.
    pub error: Option<Message>,
    /// What is to be said of it.
    pub notes: Vec<Message>,
}

plain::record!(SetupAnswer { setup, error, notes });

/// Checks a still capture. `cloud` is its points, turned so that the third coordinate is up, as [`Cloud::new`] turns them
/// for the axis of the wish.
pub fn check(cloud: &Cloud, wish: &SetupWish) -> SetupAnswer {
    match find(cloud, wish) {
        Ok(setup) => SetupAnswer { notes: remarks(&setup), setup: Some(setup), error: None },
        Err(error) => SetupAnswer { setup: None, error: Some(error), notes: vec![] },
    }
}

fn find(cloud: &Cloud, wish: &SetupWish) -> Result<Setup, Message> {
    let [near, far] = [track(cloud, &wish.near)?, track(cloud, &wish.far)?];
    let still = still(cloud, near, far).ok_or_else(|| Message::new("coach.setup_not_still"))?;
    let place = |track: usize| median(cloud, track, &still);
    let line = place(far).zip(place(near)).map(|(far, near)| far - near);
    let line = line.ok_or_else(|| Message::new("coach.setup_gaps"))?;
    let up = Vector3::z();
    let flat = horizontal(line, up);
    let rise_deg = line.z.abs().atan2(flat.norm()).to_degrees();
    if rise_deg > STEEPEST_DEG {
        return Err(Message::new("coach.setup_steep").with("degrees", rise_deg));
    }
    let direction = flat.normalize();
    let stand = Stand::of(cloud, wish, &still, direction);
    let direction = from_upright(wish.up.unit(), direction.into());
    Ok(Setup {
        corrections: Stated { direction: Direction { direction }, ball_m: stand.ball_m },
        direction,
        source: "target markers",
        sd_deg: SD_DEG,
        still_s: [cloud.time_s[still.start], cloud.time_s[still.end - 1]],
        wander_deg: wander_deg(cloud, near, far, &still),
        ball_ahead: stand.ball_ahead,
        ball_m: stand.ball_m,
        stance_deg: stand.stance_deg,
    })
}

fn track(cloud: &Cloud, name: &str) -> Result<usize, Message> {
    let found = cloud.names.iter().position(|own| own == name);
    found.ok_or_else(|| Message::new("coach.setup_no_track").with("track", name))
}

fn point(cloud: &Cloud, track: usize, row: usize) -> Option<Vector3<f64>> {
    let at = cloud.points.get(track)?.get(3 * row..3 * row + 3)?;
    let point: Point = at.try_into().ok()?;
    (!is_gap(&point)).then(|| point.into())
}

fn median(cloud: &Cloud, track: usize, rows: &std::ops::Range<usize>) -> Option<Vector3<f64>> {
    let points: Vec<Point> = rows.clone().filter_map(|row| point(cloud, track, row)).map(Into::into).collect();
    crate::signal::median_point(&points).map(Into::into)
}

/// The first stretch of [`STILL_S`] in which both markers stay where they are. O(rows): it begins anew where one moves.
fn still(cloud: &Cloud, near: usize, far: usize) -> Option<std::ops::Range<usize>> {
    let pair = |row: usize| point(cloud, near, row).zip(point(cloud, far, row));
    let mut start = 0;
    for row in 0..cloud.time_s.len() {
        let moved = match (pair(start), pair(row)) {
            (Some((a, b)), Some((c, d))) => (c - a).norm().max((d - b).norm()) > STILL_SHARE * (b - a).norm(),
            _ => true,
        };
        if moved {
            start = row;
        } else if cloud.time_s[row] - cloud.time_s[start] >= STILL_S - 1e-9 && row + 1 - start >= LEAST_SAMPLES {
            return Some(start..row + 1);
        }
    }
    None
}

/// 1 SD of the direction from marker to marker within the still second.
fn wander_deg(cloud: &Cloud, near: usize, far: usize, rows: &std::ops::Range<usize>) -> f64 {
    let line = |row: usize| Some(point(cloud, far, row)? - point(cloud, near, row)?);
    let lines: Vec<Vector3<f64>> = rows.clone().filter_map(line).collect();
    let first = lines.first().copied().unwrap_or_default();
    // From the first line, so that no angle lies near the half turn where it would jump.
    let off = |line: &Vector3<f64>| (first.x * line.y - first.y * line.x).atan2(first.x * line.x + first.y * line.y);
    let angles: Vec<f64> = lines.iter().map(off).collect();
    let mean = angles.iter().sum::<f64>() / angles.len().max(1) as f64;
    let squares: f64 = angles.iter().map(|angle| (angle - mean).powi(2)).sum();
    (squares / (angles.len().max(2) - 1) as f64).sqrt().to_degrees()
}

/// How the player stands to ball and line.
#[derive(Default)]
struct Stand {
    ball_ahead: Option<f64>,
    ball_m: Option<[f64; 2]>,
    stance_deg: Option<f64>,
}

impl Stand {
    fn of(cloud: &Cloud, wish: &SetupWish, rows: &std::ops::Range<usize>, target: Vector3<f64>) -> Stand {
        let role = |role: Role| cloud.roles.iter().position(|own| own == role.name());
        let place = |at: Option<usize>| at.and_then(|track| median(cloud, track, rows));
        let Some(left) = place(role(Role::LeftAnkle)) else { return Stand::default() };
        let Some(right) = place(role(Role::RightAnkle)) else { return Stand::default() };
        // From the trail to the lead foot; out is the side of the ball.
        let (side, feet) = if wish.hand == Hand::Left { (-1.0, right - left) } else { (1.0, left - right) };
        let feet = horizontal(feet, Vector3::z());
        let out = target.cross(&Vector3::z()) * side;
        let named = wish.ball.as_ref().and_then(|name| cloud.names.iter().position(|own| own == name));
        let ball = place(named.or_else(|| role(Role::Ball))).map(|ball| ball - 0.5 * (left + right));
        Stand {
            ball_ahead: ball.map(|ball| ball.dot(&target) / feet.norm()).filter(|ahead| ahead.is_finite()),
            ball_m: ball.zip(wish.metres).map(|(ball, metres)| [out, target].map(|axis| metres * ball.dot(&axis))),
            stance_deg: Some(feet.dot(&out).atan2(feet.dot(&target)).to_degrees()),
        }
    }
}

fn remarks(setup: &Setup) -> Vec<Message> {
    let turned = setup.stance_deg.filter(|angle| angle.abs() > 90.0).map(|_| Message::new("coach.setup_reversed"));
    let alone = setup.stance_deg.is_none().then(|| Message::new("coach.setup_no_player"));
    turned.into_iter().chain(alone).collect()
}

/// States the target line, and the ball where it is known, for a capture of the session. What the capture states itself
/// stays.
pub fn apply(setup: &Setup, corrections: &Corrections) -> Corrections {
    let own = corrections.clone();
    Corrections {
        target: own.target.or(Some(TargetLine::Direction(setup.direction))),
        ball_out: own.ball_out.or(setup.ball_m.map(|[out, _]| out)),
        ball_target: own.ball_target.or(setup.ball_m.map(|[_, target]| target)),
        ..own
    }
}
