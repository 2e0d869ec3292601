//! The log of practice, folded one entry at a time, and what it advises after each.
//!
//! ```text
//! {"what": "begin", "at": TIME, "as": "practice" | "transfer" | "lesson"}
//! {"what": "ball", "at": TIME, "start": WORD, "curve": WORD, "strike": WORD, "launch": {...}, "rung": 0, "share": 0.3}
//! {"what": "undo", "at": TIME}      the last ball, rest, pain or go of this session
//! {"what": "rest", "at": TIME}      a rest was taken
//! {"what": "pain", "at": TIME}      ends the session
//! {"what": "go", "at": TIME, "rung": 1}      the player or the coach chose another rung
//! {"what": "note", "at": TIME, "text": TEXT}
//! {"what": "end", "at": TIME}
//! ```
//!
//! The log is only ever added to. An entry is folded into a state of fixed size in O(1), so that the five hundredth ball
//! costs what the fiftieth does. An entry that cannot be meant is told and stepped over. A ball carries the rung that it
//! was hit on, so that lost lines and later changes of the plan do not rewrite what happened.
//!
//! The rules (common practice; numbers are the plan's):
//!
//! | | |
//! | --- | --- |
//! | climb | the last `balls` balls of the rung started on the line or to the push side, but for `climb_misses` |
//! | step down | the first pull, or 2 of the last 5 balls of the rung |
//! | face cue | a pull that bends further: it points to the face, so the rung stays |
//! | rest | `rest_after` balls since the last rest |
//! | stop | pain, which ends the session; or the cap |

mod advice;
mod progress;
#[cfg(test)]
mod tests;

pub use advice::{Advice, AdviceKind};
pub use progress::{Progress, RungTold, SessionTold};

use super::ball::{Ball, Curve, Start};
use super::plan::{FULL_SHARE, LOOK_BACK, MOST_RUNGS, Plan};
use super::take::Take;
use crate::plain::{self, Given};
use crate::words::Message;

/// Warnings of one log beyond this are counted only.
const MOST_WARNINGS: usize = 24;

/// What an entry says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A session begins.
    Begin,
    /// A ball was hit.
    Ball,
    /// The last ball, rest, pain or choice of a rung is taken back.
    Undo,
    /// A rest was taken.
    Rest,
    /// Something hurts.
    Pain,
    /// A note.
    Note,
    /// Another rung was chosen.
    Go,
    /// The session ends.
    End,
}

plain::words!(What {
    Begin = "begin",
    Ball = "ball",
    Undo = "undo",
    Rest = "rest",
    Pain = "pain",
    Note = "note",
    Go = "go",
    End = "end"
});

/// What a session is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SessionKind {
    /// Rungs.
    Practice,
    /// Random targets, full speed, no cue.
    Transfer,
    /// Balls of a lesson, beside its captures.
    Lesson,
}

plain::words!(SessionKind { Practice = "practice", Transfer = "transfer", Lesson = "lesson" });

/// What ended a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The player.
    Player,
    /// Pain.
    Pain,
    /// The next session began.
    Next,
}

plain::words!(Ended { Player = "player", Pain = "pain", Next = "next session" });

/// Balls of one kind, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Balls hit.
    pub balls: usize,
    /// Whose start was seen.
    pub seen: usize,
    /// That started on the line or to the push side.
    pub good: usize,
    /// That started to the pull side.
    pub pulls: usize,
    /// Pulls that bent further.
    pub face: usize,
}

plain::record!(Tally { balls, seen, good, pulls, face });

impl Tally {
    /// Adds a ball.
    pub fn add(&mut self, ball: &Ball) {
        let class = Class::of(ball);
        let one = |is: bool| usize::from(is);
        self.balls += 1;
        self.seen += one(class != Class::NotSeen);
        self.good += one(class == Class::Good);
        self.pulls += one(matches!(class, Class::Pull | Class::FacePull));
        self.face += one(class == Class::FacePull);
    }

    /// Several balls.
    pub fn of<'a>(balls: impl Iterator<Item = &'a Ball>) -> Tally {
        let mut tally = Tally::default();
        balls.for_each(|ball| tally.add(ball));
        tally
    }
}

/// A ball as the rules see it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Class {
    NotSeen,
    Good,
    Pull,
    FacePull,
}

impl Class {
    fn of(ball: &Ball) -> Class {
        match ball.start {
            None => Class::NotSeen,
            Some(Start::Pull) if ball.is_face_pull() => Class::FacePull,
            Some(Start::Pull) => Class::Pull,
            Some(Start::Straight | Start::Push) => Class::Good,
        }
    }
}

/// What the last entry led to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Happened {
    Begun,
    NotSeen,
    Stayed,
    Climbed,
    /// The last rung holds.
    Held,
    SteppedDown,
    /// It would have stepped down from the lowest rung.
    Lowest,
    Face,
    Chosen,
    Rested,
}

/// What is to be said of the club path of the last ball, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
enum PathNote {
    Nothing,
    /// In-to-out, of a player who hooks.
    Hooks(f64),
    /// A push that hooks, of a player who hooks.
    PushHook,
    /// In-to-out in a slow rung, as wished.
    Welcome(f64),
    /// More in-to-out than wished in a slow rung.
    FarSlow(f64),
    /// Off the line at full speed.
    FarFull(f64),
}

/// Everything of the session that runs which an undo brings back. Of fixed size.
#[derive(Clone, Copy, Debug)]
struct State {
    rung: usize,
    /// Balls seen on the rung since it was reached.
    on_rung: usize,
    /// Of those, newest in the lowest bit: did it pull (and not point to the face)?
    pulls: u64,
    /// Did it miss?
    misses: u64,
    since_rest: usize,
    /// The fastest rung that held.
    held: Option<usize>,
    happened: Happened,
    path: PathNote,
    ended: Option<Ended>,
    tally: Tally,
}

impl State {
    const NEW: State = State {
        rung: 0,
        on_rung: 0,
        pulls: 0,
        misses: 0,
        since_rest: 0,
        held: None,
        happened: Happened::Begun,
        path: PathNote::Nothing,
        ended: None,
        tally: Tally { balls: 0, seen: 0, good: 0, pulls: 0, face: 0 },
    };

    fn stand_on(&mut self, rung: usize) {
        *self = State { rung, on_rung: 0, pulls: 0, misses: 0, ..*self };
    }

    /// The ball is one more of the rung.
    fn count(&mut self, class: Class) {
        self.on_rung += 1;
        self.pulls = self.pulls << 1 | u64::from(class == Class::Pull);
        self.misses = self.misses << 1 | u64::from(class != Class::Good);
    }
}

/// How many of the last so many bits are set.
fn of_last(bits: u64, last: usize) -> usize {
    let mask = 1_u64.checked_shl(last as u32).map_or(u64::MAX, |bit| bit - 1);
    (bits & mask).count_ones() as usize
}

/// What an undo brings back: the state, and the count of one rung.
#[derive(Clone, Copy, Debug)]
struct Before {
    state: State,
    rung: Option<(usize, Tally)>,
}

/// A session as it is kept.
#[derive(Clone, Debug)]
struct Session {
    began: String,
    kind: SessionKind,
    state: State,
    /// By share of full speed; at most [`MOST_RUNGS`].
    rungs: Vec<(f64, Tally)>,
}

/// A log folded into a state.
#[derive(Clone, Debug)]
pub struct Practice {
    plan: Plan,
    sessions: Vec<Session>,
    /// Of the session that runs.
    undo: Vec<Before>,
    entries: usize,
    warnings: Vec<Message>,
    more_warnings: usize,
}

/// What the caller writes into a ball's entry beside what was tapped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HitOn {
    /// The rung, from 0; none of a transfer test or a lesson.
    pub rung: Option<usize>,
    /// Share of full speed.
    pub share: f64,
}

plain::record!(HitOn { rung, share });

/// Where the session stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Number of the session, from 1; 0 before the first.
    pub session: usize,
    /// When it began, as the log says.
    pub began: String,
    /// What it is for.
    pub kind: SessionKind,
    /// What ended it.
    pub ended: Option<Ended>,
    /// The rung, from 0; none of a transfer test or a lesson.
    pub rung: Option<usize>,
    /// Share of full speed.
    pub share: f64,
    /// Balls seen on the rung since it was reached.
    pub on_rung: usize,
    /// Balls that the rung asks for.
    pub asked: usize,
    /// Balls of the session.
    pub tally: Tally,
    /// Balls to the cap.
    pub left: usize,
    /// Balls since the last rest.
    pub since_rest: usize,
    /// What to do next.
    pub advice: Advice,
}

plain::record!(Standing { session, began, kind, ended, rung, share, on_rung, asked, tally, left, since_rest, advice });

/// The answer to a tap.
#[derive(Clone, Debug, PartialEq)]
pub struct Tapped {
    /// Of a ball: what to write into its entry.
    pub hit_on: Option<HitOn>,
    /// Where the session stands now.
    pub standing: Standing,
    /// What cannot be meant, and what contradicts itself.
    pub notes: Vec<Message>,
}

plain::record!(Tapped { hit_on, standing, notes });

impl Practice {
    /// Folds a log. Both may be anything: what can be meant counts, the rest is told by [`Practice::warnings`].
    pub fn of(plan: &Given, log: &Given) -> Practice {
        let (plan, warnings) = Plan::take(plan);
        let (sessions, undo) = (vec![], vec![]);
        let mut practice = Practice { plan, sessions, undo, entries: 0, warnings, more_warnings: 0 };
        match log {
            Given::List(entries) => entries.iter().for_each(|entry| practice.replay(entry)),
            Given::Null => {}
            _ => practice.warnings.push(Message::new("coach.log_no_list")),
        }
        practice
    }

    /// An entry of the stored log: that a ball contradicts itself was told when it was tapped.
    fn replay(&mut self, entry: &Given) {
        let mut told = vec![];
        self.fold(entry, &mut told);
        for message in told {
            if self.warnings.len() < MOST_WARNINGS {
                self.warnings.push(message.with("entry", self.entries));
            } else {
                self.more_warnings += 1;
            }
        }
    }

    /// The plan as it was understood.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What of plan and log could not be meant.
    pub fn warnings(&self) -> Vec<Message> {
        let more = Message::new("coach.more_warnings").with("count", self.more_warnings);
        let more = (self.more_warnings > 0).then_some(more);
        self.warnings.iter().cloned().chain(more).collect()
    }

    /// Takes one entry more: O(1). The caller adds it to the log.
    pub fn tap(&mut self, entry: &Given) -> Tapped {
        let mut notes = vec![];
        let ball = self.fold(entry, &mut notes);
        notes.extend(ball.iter().flat_map(|(ball, _)| ball.contradictions(self.plan.tolerance_deg)));
        Tapped { hit_on: ball.map(|(_, hit_on)| hit_on), standing: self.standing(), notes }
    }

    /// Folds an entry into the state; gives the ball, if it is one, and what it was hit on.
    fn fold(&mut self, entry: &Given, told: &mut Vec<Message>) -> Option<(Ball, HitOn)> {
        self.entries += 1;
        let mut fields = Take::of(entry);
        let what = fields.take("what");
        let mut ball = None;
        match what {
            None => fields.told.push(Message::new("coach.entry_unknown")),
            Some(What::Begin) => self.begin(&mut fields),
            Some(What::Ball) => ball = Some(self.ball(entry, &mut fields)),
            Some(What::Undo) => self.take_back(&mut fields.told),
            Some(What::Rest) => self.change(|state| {
                state.since_rest = 0;
                state.happened = Happened::Rested;
            }),
            Some(What::Pain) => self.change(|state| state.ended = Some(Ended::Pain)),
            Some(What::Go) => self.go(&mut fields),
            Some(What::Note) => {}
            Some(What::End) => self.end(),
        }
        told.append(&mut fields.told);
        ball
    }

    /// A session begins, slowly. One without a ball is not kept, unless it ended with pain.
    fn begin(&mut self, fields: &mut Take) {
        if let Some(last) = self.sessions.last_mut() {
            last.state.ended.get_or_insert(Ended::Next);
            if last.state.tally.balls == 0 && last.state.ended != Some(Ended::Pain) {
                self.sessions.pop();
            }
        }
        let kind = fields.take("as").unwrap_or(SessionKind::Practice);
        let began: String = fields.take("at").unwrap_or_default();
        self.sessions.push(Session { began, kind, state: State::NEW, rungs: vec![] });
        self.undo.clear();
    }

    /// The session that runs; one begins where none does. Pain ends it for good: only a `begin` opens another.
    fn running(&mut self) -> &mut Session {
        let over =
            self.sessions.last().is_none_or(|last| matches!(last.state.ended, Some(Ended::Player | Ended::Next)));
        if over {
            self.begin(&mut Take::of(&Given::Null));
        }
        // There is one now; the first of nothing cannot be asked for.
        let last = self.sessions.len() - 1;
        &mut self.sessions[last]
    }

    /// Changes the session's state, so that it can be taken back.
    fn change(&mut self, change: impl FnOnce(&mut State)) {
        let session = self.running();
        let before = Before { state: session.state, rung: None };
        session.state.path = PathNote::Nothing;
        change(&mut session.state);
        self.undo.push(before);
    }

    fn take_back(&mut self, told: &mut Vec<Message>) {
        let (Some(before), Some(session)) = (self.undo.pop(), self.sessions.last_mut()) else {
            return told.push(Message::new("coach.nothing_to_undo"));
        };
        session.state = before.state;
        if let Some((at, tally)) = before.rung {
            session.rungs[at].1 = tally;
        }
    }

    fn go(&mut self, fields: &mut Take) {
        let Some(rung) = fields.count("rung", 0, self.plan.last()) else { return };
        self.change(|state| {
            state.stand_on(rung);
            state.happened = Happened::Chosen;
        });
    }

    fn end(&mut self) {
        if let Some(last) = self.sessions.last_mut() {
            last.state.ended.get_or_insert(Ended::Player);
        }
        self.undo.clear();
    }

    fn ball(&mut self, entry: &Given, fields: &mut Take) -> (Ball, HitOn) {
        let (hand, tolerance_deg, last) = (self.plan.hand, self.plan.tolerance_deg, self.plan.last());
        let ball = Ball::take(entry, hand, tolerance_deg, &mut fields.told);
        let stated = fields.count("rung", 0, MOST_RUNGS).map(|rung| rung.min(last));
        let share = fields.number("share", 0.01, 1.0);
        let session = self.running();
        let on_rungs = session.kind == SessionKind::Practice;
        let before = session.state;
        if session.began.is_empty() {
            session.began = fields.take("at").unwrap_or_default();
        }
        if let Some(rung) = stated.filter(|rung| on_rungs && *rung != before.rung) {
            session.state.stand_on(rung);
        }
        let rung = on_rungs.then_some(session.state.rung);
        let share = share.unwrap_or_else(|| rung.map_or(1.0, |rung| self.plan.share(rung)));
        self.hit(&ball, before, share);
        (ball, HitOn { rung, share })
    }

    /// The ball counts, and the rung may change.
    fn hit(&mut self, ball: &Ball, before: State, share: f64) {
        let Some(session) = self.sessions.last_mut() else { return };
        let at = slot(&mut session.rungs, share);
        self.undo.push(Before { state: before, rung: Some((at, session.rungs[at].1)) });
        session.rungs[at].1.add(ball);
        session.state.tally.add(ball);
        session.state.since_rest += 1;
        session.state.path = path_note(&self.plan, ball, share);
        session.state.happened = match session.kind {
            SessionKind::Practice => step(&self.plan, &mut session.state, Class::of(ball)),
            _ => Happened::Stayed,
        };
    }

    /// Where the session stands, and what to do next.
    pub fn standing(&self) -> Standing {
        let session = self.sessions.last();
        let (state, kind) = session.map_or((State::NEW, SessionKind::Practice), |last| (last.state, last.kind));
        let rung = (kind == SessionKind::Practice).then_some(state.rung);
        Standing {
            session: self.sessions.len(),
            began: session.map(|last| last.began.clone()).unwrap_or_default(),
            kind,
            ended: state.ended,
            rung,
            share: rung.map_or(1.0, |rung| self.plan.share(rung)),
            on_rung: state.on_rung,
            asked: if rung.is_some() { self.plan.balls(state.rung) } else { self.plan.transfer_balls },
            tally: state.tally,
            left: self.plan.cap.saturating_sub(state.tally.balls),
            since_rest: state.since_rest,
            advice: advice::advise(&self.plan, kind, &state, self.hurt_before()),
        }
    }

    /// Did the session before this one end with pain?
    fn hurt_before(&self) -> bool {
        let before = self.sessions.len().checked_sub(2).and_then(|at| self.sessions.get(at));
        before.is_some_and(|session| session.state.ended == Some(Ended::Pain))
    }

    /// Session by session.
    pub fn progress(&self) -> Progress {
        Progress::of(&self.sessions)
    }

    /// Entries folded so far: each costs the same.
    pub fn entries(&self) -> usize {
        self.entries
    }
}

/// The place of a share among those of a session; a new one beyond the most goes to the last.
fn slot(rungs: &mut Vec<(f64, Tally)>, share: f64) -> usize {
    let known = rungs.iter().position(|(own, _)| (own - share).abs() < 1e-9);
    known.unwrap_or_else(|| {
        if rungs.len() < MOST_RUNGS {
            rungs.push((share, Tally::default()));
        }
        rungs.len() - 1
    })
}

/// What a ball does to the rung.
fn step(plan: &Plan, state: &mut State, class: Class) -> Happened {
    if class == Class::NotSeen || state.ended.is_some() {
        return if class == Class::NotSeen { Happened::NotSeen } else { Happened::Stayed };
    }
    state.count(class);
    match class {
        Class::FacePull => Happened::Face,
        Class::Pull if steps_down(plan, state) => down(state),
        Class::Good if climbs(plan, state) => up(plan, state),
        _ => Happened::Stayed,
    }
}

fn steps_down(plan: &Plan, state: &State) -> bool {
    match plan.step_down {
        super::plan::StepDown::FirstPull => true,
        super::plan::StepDown::TwoOfFive => of_last(state.pulls, LOOK_BACK) >= 2,
    }
}

fn climbs(plan: &Plan, state: &State) -> bool {
    let asked = plan.balls(state.rung);
    state.on_rung >= asked && of_last(state.misses, asked) <= plan.climb_misses
}

fn down(state: &mut State) -> Happened {
    let lower = state.rung.checked_sub(1);
    state.stand_on(lower.unwrap_or(0));
    if lower.is_some() { Happened::SteppedDown } else { Happened::Lowest }
}

fn up(plan: &Plan, state: &mut State) -> Happened {
    let rung = state.rung;
    state.held = state.held.max(Some(rung));
    state.stand_on(plan.last().min(rung + 1));
    if rung < plan.last() { Happened::Climbed } else { Happened::Held }
}

/// The club path, if it was measured, against what suits this player at this speed.
fn path_note(plan: &Plan, ball: &Ball, share: f64) -> PathNote {
    let slow = share < FULL_SHARE;
    match ball.launch.path_deg {
        Some(path) if plan.hooks && path > plan.full_path_deg => PathNote::Hooks(path),
        _ if plan.hooks && ball.start == Some(Start::Push) && ball.curve == Some(Curve::Hook) => PathNote::PushHook,
        Some(path) if !plan.hooks && slow && path > plan.slow_path_deg => PathNote::FarSlow(path),
        Some(path) if !plan.hooks && slow && path > 0.0 => PathNote::Welcome(path),
        Some(path) if !slow && path.abs() > plan.full_path_deg => PathNote::FarFull(path),
        _ => PathNote::Nothing,
    }
}
