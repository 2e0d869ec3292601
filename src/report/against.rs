//! The student beside one reference, as plain data.

use super::Report;
use crate::align::{AlignOptions, Alignment};
use crate::compare::{AtInstant, Compared, compared, deviations};
use crate::measure::{Measure, differences, per_target_sd};
use crate::plain;
use crate::swing::{InstantName, Swing};
use crate::words::Message;

/// A reference, and how the student differs from it.
#[derive(Clone, Debug)]
pub struct Against {
    /// The reference by itself, at its own size.
    pub reference: Box<Report>,
    /// How the student differs; its fields stand beside these.
    pub differs: Differs,
    /// The alignment in time; its fields stand beside these, and are absent without one.
    pub alignment: Option<Alignment>,
}

plain::record!(Against { reference, differs: inline, alignment: inline });

/// How a student differs from one reference.
#[derive(Clone, Debug, Default)]
pub struct Differs {
    /// Why the two are not aligned in time (or not compared at all); null where they are.
    pub error: Option<Message>,
    /// What the reference's lengths are multiplied by, so that it has the student's size.
    pub factor: Option<f64>,
    /// The body length that `factor` rests on; null: no common one, the factor is 1.
    pub factor_source: Option<&'static str>,
    /// What makes this comparison a doubtful one.
    pub doubts: Vec<Message>,
    /// Student minus reference at the instants that both have.
    pub at_instants: Vec<AtInstantReport>,
    /// Student minus reference (at the student's size) in each of the measures shown first, with 90 % intervals; empty
    /// where nothing was measured in one of them.
    pub measures: Vec<Measure>,
}

plain::record!(Differs { error, factor, factor_source, doubts, at_instants, measures });

/// Student minus reference (at the student's size) at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct AtInstantReport {
    /// Which.
    pub name: InstantName,
    /// When in the student's recording, seconds; null where the address is a file of its own.
    pub time_s: Option<f64>,
    /// When in the reference's recording.
    pub reference_time_s: Option<f64>,
    /// Over the ball line, metres.
    pub out_m: f64,
    /// Towards the target, metres.
    pub target_m: f64,
    /// Up, metres.
    pub up_m: f64,
    /// How late the student is, seconds; null where the alignment does not reach.
    pub lateness_s: Option<f64>,
    /// The instant that `lateness_s` counts from; null in free mode.
    pub since: Option<InstantName>,
}

plain::record!(AtInstantReport { name, time_s, reference_time_s, out_m, target_m, up_m, lateness_s, since });

impl AtInstantReport {
    fn of(at: &AtInstant, student: &Swing, reference: &Swing) -> Self {
        let [out_m, target_m, up_m] = at.difference;
        let time_s = |swing: &Swing| swing.instant(at.instant).map(|instant| instant.time_s);
        AtInstantReport {
            name: at.instant,
            time_s: time_s(student),
            reference_time_s: time_s(reference),
            out_m,
            target_m,
            up_m,
            lateness_s: at.lateness_s,
            since: at.since,
        }
    }
}

impl Differs {
    /// Of a student and a reference that were compared.
    pub fn of(student: &Swing, compared: &Compared, at: &[AtInstant]) -> Differs {
        Differs {
            error: compared.alignment.as_ref().err().map(|error| error.message()),
            factor: Some(compared.factor),
            factor_source: compared.factor_source,
            doubts: compared.warnings.clone(),
            at_instants: at.iter().map(|at| AtInstantReport::of(at, student, &compared.swing)).collect(),
            measures: vec![],
        }
    }

    /// Adds the differences of the measures, the reference's at its own size: the two errors are independent, but for the
    /// target line where both swings rest on one (then `one_line` are the two).
    #[must_use]
    pub fn measured(self, student: &[Measure], reference: &[Measure], one_line: Option<[&Swing; 2]>) -> Differs {
        let Some(factor) = self.factor else { return self };
        let parts = one_line.map(|swings| swings.map(per_target_sd));
        let shared = parts.as_ref().map(|[ours, theirs]| (&ours[..], &theirs[..]));
        Differs { measures: differences(student, reference, factor, shared), ..self }
    }
}

impl Against {
    /// Compares two swings. `reference` is the report of `swing`; without a swing in either, nothing is compared.
    pub fn of(student: Option<&Swing>, reference: Report, swing: Option<&Swing>, options: &AlignOptions) -> Against {
        let alone = Against { reference: Box::new(reference), differs: Differs::default(), alignment: None };
        let (Some(student), Some(swing)) = (student, swing) else {
            let why = alone.reference.error.clone();
            let error = why.or_else(|| Some(Message::new("report.student_without_swing")));
            return Against { differs: Differs { error, ..Differs::default() }, ..alone };
        };
        match options.check() {
            Ok(()) => alone.with(student, compared(student, swing, options)),
            Err(error) => Against { differs: Differs { error: Some(error.message()), ..Differs::default() }, ..alone },
        }
    }

    fn with(self, student: &Swing, compared: Compared) -> Against {
        let differs = Differs::of(student, &compared, &deviations(student, &compared));
        Against { differs, alignment: compared.alignment.ok(), ..self }
    }

    /// Adds the differences of the measures to those of the paths: see [`Differs::measured`].
    #[must_use]
    pub fn measured(self, student: &[Measure], one_line: Option<[&Swing; 2]>) -> Against {
        let differs = self.differs.measured(student, &self.reference.swing.measures, one_line);
        Against { differs, ..self }
    }
}
