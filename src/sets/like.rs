//! Which references are like the student, and which are not, and why.

use super::band::BandKind;
use super::kinds::of_kind;
use super::set::SwingSet;
use crate::align::AlignError;
use crate::compare::scale_reference;
use crate::findings::Beside;
use crate::measure::Measure;
use crate::plain;
use crate::swing::{InstantName, Swing};
use crate::words::Message;

/// Hands at the top that lie farther apart than this towards the ball line are unlike (assumed: a deep top leaves more
/// room to come out than an upright one, common practice).
pub const LIKE_DEPTH_M: f64 = 0.06;

/// How like the student a reference is.
#[derive(Clone, Debug, PartialEq)]
pub struct Likeness {
    /// Distance of the reference's hands at the top from its ball line, less that of the student's, metres: positive
    /// where the reference is deeper. `None` where a ball, a top or a body is missing.
    pub depth_difference_m: Option<f64>,
    /// Why it is unlike; empty: like.
    pub unlike: Vec<Message>,
}

/// Compares depth at the top, club and kind. The reference has to be at the student's size.
pub fn likeness(student: &Swing, reference: &Swing) -> Likeness {
    let depth_difference_m = depth(reference).zip(depth(student)).map(|(theirs, ours)| theirs - ours);
    let reasons = [
        depth_difference_m.and_then(unlike_depth),
        (student.club != reference.club).then(|| Message::new("compare.other_club")),
        (student.kind != reference.kind).then(|| Message::new("compare.other_kind")),
    ];
    let unlike =
        reasons.into_iter().flatten().map(|reason| reason.with("reference", reference.label.as_str())).collect();
    Likeness { depth_difference_m, unlike }
}

fn unlike_depth(difference_m: f64) -> Option<Message> {
    let told = |key: Message| Some(key.with("cm", 100.0 * difference_m.abs()));
    if difference_m > LIKE_DEPTH_M {
        told(Message::new("sets.deeper"))
    } else if difference_m < -LIKE_DEPTH_M {
        told(Message::new("sets.less_deep"))
    } else {
        None
    }
}

/// Distance of the hands from the ball line at the top.
fn depth(swing: &Swing) -> Option<f64> {
    let top_s = swing.instant(InstantName::Top).filter(|_| swing.has_body)?.time_s;
    let hands = swing.hand_curve().position(top_s)?;
    Some(swing.ball?[0] - hands[0]).filter(|depth| depth.is_finite())
}

/// The references that a student is held against, each with its measures at its own size: those that are like the student;
/// where none is, those of the same club and kind of swing, for the geometry of others is not compared.
pub fn suited<'a>(student: &Swing, references: &[(&Swing, &'a [Measure])]) -> Vec<Beside<'a>> {
    let factor = |swing: &Swing| student.size.factor_for(&swing.size).map_or(1.0, |(factor, _)| factor);
    let like = |(swing, measures): &(&Swing, &'a [Measure])| {
        let factor = factor(swing);
        let like = likeness(student, &scale_reference(swing, factor)).unlike.is_empty();
        like.then_some(Beside { measures, factor })
    };
    let found: Vec<Beside> = references.iter().filter_map(like).collect();
    if !found.is_empty() {
        return found;
    }
    references.iter().filter_map(|(swing, measures)| Beside::of(student, swing, measures, factor(swing))).collect()
}

/// Which references go into the set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Choice {
    /// Those like the student, where there are any; else all of the student's kind.
    #[default]
    Like,
    /// All of the student's kind.
    SameKind,
}

plain::words!(Choice { Like = "like", SameKind = "same kind" });

/// References as one, beside what speaks against some of them.
#[derive(Clone, Debug, PartialEq)]
pub struct ReferenceSet {
    /// In the order given.
    pub likeness: Vec<Likeness>,
    /// The set, or why there is none.
    pub set: Result<SwingSet, AlignError>,
    /// References of another kind of swing, and what could not be compared.
    pub notes: Vec<Message>,
}

/// Makes one of the references that suit a student. All at the student's size; other kinds of swing than the student's
/// stay out, whatever the choice.
pub fn reference_set(student: &Swing, references: &[&Swing], choice: Choice, band: BandKind) -> ReferenceSet {
    let likeness: Vec<Likeness> = references.iter().map(|reference| likeness(student, reference)).collect();
    let mut notes = vec![];
    let of_kind = of_kind(references, student.kind, &mut notes);
    let like = references.iter().zip(&likeness).filter(|(_, found)| found.unlike.is_empty());
    let like: Vec<&Swing> = like.map(|(reference, _)| *reference).collect();
    if likeness.iter().any(|found| found.depth_difference_m.is_none()) {
        notes.push(Message::new("sets.depth_unknown"));
    }
    if like.is_empty() && !of_kind.is_empty() {
        notes.push(Message::new("sets.none_like"));
    }
    let chosen = if choice == Choice::SameKind || like.is_empty() { of_kind } else { like };
    ReferenceSet { likeness, set: SwingSet::of(&chosen, band), notes }
}
