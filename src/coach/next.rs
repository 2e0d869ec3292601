//! The next lesson: did the balls change, did the path change, and what follows.
//!
//! ```text
//! {"hand": "right",
//!  "before": {"club": "iron", "line": SOURCE, "balls": [BALL, ...]}, "after": {...},
//!  "changes": [{"name", "verdict", "unit", "difference": {"value"}}, ...],
//!  "measure": {"name": "out drift, greatest", "wish": "less" | "more"},
//!  "transfer": [BALL, ...], "practised": {"balls": 180}}
//! ```
//!
//! Balls first, of the same club and to the same target line; `changes` are those of [`crate::sets::lessons`]. Only both
//! together, held in a transfer test (random targets, full speed, no cue), are called fixed.

use super::ball::{Ball, TOLERANCE_DEG};
use super::intervals::{Share, ShareDifference, difference};
use super::practice::Tally;
use super::take::Take;
use crate::plain::{self, Given};
use crate::sets::{CANNOT_TELL, CHANGE, NO_CHANGE};
use crate::settings::{Club, Hand};
use crate::words::Message;

/// With fewer balls of practice a plan is not given up (working assumption: two to three sessions).
const ENOUGH_BALLS: usize = 120;
/// A transfer test holds where even the lower end of the interval of good balls is above this: 8 of 10.
const HOLDS_ABOVE: f64 = 0.5;
/// The measure that is looked at unless the plan names another.
const MEASURE: &str = "out drift, greatest";

/// What became of the balls, or of the path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Became {
    /// As wished, and more than chance.
    Better,
    /// The other way, and more than chance.
    Worse,
    /// Nothing beyond chance.
    Same,
    /// Too few, or not comparable.
    CannotTell,
}

plain::words!(Became { Better = "better", Worse = "worse", Same = "no change shown", CannotTell = "cannot tell" });

/// What changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changed {
    /// The balls alone.
    Balls,
    /// The path alone.
    Path,
    /// Both.
    Both,
    /// Neither, beyond chance.
    Nothing,
}

plain::words!(Changed { Balls = "balls", Path = "path", Both = "both", Nothing = "nothing shown" });

/// What to do with the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Go on.
    Keep,
    /// Try another way.
    Change,
    /// Done.
    Finish,
}

plain::words!(Verdict { Keep = "keep", Change = "change", Finish = "finish" });

/// What a wish asks of a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// A smaller number.
    Less,
    /// A larger one.
    More,
}

plain::words!(Wish { Less = "less", More = "more" });

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct NextAnswer {
    /// Share of pulls before; of those seen.
    pub pulled_before: Option<Share>,
    /// Share of pulls now.
    pub pulled_after: Option<Share>,
    /// Now minus before.
    pub difference: Option<ShareDifference>,
    /// What became of the balls.
    pub balls: Became,
    /// Name of the measure of the path.
    pub measure: String,
    /// Now minus before, in its unit.
    pub path_difference: Option<f64>,
    /// What became of the path.
    pub path: Became,
    /// What changed as wished.
    pub changed: Changed,
    /// Good balls of the transfer test.
    pub transfer: Option<Share>,
    /// Balls and path changed, and the transfer test held.
    pub fixed: bool,
    /// What to do with the plan.
    pub verdict: Verdict,
    /// Why.
    pub reason: Message,
    /// What stands in the way of a comparison, and what could not be meant.
    pub notes: Vec<Message>,
}

plain::record!(NextAnswer {
    pulled_before,
    pulled_after,
    difference,
    balls,
    measure,
    path_difference,
    path,
    changed,
    transfer,
    fixed,
    verdict,
    reason,
    notes
});

/// One lesson, as far as it is asked here.
struct Side {
    club: Option<Club>,
    line: Option<String>,
    tally: Tally,
}

impl Side {
    fn take(given: &Given, hand: Hand, told: &mut Vec<Message>) -> Side {
        let mut fields = Take::of(given);
        let tally = tally(&mut fields, "balls", hand);
        let side = Side { club: fields.take("club"), line: fields.take("line"), tally };
        told.append(&mut fields.told);
        side
    }

    fn pulled(&self) -> Option<Share> {
        Share::of(self.tally.pulls, self.tally.seen)
    }
}

fn tally(fields: &mut Take, name: &'static str, hand: Hand) -> Tally {
    let balls = fields.list(name).iter().map(|ball| Ball::take(ball, hand, TOLERANCE_DEG, &mut fields.told));
    Tally::of(balls.collect::<Vec<_>>().iter())
}

/// Compares two lessons.
pub fn told(given: &Given) -> NextAnswer {
    let mut fields = Take::of(given);
    let hand = fields.take("hand").unwrap_or(Hand::Right);
    let [before, after] = ["before", "after"].map(|name| Side::take(fields.given(name), hand, &mut fields.told));
    let transfer = tally(&mut fields, "transfer", hand);
    let apart = apart(&before, &after);
    let difference = before.pulled().zip(after.pulled()).map(|(before, after)| difference(&before, &after));
    // Another club flies another way; another line is another target.
    let balls = if apart.is_empty() { of_balls(difference) } else { Became::CannotTell };
    let (measure, path_difference, path) = of_path(&mut fields);
    let path = if apart.is_empty() { path } else { Became::CannotTell };
    let held = Share::of(transfer.good, transfer.seen);
    let (verdict, reason) = verdict(balls, path, held, practised(&mut fields));
    let mut notes = std::mem::take(&mut fields.told);
    notes.extend(apart);
    NextAnswer {
        pulled_before: before.pulled(),
        pulled_after: after.pulled(),
        difference,
        balls,
        measure,
        path_difference,
        path,
        changed: changed(balls, path),
        transfer: held,
        fixed: verdict == Verdict::Finish,
        verdict,
        reason,
        notes,
    }
}

/// What makes two lessons hard to compare.
fn apart(before: &Side, after: &Side) -> Vec<Message> {
    let club = (before.club != after.club).then(|| Message::new("coach.other_club"));
    let line = (before.line != after.line).then(|| Message::new("coach.other_line"));
    club.into_iter().chain(line).collect()
}

fn of_balls(difference: Option<ShareDifference>) -> Became {
    match difference {
        None => Became::CannotTell,
        Some(found) if !found.shown => Became::Same,
        Some(found) if found.value < 0.0 => Became::Better,
        Some(_) => Became::Worse,
    }
}

/// The measure of the plan: its name, its difference, and whether it went as wished.
fn of_path(fields: &mut Take) -> (String, Option<f64>, Became) {
    let mut wanted = Take::of(fields.given("measure"));
    let name: String = wanted.take("name").unwrap_or_else(|| MEASURE.into());
    let sign = if wanted.take("wish") == Some(Wish::More) { 1.0 } else { -1.0 };
    fields.told.append(&mut wanted.told);
    let changes = fields.list("changes").iter();
    let change =
        changes.map(Take::of).find_map(|mut change| (change.take::<String>("name")? == name).then_some(change));
    let Some(mut change) = change else { return (name, None, Became::CannotTell) };
    let value: Option<f64> = Take::of(change.given("difference")).take("value");
    let verdict: String = change.take("verdict").unwrap_or_default();
    let became = match (verdict.as_str(), value) {
        (CHANGE, Some(value)) if sign * value > 0.0 => Became::Better,
        (CHANGE, Some(_)) => Became::Worse,
        (NO_CHANGE, _) => Became::Same,
        (CANNOT_TELL, _) | (_, _) => Became::CannotTell,
    };
    (name, value, became)
}

fn practised(fields: &mut Take) -> usize {
    let mut practised = Take::of(fields.given("practised"));
    let balls = practised.count("balls", 0, usize::MAX / 2).unwrap_or(0);
    fields.told.append(&mut practised.told);
    balls
}

fn changed(balls: Became, path: Became) -> Changed {
    match (balls == Became::Better, path == Became::Better) {
        (true, true) => Changed::Both,
        (true, false) => Changed::Balls,
        (false, true) => Changed::Path,
        (false, false) => Changed::Nothing,
    }
}

/// Keep, change or finish.
fn verdict(balls: Became, path: Became, transfer: Option<Share>, practised: usize) -> (Verdict, Message) {
    let holds = transfer.map(|share| share.low_90 > HOLDS_ABOVE);
    let more = Message::new("coach.next_practise").with("balls", practised).with("least", ENOUGH_BALLS);
    match (balls, path) {
        (Became::Better, Became::Better) if holds == Some(true) => (Verdict::Finish, Message::new("coach.next_fixed")),
        (Became::Better, Became::Better) if holds.is_none() => (Verdict::Keep, Message::new("coach.next_transfer")),
        (Became::Better, Became::Better) => (Verdict::Keep, Message::new("coach.next_not_held")),
        (Became::Worse, Became::Worse) => (Verdict::Change, Message::new("coach.next_worse")),
        (Became::Worse, _) => (Verdict::Change, Message::new("coach.next_balls_worse")),
        (_, Became::Worse) => (Verdict::Change, Message::new("coach.next_path_worse")),
        (Became::Better, _) => (Verdict::Keep, Message::new("coach.next_balls_only")),
        (_, Became::Better) => (Verdict::Keep, Message::new("coach.next_path_only")),
        _ if practised < ENOUGH_BALLS => (Verdict::Keep, more),
        _ => (Verdict::Change, Message::new("coach.next_nothing").with("balls", practised)),
    }
}
