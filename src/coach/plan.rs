//! What is to be practised: rungs of speed, when to climb, when to step down, how many balls, when to rest.
//!
//! A plan is an object of the lesson file; fields that are not known here (drill, feel in the student's words, the coach's
//! remarks) belong to the page and are left alone. Every default is common practice, adjustable, unless it says otherwise.

use super::take::Take;
use crate::plain::{self, Given};
use crate::settings::Hand;
use crate::words::Message;

/// More rungs than this nobody climbs.
pub const MOST_RUNGS: usize = 8;
/// Balls of a rung that are looked back on, at most: they are kept as bits of one number.
pub const MOST_BALLS: usize = 60;
/// Most balls of one session that a plan can ask for (working assumption: a limit against slips of the pen).
const MOST_CAP: usize = 300;
/// Of the last so many balls of a rung, in the rule "2 of 5".
pub const LOOK_BACK: usize = 5;
/// A rung from this share of full speed on counts as full speed.
pub const FULL_SHARE: f64 = 0.9;

/// One rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// Share of full speed, above 0 to 1.
    pub share: f64,
    /// Balls whose start was seen, before the next rung.
    pub balls: usize,
}

plain::record!(Rung { share, balls });

/// When to go down a rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepDown {
    /// The first pull.
    FirstPull,
    /// Two pulls of the last five balls of the rung.
    TwoOfFive,
}

plain::words!(StepDown { FirstPull = "first pull", TwoOfFive = "2 of 5" });

/// A plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// From slow to fast. Default: 30, 60, 90 and 100 % of full speed, five balls each.
    pub rungs: Vec<Rung>,
    /// Of the last balls of a rung, how many may have missed and the rung is climbed all the same. Default: 0; with
    /// "2 of 5", 1.
    pub climb_misses: usize,
    /// When to step down. Default: the first pull.
    pub step_down: StepDown,
    /// Balls of one session, at most. Default: 60; for minors 40.
    pub cap: usize,
    /// A rest after so many balls. Default: 15.
    pub rest_after: usize,
    /// How long to rest, seconds. Default: 120.
    pub rest_s: f64,
    /// Balls of a transfer test. Default: 10.
    pub transfer_balls: usize,
    /// The hand the player plays.
    pub hand: Hand,
    /// Does the player hook? Then a path far in-to-out is warned about. Default: no.
    pub hooks: bool,
    /// Is the player a minor? Default: no.
    pub minor: bool,
    /// Half of what counts as "on the line", degrees.
    pub tolerance_deg: f64,
    /// In-to-out club path that is welcome in slow rungs for a player who lives out-to-in, degrees, at most.
    pub slow_path_deg: f64,
    /// Club path off the line, either way, that is fine at full speed, degrees. Also what a player who hooks is let have.
    pub full_path_deg: f64,
}

plain::record!(Plan {
    rungs,
    climb_misses,
    step_down,
    cap,
    rest_after,
    rest_s,
    transfer_balls,
    hand,
    hooks,
    minor,
    tolerance_deg,
    slow_path_deg,
    full_path_deg
});

impl Default for Plan {
    fn default() -> Plan {
        Plan::with_defaults(StepDown::FirstPull, false)
    }
}

impl Plan {
    fn with_defaults(step_down: StepDown, minor: bool) -> Plan {
        Plan {
            rungs: [0.3, 0.6, 0.9, 1.0].map(|share| Rung { share, balls: 5 }).into(),
            climb_misses: usize::from(step_down == StepDown::TwoOfFive),
            step_down,
            cap: if minor { 40 } else { 60 },
            rest_after: 15,
            rest_s: 120.0,
            transfer_balls: 10,
            hand: Hand::Right,
            hooks: false,
            minor,
            tolerance_deg: super::ball::TOLERANCE_DEG,
            slow_path_deg: 8.0,
            full_path_deg: 3.0,
        }
    }

    /// Reads a plan; what is missing or cannot be meant is the default, and the latter is told.
    pub fn take(given: &Given) -> (Plan, Vec<Message>) {
        let mut fields = Take::of(given);
        let step_down = fields.take("step_down").unwrap_or(StepDown::FirstPull);
        let default = Plan::with_defaults(step_down, fields.flag("minor"));
        let plan = Plan {
            rungs: rungs(&mut fields).unwrap_or(default.rungs),
            climb_misses: fields.count("climb_misses", 0, MOST_BALLS).unwrap_or(default.climb_misses),
            step_down,
            cap: fields.count("cap", 1, MOST_CAP).unwrap_or(default.cap),
            rest_after: fields.count("rest_after", 1, MOST_CAP).unwrap_or(default.rest_after),
            rest_s: fields.number("rest_s", 0.0, 3600.0).unwrap_or(default.rest_s),
            transfer_balls: fields.count("transfer_balls", 1, MOST_CAP).unwrap_or(default.transfer_balls),
            hand: fields.take("hand").unwrap_or(default.hand),
            hooks: fields.flag("hooks"),
            minor: default.minor,
            tolerance_deg: fields.number("tolerance_deg", 0.0, 10.0).unwrap_or(default.tolerance_deg),
            slow_path_deg: fields.number("slow_path_deg", 0.0, 20.0).unwrap_or(default.slow_path_deg),
            full_path_deg: fields.number("full_path_deg", 0.0, 20.0).unwrap_or(default.full_path_deg),
        };
        (plan, fields.told)
    }

    /// The share of full speed of a rung; of one that the plan has not, the fastest.
    pub fn share(&self, rung: usize) -> f64 {
        self.rungs.get(rung).or(self.rungs.last()).map_or(1.0, |rung| rung.share)
    }

    /// Balls that the rung asks for.
    pub fn balls(&self, rung: usize) -> usize {
        self.rungs.get(rung).or(self.rungs.last()).map_or(1, |rung| rung.balls)
    }

    /// The last rung.
    pub fn last(&self) -> usize {
        self.rungs.len().saturating_sub(1)
    }
}

/// The rungs that can be meant, sorted by speed; `None` where there is none.
fn rungs(fields: &mut Take) -> Option<Vec<Rung>> {
    let items = fields.list("rungs");
    let mut found: Vec<Rung> = items.iter().filter_map(|item| rung(item, &mut fields.told)).collect();
    if found.len() > MOST_RUNGS {
        fields.told.push(Message::new("coach.too_many_rungs").with("most", MOST_RUNGS).with("found", found.len()));
        found.truncate(MOST_RUNGS);
    }
    crate::order::sort_by(&mut found, |a, b| a.share.total_cmp(&b.share));
    (!found.is_empty()).then_some(found)
}

fn rung(given: &Given, told: &mut Vec<Message>) -> Option<Rung> {
    let mut fields = Take::of(given);
    let share = fields.number("share", 0.05, 1.0);
    let balls = fields.count("balls", 1, MOST_BALLS).unwrap_or(5);
    told.append(&mut fields.told);
    Some(Rung { share: share?, balls })
}
