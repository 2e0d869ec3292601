//! What to do next, and why.

use super::super::plan::Plan;
use super::{Ended, Happened, PathNote, SessionKind, State};
use crate::plain;
use crate::words::Message;

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdviceKind {
    /// Go on at the next rung.
    Climb,
    /// Go on as before.
    Stay,
    /// Go on a rung lower.
    StepDown,
    /// Go on at this rung, with a cue for the face.
    FaceCue,
    /// Rest first.
    Rest,
    /// Stop for today.
    Stop,
}

plain::words!(AdviceKind {
    Climb = "climb",
    Stay = "stay",
    StepDown = "step down",
    FaceCue = "face cue",
    Rest = "rest",
    Stop = "stop"
});

/// What to do, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What.
    pub kind: AdviceKind,
    /// Why.
    pub reason: Message,
    /// What else is to be said: a rung that changed all the same, the club path, pain of the last session.
    pub also: Vec<Message>,
}

plain::record!(Advice { kind, reason, also });

/// Pain before all, then the cap, then a rest that is due, then the rung. A rung that changed while another thing is to be
/// said is said as well.
pub(super) fn advise(plan: &Plan, kind: SessionKind, state: &State, hurt_before: bool) -> Advice {
    let (rung_kind, rung_reason) =
        if kind == SessionKind::Practice { on_rung(plan, state) } else { off(plan, kind, state) };
    let first = stop(plan, state).or_else(|| rest(plan, state));
    let mut also = remarks(plan, state, hurt_before);
    let (kind, reason) = match first {
        Some(found) => {
            let told = !matches!(rung_kind, AdviceKind::Stay | AdviceKind::Stop) && state.ended.is_none();
            also.extend(told.then_some(rung_reason));
            found
        }
        None => (rung_kind, rung_reason),
    };
    Advice { kind, reason, also }
}

fn stop(plan: &Plan, state: &State) -> Option<(AdviceKind, Message)> {
    let reason = match state.ended {
        Some(Ended::Pain) => Message::new("coach.stop_pain"),
        Some(_) => Message::new("coach.stop_ended").with("balls", state.tally.balls),
        None if state.tally.balls >= plan.cap => Message::new("coach.stop_cap").with("balls", state.tally.balls),
        None => return None,
    };
    Some((AdviceKind::Stop, reason))
}

fn rest(plan: &Plan, state: &State) -> Option<(AdviceKind, Message)> {
    let due = state.since_rest >= plan.rest_after;
    let reason = Message::new("coach.rest_due").with("balls", state.since_rest).with("minutes", plan.rest_s / 60.0);
    due.then_some((AdviceKind::Rest, reason))
}

/// The rung that is practised.
fn on_rung(plan: &Plan, state: &State) -> (AdviceKind, Message) {
    let percent = 100.0 * plan.share(state.rung);
    let said = |message: Message| message.with("percent", percent);
    let left = plan.balls(state.rung).saturating_sub(state.on_rung).max(1);
    match state.happened {
        Happened::Climbed => (AdviceKind::Climb, said(Message::new("coach.climb"))),
        Happened::SteppedDown => (AdviceKind::StepDown, said(Message::new("coach.step_down"))),
        Happened::Lowest => (AdviceKind::Stay, said(Message::new("coach.lowest"))),
        Happened::Face => (AdviceKind::FaceCue, said(Message::new("coach.face_cue"))),
        Happened::Held => (AdviceKind::Stay, said(Message::new("coach.held"))),
        Happened::Begun => (AdviceKind::Stay, said(Message::new("coach.begin")).with("balls", left)),
        Happened::NotSeen => (AdviceKind::Stay, said(Message::new("coach.not_seen"))),
        Happened::Stayed | Happened::Chosen | Happened::Rested => {
            (AdviceKind::Stay, said(Message::new("coach.stay")).with("balls", left))
        }
    }
}

/// A transfer test, or the balls of a lesson: no rung.
fn off(plan: &Plan, kind: SessionKind, state: &State) -> (AdviceKind, Message) {
    let left = plan.transfer_balls.saturating_sub(state.tally.balls);
    match kind {
        SessionKind::Transfer if left == 0 => {
            (AdviceKind::Stop, Message::new("coach.transfer_done").with("balls", state.tally.balls))
        }
        SessionKind::Transfer => (AdviceKind::Stay, Message::new("coach.transfer").with("balls", left)),
        _ => (AdviceKind::Stay, Message::new("coach.lesson_ball").with("balls", state.tally.balls)),
    }
}

fn remarks(plan: &Plan, state: &State, hurt_before: bool) -> Vec<Message> {
    let begun = state.happened == Happened::Begun && state.ended.is_none();
    let hurt = (hurt_before && begun).then(|| Message::new("coach.pain_before"));
    let hooks =
        (plan.hooks && begun).then(|| Message::new("coach.hooks_in_to_out").with("degrees", plan.full_path_deg));
    hurt.into_iter().chain(hooks).chain(path(plan, state)).collect()
}

fn path(plan: &Plan, state: &State) -> Option<Message> {
    let said = |message: Message, degrees: f64| Some(message.with("degrees", degrees));
    match state.path {
        PathNote::Nothing => None,
        PathNote::Hooks(path) => said(Message::new("coach.path_hooks").with("most", plan.full_path_deg), path),
        PathNote::PushHook => Some(Message::new("coach.push_hook")),
        PathNote::Welcome(path) => said(Message::new("coach.path_welcome"), path),
        PathNote::FarSlow(path) => said(Message::new("coach.path_far_slow").with("most", plan.slow_path_deg), path),
        PathNote::FarFull(path) => said(Message::new("coach.path_far_full").with("most", plan.full_path_deg), path),
    }
}
