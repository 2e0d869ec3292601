//! What the student says before anything is captured.
//!
//! ```text
//! {"pain": {"now": true, "injury": false, "surgery": false, "where": TEXT, "cleared": false},
//!  "hand": "right", "miss": "pull", "curve": "draw", "club": "iron", "since": TEXT, "hope": TEXT,
//!  "minutes_a_week": 60, "minor": false, "adult": TEXT,
//!  "consent": {"recording": true, "pooling": false, "by": "player" | "guardian", "date": TEXT}}
//! ```
//!
//! Pain, injury and surgery come first: with one of them, and until a licensed professional has agreed (`cleared`),
//! nothing is offered that asks the student to move.

use super::ball::{Curve, Start};
use super::plan::Plan;
use super::take::Take;
use crate::plain::{self, Given};
use crate::settings::{Club, Hand};
use crate::words::Message;

/// Less practice than this a week is told, minutes (working assumption).
const LITTLE_PRACTICE_MIN: f64 = 30.0;

/// What is offered, or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offer {
    /// New captures.
    Captures,
    /// A plan and its drill cards.
    Plan,
    /// Practice with its log.
    Practice,
    /// A transfer test.
    Transfer,
}

plain::words!(Offer { Captures = "captures", Plan = "plan", Practice = "practice", Transfer = "transfer" });

/// Who agreed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The player.
    Player,
    /// A parent or guardian.
    Guardian,
}

plain::words!(By { Player = "player", Guardian = "guardian" });

/// What follows from an intake card.
#[derive(Clone, Debug, PartialEq)]
pub struct IntakeAnswer {
    /// What comes before all else; `None` where nothing does.
    pub first: Option<Message>,
    /// What is not offered, and why is in `first` or `notes`.
    pub not_offered: Vec<Offer>,
    /// What else is to be said.
    pub notes: Vec<Message>,
    /// Names of fields that are still to be asked.
    pub missing: Vec<&'static str>,
    /// May recordings be taken (agreed; for a minor by a guardian)?
    pub may_record: bool,
    /// May swings be pooled with others, as references (agreed; for a minor by a guardian)?
    pub may_pool: bool,
    /// The plan to begin with.
    pub plan: Plan,
}

plain::record!(IntakeAnswer { first, not_offered, notes, missing, may_record, may_pool, plan });

/// Reads an intake card and says what follows.
pub fn told(given: &Given) -> IntakeAnswer {
    let mut fields = Take::of(given);
    let minor = fields.flag("minor");
    let hurt = hurt(&mut fields);
    let [may_record, may_pool] = consent(&mut fields, minor);
    let missing = missing(&mut fields, minor);
    let plan = plan(&mut fields, minor);
    let mut notes = std::mem::take(&mut fields.told);
    notes.extend(remarks(&mut fields, &plan, may_record));
    let not_offered = match (hurt.is_some(), may_record) {
        (true, _) => Offer::ALL.to_vec(),
        (false, false) => vec![Offer::Captures],
        (false, true) => vec![],
    };
    IntakeAnswer { first: hurt, not_offered, notes, missing, may_record, may_pool, plan }
}

/// Pain, an injury or surgery that no licensed professional has agreed to.
fn hurt(fields: &mut Take) -> Option<Message> {
    let mut pain = Take::of(fields.given("pain"));
    let [now, injury, surgery, cleared] = ["now", "injury", "surgery", "cleared"].map(|name| pain.flag(name));
    fields.told.append(&mut pain.told);
    // Pain now is not settled by what was agreed before it.
    let open = now || (injury || surgery) && !cleared;
    match (open, now) {
        (false, _) => None,
        (true, true) => Some(Message::new("coach.pain_now")),
        (true, false) => Some(Message::new("coach.injury_first")),
    }
}

/// Whether recordings may be taken, and pooled.
fn consent(fields: &mut Take, minor: bool) -> [bool; 2] {
    let mut consent = Take::of(fields.given("consent"));
    let [recording, pooling] = ["recording", "pooling"].map(|name| consent.flag(name));
    let by: Option<By> = consent.take("by");
    fields.told.append(&mut consent.told);
    let who = by == Some(By::Guardian) || by == Some(By::Player) && !minor;
    [recording && who, recording && pooling && who]
}

fn missing(fields: &mut Take, minor: bool) -> Vec<&'static str> {
    let asked = ["pain", "miss", "curve", "club", "since", "hope", "minutes_a_week", "consent"];
    let adult = minor.then_some("adult");
    asked.into_iter().chain(adult).filter(|name| *fields.given(name) == Given::Null).collect()
}

fn plan(fields: &mut Take, minor: bool) -> Plan {
    let words = vec![("minor".to_owned(), Given::Flag(minor))];
    let (plan, _) = Plan::take(&Given::Record(words));
    let curve: Option<Curve> = fields.take("curve");
    Plan { hand: fields.take("hand").unwrap_or(Hand::Right), hooks: curve == Some(Curve::Hook), ..plan }
}

fn remarks(fields: &mut Take, plan: &Plan, may_record: bool) -> Vec<Message> {
    let (miss, _): (Option<Start>, Option<Club>) = (fields.take("miss"), fields.take("club"));
    let curve: Option<Curve> = fields.take("curve");
    let face = miss == Some(Start::Pull) && curve.is_some_and(|curve| curve.side() < 0);
    let minutes = fields.number("minutes_a_week", 0.0, 10_080.0);
    let mut notes = std::mem::take(&mut fields.told);
    let other = miss.is_some_and(|miss| miss != Start::Pull).then(|| Message::new("coach.other_miss"));
    notes.extend(other);
    notes.extend(face.then(|| Message::new("coach.intake_face")));
    notes.extend(plan.hooks.then(|| Message::new("coach.hooks_in_to_out").with("degrees", plan.full_path_deg)));
    notes.extend(plan.minor.then(|| Message::new("coach.minor").with("balls", plan.cap)));
    notes.extend((!may_record).then(|| Message::new("coach.no_consent")));
    let little = minutes.filter(|minutes| *minutes < LITTLE_PRACTICE_MIN);
    notes.extend(little.map(|minutes| Message::new("coach.little_practice").with("minutes", minutes)));
    notes
}
