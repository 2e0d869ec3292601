//! The captures of a session, in order, each with its ball.
//!
//! ```text
//! {"swing": 3, "club": "iron", "kind": "full", "effort": 0.6, "keep": true, "ball": {...}}
//! ```
//!
//! `swing` is the id of a swing of the lesson. Six to eight good ones are asked for: kept, of one club and one kind, at full
//! effort (common practice; the number is a working assumption: with six the spread of a player is known to about a half,
//! [`crate::sets::sd_factors`]). The most typical of them is found by [`crate::sets::most_typical`].

use super::ball::{Ball, Start, TOLERANCE_DEG};
use super::plan::FULL_SHARE;
use super::take::Take;
use crate::order;
use crate::plain::{self, Given};
use crate::sets::{Difference, Spread, welch};
use crate::settings::{Club, Hand, SwingKind};
use crate::words::Message;

/// Good captures that are asked for: at least, and enough.
pub const ASKED: [usize; 2] = [6, 8];
/// Of pulls and of good balls, at least so many to hold one against the other.
const LEAST_TO_COMPARE: usize = 2;
/// A capture up to this share of full effort is a slow one.
const SLOW_SHARE: f64 = 0.6;

/// One capture.
#[derive(Clone, Debug, PartialEq)]
pub struct Capture {
    /// The id of its swing in the lesson.
    pub swing: usize,
    /// Club.
    pub club: Option<Club>,
    /// Kind of swing.
    pub kind: Option<SwingKind>,
    /// Share of full effort, above 0 to 1; full where nothing is stated.
    pub effort: f64,
    /// Is it kept?
    pub keep: bool,
    /// The ball that went with it; `None` where none was noted.
    pub ball: Option<Ball>,
}

impl Capture {
    fn take(given: &Given, hand: Hand, told: &mut Vec<Message>) -> Option<Capture> {
        let mut fields = Take::of(given);
        let ball = match fields.given("ball") {
            Given::Null => None,
            ball => Some(Ball::take(ball, hand, TOLERANCE_DEG, &mut fields.told)),
        };
        let capture = fields.count("swing", 0, usize::MAX / 2).map(|swing| Capture {
            swing,
            club: fields.take("club"),
            kind: fields.take("kind"),
            effort: fields.number("effort", 0.05, 1.0).unwrap_or(1.0),
            keep: fields.take("keep").unwrap_or(true),
            ball,
        });
        told.append(&mut fields.told);
        capture
    }
}

/// Reads the captures of a lesson; what cannot be meant is told and left out.
pub fn read(given: &Given, hand: Hand) -> (Vec<Capture>, Vec<Message>) {
    let mut told = vec![];
    let items = match given {
        Given::List(items) => &items[..],
        Given::Null => &[],
        _ => {
            told.push(Message::new("coach.captures_no_list"));
            &[]
        }
    };
    let captures = items.iter().filter_map(|item| Capture::take(item, hand, &mut told)).collect();
    (captures, told)
}

/// Captures at one share of full effort.
#[derive(Clone, Debug, PartialEq)]
pub struct Effort {
    /// Share of full effort.
    pub effort: f64,
    /// Ids of swings.
    pub swings: Vec<usize>,
}

plain::record!(Effort { effort, swings });

/// What the captures of a session say as a set.
#[derive(Clone, Debug, PartialEq)]
pub struct CapturesAnswer {
    /// Captures that are kept.
    pub kept: usize,
    /// Ids of the good ones: of the club and kind that most are of, at full effort.
    pub good: Vec<usize>,
    /// How many more are asked for.
    pub more: usize,
    /// Is there enough to judge the player, and not one swing?
    pub judge: bool,
    /// Good captures whose ball started to the pull side.
    pub pulls: Vec<usize>,
    /// Good captures whose ball started on the line or to the push side.
    pub good_balls: Vec<usize>,
    /// Are there enough of both to hold one against the other, as two lessons are held?
    pub compare: bool,
    /// Kept captures of that club by effort, slow first.
    pub efforts: Vec<Effort>,
    /// What is missing, and what could not be meant.
    pub notes: Vec<Message>,
}

plain::record!(CapturesAnswer { kept, good, more, judge, pulls, good_balls, compare, efforts, notes });

/// Looks at the captures of a session.
pub fn told(given: &Given, hand: Hand) -> CapturesAnswer {
    let (captures, mut notes) = read(given, hand);
    let kept: Vec<&Capture> = captures.iter().filter(|capture| capture.keep).collect();
    let (club, kind) = (commonest(&kept, |c| c.club), commonest(&kept, |c| c.kind));
    let of_club = |capture: &&&Capture| capture.club == club;
    let good = kept.iter().filter(of_club).filter(|c| c.kind == kind && c.effort >= FULL_SHARE);
    let good: Vec<&Capture> = good.copied().collect();
    let pulled = |capture: &&&Capture| start(capture) == Some(Start::Pull);
    let flew = |capture: &&&Capture| start(capture).is_some_and(|start| start != Start::Pull);
    let [pulls, good_balls] = [ids(good.iter().filter(pulled)), ids(good.iter().filter(flew))];
    notes.extend(missing(&kept, &good));
    CapturesAnswer {
        kept: kept.len(),
        more: ASKED[0].saturating_sub(good.len()),
        judge: good.len() >= ASKED[0],
        compare: pulls.len().min(good_balls.len()) >= LEAST_TO_COMPARE,
        pulls,
        good_balls,
        efforts: efforts(kept.iter().filter(of_club)),
        good: ids(good.iter()),
        notes,
    }
}

fn start(capture: &Capture) -> Option<Start> {
    capture.ball.and_then(|ball| ball.start)
}

fn ids<'a>(captures: impl Iterator<Item = &'a &'a Capture>) -> Vec<usize> {
    captures.map(|capture| capture.swing).collect()
}

/// What most are of; of as many, what came first.
fn commonest<T: Copy + Default + PartialEq>(captures: &[&Capture], of: impl Fn(&Capture) -> T) -> T {
    let count = |wanted: T| captures.iter().filter(|capture| of(capture) == wanted).count();
    let mut best = (0, T::default());
    for capture in captures {
        let found = (count(of(capture)), of(capture));
        if found.0 > best.0 {
            best = found;
        }
    }
    best.1
}

fn efforts<'a>(captures: impl Iterator<Item = &'a &'a Capture>) -> Vec<Effort> {
    let mut found: Vec<Effort> = vec![];
    for capture in captures {
        match found.iter_mut().find(|own| (own.effort - capture.effort).abs() < 1e-9) {
            Some(own) => own.swings.push(capture.swing),
            None => found.push(Effort { effort: capture.effort, swings: vec![capture.swing] }),
        }
    }
    order::sort_by(&mut found, |a, b| a.effort.total_cmp(&b.effort));
    found
}

/// What is still missing before anything is judged.
fn missing(kept: &[&Capture], good: &[&Capture]) -> Vec<Message> {
    let more = ASKED[0].saturating_sub(good.len());
    let asked =
        Message::new("coach.more_captures").with("count", more).with("least", ASKED[0]).with("enough", ASKED[1]);
    let other = kept.len() - good.len();
    let apart = Message::new("coach.captures_apart").with("count", other);
    let no_ball = good.iter().filter(|capture| start(capture).is_none()).count();
    let balls = Message::new("coach.captures_no_ball").with("count", no_ball);
    let one = (good.len() == 1).then(|| Message::new("coach.one_swing"));
    let told = [(more > 0, asked), (other > 0, apart), (no_ball > 0, balls)];
    one.into_iter().chain(told.into_iter().filter(|(is, _)| *is).map(|(_, message)| message)).collect()
}

/// One measure of one capture.
#[derive(Clone, Debug)]
struct Measured {
    name: String,
    unit: String,
    value: f64,
}

impl Measured {
    fn take(given: &Given) -> Option<Measured> {
        let mut fields = Take::of(given);
        let value: f64 = fields.take("value")?;
        let unit = fields.take("unit").unwrap_or_default();
        Some(Measured { name: fields.take("name")?, unit, value }).filter(|measured| measured.value.is_finite())
    }
}

/// A measure at one effort against the slow captures.
#[derive(Clone, Debug, PartialEq)]
pub struct AtEffort {
    /// Share of full effort.
    pub effort: f64,
    /// Mean and spread.
    pub spread: Option<Spread>,
    /// Minus the slow ones; `None` with fewer than two of either, and of the slow ones themselves.
    pub against_slow: Option<Difference>,
    /// "holds", "changes" or "cannot tell"; "slow" of the slow ones.
    pub verdict: &'static str,
}

plain::record!(AtEffort { effort, spread, against_slow, verdict });

/// A measure along the rungs.
#[derive(Clone, Debug, PartialEq)]
pub struct Along {
    /// Name of the measure.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// By effort, slow first.
    pub efforts: Vec<AtEffort>,
}

plain::record!(Along { name, unit, efforts });

/// Does the path hold as speed returns? Of each capture its effort and its measures, as the report tells them:
/// `[{effort, measures: [{name, unit, value}]}]`. All are of one session and share its target line, whose error is
/// therefore in none of the differences.
pub fn along(given: &Given) -> Vec<Along> {
    let Given::List(items) = given else { return vec![] };
    let captures: Vec<(f64, Vec<Measured>)> = items.iter().filter_map(measured).collect();
    let mut efforts: Vec<f64> = captures.iter().map(|(effort, _)| *effort).collect();
    order::sort_numbers(&mut efforts);
    efforts.dedup();
    let mut names: Vec<&Measured> = vec![];
    for measure in captures.iter().flat_map(|(_, measures)| measures) {
        if !names.iter().any(|known| known.name == measure.name) {
            names.push(measure);
        }
    }
    names.into_iter().map(|measure| along_one(measure, &captures, &efforts)).collect()
}

fn measured(given: &Given) -> Option<(f64, Vec<Measured>)> {
    let mut fields = Take::of(given);
    let effort = fields.number("effort", 0.05, 1.0)?;
    Some((effort, fields.list("measures").iter().filter_map(Measured::take).collect()))
}

fn along_one(measure: &Measured, captures: &[(f64, Vec<Measured>)], efforts: &[f64]) -> Along {
    let values = |fits: &dyn Fn(f64) -> bool| {
        let of = captures.iter().filter(|(effort, _)| fits(*effort)).flat_map(|(_, measures)| measures);
        Spread::of(&of.filter(|own| own.name == measure.name).map(|own| own.value).collect::<Vec<_>>())
    };
    let slow = values(&|effort| effort <= SLOW_SHARE);
    let at = |effort: &f64| {
        let spread = values(&|own| own == *effort);
        let is_slow = *effort <= SLOW_SHARE;
        let against = slow.as_ref().zip(spread.as_ref()).filter(|_| !is_slow);
        let against_slow = against.and_then(|(slow, own)| welch(slow, own, 0.0));
        let verdict = match against_slow {
            _ if is_slow => "slow",
            None => "cannot tell",
            Some(found) if found.value.abs() > found.smallest_shown => "changes",
            Some(_) => "holds",
        };
        AtEffort { effort: *effort, spread, against_slow, verdict }
    };
    Along { name: measure.name.clone(), unit: measure.unit.clone(), efforts: efforts.iter().map(at).collect() }
}
