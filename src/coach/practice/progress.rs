//! Session by session: shares of balls with their intervals.

use super::super::intervals::{Share, ShareDifference, difference};
use super::super::plan::FULL_SHARE;
use super::{Ended, Session, SessionKind, Tally};
use crate::order;
use crate::plain;

/// Balls at one share of full speed.
#[derive(Clone, Debug, PartialEq)]
pub struct RungTold {
    /// Share of full speed.
    pub share: f64,
    /// The balls.
    pub tally: Tally,
    /// Of those seen, that started on the line or to the push side.
    pub good: Option<Share>,
}

plain::record!(RungTold { share, tally, good });

/// One session.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionTold {
    /// From 1.
    pub number: usize,
    /// When it began, as the log says.
    pub began: String,
    /// What it was for.
    pub kind: SessionKind,
    /// What ended it; `None`: it runs.
    pub ended: Option<Ended>,
    /// All its balls.
    pub tally: Tally,
    /// Of those seen, that started on the line or to the push side.
    pub good: Option<Share>,
    /// Of those seen, that started to the pull side.
    pub pulled: Option<Share>,
    /// By share of full speed, slow first.
    pub rungs: Vec<RungTold>,
}

plain::record!(SessionTold { number, began, kind, ended, tally, good, pulled, rungs });

/// All sessions.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// In order.
    pub sessions: Vec<SessionTold>,
    /// Share of good balls at full speed (from 90 % on), last session with such balls minus the first; `None` with fewer
    /// than two.
    pub at_full_speed: Option<ShareDifference>,
}

plain::record!(Progress { sessions, at_full_speed });

impl Progress {
    pub(super) fn of(sessions: &[Session]) -> Progress {
        let told = sessions.iter().zip(1..).map(|(session, number)| SessionTold::of(session, number));
        let full: Vec<Share> = sessions.iter().filter_map(at_full_speed).collect();
        let change = match &full[..] {
            [first, .., last] => Some(difference(first, last)),
            _ => None,
        };
        Progress { sessions: told.collect(), at_full_speed: change }
    }
}

fn at_full_speed(session: &Session) -> Option<Share> {
    let full = session.rungs.iter().filter(|(share, _)| *share >= FULL_SHARE);
    let (good, seen) = full.fold((0, 0), |(good, seen), (_, tally)| (good + tally.good, seen + tally.seen));
    Share::of(good, seen)
}

impl SessionTold {
    fn of(session: &Session, number: usize) -> SessionTold {
        let tally = session.state.tally;
        let mut rungs: Vec<RungTold> = session.rungs.iter().filter(|(_, tally)| tally.balls > 0).map(rung).collect();
        order::sort_by(&mut rungs, |a, b| a.share.total_cmp(&b.share));
        SessionTold {
            number,
            began: session.began.clone(),
            kind: session.kind,
            ended: session.state.ended,
            tally,
            good: Share::of(tally.good, tally.seen),
            pulled: Share::of(tally.pulls, tally.seen),
            rungs,
        }
    }
}

fn rung((share, tally): &(f64, Tally)) -> RungTold {
    RungTold { share: *share, tally: *tally, good: Share::of(tally.good, tally.seen) }
}
