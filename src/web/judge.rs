//! The student's findings beside the references of a job, also under a turned target line, and the references as one.

use super::object;
use super::session::{Job, Session, Slot, given};
use crate::compare::scale_reference;
use crate::findings::{Beside, Finding, Told, findings, reading};
use crate::measure::{Measure, without_intervals};
use crate::picture::{Band, LengthDisplay};
use crate::plain;
use crate::report::SwingReport;
use crate::sets::{BandKind, Choice, LEAST_SWINGS, likeness, reference_set};
use crate::swing::Swing;
use wasm_bindgen::prelude::*;

/// What a turned target line leads to.
struct Turned {
    measures: Vec<Measure>,
    findings: Vec<Finding>,
}

plain::record!(Turned { measures, findings });

#[wasm_bindgen]
impl Session {
    /// What if the student's target line lay `degrees` farther to the out side: `{measures, findings}` of a job with that
    /// field, as in a report, the measures without intervals. Null without a swing of the student.
    pub fn aim(&self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        let Some(swing) = job.in_slot(Slot::Student).next().and_then(|file| self.kept(file.id)?.swing()) else {
            return Ok(JsValue::NULL);
        };
        let turned = swing.turned(job.degrees);
        let measures = without_intervals(&turned);
        let findings = findings(&turned, &measures, &self.beside(&job), &job.thresholds);
        object::told(&Turned { measures, findings })
    }

    /// The band of the references of a job, for the picture; null of too few. It takes its time.
    pub fn band(&self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        let student = job.in_slot(Slot::Student).next().and_then(|file| self.kept(file.id)?.swing());
        let references: Vec<&Swing> =
            job.in_slot(Slot::Reference).filter_map(|file| self.kept(file.id)?.swing()).collect();
        let Some(student) = student.filter(|_| references.len() >= LEAST_SWINGS) else { return Ok(JsValue::NULL) };
        let scaled: Vec<Swing> = references
            .into_iter()
            .map(|swing| scale_reference(swing, student.size.factor_for(&swing.size).map_or(1.0, |(factor, _)| factor)))
            .collect();
        Ok(object::band_object(&band_of(student, &scaled.iter().collect::<Vec<_>>())))
    }
}

/// Of the references like the student where there are enough, else of all of the student's kind.
fn band_of(student: &Swing, references: &[&Swing]) -> Band {
    let like = references.iter().filter(|reference| likeness(student, reference).unlike.is_empty()).count();
    let choice = if like < LEAST_SWINGS { Choice::SameKind } else { Choice::Like };
    let set = reference_set(student, references, choice, BandKind::WholeCurve).set;
    set.map_or_else(|_| Band::default(), |set| Band::new(&set))
}

impl Session {
    /// Tells the student's findings beside the references, lengths in the unit that the page shows.
    pub(super) fn judge(&self, job: &Job, swing: &Swing, report: &mut SwingReport) {
        let beside = self.beside(job);
        report.judge(swing, &beside, &job.thresholds);
        if job.unit == LengthDisplay::Inch {
            let (measures, findings) = (&report.measures[..], &report.findings[..]);
            report.reading = reading(&Told { swing, measures, findings, references: &beside }, &inches);
        }
    }

    /// The references of a job that hold a swing, to be brought to the student's size.
    fn beside(&self, job: &Job) -> Vec<Beside<'_>> {
        let student = job.in_slot(Slot::Student).next().and_then(|file| self.kept(file.id)?.swing());
        let Some(student) = student else { return vec![] };
        let references = job.in_slot(Slot::Reference).filter_map(|file| {
            let kept = self.kept(file.id)?;
            let swing = kept.swing()?;
            let factor = student.size.factor_for(&swing.size).map_or(1.0, |(factor, _)| factor);
            Beside::of(student, swing, &kept.report()?.swing.measures, factor)
        });
        references.collect()
    }
}

fn inches(metres: f64) -> String {
    let size = LengthDisplay::Inch.size(metres, ".");
    LengthDisplay::Inch.spelled(size.as_deref().unwrap_or("0"))
}
