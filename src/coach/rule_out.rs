//! What to rule out before the hand path is blamed, in this order: aim, ball position, face, strike, hand path.
//!
//! ```text
//! {"hand": "right", "club": "iron", "setup": SETUP, "captures": [CAPTURE, ...], "balls": [BALL, ...],
//!  "looked": {"aim": "points here", "strike": "speaks against", ...},
//!  "path": {"judge": true, "fits": true | false | null}}
//! ```
//!
//! `setup` is what [`super::setup`] found, `balls` are those of the log beside those of the captures, `looked` is what the
//! coach saw, which wins over what is computed. `path` is what the findings of the captures say. The hand path is not
//! announced before the other four were at least looked at: they have to be something else than "not checked".
//!
//! The thresholds are common practice in their direction and working assumptions in their size.

use super::ball::{Ball, Strike, TOLERANCE_DEG};
use super::intervals::Share;
use super::take::Take;
use super::{captures, setup::SD_DEG};
use crate::plain::{self, Given};
use crate::settings::{Club, Hand};
use crate::words::Message;

/// A stance that looks past the target line by more than this is told, degrees.
const AIM_DEG: f64 = 3.0;
/// Half the width of a 90 % interval, in standard deviations of a normal error.
const NORMAL_90: f64 = 1.644_853_626_951_472_2;
/// Fewer pulls than this say nothing of their kind.
const LEAST_PULLS: usize = 3;
/// Where the ball lies, ahead of the middle of the stance as a share of the distance between the ankles: from, to.
const BALL_AHEAD: [(Club, [f64; 2]); 4] = [
    (Club::Driver, [0.25, 0.60]),
    (Club::FairwayWood, [0.10, 0.45]),
    (Club::Iron, [-0.10, 0.35]),
    (Club::Wedge, [-0.20, 0.25]),
];

/// What is to be ruled out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// Where the player aims.
    Aim,
    /// Where the ball lies.
    BallPosition,
    /// Where the face looks.
    Face,
    /// How the ball is struck.
    Strike,
    /// The hand path.
    HandPath,
}

plain::words!(Cause {
    Aim = "aim",
    BallPosition = "ball position",
    Face = "face",
    Strike = "strike",
    HandPath = "hand path"
});

/// What was found of one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It may be this.
    PointsHere,
    /// It is hardly this.
    SpeaksAgainst,
    /// Nobody looked.
    NotChecked,
    /// Looked at, and not decided.
    Open,
}

plain::words!(State {
    PointsHere = "points here",
    SpeaksAgainst = "speaks against",
    NotChecked = "not checked",
    Open = "open"
});

/// One of the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Which.
    pub cause: Cause,
    /// What was found.
    pub state: State,
    /// What that rests on.
    pub evidence: Vec<Message>,
    /// Did the coach say so?
    pub by_coach: bool,
}

plain::record!(Row { cause, state, evidence, by_coach });

/// The strip.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleOut {
    /// All five, in order.
    pub rows: Vec<Row>,
    /// May the findings of the hand path be announced?
    pub announce: bool,
    /// Which are still to be looked at before.
    pub first: Vec<Cause>,
    /// What could not be meant.
    pub notes: Vec<Message>,
}

plain::record!(RuleOut { rows, announce, first, notes });

/// Fills the strip.
pub fn told(given: &Given) -> RuleOut {
    let mut fields = Take::of(given);
    let hand = fields.take("hand").unwrap_or(Hand::Right);
    let balls = balls(&mut fields, hand);
    let mut rows = vec![
        aim(&mut fields),
        ball_position(&mut fields),
        row(Cause::Face, face(&balls)),
        row(Cause::Strike, strike(&balls)),
    ];
    let mut looked = Take::of(fields.given("looked"));
    rows.iter_mut().for_each(|row| by_coach(row, &mut looked));
    let unseen = rows.iter().filter(|row| row.state == State::NotChecked);
    let first: Vec<Cause> = unseen.map(|row| row.cause).collect();
    let mut path = hand_path(&mut fields);
    by_coach(&mut path, &mut looked);
    let announce = first.is_empty() && path.state != State::NotChecked;
    if !first.is_empty() && path.state != State::NotChecked {
        path.state = State::Open;
        path.evidence = vec![Message::new("coach.look_first").with("count", first.len())];
    }
    rows.push(path);
    fields.told.append(&mut looked.told);
    RuleOut { rows, announce, first, notes: fields.told }
}

fn row(cause: Cause, (state, evidence): (State, Vec<Message>)) -> Row {
    Row { cause, state, evidence, by_coach: false }
}

/// What the coach saw wins; the evidence stays.
fn by_coach(row: &mut Row, looked: &mut Take) {
    if let Some(state) = looked.take::<State>(row.cause.name()) {
        row.by_coach = true;
        row.state = state;
    }
}

/// Balls of captures that are kept, and of the log.
fn balls(fields: &mut Take, hand: Hand) -> Vec<Ball> {
    let (captures, mut told) = captures::read(fields.given("captures"), hand);
    let kept = captures.iter().filter(|capture| capture.keep).filter_map(|capture| capture.ball);
    let logged = fields.list("balls").iter().map(|ball| Ball::take(ball, hand, TOLERANCE_DEG, &mut fields.told));
    let logged: Vec<Ball> = logged.collect();
    fields.told.append(&mut told);
    kept.chain(logged).collect()
}

fn of_setup(fields: &mut Take, name: &'static str, size: f64) -> Option<f64> {
    let mut setup = Take::of(fields.given("setup"));
    let found = setup.number(name, -size, size);
    fields.told.append(&mut setup.told);
    found
}

/// Which way the feet look, with the error of the target line.
fn aim(fields: &mut Take) -> Row {
    let Some(off) = of_setup(fields, "stance_deg", 180.0) else {
        return row(Cause::Aim, (State::NotChecked, vec![Message::new("coach.aim_not_checked")]));
    };
    let (off_deg, half) = (off.abs(), NORMAL_90 * SD_DEG);
    let evidence = match off {
        off if off < 0.0 => Message::new("coach.aim_pull_side"),
        _ => Message::new("coach.aim_push_side"),
    };
    let state = match off_deg {
        off if off - half > AIM_DEG => State::PointsHere,
        off if off + half < AIM_DEG => State::SpeaksAgainst,
        _ => State::Open,
    };
    row(Cause::Aim, (state, vec![evidence.with("degrees", off_deg).with("most", AIM_DEG)]))
}

/// A ball too far ahead is met late, when the club already travels to the pull side.
fn ball_position(fields: &mut Take) -> Row {
    let club = fields.take("club");
    let range = BALL_AHEAD.iter().find(|(own, _)| Some(*own) == club).map(|(_, range)| *range);
    let not_checked = || row(Cause::BallPosition, (State::NotChecked, vec![Message::new("coach.ball_not_checked")]));
    let Some((ahead, [from, to])) = of_setup(fields, "ball_ahead", 5.0).zip(range) else { return not_checked() };
    let said =
        |message: Message| message.with("percent", 100.0 * ahead).with("from", 100.0 * from).with("to", 100.0 * to);
    let (state, evidence) = match ahead {
        ahead if ahead > to => (State::PointsHere, said(Message::new("coach.ball_ahead"))),
        ahead if ahead < from => (State::Open, said(Message::new("coach.ball_back"))),
        _ => (State::SpeaksAgainst, said(Message::new("coach.ball_fits"))),
    };
    row(Cause::BallPosition, (state, vec![evidence]))
}

/// Most of few, some of few, or neither.
fn by_share(share: Option<Share>) -> State {
    match share {
        Some(share) if share.low_90 > 0.5 => State::PointsHere,
        Some(share) if share.high_90 < 0.5 => State::SpeaksAgainst,
        _ => State::Open,
    }
}

/// Does this pull point to the face: by its curve, else by the face as it looks from the path?
fn closed(ball: &Ball) -> Option<bool> {
    let bends = ball.curve.map(|curve| curve.side() < 0);
    let looks = ball.launch.face_deg.zip(ball.launch.path_deg).map(|(face, path)| face - path < -TOLERANCE_DEG);
    bends.or(looks)
}

/// A pull that bends further points to the face; one that stays or bends back fits a path from out to in.
fn face(balls: &[Ball]) -> (State, Vec<Message>) {
    let pulls: Vec<&Ball> = balls.iter().filter(|ball| ball.start == Some(super::ball::Start::Pull)).collect();
    let known: Vec<bool> = pulls.iter().filter_map(|ball| closed(ball)).collect();
    let further = known.iter().filter(|closed| **closed).count();
    match (balls.len(), known.len()) {
        (0, _) => (State::NotChecked, vec![Message::new("coach.face_not_checked")]),
        (_, few) if few < LEAST_PULLS => {
            (State::Open, vec![Message::new("coach.face_few").with("count", few).with("least", LEAST_PULLS)])
        }
        (_, of) => {
            let evidence = Message::new("coach.face_pulls").with("count", further).with("of", of);
            (by_share(Share::of(further, of)), vec![evidence])
        }
    }
}

/// Off the toe a ball bends to the pull side, off the heel to the other (with woods; common practice).
fn strike(balls: &[Ball]) -> (State, Vec<Message>) {
    let pulls = balls.iter().filter(|ball| ball.start == Some(super::ball::Start::Pull));
    let known: Vec<Strike> = pulls.filter_map(|ball| ball.strike).collect();
    let off = known.iter().filter(|strike| **strike != Strike::Centre).count();
    if balls.iter().all(|ball| ball.strike.is_none()) {
        return (State::NotChecked, vec![Message::new("coach.strike_not_checked")]);
    }
    if known.len() < LEAST_PULLS {
        let few = Message::new("coach.strike_few").with("count", known.len()).with("least", LEAST_PULLS);
        return (State::Open, vec![few]);
    }
    let evidence = Message::new("coach.strike_pulls").with("count", off).with("of", known.len());
    (by_share(Share::of(off, known.len())), vec![evidence])
}

/// What the findings say, once the others were looked at.
fn hand_path(fields: &mut Take) -> Row {
    let mut path = Take::of(fields.given("path"));
    let (judge, fits): (bool, Option<bool>) = (path.flag("judge"), path.take("fits"));
    fields.told.append(&mut path.told);
    let found = match (judge, fits) {
        (false, _) => (State::NotChecked, vec![Message::new("coach.path_not_checked")]),
        (true, Some(true)) => (State::PointsHere, vec![Message::new("coach.path_fits")]),
        (true, Some(false)) => (State::SpeaksAgainst, vec![Message::new("coach.path_unlike")]),
        (true, None) => (State::Open, vec![Message::new("coach.path_open")]),
    };
    row(Cause::HandPath, found)
}
