//! The main job: a student's swing against one reference or several.
//!
//! Each reference is brought to the student's size, so that the student's centimetres stay true, and aligned in time
//! with the student (see [`crate::align`]).

mod instants;
mod scale;
#[cfg(test)]
mod tests;

pub(crate) use instants::deviations;
pub use instants::{AtInstant, deviations_at_instants};
pub use scale::scale_reference;

use crate::align::{AlignError, AlignOptions, Alignment, align_swings};
use crate::swing::Swing;
use crate::words::Message;

/// A student's swing and what it is compared with.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The student's swing, as analysed.
    pub student: Swing,
    /// The references, in the order given.
    pub references: Vec<Compared>,
}

/// A reference beside the student.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// The reference at the student's size.
    pub swing: Swing,
    /// What its lengths were multiplied by.
    pub factor: f64,
    /// The body length that the factor rests on, in documented words; `None`: no common one, the factor is 1.
    pub factor_source: Option<&'static str>,
    /// The alignment in time, or why there is none: the swings can be looked at side by side without it.
    pub alignment: Result<Alignment, AlignError>,
    /// What makes this comparison a doubtful one.
    pub warnings: Vec<Message>,
}

/// Compares a student's swing with references.
///
/// All of them in their own body-relative frames. A reference that cannot be aligned is kept, with the reason.
///
/// # Errors
/// [`AlignError`] where the options are out of range.
pub fn compare(student: &Swing, references: &[Swing], options: &AlignOptions) -> Result<Comparison, AlignError> {
    options.check()?;
    let references = references.iter().map(|reference| compared(student, reference, options)).collect();
    Ok(Comparison { student: student.clone(), references })
}

/// One reference beside the student; the options are in range.
pub(crate) fn compared(student: &Swing, reference: &Swing, options: &AlignOptions) -> Compared {
    let (factor, factor_source) = match student.size.factor_for(&reference.size) {
        Some((factor, source)) => (factor, Some(source)),
        None => (1.0, None),
    };
    let swing = scale_reference(reference, factor);
    let alignment = align_swings(student, &swing, options);
    let mut warnings = doubts(student, reference);
    if factor_source.is_none() {
        warnings.insert(0, Message::new("compare.not_scaled").with("reference", reference.label.as_str()));
    }
    Compared { swing, factor, factor_source, alignment, warnings }
}

/// Differences between two swings that a coach has to know of: across clubs and kinds only times compare well, and
/// without a body there is no common frame.
fn doubts(student: &Swing, reference: &Swing) -> Vec<Message> {
    let mut doubts = vec![];
    let mut doubt = |message: Message| doubts.push(message.with("reference", reference.label.as_str()));
    if student.club != reference.club {
        doubt(Message::new("compare.other_club"));
    }
    if student.kind != reference.kind {
        doubt(Message::new("compare.other_kind"));
    }
    if student.hand != reference.hand {
        doubt(Message::new("compare.mirrored"));
    }
    if !student.has_body || !reference.has_body {
        doubt(Message::new("compare.no_common_frame"));
    }
    doubts
}
