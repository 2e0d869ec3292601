//! The path to copy, as a picture for paper and for a phone that holds neither painter nor engine.
//!
//! ```text
//! {"of": "reference B", "left_handed": false, "arms": [[out, target, up], ...], "hands": [...], "body": [[...], [...], ...]}
//! ```
//!
//! Metres in the body-relative frame, to the millimetre, from the top to lead arm level. `arms` is what arms alone draw while the
//! body stays as it is at the top ([`crate::swing::arms_only_path`]): those of the reference that is compared, at the student's size
//! and from the student's own top, because the student's own may be what is to be changed; without a reference the student's own,
//! where they do not move outward. `hands` is where the student's hands went; `body` holds the ends of lines of the body at
//! the top, two by two.

use super::take::Take;
use crate::decimal;
use crate::formats::{Point, is_gap};
use crate::picture::Figure;
use crate::picture::camera::Spot;
use crate::plain::{self, Given};
use crate::swing::InstantName;
use crate::words::Message;

/// Points of a line, at most.
const POINTS: usize = 24;
/// Lines of the body, at most.
const LIMBS: usize = 24;
/// Farther from the origin than this nothing is, metres.
const FARTHEST_M: f64 = 5.0;
/// How far below the path the body is shown, metres.
const BELOW_M: f64 = 0.1;
/// A view, in units of its own.
const SIZE: [f64; 2] = [220.0, 180.0];
const MARGIN: f64 = 12.0;
/// Nothing is drawn larger than this fills a view, metres.
const SMALLEST_M: f64 = 0.3;
/// Room below for the arrow and its word.
const FOOT: f64 = 22.0;
/// Half of an arrow's head.
const HEAD: f64 = 4.0;

/// The lines to draw, as the lesson keeps them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Copy {
    /// The reference whose arms these are; `None`: the student's own.
    pub of: Option<String>,
    /// Is the student left-handed? Points are stored mirrored.
    pub left_handed: bool,
    /// The path to copy.
    pub arms: Vec<Point>,
    /// Where the student's hands went.
    pub hands: Vec<Point>,
    /// Ends of lines of the body, two by two.
    pub body: Vec<Point>,
}

plain::record!(Copy { of, left_handed, arms, hands, body });

impl Copy {
    /// Of the swing that is shown and the one that is compared; `None` where nothing can be copied.
    pub fn of(student: &Figure, reference: Option<&Figure>) -> Option<Copy> {
        let [top, level] = [InstantName::Top, InstantName::LeadArmLevel].map(|name| student.mark_s(name));
        let (top, level) = top.zip(level)?;
        let at = |part: f64| student.at(&student.hands, top + part * (level - top));
        let hands: Vec<Point> = (0..POINTS).map(|i| at(i as f64 / (POINTS - 1) as f64)).collect();
        let reference = reference.filter(|figure| !figure.arms_only.is_empty());
        let arms = arms(reference.unwrap_or(student), hands.first()?);
        let outward = moved(&arms).is_none_or(|moved| moved[0] > 0.0);
        if arms.len() < 2 || reference.is_none() && outward {
            return None;
        }
        let joint = |index: &usize| student.joints.get(*index).map_or(crate::formats::GAP, |s| student.at(s, top));
        let body = student.limbs.iter().take(LIMBS).map(|ends| ends.each_ref().map(joint));
        let body = body.filter(|ends| !ends.iter().any(is_gap)).flatten();
        Some(Copy {
            of: reference.map(|figure| figure.label.clone()),
            left_handed: student.left_handed,
            hands: hands.into_iter().filter(|point| !is_gap(point)).map(rounded).collect(),
            body: body.map(rounded).collect(),
            arms,
        })
    }

    /// Reads what a lesson keeps; `None` where nothing of it can be drawn.
    pub fn take(given: &Given) -> Option<Copy> {
        let mut fields = Take::of(given);
        let arms = points(&mut fields, "arms", POINTS);
        let body = points(&mut fields, "body", 2 * LIMBS);
        let copy = Copy {
            of: fields.take("of"),
            left_handed: fields.flag("left_handed"),
            hands: points(&mut fields, "hands", POINTS),
            body: body.as_chunks::<2>().0.iter().flatten().copied().collect(),
            arms,
        };
        (copy.arms.len() > 1).then_some(copy)
    }
}

fn points(fields: &mut Take, name: &'static str, most: usize) -> Vec<Point> {
    let found: Vec<Point> = fields.take(name).unwrap_or_default();
    found.into_iter().filter(|point| point.iter().all(|x| x.abs() <= FARTHEST_M)).take(most).collect()
}

fn rounded(point: Point) -> Point {
    point.map(|metres| (1000.0 * metres).round() / 1000.0)
}

/// The arms-only path of a figure, begun at another place.
fn arms(figure: &Figure, from: &Point) -> Vec<Point> {
    let all: Vec<Point> = figure.arms_only.as_chunks::<3>().0.iter().filter(|point| !is_gap(point)).copied().collect();
    let last = all.len().saturating_sub(1);
    let thinned = (0..POINTS.min(all.len())).filter_map(|i| all.get(i * last / (POINTS.min(all.len()) - 1).max(1)));
    let Some(first) = all.first() else { return vec![] };
    thinned.map(|point| rounded([0, 1, 2].map(|axis| point[axis] - first[axis] + from[axis]))).collect()
}

/// From the first point to the last.
fn moved(line: &[Point]) -> Option<Point> {
    let (first, last) = line.first().zip(line.last())?;
    Some([0, 1, 2].map(|axis| last[axis] - first[axis]))
}

/// A line of a view.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// "body", "hands", "arms", "arrow" or "scale".
    pub what: &'static str,
    /// Points as SVG has them.
    pub points: String,
}

/// A place that is marked, or where a word stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Spotted {
    /// "top" or "level", the ends of the path; "out", "target" or "scale", words.
    pub what: &'static str,
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// One view of the path.
#[derive(Clone, Debug, PartialEq)]
pub struct CopyView {
    /// "down-the-line" or "overhead".
    pub name: &'static str,
    /// Width, in the units of the points.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Lines, in the order they are drawn.
    pub lines: Vec<Line>,
    /// Ends of the path, and where words stand.
    pub spots: Vec<Spotted>,
}

/// The picture: its views, and the same in sentences.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CopyPicture {
    /// Two views; none where nothing can be drawn.
    pub views: Vec<CopyView>,
    /// What it shows.
    pub told: Vec<Message>,
}

plain::record!(Line { what, points });
plain::record!(Spotted { what, x, y });
plain::record!(CopyView { name, width, height, lines, spots });
plain::record!(CopyPicture { views, told });

/// Draws what a lesson keeps as `plan.picture`.
pub fn told(given: &Given) -> CopyPicture {
    let Some(copy) = Copy::take(given) else { return CopyPicture::default() };
    let views = [("down-the-line", UP), ("overhead", TARGET)].map(|(name, axis)| drawn(&copy, name, axis));
    CopyPicture { views: views.into(), told: sentences(&copy) }
}

fn sentences(copy: &Copy) -> Vec<Message> {
    let cm = |metres: f64| 100.0 * metres.abs();
    let way = |line: &[Point], back: &'static str, out: &'static str| {
        let [x, _, up] = moved(line)?;
        Some(Message::new(if x > 0.0 { out } else { back }).with("cm", cm(x)).with("down", cm(up.min(0.0))))
    };
    let whose = copy.of.as_deref().filter(|name| !name.is_empty());
    let whose = whose.map(|name| Message::new("coach.copy_of").with("name", name));
    let arms = way(&copy.arms, "coach.copy_arms_back", "coach.copy_arms_out");
    let hands = way(&copy.hands, "coach.copy_hands_back", "coach.copy_hands_out");
    arms.into_iter().chain(hands).chain(whose).collect()
}

/// The part of a line that lies above a height.
fn above([a, b]: [Point; 2], low: f64) -> Option<[Point; 2]> {
    let cut = |from: Point, to: Point| {
        let part = (from[2] - low) / (from[2] - to[2]);
        if to[2] >= low { to } else { [0, 1, 2].map(|axis| from[axis] + part * (to[axis] - from[axis])) }
    };
    (a[2].max(b[2]) > low).then(|| [cut(b, a), cut(a, b)])
}

/// Coordinates that point up in a view; out points to the right in both, as the cameras of the page have it
/// ([`crate::picture::camera`]), whose sines would cost more than all that is here.
const TARGET: usize = 1;
const UP: usize = 2;

/// Metres to units of a view.
struct Plane {
    axis: usize,
    /// Where out points on the screen: 1 right, -1 left.
    side: f64,
    scale: f64,
    shift: Spot,
}

impl Plane {
    /// As large as the frame allows.
    fn fit<'a>(axis: usize, left_handed: bool, points: impl Iterator<Item = &'a Point>) -> Plane {
        let mut plane = Plane { axis, side: if left_handed { -1.0 } else { 1.0 }, scale: 1.0, shift: [0.0; 2] };
        let [mut low, mut high] = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
        for spot in points.map(|point| plane.spot(point)) {
            for at in 0..2 {
                (low[at], high[at]) = (low[at].min(spot[at]), high[at].max(spot[at]));
            }
        }
        let room = [SIZE[0] - 2.0 * MARGIN, SIZE[1] - 2.0 * MARGIN - FOOT];
        let scale = |at: usize| room[at] / (high[at] - low[at]).max(SMALLEST_M);
        plane.scale = scale(0).min(scale(1));
        plane.shift = [0, 1].map(|at| MARGIN + 0.5 * (room[at] - plane.scale * (low[at] + high[at])));
        plane
    }

    fn spot(&self, point: &Point) -> Spot {
        [self.shift[0] + self.scale * self.side * point[0], self.shift[1] - self.scale * point[self.axis]]
    }
}

fn drawn(copy: &Copy, name: &'static str, axis: usize) -> CopyView {
    let path = copy.arms.iter().chain(&copy.hands);
    let low = path.clone().fold(f64::INFINITY, |low, point| low.min(point[2])) - BELOW_M;
    let body: Vec<[Point; 2]> = copy.body.as_chunks::<2>().0.iter().filter_map(|ends| above(*ends, low)).collect();
    let plane = Plane::fit(axis, copy.left_handed, path.chain(body.as_flattened()));
    let line = |what: &'static str, points: &[Point]| {
        let spots: Vec<Spot> = points.iter().map(|point| plane.spot(point)).collect();
        Line { what, points: written(&spots) }
    };
    let mut lines: Vec<Line> = body.iter().map(|ends| line("body", ends)).collect();
    lines.extend([line("hands", &copy.hands), line("arms", &copy.arms)]);
    let ends = [("top", copy.arms.first()), ("level", copy.arms.last())];
    let ends = ends.into_iter().filter_map(|(what, point)| Some(spotted(what, plane.spot(point?))));
    let mut view = CopyView { name, width: SIZE[0], height: SIZE[1], lines, spots: ends.collect() };
    view.lie(&plane);
    view
}

impl CopyView {
    /// Which way the ball line and the target lie, and how long 10 cm are.
    fn lie(&mut self, plane: &Plane) {
        let foot = SIZE[1] - FOOT;
        let out = plane.side;
        let from = [SIZE[0] / 2.0 - 20.0 * out, foot];
        self.arrow("out", from, [from[0] + 40.0 * out, foot], [-20.0 * out, 15.0]);
        if self.name == "overhead" {
            self.arrow("target", [SIZE[0] - 14.0, foot], [SIZE[0] - 14.0, foot - 40.0], [0.0, 15.0 + 40.0]);
        }
        let scale = [[MARGIN, foot], [MARGIN + 0.1 * plane.scale, foot]];
        self.lines.push(Line { what: "scale", points: written(&scale) });
        self.spots.push(spotted("scale", [MARGIN, foot + 15.0]));
    }

    /// An arrow along an axis of the screen; its word stands `beside` its tip.
    fn arrow(&mut self, what: &'static str, from: Spot, to: Spot, beside: Spot) {
        let [dx, dy] =
            [0, 1].map(|axis| (to[axis] - from[axis]).signum() * f64::from(u8::from(to[axis] != from[axis])));
        let barb = |side: f64| [to[0] - HEAD * (dx + side * dy), to[1] - HEAD * (dy + side * dx)];
        self.lines.push(Line { what: "arrow", points: written(&[from, to, barb(1.0), to, barb(-1.0)]) });
        self.spots.push(spotted(what, [to[0] + beside[0], to[1] + beside[1]]));
    }
}

fn spotted(what: &'static str, [x, y]: Spot) -> Spotted {
    Spotted { what, x, y }
}

fn written(spots: &[Spot]) -> String {
    let pairs = spots.iter().map(|spot| spot.map(|x| decimal::fixed(x, 1)).join(","));
    pairs.collect::<Vec<_>>().join(" ")
}
